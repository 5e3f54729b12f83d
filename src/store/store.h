/* store.h - the garden file: one SQLite file, one writer, many readers.
 *
 * One connection does all writes and all checkpoints, in a thread of its own: two
 * connections that write or checkpoint at the same instant can corrupt the file in the packaged
 * SQLite. Writers hand it a job and wait; jobs that wait together share one durable commit, each
 * in a savepoint of its own, so that one refused job undoes only itself.
 * Readers are read-only connections, lent to one thread at a time.
 */
#ifndef TIDEMARK_STORE_H
#define TIDEMARK_STORE_H

#include <sqlite3.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include "calc/fault.h"

struct store;
struct db; /* one connection with its prepared statements; belongs to one thread while it is lent */

/* Opens or makes the file, brings its schema up to date. NULL with a fault when it is not
 * ours, newer than this program, or cannot be opened. Closed by store_close, which waits for jobs under way.
 */
struct store *store_open(const char *path, struct fault *fault);
void store_close(struct store *store);

/* Lends a reader; NULL with a fault. A snapshot begins with the first query and ends with store_done. */
struct db *store_read(struct store *store, struct fault *fault);
void store_done(struct store *store, struct db *db);

/* Runs job in the writer's thread inside a transaction and returns once what it wrote is on the disk
 * (WAL, synchronous=FULL). Returns 0; or what job returned, or -1, and then nothing of this job is kept.
 * job must not wait for anything. It may call what reads and writes in turn: inside a job, store_read lends the writer's own
 * connection, and store_write runs its job there and then, undone by itself when it fails and with the outer one when that does.
 */
typedef int store_job(struct db *db, void *context, struct fault *fault);
int store_write(struct store *store, store_job *job, void *context, struct fault *fault);

/* The same for what changes no answer: store_version stays as it is. */
int store_write_quietly(struct store *store, store_job *job, void *context, struct fault *fault);

/* The same for what must not be found in the file afterwards, nor in the log file beside it: what is deleted is written over, and the
 * log file is folded back at once, or as soon as no reader stands in the way. Not from inside a job. */
int store_write_forgetting(struct store *store, store_job *job, void *context, struct fault *fault);

/* Puts all of source, which nobody else may use meanwhile, in the place of all that the garden file holds, as one durable transaction
 * in the writer's thread; before that, and outside of any transaction, first is run there, and can refuse. */
int store_replace(struct store *store, struct db *source, store_job *first, void *context, struct fault *fault);

/* A file beside the garden file, without a name: gone when it is closed, however that comes about. NULL with a fault. */
FILE *store_scratch(struct store *store, struct fault *fault);
/* Reads the whole file for damage (PRAGMA quick_check), as long as goes_on says so: 1 sound, 0 damaged, -1 not finished. */
int store_check(struct store *store, bool (*goes_on)(void *context), void *context, struct fault *fault);

/* How many jobs wait for the writer's thread; those it has taken up do not count. */
size_t store_waiting(struct store *store);

/* Where the file is. */
const char *store_path(const struct store *store);

/* Counts durable commits: changes whenever anything was written. For ETags and caches. */
uint64_t store_version(struct store *store);

/* Queries: each noun's file has a table of them; a statement is prepared once a connection and lent. */
struct query {
    const char *name, *sql;
};

/* NULL with a fault (FAULT_STORE). Leaving the scope of a STMT_HELD hands it back clean, on every path. */
sqlite3_stmt *stmt_take(struct db *db, const struct query *query, struct fault *fault);
void stmt_release(sqlite3_stmt **held);
#define STMT_HELD __attribute__((cleanup(stmt_release))) sqlite3_stmt

/* Binding by name; a name that the query does not have is a broken promise (assert). Text and blob are copied.
 * text NULL, a NAN real and STORE_NO_INT are bound as NULL. */
#define STORE_NO_INT INT64_MIN
void stmt_int(sqlite3_stmt *stmt, const char *name, int64_t value);
void stmt_real(sqlite3_stmt *stmt, const char *name, double value);
void stmt_text(sqlite3_stmt *stmt, const char *name, const char *value);
void stmt_blob(sqlite3_stmt *stmt, const char *name, const void *bytes, size_t length);

/* Columns by number; NULL reads as STORE_NO_INT, NAN, NULL. Text lives until the next step. */
int64_t stmt_get_int(sqlite3_stmt *stmt, int column);
double stmt_get_real(sqlite3_stmt *stmt, int column);
const char *stmt_get_text(sqlite3_stmt *stmt, int column);

/* SQLITE_ROW gives 1, SQLITE_DONE 0, anything else -1 with a fault (FAULT_FULL for a full disk). */
int stmt_step(sqlite3_stmt *stmt, struct fault *fault);

/* A step that must end at once (insert, update, delete): 0 or -1; a broken constraint is FAULT_CONFLICT. */
int stmt_run(sqlite3_stmt *stmt, struct fault *fault);

int64_t db_changes(struct db *db);
int64_t db_last_id(struct db *db);

/* Every named query of every noun, for the test that reads their plans. */
struct store_noun {
    const struct query *queries;
    const size_t *count;
};
extern const struct store_noun store_nouns[];
extern const size_t store_nouns_count;

#endif
