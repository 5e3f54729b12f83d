# Random input, the same on every run. A longer one by hand: tests/fuzz/calc_fuzz SEED COUNT
check_PROGRAMS += tests/fuzz/calc_fuzz
tests_fuzz_calc_fuzz_SOURCES = tests/fuzz/calc_fuzz.c
tests_fuzz_calc_fuzz_CFLAGS = $(AM_CFLAGS)
tests_fuzz_calc_fuzz_LDADD = libtidemark-calc.a -lm
TESTS += tests/fuzz/calc_fuzz

# The same for the bodies of every route.
if HAVE_CHECK
check_PROGRAMS += tests/fuzz/bodies_fuzz
tests_fuzz_bodies_fuzz_SOURCES = tests/fuzz/bodies_fuzz.c tests/api/bodies.c tests/api/bodies.h $(API_TEST_CALLER)
tests_fuzz_bodies_fuzz_CFLAGS = $(API_TEST_CFLAGS) -I$(srcdir)/tests/api
tests_fuzz_bodies_fuzz_LDADD = $(API_TEST_LDADD)
TESTS += tests/fuzz/bodies_fuzz

# Exports and tables for the imports.
check_PROGRAMS += tests/fuzz/import_fuzz
tests_fuzz_import_fuzz_SOURCES = tests/fuzz/import_fuzz.c $(API_TEST_CALLER)
tests_fuzz_import_fuzz_CFLAGS = $(API_TEST_CFLAGS) -I$(srcdir)/tests/api
tests_fuzz_import_fuzz_LDADD = $(API_TEST_LDADD)
TESTS += tests/fuzz/import_fuzz
endif
