# Speed. Built and run by `make bench` alone, so that no test depends on the clock.
#
# A program: add tests/bench/NAME to EXTRA_PROGRAMS, and its _SOURCES, _CFLAGS and _LDADD as for
# any program ("bench_PROGRAMS" would be installed). A script: add its path in the source tree to
# BENCHES and to EXTRA_DIST. Both are run from the build folder with the variables that the
# tests get, print one line a figure, and exit 77 when the peer they compare with is missing.

bench: $(EXTRA_PROGRAMS) $(bin_PROGRAMS) site.stamp
	@$(AM_TESTS_ENVIRONMENT) status=0; \
	for name in $(EXTRA_PROGRAMS); do \
	  echo "== $$name"; ./$$name || { code=$$?; test $$code = 77 || status=1; }; \
	done; \
	for name in $(BENCHES); do \
	  echo "== $$name"; $(srcdir)/$$name || { code=$$?; test $$code = 77 || status=1; }; \
	done; \
	exit $$status

.PHONY: bench
CLEANFILES += $(EXTRA_PROGRAMS)

# nnls: one least squares of 14 x 12, beside scipy's
EXTRA_PROGRAMS += tests/bench/nnls
tests_bench_nnls_SOURCES = tests/bench/nnls.c
tests_bench_nnls_CFLAGS = $(AM_CFLAGS)
tests_bench_nnls_LDADD = libtidemark-calc.a -lm
EXTRA_DIST += tests/bench/nnls_scipy.py

# recipe: grams, rounding and reasons
EXTRA_PROGRAMS += tests/bench/recipe
tests_bench_recipe_SOURCES = tests/bench/recipe.c
tests_bench_recipe_CFLAGS = $(AM_CFLAGS)
tests_bench_recipe_LDADD = libtidemark-calc.a -lm

# solution: one solution to species, pH, EC and saturation
if HAVE_CHECK
EXTRA_PROGRAMS += tests/bench/solution
tests_bench_solution_SOURCES = tests/bench/solution.c tests/calc/rows.c tests/calc/rows.h
tests_bench_solution_CFLAGS = $(TEST_CFLAGS)
tests_bench_solution_LDADD = $(CALC_TEST_LDADD)
endif

EXTRA_PROGRAMS += tests/bench/commits
tests_bench_commits_SOURCES = tests/bench/commits.c
tests_bench_commits_CFLAGS = $(AM_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)
tests_bench_commits_LDADD = libtidemark-http.a $(TIDEMARK_LIBS) $(HTTP_LIBS) $(TIDEMARK_SYSTEM_LIBS)

BENCHES += tests/bench/open_pages.py
EXTRA_DIST += tests/bench/open_pages.py

# reads: one tank's page and Today, beside a bare endpoint of the same libraries
EXTRA_PROGRAMS += tests/bench/reads
tests_bench_reads_SOURCES = tests/bench/reads.c
tests_bench_reads_CFLAGS = $(AM_CFLAGS) -D_GNU_SOURCE $(MICROHTTPD_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)
tests_bench_reads_LDADD = libtidemark-http.a $(TIDEMARK_LIBS) $(HTTP_LIBS) $(TIDEMARK_SYSTEM_LIBS)

# years: a garden that grows for years; what is asked most stays as quick as it was
EXTRA_PROGRAMS += tests/bench/years
tests_bench_years_SOURCES = tests/bench/years.c
tests_bench_years_CFLAGS = $(AM_CFLAGS) -D_GNU_SOURCE $(JANSSON_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)
tests_bench_years_LDADD = libtidemark-http.a $(TIDEMARK_LIBS) $(HTTP_LIBS) $(TIDEMARK_SYSTEM_LIBS)

# imports: how long a single entry waits while a large table is brought in
EXTRA_PROGRAMS += tests/bench/imports
tests_bench_imports_SOURCES = tests/bench/imports.c
tests_bench_imports_CFLAGS = $(AM_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)
tests_bench_imports_LDADD = libtidemark-http.a $(TIDEMARK_LIBS) $(HTTP_LIBS) $(TIDEMARK_SYSTEM_LIBS)
