/* sheet.c - rows of a table, put in order on the disk. */
#include "store/sheet.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "store/connection.h"

#define ENDING ".import"

struct sheet {
    char *path;
    struct db *db;
    sqlite3_stmt *add, *next;
};

static int prepare(struct sheet *sheet, struct fault *fault)
{
    if (db_exec(sheet->db,
                "PRAGMA journal_mode=OFF; PRAGMA synchronous=OFF; PRAGMA locking_mode=EXCLUSIVE; PRAGMA cache_size=-16000; BEGIN; "
                "CREATE TABLE sheet (tank INTEGER NOT NULL, at_ms INTEGER NOT NULL, row INTEGER NOT NULL, a REAL, b REAL, c REAL, d REAL, note TEXT, "
                "PRIMARY KEY (tank, at_ms, row)) STRICT, WITHOUT ROWID",
                fault))
        return -1;
    if (sqlite3_prepare_v2(sheet->db->sqlite, "INSERT INTO sheet VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)", -1, &sheet->add, NULL) != SQLITE_OK ||
        sqlite3_prepare_v2(sheet->db->sqlite, "SELECT tank, at_ms, row, a, b, c, d, note FROM sheet ORDER BY tank, at_ms, row", -1, &sheet->next, NULL) != SQLITE_OK)
        return db_fault(sheet->db->sqlite, fault);
    return 0;
}

struct sheet *sheet_open(struct store *store, struct fault *fault)
{
    struct sheet *sheet = calloc(1, sizeof *sheet);
    const char *garden = store_path(store);

    if (!sheet || !(sheet->path = malloc(strlen(garden) + sizeof ENDING))) {
        free(sheet);
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    strcat(strcpy(sheet->path, garden), ENDING);
    unlink(sheet->path);
    sheet->db = db_open(sheet->path, true, fault);
    if (!sheet->db || prepare(sheet, fault)) {
        sheet_end(sheet);
        return NULL;
    }
    return sheet;
}

void sheet_end(struct sheet *sheet)
{
    if (!sheet)
        return;
    sqlite3_finalize(sheet->add);
    sqlite3_finalize(sheet->next);
    db_close(sheet->db);
    unlink(sheet->path);
    free(sheet->path);
    free(sheet);
}

int sheet_add(struct sheet *sheet, const struct sheet_row *row, struct fault *fault)
{
    int failed;

    sqlite3_bind_int64(sheet->add, 1, row->tank_key);
    sqlite3_bind_int64(sheet->add, 2, row->at_ms);
    sqlite3_bind_int64(sheet->add, 3, row->row);
    for (int i = 0; i < 4; i++)
        sqlite3_bind_double(sheet->add, 4 + i, row->value[i]); /* NAN is NULL */
    sqlite3_bind_text(sheet->add, 8, row->note, -1, SQLITE_STATIC);
    failed = stmt_step(sheet->add, fault);
    sqlite3_reset(sheet->add);
    return failed;
}

int sheet_next(struct sheet *sheet, struct sheet_row *row, struct fault *fault)
{
    int more = stmt_step(sheet->next, fault);

    if (more != 1)
        return more;
    *row = (struct sheet_row){.tank_key = stmt_get_int(sheet->next, 0), .at_ms = stmt_get_int(sheet->next, 1), .row = stmt_get_int(sheet->next, 2),
                              .note = stmt_get_text(sheet->next, 7)};
    for (int i = 0; i < 4; i++)
        row->value[i] = stmt_get_real(sheet->next, 3 + i);
    return 1;
}

void sheet_rewind(struct sheet *sheet)
{
    sqlite3_reset(sheet->next);
}
