# Tests of the API: asked in the same process, each with a garden file of its own.
if HAVE_CHECK
API_TEST_CFLAGS = $(TEST_CFLAGS) $(SQLITE_CFLAGS) $(JANSSON_CFLAGS)
API_TEST_LDADD = tests/libtest.a $(TIDEMARK_LIBS) $(TIDEMARK_SYSTEM_LIBS) $(CHECK_LIBS)
API_TEST_CALLER = tests/api/caller.c tests/api/caller.h tests/garden_file.c tests/garden_file.h

check_PROGRAMS += tests/api/shapes
tests_api_shapes_SOURCES = tests/api/shapes.c
tests_api_shapes_CFLAGS = $(API_TEST_CFLAGS)
tests_api_shapes_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/shapes

check_PROGRAMS += tests/api/putoffs
tests_api_putoffs_SOURCES = tests/api/putoffs.c $(API_TEST_CALLER)
tests_api_putoffs_CFLAGS = $(API_TEST_CFLAGS)
tests_api_putoffs_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/putoffs

check_PROGRAMS += tests/api/said
tests_api_said_SOURCES = tests/api/said.c
tests_api_said_CFLAGS = $(API_TEST_CFLAGS)
tests_api_said_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/said

check_PROGRAMS += tests/api/bad_bodies
tests_api_bad_bodies_SOURCES = tests/api/bad_bodies.c tests/api/bodies.c tests/api/bodies.h $(API_TEST_CALLER)
tests_api_bad_bodies_CFLAGS = $(API_TEST_CFLAGS)
tests_api_bad_bodies_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/bad_bodies
EXTRA_DIST += tests/api/bodies.json

check_PROGRAMS += tests/api/bad_forms
tests_api_bad_forms_SOURCES = tests/api/bad_forms.c tests/api/bodies.c tests/api/bodies.h $(API_TEST_CALLER)
tests_api_bad_forms_CFLAGS = $(API_TEST_CFLAGS)
tests_api_bad_forms_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/bad_forms

check_PROGRAMS += tests/faults/memory
tests_faults_memory_SOURCES = tests/faults/memory.c tests/api/bodies.c tests/api/bodies.h $(API_TEST_CALLER)
tests_faults_memory_CFLAGS = $(API_TEST_CFLAGS) -I$(srcdir)/tests/api
tests_faults_memory_LDADD = $(API_TEST_LDADD)
TESTS += tests/faults/memory

check_PROGRAMS += tests/api/routes
tests_api_routes_SOURCES = tests/api/routes.c tests/api/bodies.c tests/api/bodies.h $(API_TEST_CALLER)
tests_api_routes_CFLAGS = $(API_TEST_CFLAGS)
tests_api_routes_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/routes

check_PROGRAMS += tests/api/calc
tests_api_calc_SOURCES = tests/api/calc.c $(API_TEST_CALLER)
tests_api_calc_CFLAGS = $(API_TEST_CFLAGS)
tests_api_calc_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/calc

check_PROGRAMS += tests/api/log
tests_api_log_SOURCES = tests/api/log.c $(API_TEST_CALLER)
tests_api_log_CFLAGS = $(API_TEST_CFLAGS)
tests_api_log_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/log

check_PROGRAMS += tests/api/shelf
tests_api_shelf_SOURCES = tests/api/shelf.c $(API_TEST_CALLER)
tests_api_shelf_CFLAGS = $(API_TEST_CFLAGS)
tests_api_shelf_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/shelf

check_PROGRAMS += tests/api/import_table
tests_api_import_table_SOURCES = tests/api/import_table.c $(API_TEST_CALLER)
tests_api_import_table_CFLAGS = $(API_TEST_CFLAGS)
tests_api_import_table_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/import_table

check_PROGRAMS += tests/api/import_readings
tests_api_import_readings_SOURCES = tests/api/import_readings.c $(API_TEST_CALLER)
tests_api_import_readings_CFLAGS = $(API_TEST_CFLAGS)
tests_api_import_readings_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/import_readings

check_PROGRAMS += tests/api/harvests
tests_api_harvests_SOURCES = tests/api/harvests.c $(API_TEST_CALLER)
tests_api_harvests_CFLAGS = $(API_TEST_CFLAGS)
tests_api_harvests_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/harvests

check_PROGRAMS += tests/api/worked
tests_api_worked_SOURCES = tests/api/worked.c $(API_TEST_CALLER)
tests_api_worked_CFLAGS = $(API_TEST_CFLAGS)
tests_api_worked_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/worked

check_PROGRAMS += tests/api/people
tests_api_people_SOURCES = tests/api/people.c tests/garden_file.c tests/garden_file.h
tests_api_people_CFLAGS = $(API_TEST_CFLAGS) $(SODIUM_CFLAGS)
tests_api_people_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/people
check_PROGRAMS += tests/api/standings
tests_api_standings_SOURCES = tests/api/standings.c $(API_TEST_CALLER)
tests_api_standings_CFLAGS = $(API_TEST_CFLAGS)
tests_api_standings_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/standings

check_PROGRAMS += tests/api/backups
tests_api_backups_SOURCES = tests/api/backups.c $(API_TEST_CALLER)
tests_api_backups_CFLAGS = $(API_TEST_CFLAGS)
tests_api_backups_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/backups
EXTRA_DIST += tests/api/metrics_read.py fixtures/sensors/README.md fixtures/sensors/post-readings fixtures/sensors/post-weather

check_PROGRAMS += tests/api/export
tests_api_export_SOURCES = tests/api/export.c $(API_TEST_CALLER)
tests_api_export_CFLAGS = $(API_TEST_CFLAGS)
tests_api_export_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/export

check_PROGRAMS += tests/api/mixes
tests_api_mixes_SOURCES = tests/api/mixes.c $(API_TEST_CALLER)
tests_api_mixes_CFLAGS = $(API_TEST_CFLAGS)
tests_api_mixes_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/mixes

check_PROGRAMS += tests/api/photos
tests_api_photos_SOURCES = tests/api/photos.c $(API_TEST_CALLER)
tests_api_photos_CFLAGS = $(API_TEST_CFLAGS) $(SODIUM_CFLAGS)
tests_api_photos_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/photos
check_PROGRAMS += tests/api/rounds
tests_api_rounds_SOURCES = tests/api/rounds.c $(API_TEST_CALLER)
tests_api_rounds_CFLAGS = $(API_TEST_CFLAGS)
tests_api_rounds_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/rounds

check_PROGRAMS += tests/api/calendar
tests_api_calendar_SOURCES = tests/api/calendar.c $(API_TEST_CALLER)
tests_api_calendar_CFLAGS = $(API_TEST_CFLAGS)
tests_api_calendar_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/calendar

check_PROGRAMS += tests/api/tables
tests_api_tables_SOURCES = tests/api/tables.c $(API_TEST_CALLER)
tests_api_tables_CFLAGS = $(API_TEST_CFLAGS)
tests_api_tables_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/tables

check_PROGRAMS += tests/api/fills
tests_api_fills_SOURCES = tests/api/fills.c $(API_TEST_CALLER)
tests_api_fills_CFLAGS = $(API_TEST_CFLAGS)
tests_api_fills_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/fills

check_PROGRAMS += tests/api/cups
tests_api_cups_SOURCES = tests/api/cups.c $(API_TEST_CALLER)
tests_api_cups_CFLAGS = $(API_TEST_CFLAGS)
tests_api_cups_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/cups

check_PROGRAMS += tests/api/successions
tests_api_successions_SOURCES = tests/api/successions.c $(API_TEST_CALLER)
tests_api_successions_CFLAGS = $(API_TEST_CFLAGS)
tests_api_successions_LDADD = $(API_TEST_LDADD)
TESTS += tests/api/successions
endif

EXTRA_DIST += \
	fixtures/shelf/README.md \
	fixtures/shelf/cautions.csv \
	fixtures/shelf/published-solutions.csv

# openapi.json against the standard, and the daemon against openapi.json. A target of its own, since it needs npm; the log lies
# in tests/api/openapi/openapi.log, in the words of node's runner.
EXTRA_DIST += \
	tests/api/openapi/openapi.test.mjs \
	tests/api/openapi/package-lock.json \
	tests/api/openapi/package.json

check-openapi: tidemarkd$(EXEEXT) site.stamp
	@$(MKDIR_P) tests/api/openapi
	@cp -f $(srcdir)/tests/api/openapi/package.json $(srcdir)/tests/api/openapi/package-lock.json tests/api/openapi/
	@test -d tests/api/openapi/node_modules/ajv || \
	  (cd tests/api/openapi && npm ci --ignore-scripts --no-audit --no-fund --silent)
	@$(AM_TESTS_ENVIRONMENT) \
	node --test $(srcdir)/tests/api/openapi/openapi.test.mjs >tests/api/openapi/openapi.log 2>&1; status=$$?; \
	test $$status = 0 && grep -E '^. (pass|fail|skipped) ' tests/api/openapi/openapi.log || cat tests/api/openapi/openapi.log; \
	exit $$status

.PHONY: check-openapi
