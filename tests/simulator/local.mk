# A simulator of tanks that shares no line with src/calc, and the outlook held against it: a small seeded run among the
# tests, the large one under real weather in `make bench`.
SIMULATOR = \
	tests/simulator/accuracy.c tests/simulator/accuracy.h \
	tests/simulator/tank.c tests/simulator/tank.h \
	tests/simulator/weather.c tests/simulator/weather.h

if HAVE_CHECK
check_PROGRAMS += tests/simulator/outlook
tests_simulator_outlook_SOURCES = tests/simulator/outlook.c $(SIMULATOR)
tests_simulator_outlook_CFLAGS = $(TEST_CFLAGS)
tests_simulator_outlook_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/simulator/outlook
endif

EXTRA_PROGRAMS += tests/bench/outlook tests/bench/outlook_accuracy
tests_bench_outlook_SOURCES = tests/bench/outlook.c
tests_bench_outlook_CFLAGS = $(AM_CFLAGS)
tests_bench_outlook_LDADD = libtidemark-calc.a -lm
tests_bench_outlook_accuracy_SOURCES = tests/bench/outlook_accuracy.c $(SIMULATOR)
tests_bench_outlook_accuracy_CFLAGS = $(AM_CFLAGS) -I$(srcdir)/tests
tests_bench_outlook_accuracy_LDADD = libtidemark-calc.a -lm

EXTRA_DIST += tests/simulator/fetch-weather
