/* connection.h - what one connection holds; for the files of the store only. */
#ifndef TIDEMARK_CONNECTION_H
#define TIDEMARK_CONNECTION_H

#include "store/store.h"

/* Statements by the address of their query: open addressing, sized for twice the queries there are. */
#define DB_STATEMENTS 512

/* How long a connection waits for a lock. */
#define BUSY_MS 5000

struct db {
    sqlite3 *sqlite;
    struct db *next;
    struct {
        const struct query *query;
        sqlite3_stmt *stmt;
    } held[DB_STATEMENTS];
    size_t held_count;
};

struct db *db_open(const char *path, bool writer, struct fault *fault);
void db_close(struct db *db);
int db_exec(struct db *db, const char *sql, struct fault *fault);

/* What SQLite says of its last error, as a fault. Returns -1. */
int db_fault(sqlite3 *sqlite, struct fault *fault);

/* Who reads by a connection of its own counts as a reader that is lent: while the file is opened anew, none may be open. Asked
 * now and then whether it should be given back. */
void store_lend_own(struct store *store);
bool store_wants_back(struct store *store);
void store_own_done(struct store *store);

#endif
