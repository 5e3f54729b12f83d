/* stage.c - a garden that is put together beside the present one. */
#include "store/stage.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "store/connection.h"
#include "store/entries.h"
#include "store/migrations.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define ENDING ".import"
#define CACHE_KIB 16000

/* The row that was looked up last in a table: rows of one tank follow each other. */
struct known {
    const char *table;
    char uid[80];
    int64_t key;
};

struct stage {
    char *path;
    struct db *db;
    const struct portable_table *table; /* of the statement */
    sqlite3_stmt *insert;
    struct {
        const char *table;
        sqlite3_stmt *stmt;
    } finder[12];
    size_t finders;
    struct known known[16];
};

/* ---- its file ---- */

static char *path_of(struct store *store)
{
    const char *garden = store_path(store);
    char *path = malloc(strlen(garden) + sizeof ENDING);

    if (path)
        strcat(strcpy(path, garden), ENDING);
    return path;
}

static void sweep(const char *path)
{
    static const char *const endings[] = {"", "-wal", "-shm", "-journal"};
    char *name = malloc(strlen(path) + 16);

    for (size_t i = 0; name && i < COUNT(endings); i++) {
        strcat(strcpy(name, path), endings[i]);
        unlink(name);
    }
    free(name);
}

void stage_sweep(struct store *store)
{
    char *path = path_of(store);

    if (path)
        sweep(path);
    free(path);
}

/* Nothing of it must outlive a crash, so nothing is flushed and nothing can be rolled back; references are checked at the end, since a
 * correction may come before what it corrects. */
static int prepare(struct db *db, struct fault *fault)
{
    char cache[48];

    snprintf(cache, sizeof cache, "PRAGMA cache_size=-%d", CACHE_KIB);
    return migrations_run(db, fault) || db_exec(db, "PRAGMA journal_mode=OFF", fault) ||
                   db_exec(db, "PRAGMA synchronous=OFF; PRAGMA foreign_keys=OFF; PRAGMA locking_mode=EXCLUSIVE", fault) ||
                   db_exec(db, cache, fault) || db_exec(db, "BEGIN", fault)
               ? -1
               : 0;
}

struct stage *stage_open(struct store *store, struct fault *fault)
{
    struct stage *stage = calloc(1, sizeof *stage);

    if (!stage || !(stage->path = path_of(store))) {
        free(stage);
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    sweep(stage->path);
    stage->db = db_open(stage->path, true, fault);
    if (!stage->db || prepare(stage->db, fault)) {
        stage_end(stage);
        return NULL;
    }
    return stage;
}

void stage_end(struct stage *stage)
{
    if (!stage)
        return;
    sqlite3_finalize(stage->insert);
    for (size_t i = 0; i < stage->finders; i++)
        sqlite3_finalize(stage->finder[i].stmt);
    db_close(stage->db);
    sweep(stage->path);
    free(stage->path);
    free(stage);
}

struct db *stage_db(struct stage *stage)
{
    return stage->db;
}

/* ---- rows ---- */

static sqlite3_stmt *finder_of(struct stage *stage, const char *table, struct fault *fault)
{
    char sql[96];
    size_t i = 0;

    while (i < stage->finders && strcmp(stage->finder[i].table, table) != 0)
        i++;
    if (i < stage->finders)
        return stage->finder[i].stmt;
    if (i == COUNT(stage->finder)) {
        fault_add(fault, FAULT_MEMORY, "", "too many tables are named by others");
        return NULL;
    }
    snprintf(sql, sizeof sql, "SELECT key FROM %s WHERE uid = ?1", table);
    if (sqlite3_prepare_v2(stage->db->sqlite, sql, -1, &stage->finder[i].stmt, NULL) != SQLITE_OK) {
        db_fault(stage->db->sqlite, fault);
        return NULL;
    }
    stage->finder[i].table = table;
    stage->finders++;
    return stage->finder[i].stmt;
}

/* 1 found, 0 not there, -1 fault. Remembered by the column it was asked for. */
static int find_key(struct stage *stage, size_t column, const char *table, const char *uid, int64_t *key, struct fault *fault)
{
    struct known *known = &stage->known[column % COUNT(stage->known)];
    sqlite3_stmt *find;
    int found;

    if (known->table && strcmp(known->table, table) == 0 && strcmp(known->uid, uid) == 0) {
        *key = known->key;
        return 1;
    }
    find = finder_of(stage, table, fault);
    if (!find)
        return -1;
    sqlite3_bind_text(find, 1, uid, -1, SQLITE_STATIC);
    found = stmt_step(find, fault);
    *key = found == 1 ? sqlite3_column_int64(find, 0) : 0;
    sqlite3_reset(find);
    if (found == 1 && strlen(uid) < sizeof known->uid) {
        *known = (struct known){.table = table, .key = *key};
        strcpy(known->uid, uid);
    }
    return found;
}

static int prepare_insert(struct stage *stage, const struct portable_table *table, struct fault *fault)
{
    char sql[4096];
    int length;

    if (stage->table == table)
        return 0;
    sqlite3_finalize(stage->insert);
    stage->insert = NULL;
    stage->table = NULL;
    length = snprintf(sql, sizeof sql, "INSERT INTO %s (%s%s", table->table, table->made ? table->made : "", table->made ? ", " : "");
    for (size_t i = 0; i < table->count; i++)
        length += snprintf(sql + length, sizeof sql - (size_t)length, "%s%s", i ? ", " : "", table->column[i].column);
    length += snprintf(sql + length, sizeof sql - (size_t)length, ") VALUES (%s%s", table->made ? table->made_of : "", table->made ? ", " : "");
    for (size_t i = 0; i < table->count; i++)
        length += snprintf(sql + length, sizeof sql - (size_t)length, "%s?%zu", i ? ", " : "", i + 1);
    snprintf(sql + length, sizeof sql - (size_t)length, ")");
    if (sqlite3_prepare_v2(stage->db->sqlite, sql, -1, &stage->insert, NULL) != SQLITE_OK)
        return db_fault(stage->db->sqlite, fault);
    stage->table = table;
    return 0;
}

static int bind(struct stage *stage, size_t i, const struct stage_value *value, struct fault *fault)
{
    const struct portable_column *column = &stage->table->column[i];
    int place = (int)i + 1, found;
    char at[64];
    int64_t key;

    if (column->kind == PORTABLE_REF && value->type == STAGE_TEXT) {
        found = find_key(stage, i, column->of, value->text, &key, fault);
        if (found < 0)
            return -1;
        if (!found) {
            snprintf(at, sizeof at, "/%s", column->name);
            return fault_add(fault, FAULT_INPUT, at, "there is no such %s before this row", column->of);
        }
        sqlite3_bind_int64(stage->insert, place, key);
        return 0;
    }
    switch (value->type) {
    case STAGE_NULL: sqlite3_bind_null(stage->insert, place); break;
    case STAGE_INTEGER: sqlite3_bind_int64(stage->insert, place, value->integer); break;
    case STAGE_REAL: sqlite3_bind_double(stage->insert, place, value->real); break;
    case STAGE_TEXT: sqlite3_bind_text(stage->insert, place, value->text, -1, SQLITE_STATIC); break;
    case STAGE_BYTES: sqlite3_bind_blob64(stage->insert, place, value->bytes, value->length, SQLITE_STATIC); break;
    }
    return 0;
}

int stage_add(struct stage *stage, const struct portable_table *table, const struct stage_value *value, struct fault *fault)
{
    int result, failed = 0;

    if (prepare_insert(stage, table, fault))
        return -1;
    for (size_t i = 0; i < table->count; i++)
        failed |= bind(stage, i, &value[i], fault);
    if (failed)
        return -1;
    result = sqlite3_step(stage->insert);
    if (result != SQLITE_DONE) {
        int why = sqlite3_extended_errcode(stage->db->sqlite);
        const char *said = sqlite3_errmsg(stage->db->sqlite);

        if (why == SQLITE_CONSTRAINT_PRIMARYKEY || why == SQLITE_CONSTRAINT_UNIQUE || why == SQLITE_CONSTRAINT_ROWID)
            failed = fault_add(fault, FAULT_INPUT, "", "is there already (%s)", said);
        else if ((why & 0xff) == SQLITE_CONSTRAINT)
            failed = fault_add(fault, FAULT_INPUT, "", "does not keep a rule of the file (%s)", said);
        else
            failed = db_fault(stage->db->sqlite, fault);
    }
    sqlite3_reset(stage->insert);
    return failed;
}

/* ---- what only the whole can tell ---- */

static const struct {
    const char *table, *sql, *what;
} checks[] = {
    {"entries", "SELECT e.id FROM entry e LEFT JOIN entry o ON o.id = e.amends WHERE e.amends IS NOT NULL AND (o.id IS NULL OR o.tank <> e.tank OR o.kind <> e.kind)",
     "amends an entry that is not there, is another tank's or of another kind"},
    {"entries", "SELECT e.id FROM entry e LEFT JOIN entry o ON o.id = e.withdraws WHERE e.withdraws IS NOT NULL AND (o.id IS NULL OR o.tank <> e.tank)",
     "withdraws an entry that is not there or is another tank's"},
    {"entries", "SELECT id FROM entry WHERE amends = id OR withdraws = id", "corrects itself"},
    {"entry_salts", "SELECT DISTINCT entry FROM entry_salt WHERE entry NOT IN (SELECT id FROM entry)", "names an entry that is not there"},
    {"entry_cups", "SELECT DISTINCT entry FROM entry_cup WHERE entry NOT IN (SELECT id FROM entry)", "names an entry that is not there"},
    {"photos", "SELECT p.id FROM photo p LEFT JOIN entry e ON e.id = p.entry WHERE e.id IS NULL OR e.tank <> p.tank OR e.kind <> p.kind",
     "names an entry that is not there, is another tank's or of another kind"},
    {"lessons", "SELECT fill FROM lesson WHERE fill NOT IN (SELECT id FROM entry WHERE kind = 0)", "names a fill that is not there"},
};

static int run_check(struct stage *stage, size_t which, size_t *left, stage_wrong *wrong, void *context, struct fault *fault)
{
    sqlite3_stmt *stmt = NULL;
    int more = -1;

    if (sqlite3_prepare_v2(stage->db->sqlite, checks[which].sql, -1, &stmt, NULL) != SQLITE_OK)
        return db_fault(stage->db->sqlite, fault);
    while ((more = stmt_step(stmt, fault)) == 1 && *left) {
        const unsigned char *id = sqlite3_column_blob(stmt, 0);
        char text[37] = "";

        if (id && sqlite3_column_bytes(stmt, 0) == 16)
            uuid_text(id, text);
        wrong(context, checks[which].table, text, checks[which].what);
        --*left;
    }
    sqlite3_finalize(stmt);
    return more < 0 ? -1 : 0;
}

/* Whatever the file's own references say that none of the above did: a table that came later, too. */
static int check_loose(struct stage *stage, size_t left, stage_wrong *wrong, void *context, struct fault *fault)
{
    sqlite3_stmt *stmt = NULL;
    int more = -1;

    if (sqlite3_prepare_v2(stage->db->sqlite, "SELECT DISTINCT \"table\" FROM pragma_foreign_key_check", -1, &stmt, NULL) != SQLITE_OK)
        return db_fault(stage->db->sqlite, fault);
    while ((more = stmt_step(stmt, fault)) == 1 && left--) {
        const char *name = "";

        for (size_t i = 0; i < portable_tables_count; i++)
            if (strcmp(portable_tables[i].table, stmt_get_text(stmt, 0)) == 0)
                name = portable_tables[i].name;
        wrong(context, name, "", "names something that is not there");
    }
    sqlite3_finalize(stmt);
    return more < 0 ? -1 : 0;
}

int stage_check(struct stage *stage, size_t most, stage_wrong *wrong, void *context, struct fault *fault)
{
    size_t left = most;

    for (size_t i = 0; i < COUNT(checks); i++)
        if (run_check(stage, i, &left, wrong, context, fault))
            return -1;
    return left == most ? check_loose(stage, left, wrong, context, fault) : 0;
}

/* ---- taking the place of the garden ---- */

/* Rows of one table of the living garden into the stage, by the columns of a SELECT; member keys are those of the stage by then. */
static int carry(struct db *from, struct db *to, const char *select, const char *insert, struct fault *fault)
{
    sqlite3_stmt *read = NULL, *write = NULL;
    int failed = 0, more = 0;

    if (sqlite3_prepare_v2(from->sqlite, select, -1, &read, NULL) != SQLITE_OK)
        return db_fault(from->sqlite, fault);
    if (sqlite3_prepare_v2(to->sqlite, insert, -1, &write, NULL) != SQLITE_OK)
        failed = db_fault(to->sqlite, fault);
    while (!failed && (more = stmt_step(read, fault)) == 1) {
        for (int i = 0; i < sqlite3_column_count(read); i++)
            sqlite3_bind_value(write, i + 1, sqlite3_column_value(read, i));
        failed = stmt_step(write, fault);
        sqlite3_reset(write);
    }
    sqlite3_finalize(read);
    sqlite3_finalize(write);
    return failed || more < 0 ? -1 : 0;
}

/* A member as the stage knows them goes by uid, else by name and role; who is not there is added. */
#define WHOSE "(SELECT key FROM member WHERE uid = ?1 UNION ALL SELECT key FROM member WHERE name = ?2 AND role = ?3 AND removed_ms IS NULL LIMIT 1)"
#define OWNER "m.uid, m.name, m.role"

static const char *const carried[][2] = {
    {"SELECT uid, name, role, joined_ms FROM member WHERE removed_ms IS NULL ORDER BY key",
     "INSERT INTO member (uid, name, role, joined_ms) SELECT ?1, ?2, ?3, ?4 WHERE " WHOSE " IS NULL"},
    {"SELECT " OWNER ", d.uid, d.name, d.token_hash, d.paired_ms, d.last_used_ms FROM device d JOIN member m ON m.key = d.member "
     "WHERE d.revoked_ms IS NULL AND m.removed_ms IS NULL ORDER BY d.key",
     "INSERT INTO device (member, uid, name, token_hash, paired_ms, last_used_ms) VALUES (" WHOSE ", ?4, ?5, ?6, ?7, ?8) "
     "ON CONFLICT (uid) DO UPDATE SET member = excluded.member, token_hash = excluded.token_hash, last_used_ms = excluded.last_used_ms, revoked_ms = NULL"},
    {"SELECT " OWNER ", f.uid, f.name, f.key_hash, f.made_ms, f.last_used_ms FROM feed f LEFT JOIN member m ON m.key = f.member WHERE f.revoked_ms IS NULL ORDER BY f.key",
     "INSERT INTO feed (member, uid, name, key_hash, made_ms, last_used_ms) VALUES (" WHOSE ", ?4, ?5, ?6, ?7, ?8)"},
    {"SELECT " OWNER ", i.uid, i.token_hash, i.name, i.role, i.made_ms, i.expires_ms FROM invite i LEFT JOIN member m ON m.key = i.member "
     "WHERE i.used_ms IS NULL AND i.revoked_ms IS NULL ORDER BY i.key",
     "INSERT INTO invite (member, uid, token_hash, name, role, made_ms, expires_ms) VALUES (" WHOSE ", ?4, ?5, ?6, ?7, ?8, ?9)"},
};

/* In the writer's thread, nothing else being written. */
static int settle(struct db *garden, void *context, struct fault *fault)
{
    struct stage *stage = context;
    int empty = portable_empty(garden, fault);

    if (empty != 1)
        return empty ? -1 : fault_add(fault, FAULT_CONFLICT, "", "meanwhile something was added to this garden; an import goes into an empty one");
    for (size_t i = 0; i < COUNT(carried); i++)
        if (carry(garden, stage->db, carried[i][0], carried[i][1], fault))
            return -1;
    return db_exec(stage->db, "COMMIT", fault);
}

int stage_adopt(struct stage *stage, struct store *store, struct fault *fault)
{
    sqlite3_finalize(stage->insert);
    stage->insert = NULL;
    stage->table = NULL;
    return store_replace(store, stage->db, settle, stage, fault);
}
