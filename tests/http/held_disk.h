/* held_disk.h - a disk that takes as long as a test likes: a layer over SQLite's own files. */
#ifndef TIDEMARK_TESTS_HELD_DISK_H
#define TIDEMARK_TESTS_HELD_DISK_H

#include <stdbool.h>

/* From here on every garden file lies on it. Before the first is opened. */
void held_disk_install(void);

/* What is written to a log file is flushed no more, and whoever flushes waits; until it is let go. */
void held_disk_hold(void);
void held_disk_let_go(void);

/* Waits until a flush is held up. */
void held_disk_await(void);

/* How many flushes of log files there were. */
unsigned held_disk_flushes(void);

#endif
