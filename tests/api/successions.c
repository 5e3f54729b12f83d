/* Successions that people keep: the plan against what the log says was done. The garden is invented, under lamps, so that growth is even. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "caller.h"
#include "garden/clock.h"
#include "garden/garden.h"
#include "garden/successions.h"
#include "runner.h"

static struct caller caller;
static int32_t today;

#define TUB "00000000-0000-7000-8000-000000000001"
#define ONE "00000000-0000-7000-8000-000000000011"
#define PLAN "00000000-0000-7000-8000-000000000021"
#define ID(n) "00000000-0000-7000-8000-0000000001" #n
#define DAY ((int64_t)24 * 60 * 60 * 1000)

static const char *date(int32_t day)
{
    static char text[8][16];
    static int turn;
    time_t at = (time_t)day * 86400;
    struct tm tm;

    turn = (turn + 1) % 8;
    gmtime_r(&at, &tm);
    strftime(text[turn], sizeof text[turn], "%Y-%m-%d", &tm);
    return text[turn];
}

static void open_garden(void)
{
    caller_open(&caller, "successions");
    today = (int32_t)(clock_now_ms() / DAY);
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden",
                              "{\"time_zone\":\"UTC\",\"place\":\"lamps\",\"climate\":{\"indoor\":{\"temperature_c\":21,\"rh_percent\":65,\"ppfd_umol\":200,\"hours\":16}}}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"" TUB "\",\"name\":\"tub\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[900,600],\"rim_mm\":[900,600],\"height_mm\":420},"
                              "\"cups\":[{\"x_mm\":80,\"y_mm\":80},{\"x_mm\":180,\"y_mm\":80},{\"x_mm\":280,\"y_mm\":80},{\"x_mm\":380,\"y_mm\":80},{\"x_mm\":480,\"y_mm\":80}],"
                              "\"cup\":{\"height_mm\":76,\"top_mm\":76,\"bottom_mm\":50},\"low_mm\":40}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"" ONE "\",\"name\":\"one\",\"vessel\":\"" TUB "\"}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"" ID(01) "\",\"tank\":\"" ONE "\",\"kind\":\"fill\",\"at\":\"%sT00:00:00Z\",\"waterline_mm\":380}", date(today)));
}

static void close_garden(void)
{
    caller_close(&caller);
}

/* Two lettuces every three weeks from ten weeks on. */
static json_t *keep(unsigned status, int count)
{
    return caller_expect(&caller, status, "POST", "/api/v1/successions",
                         "{\"id\":\"" PLAN "\",\"name\":\"salads\",\"crop\":\"lettuce-leaf\",\"count\":%d,\"every_days\":21,\"from\":\"%s\",\"to\":\"%s\",\"tanks\":[\"" ONE "\"]}", count,
                         date(today + 70), date(today + 141));
}

static json_t *step_of(const json_t *season, size_t nth)
{
    return json_array_get(json_object_get(season, "steps"), nth);
}

static void log_one(const char *id, const char *kind, const char *rest)
{
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"%s\",\"tank\":\"" ONE "\",\"kind\":\"%s\",\"at\":\"%sT00:00:01Z\"%s}", id, kind, date(today), rest));
}

START_TEST(kept_once_and_told_again)
{
    json_t *first = keep(201, 2), *again, *list;

    ck_assert_uint_eq(json_array_size(json_object_get(first, "steps")), 4);
    ck_assert_double_eq(number_of(first, "planned"), 8);
    ck_assert_double_eq(number_of(first, "missing"), 8);
    ck_assert_double_eq(number_of(first, "placed"), 8);
    ck_assert_str_eq(text_of(step_of(first, 0), "state"), "coming");
    ck_assert_str_eq(text_of(step_of(first, 0), "now_plant_on"), text_of(step_of(first, 0), "plant_on"));
    json_decref(first);
    again = keep(200, 2);
    json_decref(again);
    json_decref(keep(409, 1));
    list = caller_get(&caller, "/api/v1/successions");
    ck_assert_uint_eq(json_array_size(json_object_get(list, "items")), 1);
    json_decref(list);
    json_decref(caller_expect(&caller, 404, "GET", "/api/v1/successions/" ONE, NULL));
}
END_TEST

START_TEST(plan_follows_what_was_planted_lost_and_harvested)
{
    json_t *season = keep(201, 2), *step;

    json_decref(season);
    log_one(ID(02), "planting", ",\"crop\":\"lettuce-leaf\",\"cups\":[1,2]");
    season = caller_get(&caller, "/api/v1/successions/" PLAN);
    step = step_of(season, 0);
    ck_assert_str_eq(text_of(step, "state"), "growing");
    ck_assert_double_eq(number_of(step, "hanging"), 2);
    ck_assert_str_eq(text_of(step, "planted_on"), date(today));
    ck_assert_double_eq(number_of(season, "missing"), 6);
    json_decref(season);
    log_one(ID(03), "loss", ",\"cups\":[2],\"reason\":\"rot\"");
    season = caller_get(&caller, "/api/v1/successions/" PLAN);
    step = step_of(season, 0);
    ck_assert_double_eq(number_of(step, "lost"), 1);
    ck_assert_double_eq(number_of(step, "missing"), 1);
    ck_assert_double_eq(number_of(step, "now_plants"), 1); /* there is time to plant it again */
    ck_assert_str_eq(text_of(step, "now_harvest_on"), text_of(step, "harvest_on"));
    ck_assert_double_eq(number_of(season, "missing"), 7);
    json_decref(season);
    log_one(ID(04), "harvest", ",\"how\":\"whole\",\"cups\":[1],\"weight_g\":150");
    season = caller_get(&caller, "/api/v1/successions/" PLAN);
    step = step_of(season, 0);
    ck_assert_double_eq(number_of(step, "harvested"), 1);
    ck_assert_str_eq(text_of(step, "state"), "harvested");
    json_decref(season);
    log_one(ID(05), "note", ",\"withdraws\":\"" ID(03) "\"");
    season = caller_get(&caller, "/api/v1/successions/" PLAN);
    ck_assert_double_eq(number_of(season, "lost"), 0);
    json_decref(season);
}
END_TEST

START_TEST(late_planting_moves_its_harvest)
{
    struct season season;
    struct season_step *step;
    struct arena arena = {0};
    struct fault fault = {0};
    json_t *kept = keep(201, 2);
    int32_t plant_on;

    json_decref(kept);
    ck_assert_int_eq(garden_season(caller.service.garden, PLAN, clock_now_ms(), &season, &arena, &fault), 1);
    plant_on = ((struct season_step *)season.steps.item)[0].planned.plant_day;
    ck_assert_int_gt(plant_on, today);
    /* Five days after the day of the first planting nothing was planted. */
    ck_assert_int_eq(garden_season(caller.service.garden, PLAN, clock_now_ms() + (plant_on + 5 - today) * DAY, &season, &arena, &fault), 1);
    step = season.steps.item;
    ck_assert_int_eq(step[0].state, SEASON_LATE);
    ck_assert_int_eq(step[0].plant_on, plant_on + 5);
    ck_assert_int_ge(step[0].harvest_on, step[0].planned.harvest_day + 4);
    ck_assert_int_le(step[0].harvest_on, step[0].planned.harvest_day + 6); /* under lamps a day is a day */
    ck_assert_int_eq(step[1].state, SEASON_COMING);
    ck_assert_int_eq(step[1].harvest_on, step[1].planned.harvest_day);
    arena_end(&arena);
}
END_TEST

START_TEST(cups_taken_by_others_leave_no_room)
{
    json_t *season = keep(201, 2);

    ck_assert_double_eq(number_of(season, "placed"), 8);
    json_decref(season);
    /* A crop that stays: its outlook ends after the season, so its cups are not counted on. */
    log_one(ID(02), "planting", ",\"crop\":\"cauliflower\",\"cups\":[1,2,3,4]");
    season = caller_get(&caller, "/api/v1/successions/" PLAN);
    ck_assert_double_lt(number_of(season, "placed"), 8);
    ck_assert_double_ge(number_of(season, "bound"), number_of(season, "placed"));
    json_decref(season);
}
END_TEST

START_TEST(today_and_calendar_tell_what_is_due_until_it_ended)
{
    json_t *season = keep(201, 2), *day;
    int32_t wait;

    json_decref(season);
    caller_get(&caller, "/api/v1/calendar.ics");
    ck_assert_ptr_nonnull(strstr(caller.bytes, "plant-0@"));
    ck_assert_ptr_nonnull(strstr(caller.bytes, "sow-3@"));
    day = caller_get(&caller, "/api/v1/today");
    ck_assert_uint_eq(json_array_size(json_object_get(day, "season")), 0); /* the first day is weeks away */
    json_decref(day);
    {
        struct season found;
        struct list due;
        struct arena arena = {0};
        struct fault fault = {0};
        struct db *db;

        ck_assert_int_eq(garden_season(caller.service.garden, PLAN, clock_now_ms(), &found, &arena, &fault), 1);
        wait = ((struct season_step *)found.steps.item)[0].planned.plant_day;
        db = store_read(caller.service.garden->store, &fault);
        ck_assert_int_eq(successions_due(db, "UTC", wait + 3, wait + 3, &due, &arena, &fault), 0);
        ck_assert_uint_ge(due.count, 1);
        ck_assert(!((struct season_due *)due.item)[0].sow);
        ck_assert_int_eq(((struct season_due *)due.item)[0].day, wait); /* late */
        store_done(caller.service.garden->store, db);
        arena_end(&arena);
    }
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/successions/" PLAN, "{\"ended\":true}"));
    caller_get(&caller, "/api/v1/calendar.ics");
    ck_assert_ptr_null(strstr(caller.bytes, "plant-"));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("successions");
    TCase *tcase = tcase_create("successions");

    tcase_add_checked_fixture(tcase, open_garden, close_garden);
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, kept_once_and_told_again);
    tcase_add_test(tcase, plan_follows_what_was_planted_lost_and_harvested);
    tcase_add_test(tcase, late_planting_moves_its_harvest);
    tcase_add_test(tcase, cups_taken_by_others_leave_no_room);
    tcase_add_test(tcase, today_and_calendar_tell_what_is_due_until_it_ended);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
