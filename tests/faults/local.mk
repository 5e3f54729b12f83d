# The daemon under trouble: started on what is no garden, killed, without room, without leave to write. Debian's python3 and a daemon of each test's own.
# KILL_ROUNDS=200 is the long form of the kill test.
FAULT_TESTS = tests/faults/start_test.sh tests/faults/kill_test.py tests/faults/disk_test.py tests/faults/import_test.py
TESTS += $(FAULT_TESTS)
EXTRA_DIST += $(FAULT_TESTS) tests/faults/daemon.py

if HAVE_CHECK
check_PROGRAMS += tests/faults/hostile
tests_faults_hostile_SOURCES = tests/faults/hostile.c tests/http/client.c tests/http/client.h tests/http/standin.c tests/http/standin.h
tests_faults_hostile_CFLAGS = $(HTTP_TEST_CFLAGS)
tests_faults_hostile_LDADD = $(HTTP_TEST_LDADD)
TESTS += tests/faults/hostile
endif
