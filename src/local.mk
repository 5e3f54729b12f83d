# The daemon: the layers in their order, and the wiring.
bin_PROGRAMS += tidemarkd
tidemarkd_SOURCES = src/main.c
tidemarkd_CPPFLAGS = $(AM_CPPFLAGS) -DTIDEMARK_WWW='"$(pkgdatadir)/www"'
tidemarkd_CFLAGS = $(AM_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)
tidemarkd_LDADD = libtidemark-http.a libtidemark-api.a libtidemark-format.a libtidemark-garden.a libtidemark-store.a \
	libtidemark-calc.a $(HTTP_LIBS) $(JANSSON_LIBS) $(QRENCODE_LIBS) $(ICAL_LIBS) $(SQLITE_LIBS) $(SODIUM_LIBS) -lpthread -lm
