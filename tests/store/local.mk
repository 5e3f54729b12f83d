# Tests of the store: each has a garden file of its own in the build folder.
if HAVE_CHECK
STORE_TEST_LDADD = tests/libtest.a libtidemark-store.a libtidemark-calc.a $(SQLITE_LIBS) $(CHECK_LIBS) -lpthread -lm

check_PROGRAMS += tests/store/store tests/store/log
tests_store_store_SOURCES = tests/store/store.c tests/garden_file.c tests/garden_file.h
tests_store_store_CFLAGS = $(TEST_CFLAGS) $(SQLITE_CFLAGS)
tests_store_store_LDADD = $(STORE_TEST_LDADD)
tests_store_log_SOURCES = tests/store/log.c tests/garden_file.c tests/garden_file.h
tests_store_log_CFLAGS = $(TEST_CFLAGS) $(SQLITE_CFLAGS)
tests_store_log_LDADD = $(STORE_TEST_LDADD)

check_PROGRAMS += tests/store/backup
tests_store_backup_SOURCES = tests/store/backup.c tests/garden_file.c tests/garden_file.h
tests_store_backup_CFLAGS = $(TEST_CFLAGS) $(SQLITE_CFLAGS)
tests_store_backup_LDADD = $(STORE_TEST_LDADD)
TESTS += tests/store/backup

check_PROGRAMS += tests/store/portable
tests_store_portable_SOURCES = tests/store/portable.c tests/garden_file.c tests/garden_file.h
tests_store_portable_CFLAGS = $(TEST_CFLAGS) $(SQLITE_CFLAGS)
tests_store_portable_LDADD = $(STORE_TEST_LDADD)
TESTS += tests/store/portable

TESTS += tests/store/store tests/store/log
endif
