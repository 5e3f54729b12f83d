# The daemon: the layers in their order, and the wiring.
bin_PROGRAMS += tidemarkd
tidemarkd_SOURCES = src/main.c src/door.c src/door.h
tidemarkd_CPPFLAGS = $(AM_CPPFLAGS) -DTIDEMARK_WWW='"$(pkgdatadir)/www"'
tidemarkd_CFLAGS = $(AM_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)
tidemarkd_LDADD = libtidemark-http.a $(TIDEMARK_LIBS) $(HTTP_LIBS) $(TIDEMARK_SYSTEM_LIBS)
