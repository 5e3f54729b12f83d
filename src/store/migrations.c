/* migrations.c - the list of schema steps. */
#include "store/migrations.h"

#include "store/backup.h"

#include <stdio.h>

extern const char sql_0001[], sql_0002[], sql_0003[], sql_0004[], sql_0005[], sql_0006[], sql_0007[], sql_0008[], sql_0009[], sql_0010[], sql_0011[], sql_0012[], sql_0013[], sql_0014[], sql_0015[];

static const char *const migrations[] = {sql_0001, sql_0002, sql_0003, sql_0004, sql_0005, sql_0006, sql_0007, sql_0008, sql_0009, sql_0010, sql_0011, sql_0012, sql_0013, sql_0014, sql_0015};

int migrations_count(void)
{
    return (int)(sizeof migrations / sizeof *migrations);
}

static int pragma_int(struct db *db, const char *sql, int *value, struct fault *fault)
{
    sqlite3_stmt *stmt = NULL;
    int failed = 0;

    if (sqlite3_prepare_v2(db->sqlite, sql, -1, &stmt, NULL) != SQLITE_OK || sqlite3_step(stmt) != SQLITE_ROW)
        failed = db_fault(db->sqlite, fault);
    else
        *value = sqlite3_column_int(stmt, 0);
    sqlite3_finalize(stmt);
    return failed;
}

/* A file with tables but without our mark is somebody else's. */
static int check_owner(struct db *db, struct fault *fault)
{
    int application = 0, tables = 0;

    if (pragma_int(db, "PRAGMA application_id", &application, fault) ||
        pragma_int(db, "SELECT count(*) FROM sqlite_schema", &tables, fault))
        return -1;
    if (application == GARDEN_APPLICATION_ID || (application == 0 && tables == 0))
        return 0;
    return fault_add(fault, FAULT_STORE, "", "this file is not a garden");
}

static int run_one(struct db *db, int number, struct fault *fault)
{
    char mark[96];

    snprintf(mark, sizeof mark, "PRAGMA application_id = %d; PRAGMA user_version = %d", GARDEN_APPLICATION_ID, number);
    if (db_exec(db, "BEGIN IMMEDIATE", fault))
        return -1;
    if (db_exec(db, migrations[number - 1], fault) || db_exec(db, mark, fault) || db_exec(db, "COMMIT", fault)) {
        db_exec(db, "ROLLBACK", NULL);
        return -1;
    }
    return 0;
}

static int check_version(struct db *db, int *version, struct fault *fault)
{
    if (check_owner(db, fault) || pragma_int(db, "PRAGMA user_version", version, fault))
        return -1;
    if (*version > migrations_count())
        return fault_add(fault, FAULT_STORE, "", "this garden was written by a newer version (%d, this one knows %d)",
                         *version, migrations_count());
    return 0;
}

int migrations_run(struct db *writer, struct fault *fault)
{
    int version = 0;

    /* WAL is noted in the file: not before the file is known to be ours. */
    if (check_version(writer, &version, fault) || db_exec(writer, "PRAGMA journal_mode=WAL", fault))
        return -1;
    if (version && version < migrations_count() && backup_before_change(writer, version, fault))
        return fault_add(fault, fault->code, "", "the file is left at version %d: no copy of it could be made before the change", version);
    for (int number = version + 1; number <= migrations_count(); number++)
        if (run_one(writer, number, fault))
            return -1;
    return 0;
}
