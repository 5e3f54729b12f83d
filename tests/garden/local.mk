# Tests of the grower's rules, each with a garden file of its own in the build folder.
if HAVE_CHECK
GARDEN_TEST_CFLAGS = $(TEST_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)
GARDEN_TEST_LDADD = tests/libtest.a libtidemark-garden.a libtidemark-store.a libtidemark-calc.a \
	$(ICAL_LIBS) $(SQLITE_LIBS) $(SODIUM_LIBS) $(CHECK_LIBS) -lpthread -lm

check_PROGRAMS += tests/garden/people
tests_garden_people_SOURCES = tests/garden/people.c tests/garden_file.c tests/garden_file.h
tests_garden_people_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_people_LDADD = $(GARDEN_TEST_LDADD)
TESTS += tests/garden/people

check_PROGRAMS += tests/garden/tank_state tests/garden/clock
tests_garden_tank_state_SOURCES = tests/garden/tank_state.c
tests_garden_tank_state_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_tank_state_LDADD = $(GARDEN_TEST_LDADD)
tests_garden_clock_SOURCES = tests/garden/clock.c
tests_garden_clock_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_clock_LDADD = $(GARDEN_TEST_LDADD)
TESTS += tests/garden/tank_state tests/garden/clock

check_PROGRAMS += tests/garden/lessons
tests_garden_lessons_SOURCES = tests/garden/lessons.c tests/garden_file.c tests/garden_file.h
tests_garden_lessons_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_lessons_LDADD = $(GARDEN_TEST_LDADD)
TESTS += tests/garden/lessons

check_PROGRAMS += tests/garden/tank_log
tests_garden_tank_log_SOURCES = tests/garden/tank_log.c tests/garden_file.c tests/garden_file.h
tests_garden_tank_log_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_tank_log_LDADD = $(GARDEN_TEST_LDADD)
TESTS += tests/garden/tank_log

check_PROGRAMS += tests/garden/readings
tests_garden_readings_SOURCES = tests/garden/readings.c tests/garden_file.c tests/garden_file.h
tests_garden_readings_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_readings_LDADD = $(GARDEN_TEST_LDADD)
TESTS += tests/garden/readings

check_PROGRAMS += tests/garden/cheapest
tests_garden_cheapest_SOURCES = tests/garden/cheapest.c
tests_garden_cheapest_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_cheapest_LDADD = $(GARDEN_TEST_LDADD) $(GLPK_LIBS)
TESTS += tests/garden/cheapest

check_PROGRAMS += tests/garden/succession
tests_garden_succession_SOURCES = tests/garden/succession.c
tests_garden_succession_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_succession_LDADD = $(GARDEN_TEST_LDADD) $(GLPK_LIBS)
TESTS += tests/garden/succession

check_PROGRAMS += tests/garden/seasons
tests_garden_seasons_SOURCES = tests/garden/seasons.c
tests_garden_seasons_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_seasons_LDADD = $(GARDEN_TEST_LDADD)
TESTS += tests/garden/seasons

check_PROGRAMS += tests/garden/rounds
tests_garden_rounds_SOURCES = tests/garden/rounds.c tests/garden_file.c tests/garden_file.h
tests_garden_rounds_CFLAGS = $(GARDEN_TEST_CFLAGS)
tests_garden_rounds_LDADD = $(GARDEN_TEST_LDADD)
TESTS += tests/garden/rounds
endif

EXTRA_DIST += tests/garden/cheapest_scipy.py tests/garden/succession_scipy.py
