# The API: documents, routes, handlers. Each noun is one file.
noinst_LIBRARIES += libtidemark-api.a
libtidemark_api_a_SOURCES = \
	src/api/calc.h src/api/calc_lid.c src/api/calc_reference_et.c src/api/calc_vessel.c \
	src/api/dispatch.c src/api/request.h \
	src/api/entries.c src/api/entries.h \
	src/api/gardens.c src/api/gardens.h \
	src/api/openapi.c \
	src/api/problem.c src/api/problem.h \
	src/api/routes.c src/api/routes.h \
	src/api/shape.c src/api/shape.h \
	src/api/tanks.c src/api/tanks.h \
	src/api/vessels.c src/api/vessels.h \
	src/api/who.c src/api/who.h
libtidemark_api_a_CFLAGS = $(AM_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)
libtidemark_api_a_CPPFLAGS = $(AM_CPPFLAGS) -DVERSION='"$(PACKAGE_VERSION)"'

# What everything above the API links, in the order the linker wants.
TIDEMARK_LIBS = libtidemark-api.a libtidemark-garden.a libtidemark-store.a libtidemark-format.a libtidemark-calc.a
TIDEMARK_SYSTEM_LIBS = $(SQLITE_LIBS) $(JANSSON_LIBS) $(SODIUM_LIBS) $(QRENCODE_LIBS) $(ICAL_LIBS) -lpthread -lm

EXTRA_DIST += src/api/openapi_main.c
