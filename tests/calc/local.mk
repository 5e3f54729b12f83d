# Tests of the calculations: one program a subject, tables of published values beside them.
if HAVE_CHECK
check_LIBRARIES += tests/libtest.a
tests_libtest_a_SOURCES = tests/csv.c tests/csv.h tests/runner.c tests/runner.h
tests_libtest_a_CFLAGS = $(TEST_CFLAGS)

CALC_TEST_LDADD = tests/libtest.a libtidemark-calc.a $(CHECK_LIBS) -lm

check_PROGRAMS += tests/calc/fault
tests_calc_fault_SOURCES = tests/calc/fault.c
tests_calc_fault_CFLAGS = $(TEST_CFLAGS)
tests_calc_fault_LDADD = $(CALC_TEST_LDADD)

TESTS += tests/calc/fault
endif
