/* export.c - one document of everything, by the table of store/portable.h: {"format", "format_version", then a list for each table}.
 *
 * The same garden gives the same bytes: rows come by age or by id, nothing is worked out, nothing says when or by whom it was asked.
 * Written to a file without a name, row by row, and sent from there: the snapshot is short however slow the line, memory does
 * not grow with the garden, and a fault half-way is a fault, not half a document.
 */
#include <inttypes.h>
#include <math.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/backup.h"
#include "api/shape.h"
#include "store/entries.h"
#include "store/portable.h"

/* How many rows stand under one head, where rows are grouped: what reads them holds so many at once. */
#define GROUP_ROWS 1000

static void write_text(FILE *out, const char *text)
{
    fputc('"', out);
    for (; *text; text++) {
        unsigned char c = (unsigned char)*text;

        if (c == '"' || c == '\\')
            fprintf(out, "\\%c", c);
        else if (c < 0x20)
            fprintf(out, "\\u%04x", c);
        else
            fputc(c, out);
    }
    fputc('"', out);
}

/* The shortest of 15, 16 or 17 digits that reads back as the same number. */
static void write_number(FILE *out, double number)
{
    char text[40];
    int digits = 14;

    do
        snprintf(text, sizeof text, "%.*g", ++digits, number);
    while (digits < 17 && strtod(text, NULL) != number);
    fputs(text, out);
}

static int write_bytes(FILE *out, const void *bytes, size_t length)
{
    size_t room = sodium_base64_ENCODED_LEN(length, sodium_base64_VARIANT_ORIGINAL);
    char *text = malloc(room);

    if (!text)
        return -1;
    sodium_bin2base64(text, room, bytes, length, sodium_base64_VARIANT_ORIGINAL);
    fprintf(out, "\"%s\"", text);
    free(text);
    return 0;
}

static void write_uuid(FILE *out, sqlite3_stmt *row, int i)
{
    char text[37] = "";

    if (sqlite3_column_bytes(row, i) == 16)
        uuid_text(sqlite3_column_blob(row, i), text);
    fprintf(out, "\"%s\"", text);
}

/* Fractions of a packed number are told with the digits it is kept to. */
static void write_packed(FILE *out, int64_t value, int a_unit)
{
    write_number(out, (double)value / a_unit);
}

static int write_value(FILE *out, const struct portable_column *column, sqlite3_stmt *row, int i)
{
    int64_t whole = column->kind == PORTABLE_REAL ? 0 : sqlite3_column_int64(row, i);
    char text[32];

    switch (column->kind) {
    case PORTABLE_TEXT:
    case PORTABLE_REF:
        write_text(out, stmt_get_text(row, i));
        break;
    case PORTABLE_INTEGER:
        fprintf(out, "%" PRId64, whole);
        break;
    case PORTABLE_REAL:
        write_number(out, sqlite3_column_double(row, i));
        break;
    case PORTABLE_INSTANT:
        fprintf(out, "\"%s\"", shape_instant(text, whole));
        break;
    case PORTABLE_DAY:
        fprintf(out, "\"%s\"", shape_date(text, (int32_t)whole));
        break;
    case PORTABLE_BOOL:
        fputs(whole ? "true" : "false", out);
        break;
    case PORTABLE_CHOICE:
        write_text(out, column->words[whole - column->first]);
        break;
    case PORTABLE_UUID:
        write_uuid(out, row, i);
        break;
    case PORTABLE_PACKED:
        write_packed(out, whole, column->first);
        break;
    case PORTABLE_JPEG:
        return write_bytes(out, sqlite3_column_blob(row, i), (size_t)sqlite3_column_bytes(row, i));
    }
    return 0;
}

/* Members from `from` to `to`; what is not told is left out. */
static int write_members(FILE *out, const struct portable_table *table, sqlite3_stmt *row, size_t from, size_t to)
{
    const char *before = "";

    for (size_t i = from; i < to; i++) {
        if (sqlite3_column_type(row, (int)i) == SQLITE_NULL)
            continue;
        fprintf(out, "%s\"%s\":", before, table->column[i].name);
        before = ",";
        if (write_value(out, &table->column[i], row, (int)i))
            return -1;
    }
    return 0;
}

static int write_row(FILE *out, const struct portable_table *table, sqlite3_stmt *row)
{
    fputc('{', out);
    if (write_members(out, table, row, 0, table->count))
        return -1;
    fputc('}', out);
    return 0;
}

/* ---- rows under one head ---- */

struct group {
    char head[2][80];
    size_t rows; /* 0: none is open */
};

static bool same_head(const struct group *group, const struct portable_table *table, sqlite3_stmt *row)
{
    bool same = group->rows > 0 && group->rows < GROUP_ROWS;

    for (size_t i = 0; same && i < table->grouped; i++)
        same = strcmp(group->head[i], stmt_get_text(row, (int)i)) == 0;
    return same;
}

static int write_in_group(FILE *out, const struct portable_table *table, sqlite3_stmt *row, struct group *group)
{
    bool goes_on = same_head(group, table, row);

    if (group->rows && !goes_on)
        fputs("]},\n", out);
    if (!goes_on) {
        fputc('{', out);
        for (size_t i = 0; i < table->grouped; i++)
            snprintf(group->head[i], sizeof group->head[i], "%s", stmt_get_text(row, (int)i));
        if (write_members(out, table, row, 0, table->grouped))
            return -1;
        fputs(",\"rows\":[", out);
        group->rows = 0;
    }
    fputs(group->rows++ ? ",[" : "[", out);
    for (size_t i = table->grouped; i < table->count; i++) {
        if (i > table->grouped)
            fputc(',', out);
        if (sqlite3_column_type(row, (int)i) == SQLITE_NULL)
            fputs("null", out);
        else if (write_value(out, &table->column[i], row, (int)i))
            return -1;
    }
    fputc(']', out);
    return 0;
}

/* ---- tables ---- */

static int write_table(FILE *out, struct db *db, const struct portable_table *table, struct fault *fault)
{
    sqlite3_stmt *row = portable_rows(db, table, fault);
    struct group group = {.rows = 0};
    bool first = true;
    int more = row ? 0 : -1;

    fprintf(out, ",\n\"%s\":[\n", table->name);
    while (row && (more = stmt_step(row, fault)) == 1) {
        if (!first && !table->grouped)
            fputs(",\n", out);
        first = false;
        if (table->grouped ? write_in_group(out, table, row, &group) : write_row(out, table, row)) {
            more = fault_add(fault, FAULT_MEMORY, "", "out of memory");
            break;
        }
        if (ferror(out)) {
            more = fault_add(fault, FAULT_FULL, "", "there is no room for the export beside the garden file");
            break;
        }
    }
    fputs(group.rows ? "]}\n]" : first ? "]" : "\n]", out);
    sqlite3_finalize(row);
    return more;
}

int export_write(struct db *db, FILE *out, struct fault *fault)
{
    fputs("{\"format\":\"tidemark-export\",\"format_version\":2", out);
    for (size_t i = 0; i < portable_tables_count; i++)
        if (write_table(out, db, &portable_tables[i], fault))
            return -1;
    fputs("\n}\n", out);
    return fflush(out) ? fault_add(fault, FAULT_FULL, "", "there is no room for the export beside the garden file") : 0;
}

/* GET /api/v1/export */
int export_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    char date[16];
    const char *name = arena_format(request->arena, "attachment; filename=\"garden-%s.json\"",
                                    shape_date(date, (int32_t)(request->now_ms / 86400000)));
    FILE *out = name ? store_scratch(store, fault) : NULL;
    struct db *db = out ? store_read(store, fault) : NULL;
    int failed = !db || export_write(db, out, fault);

    store_done(store, db);
    if (!failed)
        failed = reply_file(reply, out, "application/json", fault);
    else if (out)
        fclose(out);
    return failed ? -1 : reply_header(request, reply, "Content-Disposition", name, fault);
}
