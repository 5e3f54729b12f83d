/* backup.c - copying the garden file, and proving the copy. */
#include "store/backup.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "store/connection.h"

/* One number by a query without parameters. These statements are run once a backup: they are not held. */
static int ask_number(sqlite3 *sqlite, const char *sql, int64_t *number, struct fault *fault)
{
    sqlite3_stmt *stmt = NULL;
    int failed = 0;

    if (sqlite3_prepare_v2(sqlite, sql, -1, &stmt, NULL) != SQLITE_OK || sqlite3_step(stmt) != SQLITE_ROW)
        failed = db_fault(sqlite, fault);
    else
        *number = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    return failed;
}

struct counts {
    int64_t entries, tanks, members;
};

static int count(sqlite3 *sqlite, struct counts *counts, struct fault *fault)
{
    return ask_number(sqlite, "SELECT count(*) FROM entry", &counts->entries, fault) ||
                   ask_number(sqlite, "SELECT count(*) FROM tank", &counts->tanks, fault) ||
                   ask_number(sqlite, "SELECT count(*) FROM member", &counts->members, fault)
               ? -1
               : 0;
}

static int copy(sqlite3 *sqlite, const char *part, struct fault *fault)
{
    sqlite3_stmt *stmt = NULL;
    int failed = 0;

    if (sqlite3_prepare_v2(sqlite, "VACUUM INTO ?1", -1, &stmt, NULL) != SQLITE_OK ||
        sqlite3_bind_text(stmt, 1, part, -1, SQLITE_STATIC) != SQLITE_OK || sqlite3_step(stmt) != SQLITE_DONE)
        failed = db_fault(sqlite, fault);
    sqlite3_finalize(stmt);
    if (!failed && chmod(part, S_IRUSR | S_IWUSR)) /* people's devices are in it, if only as hashes */
        return fault_add(fault, FAULT_STORE, "", "the copy cannot be kept to its owner: %s", strerror(errno));
    return failed;
}

/* Reads the copy whole. Nothing is ever taken out of these tables, so its counts lie between those before and after. */
static int prove(const char *part, const struct counts *before, const struct counts *after, struct counts *copied, struct fault *fault)
{
    struct db *db = db_open(part, false, fault);
    int64_t sound = 0, loose = 1;
    int failed;

    if (!db)
        return -1;
    failed = ask_number(db->sqlite, "SELECT integrity_check = 'ok' FROM pragma_integrity_check(1)", &sound, fault) ||
             ask_number(db->sqlite, "SELECT count(*) FROM pragma_foreign_key_check", &loose, fault) || count(db->sqlite, copied, fault);
    db_close(db);
    if (failed)
        return -1;
    if (!sound || loose || copied->entries < before->entries || copied->entries > after->entries || copied->tanks < before->tanks ||
        copied->tanks > after->tanks || copied->members < before->members || copied->members > after->members)
        return fault_add(fault, FAULT_STORE, "", "the copy does not hold what the garden file holds; nothing was kept of it");
    return 0;
}

/* ---- a copy before the schema changes ---- */

int backup_before_change(struct db *writer, int version, struct fault *fault)
{
    const char *path = sqlite3_db_filename(writer->sqlite, "main");
    ARENA_HELD arena = {0};
    char *name = arena_format(&arena, "%s.version-%d.backup", path, version);
    struct counts counts, copied;
    int failed;

    if (!name)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    unlink(name); /* of a start that was cut off: the file has still the same version */
    failed = count(writer->sqlite, &counts, fault) || copy(writer->sqlite, name, fault) || prove(name, &counts, &counts, &copied, fault);
    if (failed)
        unlink(name);
    return failed ? -1 : 0;
}

/* ---- a check ---- */

struct checking {
    struct store *store;
    bool (*goes_on)(void *context);
    void *context;
};

static int stop_check(void *context)
{
    const struct checking *checking = context;

    return store_wants_back(checking->store) || !checking->goes_on(checking->context);
}

int store_check(struct store *store, bool (*goes_on)(void *context), void *context, struct fault *fault)
{
    struct checking checking = {store, goes_on, context};
    struct db *db;
    int64_t sound = 0;
    int failed;

    store_lend_own(store);
    db = db_open(store_path(store), false, fault);
    if (!db) {
        store_own_done(store);
        return -1;
    }
    sqlite3_progress_handler(db->sqlite, 20000, stop_check, &checking);
    failed = ask_number(db->sqlite, "SELECT quick_check = 'ok' FROM pragma_quick_check(1)", &sound, fault);
    if (failed && sqlite3_errcode(db->sqlite) == SQLITE_CORRUPT) {
        failed = 0;
        sound = 0;
    }
    db_close(db);
    store_own_done(store);
    return failed ? -1 : sound != 0;
}

static int flush(const char *path, int flags)
{
    int file = open(path, flags), failed;

    if (file < 0)
        return -1;
    failed = fsync(file);
    close(file);
    return failed;
}

/* To the disk, then under its name, then the folder that has the name. */
static int settle(const char *part, const char *path, struct arena *arena, struct fault *fault)
{
    char *folder = arena_text(arena, path);

    if (!folder)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (flush(part, O_RDONLY))
        return fault_add(fault, errno == ENOSPC ? FAULT_FULL : FAULT_STORE, "", "the copy did not reach the disk: %s", strerror(errno));
    if (rename(part, path))
        return fault_add(fault, FAULT_STORE, "", "the copy cannot get its name: %s", strerror(errno));
    if (flush(dirname(folder), O_RDONLY | O_DIRECTORY)) {
        unlink(path);
        return fault_add(fault, FAULT_STORE, "", "the copy's name did not reach the disk: %s", strerror(errno));
    }
    return 0;
}

int store_backup(struct store *store, const char *path, struct backup_made *made, struct arena *arena, struct fault *fault)
{
    const char *part = arena_format(arena, "%s.part", path);
    struct counts before, after, copied;
    struct db *db;
    int failed;

    if (!part)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (access(path, F_OK) == 0)
        return fault_add(fault, FAULT_CONFLICT, "", "there is a copy of this second already");
    unlink(part); /* of a backup that was cut off */
    db = db_open(store_path(store), false, fault);
    if (!db)
        return -1;
    failed = count(db->sqlite, &before, fault) || copy(db->sqlite, part, fault) || count(db->sqlite, &after, fault);
    db_close(db);
    if (!failed)
        failed = prove(part, &before, &after, &copied, fault) || settle(part, path, arena, fault);
    unlink(part);
    if (failed)
        return -1;
    *made = (struct backup_made){.path = arena_text(arena, path), .entries = copied.entries, .tanks = copied.tanks, .members = copied.members};
    db = db_open(path, false, fault);
    failed = !db || ask_number(db->sqlite, "SELECT page_count * page_size FROM pragma_page_count, pragma_page_size", &made->bytes, fault);
    db_close(db);
    return failed || !made->path ? -1 : 0;
}
