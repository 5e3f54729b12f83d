# Proof that the set-up works. What needs a bare system or the network is not in TESTS: fresh-debian
# runs ./bootstrap check in a Debian 12 of its own, see its first lines.
SETUP_TESTS = tests/setup/bootstrap_test.sh tests/setup/count_test.sh \
	tests/setup/service_test.sh tests/setup/shell_test.sh
TESTS += $(SETUP_TESTS)
EXTRA_DIST += $(SETUP_TESTS) tests/setup/lib.sh \
	tests/setup/count tests/setup/valgrind tests/setup/valgrind.supp tests/setup/tarball tests/setup/in_place tests/setup/fresh-debian

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
