/* Past readings from tables: as the machine's owner says the columns are, all rows or none, each once. The tables are invented. */
#include <math.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "caller.h"
#include "garden/garden.h"
#include "garden/past_readings.h"
#include "garden/readings.h"
#include "garden/readings_import.h"
#include "store/sensed.h"
#include "store/sensed_imports.h"
#include "runner.h"

static struct caller caller;
static char roof[40], bay[40]; /* ids of two tanks */

static void add_tank(const char *name, const char *vessel, char id[40])
{
    json_t *tank = caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"name\":\"%s\",\"vessel\":\"%s\"}", name, vessel);

    snprintf(id, 40, "%s", text_of(tank, "id"));
    json_decref(tank);
}

static void open_it(void)
{
    json_t *vessel;

    caller_open(&caller, "import-readings");
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden", "{\"time_zone\":\"Europe/Berlin\"}"));
    vessel = caller_expect(&caller, 201, "POST", "/api/v1/vessels", "{\"name\":\"tub\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[500,300],"
                                                                     "\"rim_mm\":[500,300],\"height_mm\":300},\"start_mm\":250}");
    add_tank("Roof", text_of(vessel, "id"), roof);
    add_tank("B\\u00fctt \\\"2\\\"", text_of(vessel, "id"), bay);
    json_decref(vessel);
}

static void close_it(void)
{
    caller_close(&caller);
}

static json_t *wait_for(const char *id)
{
    static const struct timespec moment = {.tv_nsec = 1000000};
    char path[128];

    snprintf(path, sizeof path, "/api/v1/imports/%s", id);
    for (;;) {
        json_t *job = caller_get(&caller, path);

        if (strcmp(text_of(job, "state"), "running") != 0)
            return job;
        json_decref(job);
        nanosleep(&moment, NULL);
    }
}

static json_t *send_table(const char *query, const char *table)
{
    char path[400];
    json_t *started, *job;

    snprintf(path, sizeof path, "/api/v1/imports/readings?%s", query);
    started = caller_ask(&caller, &(struct asking){.method = "POST", .path = path, .body = table, .length = strlen(table), .content_type = "text/csv"});
    ck_assert_msg(caller.status == 202, "%u %s", caller.status, caller.bytes);
    job = wait_for(text_of(started, "id"));
    json_decref(started);
    return job;
}

static void must_be(const json_t *job, const char *state, double rows, double kept)
{
    char *said = json_dumps(job, 0);

    ck_assert_msg(strcmp(text_of(job, "state"), state) == 0 && number_of(job, "rows") == rows && number_of(job, "kept") == kept, "%s", said);
    free(said);
}

static size_t entries_of(const char *tank, json_t **entries)
{
    char path[128];

    snprintf(path, sizeof path, "/api/v1/tanks/%s/entries?limit=500", tank);
    *entries = caller_get(&caller, path);
    return json_array_size(json_object_get(*entries, "items"));
}

static const char german[] = "\xef\xbb\xbf" "Datum;Uhrzeit;Tank;Wasserstand (cm);EC (\xc2\xb5S/cm);pH;Temperatur;Notiz\r\n"
                             "01.02.2026;7:30;roof;21,05;1250;5,8;19,5;'=nur Text\r\n"
                             "02.02.2026;19:05;B\xc3\xbctt \"2\";;1300;;;\"zwei\nZeilen\"\r\n"
                             ";;;;;;;\r\n"
                             "03.07.2026;12:00;Roof;19,9;;6,1;;\r\n";
static const char german_columns[] = "separator=semicolon&decimal=comma&date=dmy&at_column=1&time_column=2&tank_column=3&waterline_column=4&length_unit=cm"
                                     "&ec_column=5&ec_unit=us_cm&ph_column=6&temperature_column=7&note_column=8";

/* A quote in an unquoted cell is none of RFC 4180: spreadsheets write it doubled inside quotes. */
static char *well_quoted(void)
{
    static char text[1024];
    const char *at = strstr(german, "B\xc3\xbctt \"2\"");

    snprintf(text, sizeof text, "%.*s\"B\xc3\xbctt \"\"2\"\"\"%s", (int)(at - german), german, at + strlen("B\xc3\xbctt \"2\""));
    return text;
}

static void values_are_in_our_units(void)
{
    json_t *entries, *first;

    ck_assert_uint_eq(entries_of(roof, &entries), 2);
    first = json_array_get(json_object_get(entries, "items"), 1);
    ck_assert_str_eq(text_of(first, "at"), "2026-02-01T06:30:00Z"); /* Berlin in winter: one hour ahead */
    ck_assert_double_eq(number_of(first, "waterline_mm"), 210.5);
    ck_assert_double_eq(number_of(first, "ec_ms_cm"), 1.25);
    ck_assert_double_eq(number_of(first, "ph"), 5.8);
    ck_assert_double_eq(number_of(first, "temperature_c"), 19.5);
    ck_assert_str_eq(text_of(first, "note"), "=nur Text"); /* the guard undone */
    first = json_array_get(json_object_get(entries, "items"), 0);
    ck_assert_str_eq(text_of(first, "at"), "2026-07-03T10:00:00Z"); /* in summer two */
    json_decref(entries);
    ck_assert_uint_eq(entries_of(bay, &entries), 1);
    first = json_array_get(json_object_get(entries, "items"), 0);
    ck_assert_double_eq(number_of(first, "ec_ms_cm"), 1.3);
    ck_assert_str_eq(text_of(first, "note"), "zwei\nZeilen");
    json_decref(entries);
}

START_TEST(table_becomes_readings_once)
{
    char longer[1200];
    json_t *job;

    job = send_table(german_columns, german);
    must_be(job, "refused", 2, 0); /* the row with the stray quote, then nothing is kept */
    json_decref(job);
    job = send_table(german_columns, well_quoted());
    must_be(job, "done", 3, 3);
    json_decref(job);
    values_are_in_our_units();
    job = send_table(german_columns, well_quoted());
    must_be(job, "done", 3, 0); /* again: nothing new */
    json_decref(job);
    snprintf(longer, sizeof longer, "%s04.07.2026;12:00;Roof;19,8;;;;\r\n", well_quoted());
    job = send_table(german_columns, longer);
    must_be(job, "done", 4, 1); /* the table grew by one */
    json_decref(job);
}
END_TEST

START_TEST(looking_keeps_nothing)
{
    char query[400];
    json_t *job, *entries;

    snprintf(query, sizeof query, "%s&check=true", german_columns);
    job = send_table(query, well_quoted());
    must_be(job, "done", 3, 0);
    ck_assert_uint_eq(entries_of(roof, &entries), 0);
    json_decref(entries);
    json_decref(job);
}
END_TEST

static const struct {
    const char *row;
    double at;
    const char *column, *word;
} wrongs[] = {
    {"2026-13-01 10:00,Roof,100,5.8", 3, "when", "no such day"},
    {"2025-02-29 10:00,Roof,100,5.8", 3, "when", "no such day"},
    {"01.02.2026 10:00,Roof,100,5.8", 3, "when", "chosen form"},
    {"2026-02-01 25:00,Roof,100,5.8", 3, "when", "time of day"},
    {"2026-02-01 10:00 x,Roof,100,5.8", 3, "when", "behind"},
    {"2126-02-01 10:00,Roof,100,5.8", 3, "when", "ahead"},
    {",Roof,100,5.8", 3, "when", "missing"},
    {"2026-02-01,Cellar,100,5.8", 3, "tank", "no such tank"},
    {"2026-02-01,,100,5.8", 3, "tank", "missing"},
    {"2026-02-01,Roof,301,5.8", 3, "level", "not so high"},
    {"2026-02-01,Roof,-1,5.8", 3, "level", "from 0 to 3000"},
    {"2026-02-01,Roof,\"1,5\",5.8", 3, "level", "comma"},
    {"2026-02-01,Roof,100,about 6", 3, "ph", "no number"},
    {"2026-02-01,Roof,100,1e999", 3, "ph", "no number"},
    {"2026-02-01,Roof,100,nan", 3, "ph", "no number"},
    {"2026-02-01,Roof,100,14.1", 3, "ph", "from 0 to 14"},
    {"2026-02-01,Roof,,", 3, "level", "no reading"},
    {"2026-02-01,Roof,1\"00,5.8", 3, "level", "quote"},
};

START_TEST(what_is_wrong_is_told_by_row_and_column)
{
    char table[400];
    const json_t *fault;
    json_t *job, *entries;

    snprintf(table, sizeof table, "when,tank,level,ph\n2026-01-31 08:00,Roof,120,5.9\n%s\n2026-02-03,Roof,110,6\n", wrongs[_i].row);
    job = send_table("at_column=1&tank_column=2&waterline_column=3&ph_column=4", table);
    ck_assert_str_eq(text_of(job, "state"), "refused");
    ck_assert_double_eq(number_of(job, "faults_count"), 1);
    fault = json_array_get(json_object_get(job, "faults"), 0);
    ck_assert_double_eq(number_of(fault, "row"), wrongs[_i].at);
    ck_assert_str_eq(text_of(fault, "column"), wrongs[_i].column);
    ck_assert_msg(strstr(text_of(fault, "detail"), wrongs[_i].word) != NULL, "%s", text_of(fault, "detail"));
    ck_assert_uint_eq(entries_of(roof, &entries), 0);
    json_decref(entries);
    json_decref(job);
}
END_TEST

START_TEST(many_rows_are_a_loggers)
{
    size_t length = 0, room = 64 * 25000;
    char *table = malloc(room), path[200];
    json_t *job, *readings, *entries;

    length += (size_t)snprintf(table, room, "at,air gap\n");
    for (int i = 25000; i-- > 0;) /* newest first, as loggers often write */
        length += (size_t)snprintf(table + length, room - length, "2026-02-%02dT%02d:%02d:%02dZ,%d.%d\n", 1 + i / 1440, i / 60 % 24, i % 60, i % 60, 50 + i / 1000, i / 100 % 10);
    job = send_table("at_column=1&air_gap_column=2&tank=Roof", table);
    ck_assert_str_eq(text_of(job, "state"), "refused");
    ck_assert_ptr_nonnull(strstr(text_of(json_array_get(json_object_get(job, "faults"), 0), "detail"), "logger"));
    json_decref(job);
    job = send_table("at_column=1&air_gap_column=2&tank=Roof&as=sensor&sensor=float", table);
    must_be(job, "done", 25000, 25000);
    json_decref(job);
    job = send_table("at_column=1&air_gap_column=2&tank=Roof&as=sensor&sensor=float", table);
    must_be(job, "done", 25000, 0);
    json_decref(job);
    ck_assert_uint_eq(entries_of(roof, &entries), 0);
    json_decref(entries);
    snprintf(path, sizeof path, "/api/v1/tanks/%s", roof); /* and they are believed: the tank's waterline is that of the last one */
    readings = caller_get(&caller, path);
    ck_assert_double_eq_tol(number_of(json_object_get(readings, "state"), "waterline_mm"), 300 - 74.9, 2);
    json_decref(readings);
    free(table);
}
END_TEST

START_TEST(table_is_looked_at)
{
    json_t *look = caller_ask(&caller, &(struct asking){.method = "POST", .path = "/api/v1/imports/readings/look", .body = well_quoted(),
                                                        .length = strlen(well_quoted()), .content_type = "text/csv"});
    static const char *const kinds[] = {"at", "time", "tank", "waterline", "ec", "ph", "temperature", "note"};
    const json_t *columns = json_object_get(look, "columns");

    ck_assert_uint_eq(caller.status, 200);
    ck_assert_str_eq(text_of(look, "separator"), "semicolon");
    ck_assert_str_eq(text_of(look, "decimal"), "comma");
    ck_assert_str_eq(text_of(look, "date"), "dmy");
    ck_assert(json_is_false(json_object_get(look, "date_sure"))); /* 01.02. may be either */
    ck_assert_double_eq(number_of(look, "heading_rows"), 1);
    ck_assert_uint_eq(json_array_size(columns), COUNT(kinds));
    for (size_t i = 0; i < COUNT(kinds); i++)
        ck_assert_str_eq(text_of(json_array_get(columns, i), "kind"), kinds[i]);
    ck_assert_uint_eq(json_array_size(json_object_get(look, "rows")), 4);
    json_decref(look);
}
END_TEST

static const struct {
    const char *query, *at;
} asked[] = {
    {"tank_column=2&ph_column=3", "/at_column"},
    {"at_column=1&ph_column=3", "/tank_column"},
    {"at_column=1&ph_column=3&tank_column=2&tank=Roof", "/tank_column"},
    {"at_column=1&tank_column=2", "/waterline_column"},
    {"at_column=1&tank_column=2&waterline_column=3&air_gap_column=4", "/air_gap_column"},
    {"at_column=1&tank_column=2&waterline_column=3&as=sensor", "/sensor"},
    {"at_column=0&tank_column=2&waterline_column=3", "/at_column"},
};

START_TEST(columns_must_make_sense)
{
    char path[200];
    json_t *problem;

    snprintf(path, sizeof path, "/api/v1/imports/readings?%s", asked[_i].query);
    problem = caller_ask(&caller, &(struct asking){.method = "POST", .path = path, .body = "a\n", .length = 2, .content_type = "text/csv"});
    ck_assert_uint_eq(caller.status, 422);
    ck_assert(problem_at(problem, asked[_i].at));
    json_decref(problem);
}
END_TEST

/* ---- cells by themselves ---- */

static const struct {
    const char *date, *time;
    int format;
    int32_t day, second;
    int offset; /* s; 1: none told */
} moments[] = {
    {"1970-01-02", "", PAST_YMD, 1, 43200, 1}, {"1970-01-02T07:30:15.250", "", PAST_YMD, 1, 27015, 1}, {"1970-01-02 07:30Z", "", PAST_YMD, 1, 27000, 0},
    {"1970-01-02T07:30:00+02:00", "", PAST_YMD, 1, 27000, 7200}, {"1970-01-02T07:30:00-0930", "", PAST_YMD, 1, 27000, -34200},
    {"2.1.1970", "7:30", PAST_DMY, 1, 27000, 1}, {"02/01/1970, 07:30", "", PAST_DMY, 1, 27000, 1}, {"1/2/1970 7:30 PM", "", PAST_MDY, 1, 70200, 1},
    {"1/2/1970 12:05 AM", "", PAST_MDY, 1, 300, 1}, {" 1970/1/2 ", " 00:00 ", PAST_YMD, 1, 0, 1}, {"29.2.24", "", PAST_DMY, 19782, 43200, 1},
};

START_TEST(dates_and_times_are_read)
{
    struct past_moment moment;
    const char *wrong = past_moment(moments[_i].date, moments[_i].time, moments[_i].format, &moment);

    ck_assert_msg(!wrong, "%s %s", moments[_i].date, wrong);
    ck_assert_int_eq(moment.day, moments[_i].day);
    ck_assert_int_eq(moment.second, moments[_i].second);
    ck_assert_int_eq(moment.offset_known ? moment.offset_s : 1, moments[_i].offset);
}
END_TEST

START_TEST(summer_time_begins_and_ends)
{
    json_t *job = send_table("at_column=1&tank=Roof&ph_column=2", "at,ph\n2026-03-29 01:59,6\n2026-03-29 03:00,6.1\n2025-10-26 01:30,6.2\n2025-10-26 03:30,6.3\n"), *entries;
    static const char *const at[] = {"2026-03-29T01:00:00Z", "2026-03-29T00:59:00Z", "2025-10-26T02:30:00Z", "2025-10-25T23:30:00Z"};

    must_be(job, "done", 4, 4);
    entries_of(roof, &entries);
    for (size_t i = 0; i < COUNT(at); i++) /* Berlin: Directive 2000/84/EC, the last Sundays of March and October at 01:00 UTC */
        ck_assert_str_eq(text_of(json_array_get(json_object_get(entries, "items"), i), "at"), at[i]);
    json_decref(entries);
    json_decref(job);
}
END_TEST

/* Berlin, as above: 02:00 to 03:00 never was on 29 March 2026, and was twice on 26 October 2025. What tells its own offset is sure. */
START_TEST(hours_that_never_were_or_were_twice_are_told)
{
    static const char twice[] = "at,ph\n2025-10-26 01:59,6\n2025-10-26 02:00,6.1\n2025-10-26 02:59:59,6.2\n2025-10-26 03:00,6.3\n2025-10-26 02:30+01:00,6.4\n"
                                "2026-03-29 02:30+01:00,6.5\n";
    static const char never[] = "at,ph\n2026-03-29 01:59,6\n2026-03-29 02:00,6\n2026-03-29 02:59:59,6\n2026-03-29 03:00,6\n";
    static const char *const at[] = {"2026-03-29T01:30:00Z", "2025-10-26T02:00:00Z", "2025-10-26T01:30:00Z", "2025-10-26T00:59:59Z", "2025-10-26T00:00:00Z",
                                     "2025-10-25T23:59:00Z"};
    json_t *job = send_table("at_column=1&tank=Roof&ph_column=2", never), *entries;

    must_be(job, "refused", 4, 0);
    ck_assert_double_eq(number_of(job, "faults_count"), 2);
    for (size_t i = 0; i < 2; i++) {
        const json_t *fault = json_array_get(json_object_get(job, "faults"), i);

        ck_assert_double_eq(number_of(fault, "row"), (double)i + 3);
        ck_assert_str_eq(text_of(fault, "column"), "at");
        ck_assert_ptr_nonnull(strstr(text_of(fault, "detail"), "never showed"));
    }
    json_decref(job);
    for (int check = 1; check >= 0; check--) {
        job = send_table(check ? "at_column=1&tank=Roof&ph_column=2&check=true" : "at_column=1&tank=Roof&ph_column=2", twice);
        must_be(job, "done", 6, check ? 0 : 6);
        ck_assert_double_eq(number_of(job, "faults_count"), 0);
        ck_assert_double_eq(number_of(job, "remarks_count"), 2);
        for (size_t i = 0; i < 2; i++)
            ck_assert_double_eq(number_of(json_array_get(json_object_get(job, "remarks"), i), "row"), (double)i + 3);
        json_decref(job);
    }
    ck_assert_uint_eq(entries_of(roof, &entries), COUNT(at));
    for (size_t i = 0; i < COUNT(at); i++)
        ck_assert_str_eq(text_of(json_array_get(json_object_get(entries, "items"), i), "at"), at[i]);
    json_decref(entries);
}
END_TEST

/* ---- slices ---- */

#define MINUTE 1767258000000 /* 2026-01-01T09:00:00Z */

/* Rows of one tank, a minute apart, as a slice of the import under way. */
struct slice {
    int64_t number, sensor_key, tank_key;
    int from, to;
};

static int put_slice(struct db *db, void *context, struct fault *fault)
{
    const struct slice *slice = context;

    for (int i = slice->from; i < slice->to; i++) {
        struct sensed reading = {.tank_key = slice->tank_key, .sensor_key = slice->sensor_key, .import = slice->number, .at_ms = MINUTE + i * 60000,
                                 .received_ms = MINUTE + i * 60000, .waterline_mm = 200, .ec_ms_cm = NAN, .ph = NAN, .temperature_c = 20 + i / 100.0};
        bool known;

        if (readings_keep(db, &reading, 0, &known, fault))
            return -1;
    }
    return sensed_import_slice(db, slice->tank_key, MINUTE + slice->from * 60000, MINUTE + (slice->to - 1) * 60000, fault);
}

static struct slice begin_slices(int to)
{
    struct garden *garden = caller.service.garden;
    struct slice slice = {.to = to};
    struct fault fault = {0};
    struct tank_row row;
    struct arena arena = {0};
    struct db *db = store_read(garden->store, &fault);

    ck_assert_int_eq(tanks_one(db, roof, &row, &arena, &fault), 1);
    store_done(garden->store, db);
    arena_end(&arena);
    slice.tank_key = row.key;
    ck_assert_int_eq(readings_import_begin(garden, "float", MINUTE, &slice.number, &slice.sensor_key, &fault), 0);
    ck_assert_int_eq(store_write(garden->store, put_slice, &slice, &fault), 0);
    return slice;
}

/* In the file itself, whoever may see it. */
static int64_t count_in_file(const char *sql)
{
    sqlite3 *sqlite;
    sqlite3_stmt *stmt;
    int64_t count;

    ck_assert_int_eq(sqlite3_open_v2(caller.path, &sqlite, SQLITE_OPEN_READWRITE, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_prepare_v2(sqlite, sql, -1, &stmt, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    count = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    sqlite3_close(sqlite);
    return count;
}

static size_t items_at(const char *path)
{
    json_t *list = caller_get(&caller, path);
    size_t count = json_array_size(json_object_get(list, "items"));

    json_decref(list);
    return count;
}

/* How many readings each way of reading them gives: the list, the drawing, the export. */
static void all_see(size_t readings, size_t sensors)
{
    char path[160];
    json_t *whole, *tank, *group;
    size_t exported = 0, i;

    snprintf(path, sizeof path, "/api/v1/tanks/%s/readings?every=all&limit=500", roof);
    ck_assert_uint_eq(items_at(path), readings);
    snprintf(path, sizeof path, "/api/v1/tanks/%s/readings?from=2026-01-01T00:00:00Z&to=2026-02-01T00:00:00Z", roof);
    ck_assert_int_eq(items_at(path) > 0, readings > 0);
    ck_assert_uint_eq(items_at("/api/v1/sensors"), sensors);
    whole = caller_get(&caller, "/api/v1/export");
    ck_assert_uint_eq(json_array_size(json_object_get(whole, "sensors")), sensors);
    json_array_foreach(json_object_get(whole, "readings"), i, group) {
        const json_t *row;
        size_t r;

        json_array_foreach(json_object_get(group, "rows"), r, row)
            ck_assert_int_lt(json_integer_value(json_array_get(row, 3)), 256); /* no number of an import leaves the garden */
        exported += r;
    }
    ck_assert_uint_eq(exported, readings);
    json_decref(whole);
    snprintf(path, sizeof path, "/api/v1/tanks/%s", roof);
    tank = caller_get(&caller, path);
    ck_assert_int_eq(json_is_number(json_object_get(json_object_get(tank, "state"), "waterline_mm")), readings > 0);
    json_decref(tank);
}

START_TEST(slices_are_seen_all_at_once)
{
    struct fault fault = {0};
    struct slice slice;

    all_see(0, 0);
    slice = begin_slices(50);
    all_see(0, 0);
    slice.from = 50;
    slice.to = 120;
    ck_assert_int_eq(store_write(caller.service.garden->store, put_slice, &slice, &fault), 0);
    all_see(0, 0);
    ck_assert_int_eq(count_in_file("SELECT count(*) FROM sensed"), 120);
    ck_assert_int_eq(readings_import_end(caller.service.garden, &fault), 0);
    all_see(120, 1);
    ck_assert_int_eq(count_in_file("SELECT count(*) FROM sensed_import_slice"), 0);
}
END_TEST

START_TEST(what_a_crash_left_is_never_seen_and_cleared)
{
    static const struct timespec moment = {.tv_nsec = 1000000};
    struct fault fault = {0};
    json_t *job;

    begin_slices(100);
    garden_close(caller.service.garden); /* nothing of it was ended */
    caller.service.garden = garden_open(caller.path, &fault);
    all_see(0, 0);
    while (count_in_file("SELECT count(*) FROM sensed") || count_in_file("SELECT count(under_way) FROM sensed_import"))
        nanosleep(&moment, NULL);
    all_see(0, 0);
    for (int again = 0; again < 2; again++) { /* and the next one is none the worse, also where it comes before the clearing */
        char table[] = "at,level\n2026-01-01T09:00:00Z,200\n2026-01-01T09:01:00Z,201\n";

        while (job = caller_get(&caller, "/api/v1/imports"), strcmp(text_of(json_array_get(json_object_get(job, "items"), 0), "state"), "running") == 0) {
            json_decref(job);
            nanosleep(&moment, NULL);
        }
        json_decref(job);
        job = send_table("at_column=1&waterline_column=2&tank=Roof&as=sensor&sensor=float", table);
        must_be(job, "done", 2, again ? 0 : 2);
        json_decref(job);
        all_see(2, 1);
    }
}
END_TEST

/* The sensor's own word for a moment that is being brought in stands, whatever becomes of the import. */
START_TEST(readings_told_meanwhile_stay)
{
    struct fault fault = {0};
    struct slice slice = begin_slices(10), own = {.sensor_key = slice.sensor_key, .tank_key = slice.tank_key, .from = 3, .to = 4};

    ck_assert_int_eq(store_write(caller.service.garden->store, put_slice, &own, &fault), 0);
    ck_assert_int_eq(count_in_file("SELECT count(*) FROM sensed"), 10);
    ck_assert_int_eq(readings_import_undo(caller.service.garden, &fault), 0);
    ck_assert_int_eq(count_in_file("SELECT count(*) FROM sensed"), 1);
    ck_assert_int_eq(count_in_file("SELECT at_ms FROM sensed"), MINUTE + 3 * 60000);
    ck_assert_int_eq(count_in_file("SELECT odd FROM sensed"), 0);
}
END_TEST

START_TEST(one_that_is_cancelled_leaves_nothing)
{
    static const struct timespec moment = {.tv_nsec = 1000000};
    size_t length = 0, room = 40 * 60000;
    char *table = malloc(room), path[200];
    json_t *job;

    length += (size_t)snprintf(table, room, "at,level\n");
    for (int i = 0; i < 60000; i++)
        length += (size_t)snprintf(table + length, room - length, "2025-%02d-%02dT%02d:%02d:00Z,%d\n", 1 + i / 1440 / 28, 1 + i / 1440 % 28, i / 60 % 24, i % 60, 200 - i / 1000);
    job = caller_ask(&caller, &(struct asking){.method = "POST", .path = "/api/v1/imports/readings?at_column=1&waterline_column=2&tank=Roof&as=sensor&sensor=float",
                                               .body = table, .length = length, .content_type = "text/csv"});
    snprintf(path, sizeof path, "/api/v1/imports/%s", text_of(job, "id"));
    while (number_of(job, "kept") == 0 && strcmp(text_of(job, "state"), "running") == 0) {
        json_decref(job);
        nanosleep(&moment, NULL);
        job = caller_get(&caller, path);
    }
    ck_assert_str_eq(text_of(job, "state"), "running");
    json_decref(job);
    all_see(0, 0);
    caller_send(&caller, "DELETE", path, NULL);
    ck_assert_uint_eq(caller.status, 204);
    job = wait_for(path + strlen("/api/v1/imports/"));
    ck_assert_str_eq(text_of(job, "state"), "cancelled");
    ck_assert_double_eq(number_of(job, "kept"), 0);
    json_decref(job);
    all_see(0, 0);
    ck_assert_int_eq(count_in_file("SELECT count(*) FROM sensed"), 0);
    job = send_table("at_column=1&waterline_column=2&tank=Roof&as=sensor&sensor=float", table);
    must_be(job, "done", 60000, 60000);
    json_decref(job);
    ck_assert_uint_eq(items_at("/api/v1/sensors"), 1);
    ck_assert_int_eq(count_in_file("SELECT count(*) FROM sensor"), 1);
    free(table);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("import_readings");
    TCase *tcase = tcase_create("import_readings");

    tcase_add_checked_fixture(tcase, open_it, close_it);
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, table_becomes_readings_once);
    tcase_add_test(tcase, looking_keeps_nothing);
    tcase_add_loop_test(tcase, what_is_wrong_is_told_by_row_and_column, 0, COUNT(wrongs));
    tcase_add_test(tcase, many_rows_are_a_loggers);
    tcase_add_test(tcase, table_is_looked_at);
    tcase_add_loop_test(tcase, columns_must_make_sense, 0, COUNT(asked));
    tcase_add_loop_test(tcase, dates_and_times_are_read, 0, COUNT(moments));
    tcase_add_test(tcase, summer_time_begins_and_ends);
    tcase_add_test(tcase, hours_that_never_were_or_were_twice_are_told);
    tcase_add_test(tcase, slices_are_seen_all_at_once);
    tcase_add_test(tcase, what_a_crash_left_is_never_seen_and_cleared);
    tcase_add_test(tcase, readings_told_meanwhile_stay);
    tcase_add_test(tcase, one_that_is_cancelled_leaves_nothing);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
