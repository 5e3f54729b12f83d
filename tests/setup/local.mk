# Proof that the set-up works. What needs a bare system or the network is not in TESTS: fresh-debian
# runs ./bootstrap check in a Debian 12 of its own, see its first lines.
EXTRA_DIST += tests/setup/count tests/setup/valgrind

list-tests:
	@printf '%s\n' $(TESTS)

# The C programs among TESTS, under valgrind; the logs lie in valgrind/.
check-valgrind: $(check_PROGRAMS)
	@$(AM_TESTS_ENVIRONMENT) set --; \
	for name in $(TESTS); do \
	  case ' '`echo $(check_PROGRAMS)`' ' in *" $$name "*) set -- "$$@" $$name ;; esac; \
	done; \
	printf '%s\n' "$$@" >valgrind.list; \
	$(srcdir)/tests/setup/valgrind valgrind "$$@"

.PHONY: list-tests check-valgrind
