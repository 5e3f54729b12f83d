/* What sensors tell: kept raw, marked where something speaks against it, small on the disk, and as good for the outlook when one a
 * day is read as when all are. Sensors, their faults and the tank are invented; a seeded generator makes the noise. */
#include "garden/readings.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/log.h"
#include "garden/standing.h"
#include "garden/tank_log.h"
#include "garden_file.h"
#include "runner.h"

#define MINUTE ((int64_t)60000)
#define HOUR (60 * MINUTE)
#define DAY (24 * HOUR)
#define BEGIN (20000 * DAY) /* 2024-10-04 */

static struct garden *garden;
static struct arena arena;
static char path[4096];
static const char *sensor_id;
static struct tank_row tank, other_tank;
static const struct who keeper = {.role = ROLE_KEEPER};
static uint64_t draw_state;

static double draw(void)
{
    draw_state = draw_state * 6364136223846793005u + 1442695040888963407u;
    return (double)(draw_state >> 11) / 9007199254740992.0;
}

#define DONE(call) ck_assert_msg((call) == 0, "%s %s", fault.count ? fault.item[0].at : "", fault.count ? fault.item[0].detail : "")

static void open_new(void)
{
    struct lid_cup cups[] = {{80, 80}, {200, 80}, {80, 200}, {200, 200}};
    struct vessel_row vessel = {.name = "tub", .shape = VESSEL_ROUND, .floor_l_mm = 300, .floor_w_mm = NAN, .rim_l_mm = 300, .rim_w_mm = NAN,
                                .height_mm = 300, .corner_mm = NAN, .lid_l_mm = NAN, .pattern = -1, .cups = {cups, 4}, .cup_height_mm = NAN,
                                .cup_top_mm = NAN, .cup_bottom_mm = NAN, .cup_medium_fraction = NAN, .start_mm = 260, .low_mm = 30};
    struct fault fault = {0};
    struct garden_row row;
    struct sensor_row sensor;
    const char *names[1];
    char key[TOKEN_TEXT];
    bool made;

    snprintf(path, sizeof path, "%s", garden_file_new("readings"));
    garden = garden_open(path, &fault);
    ck_assert_ptr_nonnull(garden);
    DONE(garden_settings(garden, &row, &arena, &fault));
    row.latitude_deg = 45;
    DONE(garden_settings_write(garden, &row, &fault));
    DONE(garden_vessel_add(garden, &vessel, &made, &arena, &fault));
    tank = (struct tank_row){.name = "one", .vessel = vessel.id};
    other_tank = (struct tank_row){.name = "other", .vessel = vessel.id};
    DONE(garden_tank_add(garden, &tank, &made, &arena, &fault));
    DONE(garden_tank_add(garden, &other_tank, &made, &arena, &fault));
    names[0] = tank.id;
    DONE(people_sensor_add(garden, "float", &(struct list){names, 1}, &sensor, key, &arena, &fault));
    sensor_id = sensor.id;
    draw_state = 20260501;
}

static void close_it(void)
{
    garden_close(garden);
    arena_end(&arena);
    garden_file_remove(path);
}

/* ---- telling ---- */

static struct reading_told at(int64_t ms, double waterline_mm, double temperature_c)
{
    return (struct reading_told){.tank = tank.id, .at_ms = ms, .waterline_mm = waterline_mm, .air_gap_mm = NAN, .ec_ms_cm = NAN, .ph = NAN, .temperature_c = temperature_c};
}

static struct list told_at_once(struct reading_told *reading, size_t count, int64_t received_ms, int64_t sent_ms)
{
    const struct readings_told told = {.sensor = sensor_id, .sent_ms = sent_ms, .received_ms = received_ms, .readings = {reading, count}};
    struct fault fault = {0};
    struct list kept;

    DONE(garden_readings(garden, &keeper, &told, &kept, &arena, &fault));
    ck_assert_uint_eq(kept.count, count);
    return kept;
}

/* One, received as it was read; what speaks against it. */
static int64_t tell(int64_t ms, double waterline_mm, double temperature_c)
{
    struct reading_told one = at(ms, waterline_mm, temperature_c);
    struct list kept = told_at_once(&one, 1, ms + 500, STORE_NO_INT);

    return ((struct reading_kept *)kept.item)->reading.odd;
}

static struct list thinned(int64_t from_ms, int64_t to_ms, int64_t every_ms, const int64_t *cuts, size_t cut_count)
{
    const struct sensed_step step = {INT64_MAX, every_ms};
    const struct sensed_ask ask = {.tank_key = tank.key, .from_ms = from_ms, .to_ms = to_ms, .steps = &step, .cuts = cuts, .cut_count = cut_count};
    struct fault fault = {0};
    struct list readings;
    struct db *db = store_read(garden->store, &fault);

    DONE(sensed_thinned(db, &ask, &readings, &arena, &fault));
    store_done(garden->store, db);
    return readings;
}

static const struct sensed *one_of(const struct list *readings, size_t i)
{
    ck_assert_uint_lt(i, readings->count);
    return (const struct sensed *)readings->item + i;
}

/* ---- what speaks against one ---- */

START_TEST(a_slip_is_marked_and_a_new_level_is_not)
{
    for (int i = 0; i < 5; i++)
        ck_assert_int_eq(tell(BEGIN + i * MINUTE, 200 - i * 0.1, NAN), 0);
    ck_assert_int_eq(tell(BEGIN + 5 * MINUTE, 20, NAN), ODD_JUMP);
    ck_assert_int_eq(tell(BEGIN + 6 * MINUTE, 199.5, NAN), 0);
    /* Somebody fills it up: the third that agrees is believed. */
    ck_assert_int_eq(tell(BEGIN + 7 * MINUTE, 250, NAN), ODD_JUMP);
    ck_assert_int_eq(tell(BEGIN + 8 * MINUTE, 250.2, NAN), ODD_JUMP);
    ck_assert_int_eq(tell(BEGIN + 9 * MINUTE, 250.1, NAN), 0);
    ck_assert_int_eq(tell(BEGIN + 10 * MINUTE, 250, NAN), 0);
    /* A day without a word: plants may have drunk 50 mm. */
    ck_assert_int_eq(tell(BEGIN + DAY, 200, NAN), 0);
}
END_TEST

START_TEST(a_clock_that_is_off_is_marked)
{
    struct reading_told one = at(BEGIN, 200, NAN);
    struct list kept;

    ck_assert_int_eq(tell(BEGIN, 200, NAN), 0);
    one.at_ms = BEGIN + 2 * HOUR; /* still to come */
    kept = told_at_once(&one, 1, BEGIN + MINUTE, STORE_NO_INT);
    ck_assert_int_eq(((struct reading_kept *)kept.item)->reading.odd, ODD_CLOCK);
    one.at_ms = 5 * MINUTE; /* 1970: it was never set */
    kept = told_at_once(&one, 1, BEGIN + MINUTE, STORE_NO_INT);
    ck_assert_int_eq(((struct reading_kept *)kept.item)->reading.odd, ODD_CLOCK);
    one.at_ms = BEGIN + MINUTE; /* looks right, but the sensor says that it is an hour earlier */
    kept = told_at_once(&one, 1, BEGIN + MINUTE, BEGIN - HOUR);
    ck_assert_int_eq(((struct reading_kept *)kept.item)->reading.odd, ODD_CLOCK);
    /* None of them stands in the way of the next. */
    ck_assert_int_eq(tell(BEGIN + 2 * MINUTE, 200, NAN), 0);
}
END_TEST

START_TEST(told_twice_is_kept_once_and_told_otherwise_is_marked)
{
    struct reading_told one = at(BEGIN, 200, 20);
    struct list kept;

    ck_assert_int_eq(tell(BEGIN, 200, 20), 0);
    kept = told_at_once(&one, 1, BEGIN + HOUR, STORE_NO_INT);
    ck_assert(((struct reading_kept *)kept.item)->known);
    one.waterline_mm = 199;
    kept = told_at_once(&one, 1, BEGIN + HOUR, STORE_NO_INT);
    ck_assert(!((struct reading_kept *)kept.item)->known);
    ck_assert_int_eq(((struct reading_kept *)kept.item)->reading.odd, ODD_AGAIN);
    kept = told_at_once(&one, 1, BEGIN + 2 * HOUR, STORE_NO_INT);
    ck_assert(((struct reading_kept *)kept.item)->known); /* and that once more, too */
    kept = thinned(BEGIN - DAY, BEGIN + DAY, DAY, NULL, 0);
    ck_assert_uint_eq(kept.count, 1);
    ck_assert_double_eq(one_of(&kept, 0)->waterline_mm, 200);
}
END_TEST

START_TEST(late_ones_are_believed_by_a_clock_that_is_right)
{
    struct reading_told late[] = {at(BEGIN + 20 * MINUTE, 199.4, NAN), at(BEGIN + 10 * MINUTE, 199.8, NAN)};
    struct reading_told lost = at(BEGIN + 30 * MINUTE, 199.2, NAN);
    struct list kept;

    tell(BEGIN, 200, NAN);
    tell(BEGIN + HOUR, 199, NAN);
    kept = told_at_once(late, 2, BEGIN + 61 * MINUTE, BEGIN + 61 * MINUTE);
    ck_assert_int_eq(((struct reading_kept *)kept.item)[0].reading.odd, ODD_LATE);
    ck_assert_int_eq(((struct reading_kept *)kept.item)[1].reading.odd, ODD_LATE);
    kept = told_at_once(&lost, 1, BEGIN + 62 * MINUTE, STORE_NO_INT);
    ck_assert_int_eq(((struct reading_kept *)kept.item)->reading.odd, ODD_ORDER);
    kept = thinned(BEGIN, BEGIN + HOUR, 10 * MINUTE, NULL, 0);
    ck_assert_uint_eq(kept.count, 3);
}
END_TEST

START_TEST(a_float_that_sticks_is_found)
{
    for (int hour = 0; hour < 47; hour++)
        ck_assert_int_eq(tell(BEGIN + hour * HOUR, 180, 20.5), 0);
    tell(BEGIN + 47 * HOUR, 180, 20.5);
    tell(BEGIN + 48 * HOUR, 180, 20.5);
    ck_assert_int_eq(tell(BEGIN + 49 * HOUR, 180, 20.5), ODD_STUCK);
    ck_assert_int_eq(tell(BEGIN + 50 * HOUR, 179, 20.6), 0); /* it moves again */
}
END_TEST

/* Seedlings drink so little that a float without a thermometer may rest for days. */
START_TEST(water_may_stand_still_for_days)
{
    for (int hour = 0; hour < 7 * 24; hour++)
        ck_assert_int_eq(tell(BEGIN + hour * HOUR, 180, NAN), 0);
    tell(BEGIN + 7 * 24 * HOUR, 180, NAN);
    ck_assert_int_eq(tell(BEGIN + 7 * 24 * HOUR + HOUR, 180, NAN), ODD_STUCK);
}
END_TEST

START_TEST(all_or_nothing_with_each_fault_told)
{
    struct reading_told some[] = {at(BEGIN, 200, NAN), at(BEGIN + 1, 301, NAN), at(BEGIN + 2, NAN, NAN), at(BEGIN + 3, 200, NAN)};
    const struct readings_told told = {.sensor = sensor_id, .sent_ms = STORE_NO_INT, .received_ms = BEGIN, .readings = {some, 4}};
    struct fault fault = {0};
    struct list kept;

    some[3].tank = other_tank.id;
    ck_assert_int_eq(garden_readings(garden, &keeper, &told, &kept, &arena, &fault), -1);
    ck_assert_uint_eq(fault.count, 3);
    ck_assert_str_eq(fault.item[0].at, "/readings/1/waterline_mm");
    ck_assert_str_eq(fault.item[1].at, "/readings/2");
    ck_assert_str_eq(fault.item[2].at, "/readings/3/tank");
    kept = thinned(0, BEGIN * 2, DAY, NULL, 0);
    ck_assert_uint_eq(kept.count, 0);
}
END_TEST

/* ---- what is not believed ---- */

/* The same by looking at all there is. Readings more than fill a page of the store, so that pages join without a gap or a double. */
START_TEST(what_is_not_believed_is_found_and_counted)
{
    struct doubt_row doubt = {.tank = tank.id, .from_ms = BEGIN + 100 * MINUTE, .to_ms = BEGIN + 139 * MINUTE};
    struct sensed_page all = {.tank_key = tank.key, .from_ms = BEGIN, .before_ms = INT64_MAX, .limit = 10000};
    struct fault fault = {0};
    struct list list;
    struct readings_odd odd;
    const struct sensed *reading, *found;
    size_t expected = 0, compared = 0;
    struct db *db;
    bool before;

    for (int i = 0; i < 4500; i += 500) {
        struct reading_told some[500];

        for (int j = 0; j < 500; j++) /* each 90th is far off */
            some[j] = at(BEGIN + (i + j) * MINUTE, (i + j) % 90 == 40 ? 20 : 250 - (i + j) * 0.01 + draw(), 18 + draw());
        told_at_once(some, 500, BEGIN + (i + 500) * MINUTE, BEGIN + (i + 500) * MINUTE);
    }
    DONE(garden_doubt(garden, &keeper, &doubt, &before, &arena, &fault));
    db = store_read(garden->store, &fault);
    DONE(sensed_page(db, &all, &list, &arena, &fault));
    DONE(readings_odd_of(db, tank.key, BEGIN, INT64_MAX, 60, &odd, &arena, &fault));
    store_done(garden->store, db);
    reading = list.item;
    found = odd.readings.item;
    for (size_t i = 0; i < list.count; i++) {
        if (!readings_not_believed(&reading[i]))
            continue;
        if (compared < odd.readings.count)
            ck_assert_int_eq(found[compared++].at_ms, reading[i].at_ms);
        expected++;
    }
    ck_assert_uint_eq(list.count, 4500);
    ck_assert_int_eq(odd.looked, 4500);
    ck_assert_int_eq(odd.odd, (int64_t)expected);
    ck_assert_uint_ge(expected, 40 + 48); /* the doubted stretch, and those far off beyond it */
    ck_assert_uint_eq(compared, 60);
    ck_assert_int_eq(odd.from_ms, BEGIN);
}
END_TEST

/* ---- doubts ---- */

START_TEST(people_doubt_a_stretch_and_believe_it_again)
{
    struct doubt_row doubt = {.tank = tank.code, .from_ms = BEGIN + 10 * HOUR, .to_ms = BEGIN + 20 * HOUR, .why = "it lay on the table"};
    struct fault fault = {0};
    struct list left;
    bool before;

    for (int hour = 0; hour < 24; hour++)
        tell(BEGIN + hour * HOUR, 200 - hour, NAN);
    DONE(garden_doubt(garden, &keeper, &doubt, &before, &arena, &fault));
    left = thinned(BEGIN, BEGIN + DAY, HOUR, NULL, 0);
    ck_assert_uint_eq(left.count, 13);
    DONE(garden_doubt(garden, &keeper, &doubt, &before, &arena, &fault));
    ck_assert(before);
    DONE(garden_doubt_lift(garden, &keeper, doubt.id, &fault));
    left = thinned(BEGIN, BEGIN + DAY, HOUR, NULL, 0);
    ck_assert_uint_eq(left.count, 24);
}
END_TEST

/* ---- thinned ---- */

struct filling {
    int64_t from_ms, every_ms, count;
    double level_mm, fall_mm;
};

/* Rows as a sensor of two months leaves them, put in directly. */
static int fill_up(struct db *db, void *context, struct fault *fault)
{
    const struct filling *filling = context;

    for (int64_t i = 0; i < filling->count; i++) {
        struct sensed reading = {.tank_key = tank.key, .sensor_key = 1, .at_ms = filling->from_ms + i * filling->every_ms, .ec_ms_cm = NAN, .ph = NAN,
                                 .temperature_c = 20, .waterline_mm = filling->level_mm - filling->fall_mm * (double)i + draw() - 0.5};

        reading.received_ms = reading.at_ms;
        if (sensed_add(db, &reading, fault))
            return -1;
    }
    return 0;
}

START_TEST(one_a_day_and_none_across_a_deed)
{
    struct filling before = {BEGIN, MINUTE, 1440 * 2 + 600, 250, 0.01}, after = {BEGIN + 2 * DAY + 600 * MINUTE, MINUTE, 840, 258, 0.01};
    int64_t cut = after.from_ms;
    struct fault fault = {0};
    struct list days;

    DONE(store_write(garden->store, fill_up, &before, &fault));
    DONE(store_write(garden->store, fill_up, &after, &fault));
    days = thinned(BEGIN, BEGIN + 3 * DAY, DAY, &cut, 1);
    ck_assert_uint_eq(days.count, 4);
    for (size_t i = 0; i < days.count; i++) {
        const struct sensed *day = one_of(&days, i);
        double minutes = (double)(day->at_ms - (i < 3 ? before.from_ms : after.from_ms)) / (double)MINUTE;
        double level_mm = (i < 3 ? before.level_mm : after.level_mm) - 0.01 * minutes;

        ck_assert_double_eq_tol(day->waterline_mm, level_mm, 0.6); /* half a millimetre of noise, and the rounding */
    }
    ck_assert_int_lt(one_of(&days, 2)->at_ms, cut);
    ck_assert_int_ge(one_of(&days, 3)->at_ms, cut);
}
END_TEST

/* ---- the outlook by one a day, and by all ---- */

static void log_one(struct entry entry, int kind, int64_t at_ms)
{
    struct fault fault = {0};
    struct entry stored;
    bool before;
    char id[37];

    clock_uuid(id);
    entry.id = id;
    entry.tank = tank.id;
    entry.kind = kind;
    entry.at_ms = entry.received_ms = at_ms;
    DONE(garden_log(garden, &keeper, &entry, &stored, &before, &arena, &fault));
}

static int grow(struct db *db, void *context, struct fault *fault)
{
    const int64_t *from_ms = context;

    for (int64_t i = 1; i < 30 * 48; i++) {
        double day = (double)i / 48;
        struct sensed reading = {.tank_key = tank.key, .sensor_key = 1, .at_ms = *from_ms + i * 30 * MINUTE, .ec_ms_cm = NAN, .ph = NAN, .temperature_c = NAN,
                                 .waterline_mm = 260 - 0.3 * day - 200 / (1 + exp((36 - day) / 4.5)) + 2 * (draw() - 0.5)};

        reading.received_ms = reading.at_ms;
        if (sensed_add(db, &reading, fault))
            return -1;
    }
    return 0;
}

static void look(struct db *db, const struct standing_place *place, const struct list *entries, struct standing *standing)
{
    const struct outlook_prior none = {NAN, NAN, NAN, NAN};
    struct fault fault = {0};

    *standing = (struct standing){.tank = tank};
    ck_assert_int_eq(vessels_by_key(db, tank.vessel_key, &standing->vessel, &arena, &fault), 1);
    DONE(tank_state_fold(&standing->vessel, entries, place->garden.time_zone, &standing->state, &arena, &fault));
    DONE(standing_outlook(place, standing, &none, &arena, &fault));
    ck_assert_ptr_nonnull(standing->outlook);
}

/* All of them, as if people had logged each. */
static struct list every_one(struct db *db)
{
    struct fault fault = {0};
    struct list entries, raw;
    struct entry *all;
    size_t log;

    DONE(entries_of_tank(db, tank.key, &entries, &arena, &fault));
    DONE(sensed_rest(db, &(struct sensed){.tank_key = tank.key}, 10000, &raw, &arena, &fault));
    log = entries.count;
    all = arena_take(&arena, (log + raw.count) * sizeof *all);
    memcpy(all, entries.item, log * sizeof *all);
    for (size_t i = 0; i < raw.count; i++)
        DONE(sensed_entry((const struct sensed *)raw.item + i, &all[log + i], &arena, &fault));
    return (struct list){all, log + raw.count};
}

START_TEST(outlook_by_one_a_day_is_that_by_all)
{
    int64_t now_ms = BEGIN + 600 * DAY, from_ms = now_ms - 30 * DAY; /* late in May */
    const struct tank_log_ask ask = {.tank_key = tank.key, .since_ms = INT64_MAX, .to_ms = INT64_MAX};
    struct entry fill = entry_blank(), planting = entry_blank();
    struct fault fault = {0};
    struct standing_place place;
    struct standing by_all, by_few;
    struct list few, all;
    struct db *db;

    fill.waterline_mm = 260;
    planting.crop = "lettuce-leaf";
    planting.count = 4;
    log_one(fill, ENTRY_FILL, from_ms);
    log_one(planting, ENTRY_PLANTING, from_ms + 1000);
    DONE(store_write(garden->store, grow, &from_ms, &fault));
    db = store_read(garden->store, &fault);
    DONE(standing_place(db, now_ms, &place, &arena, &fault));
    all = every_one(db);
    DONE(tank_log_read(db, &ask, &few, &arena, &fault));
    ck_assert_uint_gt(all.count, 1400);
    ck_assert_uint_lt(few.count, 40);
    look(db, &place, &all, &by_all);
    look(db, &place, &few, &by_few);
    store_done(garden->store, db);
    printf("outlook by all %zu readings: low on day %d (%d to %d), %.3f L a day; by %zu: %d (%d to %d), %.3f\n", all.count - 2,
           by_all.outlook->low_on.p50 - place.today, by_all.outlook->low_on.p10 - place.today, by_all.outlook->low_on.p90 - place.today,
           by_all.outlook->use_l_day.p50, few.count - 2, by_few.outlook->low_on.p50 - place.today, by_few.outlook->low_on.p10 - place.today,
           by_few.outlook->low_on.p90 - place.today, by_few.outlook->use_l_day.p50);
    /* Each lies well within what the other one does not know. */
    ck_assert_int_ge(by_few.outlook->low_on.p50, by_all.outlook->low_on.p10);
    ck_assert_int_le(by_few.outlook->low_on.p50, by_all.outlook->low_on.p90);
    ck_assert_int_ge(by_all.outlook->low_on.p50, by_few.outlook->low_on.p10);
    ck_assert_int_le(by_all.outlook->low_on.p50, by_few.outlook->low_on.p90);
    ck_assert_double_eq_tol(by_few.outlook->use_l_day.p50, by_all.outlook->use_l_day.p50, 0.2 * by_all.outlook->use_l_day.p50);
    ck_assert_double_eq_tol(by_few.outlook->waterline_now_mm, by_all.outlook->waterline_now_mm, 2);
}
END_TEST

/* ---- on the disk ---- */

static int many_at_once(struct db *db, void *context, struct fault *fault)
{
    (void)context;
    for (int64_t i = 0; i < 4000; i++)
        for (int64_t t = 0; t < 10; t++) { /* ten sensors at one tank stand for ten tanks: the key goes by moment all the same */
            struct sensed reading = {.tank_key = t % 2 ? tank.key : other_tank.key, .sensor_key = 1, .at_ms = BEGIN + i * MINUTE + t, .ec_ms_cm = 1.4 + 0.1 * draw(),
                                     .ph = NAN, .temperature_c = 19 + draw(), .waterline_mm = 240 - 0.01 * (double)i};

            reading.received_ms = reading.at_ms + 1500;
            if (sensed_add(db, &reading, fault))
                return -1;
        }
    return 0;
}

START_TEST(a_reading_takes_few_bytes)
{
    struct fault fault = {0};
    sqlite3 *sqlite;
    sqlite3_stmt *stmt;
    double bytes;

    DONE(store_write(garden->store, many_at_once, NULL, &fault));
    ck_assert_int_eq(sqlite3_open_v2(path, &sqlite, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    if (sqlite3_prepare_v2(sqlite, "SELECT sum(pgsize) FROM dbstat WHERE name IN ('sensed', 'sqlite_autoindex_sensed_1')", -1, &stmt, NULL) != SQLITE_OK)
        ck_abort_msg("this SQLite has no dbstat: %s", sqlite3_errmsg(sqlite));
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    bytes = sqlite3_column_double(stmt, 0) / 40000;
    sqlite3_finalize(stmt);
    sqlite3_close(sqlite);
    printf("a sensor's reading takes %.1f bytes on disk\n", bytes);
    ck_assert_double_lt(bytes, 60);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("garden/readings");
    TCase *tests = tcase_create("readings");

    tcase_add_checked_fixture(tests, open_new, close_it);
    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, a_slip_is_marked_and_a_new_level_is_not);
    tcase_add_test(tests, a_clock_that_is_off_is_marked);
    tcase_add_test(tests, told_twice_is_kept_once_and_told_otherwise_is_marked);
    tcase_add_test(tests, late_ones_are_believed_by_a_clock_that_is_right);
    tcase_add_test(tests, a_float_that_sticks_is_found);
    tcase_add_test(tests, water_may_stand_still_for_days);
    tcase_add_test(tests, all_or_nothing_with_each_fault_told);
    tcase_add_test(tests, what_is_not_believed_is_found_and_counted);
    tcase_add_test(tests, people_doubt_a_stretch_and_believe_it_again);
    tcase_add_test(tests, one_a_day_and_none_across_a_deed);
    tcase_add_test(tests, outlook_by_one_a_day_is_that_by_all);
    tcase_add_test(tests, a_reading_takes_few_bytes);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
