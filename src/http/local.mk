# Listening, limits, TLS, the pages, the log lines; knows no grower's word.
noinst_LIBRARIES += libtidemark-http.a
libtidemark_http_a_SOURCES = \
	src/http/address.c src/http/address.h \
	src/http/answer.c \
	src/http/connections.c src/http/connections.h \
	src/http/exchange.c src/http/exchange.h \
	src/http/files.c src/http/files.h \
	src/http/head.c \
	src/http/hosts.c src/http/hosts.h \
	src/http/listen.c src/http/listen.h \
	src/http/log.c src/http/log.h \
	src/http/work.c src/http/work.h
libtidemark_http_a_CFLAGS = $(AM_CFLAGS) $(MICROHTTPD_CFLAGS) $(ZLIB_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS) $(SODIUM_CFLAGS)
HTTP_LIBS = $(MICROHTTPD_LIBS) $(ZLIB_LIBS) $(SODIUM_LIBS) -lpthread
