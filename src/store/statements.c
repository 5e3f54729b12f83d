/* statements.c - connections, and the statements each keeps prepared. */
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "store/connection.h"

int db_fault(sqlite3 *sqlite, struct fault *fault)
{
    int code = sqlite3_errcode(sqlite);
    enum fault_code meaning = FAULT_STORE;

    if (code == SQLITE_FULL)
        meaning = FAULT_FULL;
    else if (code == SQLITE_NOMEM)
        meaning = FAULT_MEMORY;
    else if (code == SQLITE_CONSTRAINT)
        meaning = FAULT_CONFLICT;
    return fault_add(fault, meaning, "", "the garden file: %s", sqlite3_errmsg(sqlite));
}

int db_exec(struct db *db, const char *sql, struct fault *fault)
{
    return sqlite3_exec(db->sqlite, sql, NULL, NULL, NULL) == SQLITE_OK ? 0 : db_fault(db->sqlite, fault);
}

/* What pitfalls of SQLite in a long-running process ask for; see DEVELOPERS.md, "The garden file". */
static int harden(struct db *db, bool writer, struct fault *fault)
{
    sqlite3_busy_timeout(db->sqlite, BUSY_MS);
    sqlite3_db_config(db->sqlite, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(db->sqlite, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    sqlite3_db_config(db->sqlite, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
    sqlite3_db_config(db->sqlite, SQLITE_DBCONFIG_ENABLE_VIEW, 0, NULL);
    sqlite3_limit(db->sqlite, SQLITE_LIMIT_LENGTH, 8 << 20);
    sqlite3_limit(db->sqlite, SQLITE_LIMIT_SQL_LENGTH, 100000);
    sqlite3_limit(db->sqlite, SQLITE_LIMIT_ATTACHED, 1); /* VACUUM INTO needs one */
    if (!writer) {
        sqlite3_db_config(db->sqlite, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
        return db_exec(db, "PRAGMA foreign_keys=ON; PRAGMA cell_size_check=ON; PRAGMA mmap_size=0; PRAGMA cache_size=-2000", fault);
    }
    return db_exec(db,
                   "PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; PRAGMA cell_size_check=ON; "
                   "PRAGMA mmap_size=0; PRAGMA journal_size_limit=16777216; PRAGMA secure_delete=ON",
                   fault);
}

struct db *db_open(const char *path, bool writer, struct fault *fault)
{
    int flags = SQLITE_OPEN_NOMUTEX | (writer ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE : SQLITE_OPEN_READONLY);
    struct db *db = calloc(1, sizeof *db);

    if (!db) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    if (sqlite3_open_v2(path, &db->sqlite, flags, NULL) != SQLITE_OK) {
        if (db->sqlite)
            db_fault(db->sqlite, fault);
        else
            fault_add(fault, FAULT_MEMORY, "", "out of memory");
        db_close(db);
        return NULL;
    }
    if (harden(db, writer, fault)) {
        db_close(db);
        return NULL;
    }
    return db;
}

void db_close(struct db *db)
{
    if (!db)
        return;
    for (size_t i = 0; i < DB_STATEMENTS; i++)
        sqlite3_finalize(db->held[i].stmt);
    sqlite3_close(db->sqlite);
    free(db);
}

static size_t place_of(const struct query *query)
{
    return (size_t)((uintptr_t)query / sizeof *query) % DB_STATEMENTS;
}

sqlite3_stmt *stmt_take(struct db *db, const struct query *query, struct fault *fault)
{
    size_t place = place_of(query);

    while (db->held[place].query && db->held[place].query != query)
        place = (place + 1) % DB_STATEMENTS;
    if (db->held[place].query) {
        assert(!sqlite3_stmt_busy(db->held[place].stmt)); /* lent twice at once */
        return db->held[place].stmt;
    }
    assert(db->held_count < DB_STATEMENTS / 2);
    if (sqlite3_prepare_v3(db->sqlite, query->sql, -1, SQLITE_PREPARE_PERSISTENT, &db->held[place].stmt, NULL) != SQLITE_OK) {
        db_fault(db->sqlite, fault);
        return NULL;
    }
    db->held[place].query = query;
    db->held_count++;
    return db->held[place].stmt;
}

void stmt_release(sqlite3_stmt **held)
{
    if (!*held)
        return;
    sqlite3_reset(*held);
    sqlite3_clear_bindings(*held);
}

static int place_in(sqlite3_stmt *stmt, const char *name)
{
    int place = sqlite3_bind_parameter_index(stmt, name);

    assert(place > 0);
    return place;
}

void stmt_int(sqlite3_stmt *stmt, const char *name, int64_t value)
{
    if (value != STORE_NO_INT)
        sqlite3_bind_int64(stmt, place_in(stmt, name), value);
}

void stmt_real(sqlite3_stmt *stmt, const char *name, double value)
{
    if (!isnan(value))
        sqlite3_bind_double(stmt, place_in(stmt, name), value);
}

void stmt_text(sqlite3_stmt *stmt, const char *name, const char *value)
{
    if (value)
        sqlite3_bind_text(stmt, place_in(stmt, name), value, -1, SQLITE_TRANSIENT);
}

void stmt_blob(sqlite3_stmt *stmt, const char *name, const void *bytes, size_t length)
{
    if (bytes)
        sqlite3_bind_blob64(stmt, place_in(stmt, name), bytes, length, SQLITE_TRANSIENT);
}

int64_t stmt_get_int(sqlite3_stmt *stmt, int column)
{
    return sqlite3_column_type(stmt, column) == SQLITE_NULL ? STORE_NO_INT : sqlite3_column_int64(stmt, column);
}

double stmt_get_real(sqlite3_stmt *stmt, int column)
{
    return sqlite3_column_type(stmt, column) == SQLITE_NULL ? (double)NAN : sqlite3_column_double(stmt, column);
}

const char *stmt_get_text(sqlite3_stmt *stmt, int column)
{
    return (const char *)sqlite3_column_text(stmt, column);
}

int stmt_step(sqlite3_stmt *stmt, struct fault *fault)
{
    int result = sqlite3_step(stmt);

    if (result == SQLITE_ROW)
        return 1;
    if (result == SQLITE_DONE)
        return 0;
    return db_fault(sqlite3_db_handle(stmt), fault);
}

int stmt_run(sqlite3_stmt *stmt, struct fault *fault)
{
    int result = stmt_step(stmt, fault);

    assert(result != 1);
    return result;
}

int64_t db_changes(struct db *db)
{
    return sqlite3_changes64(db->sqlite);
}

int64_t db_last_id(struct db *db)
{
    return sqlite3_last_insert_rowid(db->sqlite);
}
