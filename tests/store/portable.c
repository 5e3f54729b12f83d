/* What leaves the garden file, held against its schema: every column of every table is told, or left out by name. */
#include "store/portable.h"

#include <stdio.h>
#include <string.h>

#include "garden_file.h"
#include "runner.h"
#include "store/connection.h"

static const char *path;
static struct store *store;
static struct db *db;

static void open_new(void)
{
    struct fault fault = {0};

    path = garden_file_new("portable");
    store = garden_file_open(path);
    db = db_open(path, false, &fault);
    ck_assert_ptr_nonnull(db);
}

static void close_it(void)
{
    db_close(db);
    store_close(store);
    garden_file_remove(path);
}

static const struct portable_table *told(const char *table)
{
    for (size_t i = 0; i < portable_tables_count; i++)
        if (strcmp(portable_tables[i].table, table) == 0)
            return &portable_tables[i];
    return NULL;
}

static bool stays(const char *table)
{
    for (size_t i = 0; portable_left[i]; i++)
        if (strcmp(portable_left[i], table) == 0)
            return true;
    return false;
}

static bool word_in(const char *words, const char *word)
{
    size_t length = strlen(word);

    for (const char *at = words; at && (at = strstr(at, word)) != NULL; at += length)
        if ((at == words || at[-1] == ' ' || at[-1] == ',') && (at[length] == '\0' || at[length] == ' ' || at[length] == ','))
            return true;
    return false;
}

static bool has_column(const struct portable_table *table, const char *name)
{
    for (size_t i = 0; i < table->count; i++)
        if (strcmp(table->column[i].column, name) == 0)
            return true;
    return word_in(table->left, name) || word_in(table->made, name);
}

/* The key of a row is ours: other rows are named by uid. */
static bool is_key(const char *column)
{
    return strcmp(column, "key") == 0;
}

START_TEST(every_column_is_told_or_left_out)
{
    sqlite3_stmt *tables = NULL, *columns = NULL;

    ck_assert_int_eq(sqlite3_prepare_v2(db->sqlite, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'", -1, &tables, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_prepare_v2(db->sqlite, "SELECT name FROM pragma_table_info(?1)", -1, &columns, NULL), SQLITE_OK);
    while (sqlite3_step(tables) == SQLITE_ROW) {
        const char *name = (const char *)sqlite3_column_text(tables, 0);
        const struct portable_table *table = told(name);

        if (stays(name))
            continue;
        ck_assert_msg(table != NULL, "table %s is new: tell it in portable_tables (store/portable.c), or why it stays in portable_left", name);
        sqlite3_bind_text(columns, 1, name, -1, SQLITE_STATIC);
        while (sqlite3_step(columns) == SQLITE_ROW) {
            const char *column = (const char *)sqlite3_column_text(columns, 0);

            ck_assert_msg(is_key(column) || has_column(table, column),
                          "column %s of %s is new: tell it in portable_tables (store/portable.c), or why it is left there", column, name);
        }
        sqlite3_reset(columns);
    }
    sqlite3_finalize(tables);
    sqlite3_finalize(columns);
}
END_TEST

START_TEST(every_table_can_be_asked)
{
    for (size_t i = 0; i < portable_tables_count; i++) {
        struct fault fault = {0};
        sqlite3_stmt *rows = portable_rows(db, &portable_tables[i], &fault);
        int64_t count = -1;

        ck_assert_msg(rows != NULL, "%s: %s", portable_tables[i].name, fault.item[0].detail);
        ck_assert_int_eq(sqlite3_column_count(rows), (int)portable_tables[i].count);
        ck_assert_uint_le(portable_tables[i].count, PORTABLE_COLUMNS);
        sqlite3_finalize(rows);
        ck_assert_int_eq(portable_count(db, &portable_tables[i], &count, &fault), 0);
        ck_assert_int_eq(count, 0);
    }
    ck_assert_int_eq(portable_empty(db, NULL), 1);
}
END_TEST

/* A row names only rows of lists before its own, or of its own. */
START_TEST(lists_come_in_order)
{
    for (size_t i = 0; i < portable_tables_count; i++)
        for (size_t c = 0; c < portable_tables[i].count; c++) {
            const struct portable_column *column = &portable_tables[i].column[c];
            size_t earlier = 0;

            if (column->kind != PORTABLE_REF)
                continue;
            while (earlier <= i && strcmp(portable_tables[earlier].table, column->of) != 0)
                earlier++;
            ck_assert_msg(earlier <= i, "%s of %s", column->name, portable_tables[i].name);
        }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("portable");
    TCase *tcase = tcase_create("portable");

    tcase_add_checked_fixture(tcase, open_new, close_it);
    tcase_add_test(tcase, every_column_is_told_or_left_out);
    tcase_add_test(tcase, every_table_can_be_asked);
    tcase_add_test(tcase, lists_come_in_order);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
