# Tests of the listener: a listener in the test's own process, on a port of its own on loopback.
if HAVE_CHECK
HTTP_TEST_CFLAGS = $(TEST_CFLAGS) $(JANSSON_CFLAGS) $(SQLITE_CFLAGS)
HTTP_TEST_LDADD = tests/libtest.a libtidemark-http.a libtidemark-store.a libtidemark-calc.a \
	$(HTTP_LIBS) $(JANSSON_LIBS) $(SQLITE_LIBS) $(CHECK_LIBS) -lpthread -lm

check_PROGRAMS += tests/http/listen
tests_http_listen_SOURCES = tests/http/listen.c tests/http/client.c tests/http/client.h tests/http/standin.c tests/http/standin.h
tests_http_listen_CFLAGS = $(HTTP_TEST_CFLAGS)
tests_http_listen_LDADD = $(HTTP_TEST_LDADD)
TESTS += tests/http/listen

check_PROGRAMS += tests/http/mangled
tests_http_mangled_SOURCES = tests/http/mangled.c tests/http/client.c tests/http/client.h tests/http/standin.c tests/http/standin.h
tests_http_mangled_CFLAGS = $(HTTP_TEST_CFLAGS)
tests_http_mangled_LDADD = $(HTTP_TEST_LDADD)
TESTS += tests/http/mangled

check_PROGRAMS += tests/http/held_commit
tests_http_held_commit_SOURCES = tests/http/held_commit.c tests/http/held_disk.c tests/http/held_disk.h tests/http/client.c tests/http/client.h \
	tests/garden_file.c tests/garden_file.h
tests_http_held_commit_CFLAGS = $(HTTP_TEST_CFLAGS) $(SODIUM_CFLAGS)
tests_http_held_commit_LDADD = tests/libtest.a libtidemark-http.a $(TIDEMARK_LIBS) $(HTTP_LIBS) $(TIDEMARK_SYSTEM_LIBS) $(CHECK_LIBS)
TESTS += tests/http/held_commit
endif

TESTS += tests/http/tls_test.py tests/http/daemon_test.py tests/http/readings_test.py
EXTRA_DIST += tests/http/tls_test.py tests/http/daemon_test.py tests/http/readings_test.py
