# The API: documents, routes, handlers. Each noun is one file.
noinst_LIBRARIES += libtidemark-api.a
libtidemark_api_a_SOURCES = \
	src/api/calc_compare.c src/api/calc_meter.c src/api/calc_planning.c src/api/calc_water.c \
	src/api/climates.c src/api/climates.h \
	src/api/answers.c src/api/answers.h \
	src/api/areas.c src/api/areas.h \
	src/api/backup.c src/api/backup.h src/api/export.c \
	src/api/calc.h \
	src/api/calc_acid.c \
	src/api/calc_concentrate.c \
	src/api/calc_lid.c \
	src/api/calc_outlook.c \
	src/api/calc_recipe.c src/api/calc_recipe.h \
	src/api/calc_reference_et.c \
	src/api/calc_solution.c \
	src/api/calc_topup.c \
	src/api/calc_vessel.c \
	src/api/chemistry.c src/api/chemistry.h \
	src/api/calendar.c src/api/calendar.h \
	src/api/crops.c src/api/crops.h \
	src/api/demo.c src/api/demo.h \
	src/api/devices.c src/api/devices.h \
	src/api/doubts.c \
	src/api/cups.c src/api/cups.h \
	src/api/dispatch.c src/api/request.h \
	src/api/duties.c src/api/duties.h \
	src/api/entries.c src/api/entries.h \
	src/api/form.c src/api/form.h \
	src/api/fills.c src/api/fills.h \
	src/api/gardens.c src/api/gardens.h \
	src/api/harvests.c src/api/harvests.h \
	src/api/health.c src/api/health.h \
	src/api/import_garden.c src/api/import_readings.c src/api/import_table.c src/api/imports.c src/api/imports.h \
	src/api/invites.c src/api/invites.h \
	src/api/json_pieces.c src/api/json_pieces.h \
	src/api/labels.c \
	src/api/limits.c src/api/limits.h \
	src/api/link.c src/api/link.h \
	src/api/lists.c src/api/lists.h \
	src/api/meters.c src/api/meters.h \
	src/api/members.c src/api/members.h \
	src/api/openapi.c \
	src/api/pair.c \
	src/api/mixes.c src/api/mixes.h \
	src/api/photos.c src/api/photos.h \
	src/api/plain.c src/api/plain.h \
	src/api/problem.c src/api/problem.h \
	src/api/readings.c src/api/readings.h \
	src/api/rounds.c src/api/rounds.h \
	src/api/round_days.c src/api/round_days.h \
	src/api/routes.c src/api/routes.h \
	src/api/putoffs.c \
	src/api/said.c src/api/said.h \
	src/api/salts.c src/api/salts.h \
	src/api/sensors.c src/api/sensors.h \
	src/api/shape.c src/api/shape.h src/api/shape_check.c src/api/shape_inside.h \
	src/api/shape_schema.c src/api/shape_text.c src/api/shape_write.c \
	src/api/succession.c src/api/successions.c src/api/successions.h \
	src/api/tables.c src/api/tables.h \
	src/api/outlooks.c src/api/outlooks.h \
	src/api/standings.c src/api/standings.h \
	src/api/tank_course.c src/api/tank_course.h \
	src/api/tanks.c src/api/tanks.h \
	src/api/today.c src/api/today.h \
	src/api/targets.c src/api/targets.h \
	src/api/vessels.c src/api/vessels.h \
	src/api/walk.c src/api/walk.h \
	src/api/waters.c src/api/waters.h \
	src/api/weather.c src/api/weather.h \
	src/api/who.c src/api/who.h \
	src/api/words.c src/api/words.h
nodist_libtidemark_api_a_SOURCES = src/api/demo_garden.c
libtidemark_api_a_CFLAGS = $(AM_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)

# What everything above the API links, in the order the linker wants.
TIDEMARK_LIBS = libtidemark-api.a libtidemark-garden.a libtidemark-store.a libtidemark-format.a libtidemark-calc.a
TIDEMARK_SYSTEM_LIBS = $(SQLITE_LIBS) $(JANSSON_LIBS) $(SODIUM_LIBS) $(QRENCODE_LIBS) $(ICAL_LIBS) $(GLPK_LIBS) -lpthread -lm

# openapi.json is printed by a program made from the same tables.
noinst_PROGRAMS += openapi
openapi_SOURCES = src/api/openapi_main.c
openapi_CFLAGS = $(AM_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS)
openapi_LDADD = $(TIDEMARK_LIBS) $(TIDEMARK_SYSTEM_LIBS)

WWW_MADE += site/openapi.json
site/openapi.json: openapi$(EXEEXT)
	$(AM_V_GEN)$(MKDIR_P) site && ./openapi$(EXEEXT) > $@.tmp && mv -f $@.tmp $@

# The invented garden is part of the program: --demo needs no file beside it.
src/api/demo_garden.c: $(srcdir)/fixtures/demo/garden.json
	$(AM_V_GEN)$(MKDIR_P) $(@D) && { \
	  echo 'extern const char demo_garden[];' && echo 'const char demo_garden[] =' && \
	  sed -e 's/\\/\\\\/g' -e 's/"/\\"/g' -e 's/^/    "/' -e 's/$$/\\n"/' $(srcdir)/fixtures/demo/garden.json && \
	  echo '    ;'; } > $@.tmp && mv -f $@.tmp $@
CLEANFILES += src/api/demo_garden.c
EXTRA_DIST += fixtures/demo/garden.json fixtures/demo/make_demo.py
