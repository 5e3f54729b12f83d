# Random input, the same on every run. A longer one by hand: tests/fuzz/calc_fuzz SEED COUNT
check_PROGRAMS += tests/fuzz/calc_fuzz
tests_fuzz_calc_fuzz_SOURCES = tests/fuzz/calc_fuzz.c
tests_fuzz_calc_fuzz_CFLAGS = $(AM_CFLAGS)
tests_fuzz_calc_fuzz_LDADD = libtidemark-calc.a -lm
TESTS += tests/fuzz/calc_fuzz
