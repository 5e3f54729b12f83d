# The daemon under trouble: started on what is no garden, killed, without room, without leave to write. Debian's python3 and a daemon of each test's own.
# KILL_ROUNDS=200 is the long form of the kill test.
FAULT_TESTS = tests/faults/start_test.sh tests/faults/kill_test.py tests/faults/disk_test.py
TESTS += $(FAULT_TESTS)
EXTRA_DIST += $(FAULT_TESTS) tests/faults/daemon.py
