/* The garden file: who may open it, what a job keeps, what its queries cost. */
#include "store/store.h"

#include <glob.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "garden_file.h"
#include "runner.h"
#include "store/gardens.h"
#include "store/migrations.h"
#include "store/tanks.h"

static const char *path;
static struct store *store;

static void open_new(void)
{
    path = garden_file_new("store");
    store = garden_file_open(path);
}

static void close_it(void)
{
    store_close(store);
    garden_file_remove(path);
}

static int64_t count_weather(void)
{
    struct fault fault = {0};
    struct arena arena = {0};
    struct list days;
    struct db *db = store_read(store, &fault);

    ck_assert_ptr_nonnull(db);
    ck_assert_int_eq(weather_list(db, 0, 100000, 100000, &days, &arena, &fault), 0);
    store_done(store, db);
    arena_end(&arena);
    return (int64_t)days.count;
}

static int put_day(struct db *db, void *context, struct fault *fault)
{
    struct weather_row row = {.day = *(int32_t *)context, .tmin_c = 8, .tmax_c = 20};

    return weather_put(db, &row, fault);
}

static int put_day_and_fail(struct db *db, void *context, struct fault *fault)
{
    if (put_day(db, context, fault))
        return -1;
    return fault_add(fault, FAULT_INPUT, "/day", "on purpose");
}

START_TEST(file_carries_our_mark)
{
    sqlite3 *sqlite;
    sqlite3_stmt *stmt;

    store_close(store);
    store = NULL;
    ck_assert_int_eq(sqlite3_open(path, &sqlite), SQLITE_OK);
    sqlite3_prepare_v2(sqlite, "SELECT a.application_id, u.user_version, j.journal_mode FROM pragma_application_id a, "
                               "pragma_user_version u, pragma_journal_mode j", -1, &stmt, NULL);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    ck_assert_int_eq(sqlite3_column_int(stmt, 0), 0x54696465);
    ck_assert_int_ge(sqlite3_column_int(stmt, 1), 1);
    ck_assert_str_eq((const char *)sqlite3_column_text(stmt, 2), "wal");
    sqlite3_finalize(stmt);
    sqlite3_close(sqlite);
}
END_TEST

static void alter(const char *sql)
{
    sqlite3 *sqlite;

    ck_assert_int_eq(sqlite3_open(path, &sqlite), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(sqlite, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(sqlite);
}

START_TEST(newer_and_foreign_files_are_refused)
{
    struct fault newer = {0}, foreign = {0};

    store_close(store);
    alter("PRAGMA user_version = 9999");
    store = store_open(path, &newer);
    ck_assert_ptr_null(store);
    ck_assert_ptr_nonnull(strstr(newer.item[0].detail, "newer"));
    alter("PRAGMA application_id = 12345");
    store = store_open(path, &foreign);
    ck_assert_ptr_null(store);
    ck_assert_ptr_nonnull(strstr(foreign.item[0].detail, "not a garden"));
}
END_TEST

extern const char sql_0001[];

/* A garden of the first version, with a day of weather in it, is brought up to date and keeps what it had. */
START_TEST(older_files_are_brought_up_to_date)
{
    char copy[4200];
    sqlite3 *sqlite;
    sqlite3_stmt *stmt;

    store_close(store);
    garden_file_remove(path);
    ck_assert_int_eq(sqlite3_open(path, &sqlite), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(sqlite, sql_0001, NULL, NULL, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(sqlite, "PRAGMA application_id = 1416193125; PRAGMA user_version = 1; "
                                          "INSERT INTO weather (day, tmin_c, tmax_c) VALUES (20000, 8, 20)", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(sqlite);
    store = garden_file_open(path);
    ck_assert_int_eq(count_weather(), 1);
    ck_assert_int_eq(sqlite3_open(path, &sqlite), SQLITE_OK);
    sqlite3_prepare_v2(sqlite, "SELECT user_version FROM pragma_user_version", -1, &stmt, NULL);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    ck_assert_int_eq(sqlite3_column_int(stmt, 0), migrations_count());
    sqlite3_finalize(stmt);
    ck_assert_int_eq(sqlite3_exec(sqlite, "SELECT fill, crop, vigour FROM lesson", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(sqlite);
    /* As it was before lies beside it. */
    snprintf(copy, sizeof copy, "%s.version-1.backup", path);
    ck_assert_int_eq(sqlite3_open_v2(copy, &sqlite, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    sqlite3_prepare_v2(sqlite, "SELECT user_version, (SELECT count(*) FROM weather) FROM pragma_user_version", -1, &stmt, NULL);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    ck_assert_int_eq(sqlite3_column_int(stmt, 0), 1);
    ck_assert_int_eq(sqlite3_column_int(stmt, 1), 1);
    sqlite3_finalize(stmt);
    sqlite3_close(sqlite);
}
END_TEST

START_TEST(refused_job_leaves_nothing)
{
    struct fault fault = {0};
    int32_t one = 1, two = 2;

    ck_assert_int_eq(store_write(store, put_day, &one, &fault), 0);
    ck_assert_int_eq(store_write(store, put_day_and_fail, &two, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/day");
    ck_assert_int_eq(count_weather(), 1);
}
END_TEST

struct writer {
    pthread_t thread;
    int32_t first;
    int failed;
};

static void *write_days(void *context)
{
    struct writer *writer = context;

    for (int32_t day = writer->first; day < writer->first + 100; day++) {
        struct fault fault = {0};
        bool fail = day % 10 == 9;

        writer->failed += store_write(store, fail ? put_day_and_fail : put_day, &day, &fault) != (fail ? -1 : 0);
    }
    return NULL;
}

/* Eight at once share commits; every tenth job is refused and must undo only itself. */
START_TEST(writers_at_once_keep_all_but_the_refused)
{
    struct writer writer[8];

    for (int i = 0; i < 8; i++) {
        writer[i] = (struct writer){.first = i * 1000};
        pthread_create(&writer[i].thread, NULL, write_days, &writer[i]);
    }
    for (int i = 0; i < 8; i++) {
        pthread_join(writer[i].thread, NULL);
        ck_assert_int_eq(writer[i].failed, 0);
    }
    ck_assert_int_eq(count_weather(), 8 * 90);
}
END_TEST

START_TEST(reader_sees_one_moment)
{
    struct fault fault = {0};
    struct arena arena = {0};
    struct list before, after;
    int32_t one = 1;
    struct db *db = store_read(store, &fault);

    ck_assert_int_eq(weather_list(db, 0, 10, 10, &before, &arena, &fault), 0);
    ck_assert_int_eq(store_write(store, put_day, &one, &fault), 0);
    ck_assert_int_eq(weather_list(db, 0, 10, 10, &after, &arena, &fault), 0);
    ck_assert_uint_eq(after.count, before.count);
    store_done(store, db);
    arena_end(&arena);
    ck_assert_int_eq(count_weather(), 1);
}
END_TEST

/* Small tables that are walked on purpose. */
static bool is_small(const char *name)
{
    static const char *const whole[] = {"garden_months", "garden_drop_months", "tank_touch_all", "tank_marks", "standings_all"};

    for (size_t i = 0; i < COUNT(whole); i++)
        if (strcmp(name, whole[i]) == 0)
            return true;
    return false;
}

/* How often a text stands in another. */
static size_t times(const char *text, const char *part)
{
    size_t count = 0;

    for (const char *at = text; (at = strstr(at, part)) != NULL; at += strlen(part))
        count++;
    return count;
}

/* Walking an index from its end is no scan where it stops after a few rows. */
static bool scans(const struct query *query, const char *plan)
{
    if (strncmp(plan, "SCAN", 4) != 0 || is_small(query->name) || strstr(plan, "CONSTANT ROW"))
        return false;
    return !(strstr(plan, "USING INDEX") && strstr(query->sql, "LIMIT :"));
}

/* What is the matter with a query's plan: a table that grows is walked, or sorted; NULL: nothing. The corrections of one entry, of which
 * there are few, are sorted ("received_ms DESC"), and what follows from one entry at other tanks. */
static const char *amiss(sqlite3 *sqlite, const struct query *query)
{
    static char what[600];
    size_t sorts = 0, few = times(query->sql, "received_ms DESC") + (strcmp(query->name, "entries_following") == 0);
    char sql[8192];
    sqlite3_stmt *stmt;

    snprintf(sql, sizeof sql, "EXPLAIN QUERY PLAN %s", query->sql);
    ck_assert_msg(sqlite3_prepare_v2(sqlite, sql, -1, &stmt, NULL) == SQLITE_OK, "%s: %s", query->name, sqlite3_errmsg(sqlite));
    what[0] = '\0';
    while (sqlite3_step(stmt) == SQLITE_ROW) {
        const char *plan = (const char *)sqlite3_column_text(stmt, 3);

        if (scans(query, plan))
            snprintf(what, sizeof what, "%s: %s", query->name, plan);
        sorts += strstr(plan, "TEMP B-TREE FOR ORDER BY") != NULL || strstr(plan, "RIGHT PART OF ORDER BY") != NULL;
    }
    sqlite3_finalize(stmt);
    if (sorts > few)
        snprintf(what, sizeof what, "%s sorts", query->name);
    return what[0] ? what : NULL;
}

START_TEST(queries_search_by_index)
{
    sqlite3 *sqlite;

    ck_assert_int_eq(sqlite3_open(path, &sqlite), SQLITE_OK);
    for (size_t n = 0; n < store_nouns_count; n++)
        for (size_t q = 0; q < *store_nouns[n].count; q++) {
            const char *what = amiss(sqlite, &store_nouns[n].queries[q]);

            ck_assert_msg(!what, "%s", what);
        }
    sqlite3_close(sqlite);
}
END_TEST

/* That test can fail. */
START_TEST(queries_that_walk_or_sort_are_found)
{
    static const struct query bad[] = {
        {"walks", "SELECT id FROM entry WHERE note = :note"},
        {"walks an index", "SELECT id FROM entry WHERE received_ms = :ms ORDER BY at_ms, id"},
        {"walks on the way", "SELECT t.key FROM tank t JOIN entry e ON e.note = t.name WHERE t.key = :key"},
        {"sorts", "SELECT id FROM entry WHERE tank = :tank ORDER BY received_ms"},
        {"sorts beside", "SELECT e.id, (SELECT a.id FROM entry a WHERE a.amends = e.id ORDER BY a.received_ms DESC LIMIT 1) FROM entry e "
                         "WHERE e.tank = :tank ORDER BY e.received_ms"},
    };
    sqlite3 *sqlite;

    ck_assert_int_eq(sqlite3_open(path, &sqlite), SQLITE_OK);
    for (size_t i = 0; i < COUNT(bad); i++)
        ck_assert_msg(amiss(sqlite, &bad[i]) != NULL, "nothing was found amiss with: %s", bad[i].sql);
    sqlite3_close(sqlite);
}
END_TEST

/* A table of queries that queries.c does not name would never be looked at. */
START_TEST(every_table_of_queries_is_listed)
{
    static char list[16384], text[1 << 18];
    char name[4200];
    glob_t files;
    FILE *file;
    size_t found = 0;

    snprintf(name, sizeof name, "%s/*.c", source_path("src/store"));
    ck_assert_int_eq(glob(name, 0, NULL, &files), 0);
    file = fopen(source_path("src/store/queries.c"), "r");
    ck_assert_ptr_nonnull(file);
    list[fread(list, 1, sizeof list - 1, file)] = '\0';
    fclose(file);
    for (size_t i = 0; i < files.gl_pathc; i++) {
        const char *at;

        file = fopen(files.gl_pathv[i], "r");
        text[fread(text, 1, sizeof text - 1, file)] = '\0';
        fclose(file);
        at = strstr(text, "\nconst struct query ");
        if (!at)
            continue;
        snprintf(name, sizeof name, "{%.*s,", (int)strcspn(at + 20, "["), at + 20);
        ck_assert_msg(strstr(list, name) != NULL, "queries.c does not name %s", name + 1);
        found++;
    }
    globfree(&files);
    ck_assert_uint_eq(found, store_nouns_count);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("store");
    TCase *tcase = tcase_create("store");

    tcase_add_checked_fixture(tcase, open_new, close_it);
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, file_carries_our_mark);
    tcase_add_test(tcase, newer_and_foreign_files_are_refused);
    tcase_add_test(tcase, older_files_are_brought_up_to_date);
    tcase_add_test(tcase, refused_job_leaves_nothing);
    tcase_add_test(tcase, writers_at_once_keep_all_but_the_refused);
    tcase_add_test(tcase, reader_sees_one_moment);
    tcase_add_test(tcase, queries_search_by_index);
    tcase_add_test(tcase, queries_that_walk_or_sort_are_found);
    tcase_add_test(tcase, every_table_of_queries_is_listed);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
