/* Standings worked out beforehand: what Today says meanwhile, and what is left of them after a start. The garden is invented. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "caller.h"
#include "garden/standing_keeper.h"
#include "garden/standing_pack.h"
#include "runner.h"

#define TANKS 80 /* more than a round waits for */

static struct caller caller;

static void keep_standings(void)
{
    struct fault fault = {0};

    ck_assert_msg(standing_keeper_start(caller.service.garden, &fault) == 0, "%s", fault.count ? fault.item[0].detail : "");
}

/* Every third tank is planted, every fifth is left empty. */
static void open_garden(void)
{
    caller_open(&caller, "standings");
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden", "{\"latitude_deg\":45}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"01900000-0000-7000-8000-0000000000aa\",\"name\":\"tub\",\"shape\":{\"shape\":\"round\",\"floor_mm\":300,\"rim_mm\":340,"
                              "\"height_mm\":400},\"start_mm\":300,\"low_mm\":60,\"cups\":[{\"x_mm\":100,\"y_mm\":100},{\"x_mm\":200,\"y_mm\":200}]}"));
    for (int i = 0; i < TANKS; i++) {
        json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"01900000-0000-7000-8000-%012d\",\"name\":\"Tank %d\",\"vessel\":\"01900000-0000-7000-8000-0000000000aa\"}", i, i));
        if (i % 5)
            json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"01900000-0001-7000-8000-%012d\",\"tank\":\"01900000-0000-7000-8000-%012d\",\"kind\":\"fill\",\"at\":\"2026-05-0%dT08:00:00Z\",\"waterline_mm\":%d}", i, i, 1 + i % 9, 200 + i));
    }
}

static void close_it(void)
{
    caller_close(&caller);
}

static json_t *today(void)
{
    json_t *answer = caller_get(&caller, "/api/v1/today");

    ck_assert_uint_eq(caller.status, 200);
    return answer;
}

static int64_t count_in(const json_t *answer, const char *member)
{
    return json_integer_value(json_object_get(answer, member));
}

START_TEST(nobody_is_lost_while_it_is_worked_out)
{
    json_t *at_once = today(), *meanwhile, *settled;

    ck_assert_int_eq(count_in(at_once, "behind") + count_in(at_once, "missing"), 0); /* without a keeper one waits */
    keep_standings();
    /* Weather changes all tanks at once: more than are worked out while somebody waits. */
    json_decref(caller_expect(&caller, 200, "POST", "/api/v1/weather", "{\"days\":[{\"date\":\"2026-05-01\",\"tmin_c\":8,\"tmax_c\":20}]}"));
    meanwhile = today();
    ck_assert_int_eq(count_in(meanwhile, "items_total") + count_in(meanwhile, "calm_total"), TANKS);
    ck_assert_int_eq(count_in(meanwhile, "missing"), 0);
    ck_assert(json_is_null(json_object_get(meanwhile, "behind_since")) == (count_in(meanwhile, "behind") == 0));
    standing_keeper_settle(caller.service.garden->keeper);
    settled = today();
    ck_assert_int_eq(count_in(settled, "behind"), 0);
    ck_assert(json_equal(at_once, settled)); /* that weather is long past: nothing else changed */
    json_decref(at_once);
    json_decref(meanwhile);
    json_decref(settled);
}
END_TEST

/* What a person logs is seen at once, however much else is waiting. */
START_TEST(what_was_logged_comes_first)
{
    json_t *before, *after;

    keep_standings();
    standing_keeper_settle(caller.service.garden->keeper);
    for (int turn = 0; turn < 5; turn++) {
        before = today();
        json_decref(caller_expect(&caller, 200, "POST", "/api/v1/weather", "{\"days\":[{\"date\":\"2026-05-01\",\"tmin_c\":8,\"tmax_c\":%d}]}", 20 + turn));
        json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"01900000-0002-7000-8000-%012d\",\"tank\":\"01900000-0000-7000-8000-%012d\",\"kind\":\"fill\",\"at\":\"2026-05-09T08:00:00Z\",\"waterline_mm\":250}", turn, turn * 5));
        after = today();
        for (size_t i = 0; i < json_array_size(json_object_get(after, "items")); i++) {
            const json_t *item = json_array_get(json_object_get(after, "items"), i);
            char name[20];

            snprintf(name, sizeof name, "Tank %d", turn * 5);
            if (strcmp(text_of(item, "name"), name) == 0)
                ck_assert_str_ne(text_of(item, "reason"), "empty");
        }
        json_decref(before);
        json_decref(after);
    }
}
END_TEST

/* A thread that read the tank before somebody logged at it may keep what it made of that afterwards: that settles nothing. */
START_TEST(an_older_look_does_not_settle_it)
{
    const struct standing_short *brief;
    struct fault fault = {0};
    struct arena arena = {0};
    struct standing_place place;
    struct standing_glance glance;
    struct standing standing;
    struct tank_row tank;
    struct tank_mark now;
    struct garden *garden = caller.service.garden;
    struct db *before = store_read(garden->store, &fault), *after;

    ck_assert_ptr_nonnull(before);
    ck_assert_int_eq(standing_place(before, (int64_t)time(NULL) * 1000, &place, &arena, &fault), 0);
    ck_assert_int_eq(tanks_one(before, "01900000-0000-7000-8000-000000000000", &tank, &arena, &fault), 1);
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"01900000-0002-7000-8000-000000000000\",\"tank\":\"01900000-0000-7000-8000-000000000000\","
                              "\"kind\":\"fill\",\"at\":\"2026-05-09T08:00:00Z\",\"waterline_mm\":250}"));
    ck_assert_int_eq(standing_make(before, &place, &tank, &standing, &arena, &fault), 0);
    ck_assert(!standing.state.filled);
    standing_keep(garden, &standing, place.today);
    store_done(garden->store, before);
    after = store_read(garden->store, &fault);
    ck_assert_int_eq(tanks_mark(after, tank.key, &now, &arena, &fault), 1);
    glance = standing_glance(garden, &now, place.today);
    ck_assert_int_eq(glance.kept, STANDING_OLD);
    ck_assert(glance.asked_for);
    ck_assert_int_eq(tanks_by_key(after, tank.key, &tank, &arena, &fault), 1);
    ck_assert_int_eq(standing_short(garden, after, &place, &tank, &brief, &arena, &fault), 0);
    ck_assert(brief->filled);
    glance = standing_glance(garden, &now, place.today);
    ck_assert_int_eq(glance.kept, STANDING_FRESH);
    ck_assert(!glance.asked_for);
    store_done(garden->store, after);
    arena_end(&arena);
}
END_TEST

START_TEST(a_start_finds_them_in_the_file)
{
    struct fault fault = {0};
    struct arena arena = {0};
    struct list marks;
    struct db *db;
    json_t *before, *after;
    int32_t day;

    keep_standings();
    standing_keeper_settle(caller.service.garden->keeper);
    before = today();
    garden_close(caller.service.garden);
    caller.service.garden = garden_open(caller.path, &fault);
    ck_assert_ptr_nonnull(caller.service.garden);
    keep_standings();
    ck_assert_int_eq(garden_today(caller.service.garden, (int64_t)time(NULL) * 1000, &day, &fault), 0);
    db = store_read(caller.service.garden->store, &fault);
    ck_assert_int_eq(tanks_marks(db, &marks, &arena, &fault), 0);
    ck_assert_uint_eq(marks.count, TANKS);
    for (size_t i = 0; i < marks.count; i++)
        ck_assert_int_eq(standing_glance(caller.service.garden, (const struct tank_mark *)marks.item + i, day).kept, STANDING_FRESH);
    store_done(caller.service.garden->store, db);
    after = today();
    ck_assert(json_equal(before, after));
    arena_end(&arena);
    json_decref(before);
    json_decref(after);
}
END_TEST

/* A table of many tanks asks once; what it is told is what each tank's own answer tells. */
START_TEST(the_list_tells_what_was_read_last)
{
    static const char *const names[] = {"waterline_mm", "waterline_at", "ec_ms_cm", "ec_at", "ph", "ph_at", "temperature_c", "temperature_at"};
    json_t *list, *item;
    size_t i, told = 0;

    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"01900000-0002-7000-8000-000000000001\",\"tank\":\"01900000-0000-7000-8000-000000000001\",\"kind\":\"reading\",\"at\":\"2026-05-20T08:00:00Z\",\"ec_ms_cm\":1.7}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"01900000-0002-7000-8000-000000000002\",\"tank\":\"01900000-0000-7000-8000-000000000001\",\"kind\":\"reading\",\"at\":\"2026-05-21T08:00:00Z\",\"ph\":6.1,\"temperature_c\":19.5}"));
    list = caller_get(&caller, "/api/v1/tanks?limit=500");
    ck_assert_uint_eq(json_array_size(json_object_get(list, "items")), TANKS);
    json_array_foreach (json_object_get(list, "items"), i, item) {
        char path[80];
        json_t *tank;

        snprintf(path, sizeof path, "/api/v1/tanks/%s", text_of(item, "id"));
        tank = caller_get(&caller, path);
        for (size_t n = 0; n < sizeof names / sizeof *names; n++) {
            const json_t *last = json_object_get(json_object_get(item, "last"), names[n]);

            ck_assert_msg(last && json_equal(last, json_object_get(json_object_get(tank, "state"), names[n])), "%s of %s", names[n], path);
            told += !json_is_null(last);
        }
        json_decref(tank);
    }
    ck_assert_uint_eq(told, 2 * TANKS * 4 / 5 + 6); /* every fill's waterline, and the two readings */
    json_decref(list);
}
END_TEST

/* ---- a day later ---- */

static json_t *ask_a_day_later(const char *path)
{
    struct who who = {.role = ROLE_KEEPER};
    json_t *answer = caller_ask(&caller, &(struct asking){.who = &who, .method = "GET", .path = path, .ahead_ms = 24 * 3600 * 1000});

    ck_assert_msg(caller.status == 200, "%s: %u %s", path, caller.status, caller.bytes);
    return answer;
}

/* A tank that drinks and ripens indoors, with weighed salts. */
static void grow_one(void)
{
    time_t filled = time(NULL) - 10 * 24 * 3600;
    char at[40];

    strftime(at, sizeof at, "%Y-%m-%dT08:00:00Z", gmtime(&filled));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden", "{\"climate\":{\"indoor\":{\"temperature_c\":22,\"rh_percent\":60,\"ppfd_umol\":250,\"hours\":16}}}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"01900000-0003-7000-8000-000000000001\",\"tank\":\"01900000-0000-7000-8000-000000000001\",\"kind\":\"fill\",\"at\":\"%s\",\"waterline_mm\":300,\"weighed\":[{\"salt\":\"epsom-salt\",\"grams\":10}]}", at));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"01900000-0003-7000-8000-000000000002\",\"tank\":\"01900000-0000-7000-8000-000000000001\",\"kind\":\"planting\",\"at\":\"%s\",\"crop\":\"lettuce-leaf\",\"count\":2}", at));
}

/* Whether a text of the calendar stands there; without its words, it says their keys. */
static bool calendar_says_as_of(void)
{
    return caller.bytes && strstr(caller.bytes, "calendar.as_of") != NULL;
}

/* The keeper's clock says one day, whoever asks says the next: all tanks are a day behind. */
START_TEST(what_is_a_day_behind_says_so)
{
    json_t *answer, *tanks;
    char today_text[16];

    grow_one();
    json_decref(caller_get(&caller, "/api/v1/needs"));
    keep_standings();
    standing_keeper_settle(caller.service.garden->keeper);
    answer = caller_get(&caller, "/api/v1/needs");
    ck_assert_int_eq(count_in(answer, "tanks"), 1);
    ck_assert_int_eq(count_in(answer, "behind"), 0);
    ck_assert(json_is_null(json_object_get(answer, "behind_since")));
    snprintf(today_text, sizeof today_text, "%s", text_of(answer, "from"));
    json_decref(answer);
    json_decref(caller_get(&caller, "/api/v1/calendar.ics"));
    ck_assert(strstr(caller.bytes, "BEGIN:VEVENT") != NULL && !calendar_says_as_of());

    answer = ask_a_day_later("/api/v1/needs");
    ck_assert_int_eq(count_in(answer, "behind"), 1);
    ck_assert_str_eq(text_of(answer, "behind_since"), today_text);
    json_decref(answer);
    tanks = ask_a_day_later("/api/v1/tanks?limit=500");
    ck_assert_uint_eq(json_array_size(json_object_get(tanks, "items")), TANKS);
    ck_assert_str_eq(text_of(json_object_get(item_of(tanks, "name", "Tank 1"), "outlook"), "behind_since"), today_text);
    json_decref(tanks);
    json_decref(ask_a_day_later("/api/v1/calendar.ics"));
    ck_assert(calendar_says_as_of());
    json_decref(ask_a_day_later("/plain"));
    ck_assert(calendar_says_as_of());
}
END_TEST

/* A round must not pass by a tank because it was calm yesterday, and nobody waits for ten thousand of them. */
START_TEST(a_round_waits_for_few_tanks_only)
{
    static const char area[] = "{\"area\":\"01900000-0000-7000-8000-0000000000bb\"}";
    struct who who = {.role = ROLE_KEEPER};
    struct asking asking = {.who = &who, .method = "POST", .path = "/api/v1/rounds", .body = "{}", .length = 2, .ahead_ms = 24 * 3600 * 1000};
    json_t *problem;

    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/areas", "{\"id\":\"01900000-0000-7000-8000-0000000000bb\",\"name\":\"corner\"}"));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/tanks/01900000-0000-7000-8000-000000000007", "%s", area));
    grow_one();
    keep_standings();
    standing_keeper_settle(caller.service.garden->keeper);
    problem = caller_ask(&caller, &asking);
    ck_assert_uint_eq(caller.status, 409);
    ck_assert_str_eq(text_of(problem, "detail"), "80 tanks are still being worked out for today; try again in a moment");
    json_decref(problem);
    asking.body = area;
    asking.length = strlen(area);
    json_decref(caller_ask(&caller, &asking));
    ck_assert_msg(caller.status == 201, "%u %s", caller.status, caller.bytes);
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/rounds", "{}")); /* today all are worked out */
}
END_TEST

/* ---- the bytes ---- */

static struct standing_short *example(void)
{
    struct standing_short *brief = calloc(1, sizeof *brief + 2 * sizeof(struct advice));

    brief->advice_count = 2;
    brief->has_outlook = true;
    brief->drawing = (struct standing_drawing){300, 250, 30, NAN, 211.5, 400, 420, 6, 4};
    brief->last = (struct standing_last){{212, 1000}, {NAN, STORE_NO_INT}, {6.1, -5}, {19.5, 3000}};
    brief->low_on = (struct outlook_dates){20600, 20604, DAYS_NONE};
    brief->advice[0] = (struct advice){.reason = ADVICE_RUNS_LOW, .urgency = 1.5, .when = {20600, 20604, DAYS_NONE}, .act = ENTRY_TOP_UP};
    brief->advice[0].with = (struct advice_with){12.5, 230, NAN, 3, NAN, NAN, NAN, topup_strength_key[TOPUP_DILUTE], NULL, "an entry", NULL};
    brief->advice[1] = (struct advice){.reason = ADVICE_HARVEST_DUE, .urgency = 2, .act = -1};
    brief->advice[1].with.crop = "";
    return brief;
}

START_TEST(bytes_come_back_and_broken_ones_do_not)
{
    struct standing_short *brief = example(), *back;
    size_t length, size, refused = 0;
    unsigned char *bytes = standing_pack(brief, &length);

    back = standing_unpack(bytes, length, &size);
    ck_assert_ptr_nonnull(back);
    ck_assert_int_eq(back->advice[0].reason, ADVICE_RUNS_LOW);
    ck_assert_ptr_eq(back->advice[0].with.strength, topup_strength_key[TOPUP_DILUTE]);
    ck_assert_str_eq(back->advice[0].with.entry, "an entry");
    ck_assert_ptr_null(back->advice[0].with.other);
    ck_assert_str_eq(back->advice[1].with.crop, "");
    ck_assert_int_eq(back->advice[1].act, -1);
    ck_assert_int_eq(back->low_on.p90, DAYS_NONE);
    ck_assert(back->drawing.waterline_mm == 211.5 && isnan(back->drawing.ceiling_mm) && back->drawing.planted == 4);
    ck_assert(back->last.waterline.value == 212 && back->last.ph.at_ms == -5 && back->last.temperature.at_ms == 3000);
    ck_assert(isnan(back->last.ec.value) && back->last.ec.at_ms == STORE_NO_INT);
    free(back);
    for (size_t cut = 0; cut < length; cut++)
        ck_assert_ptr_null(standing_unpack(bytes, cut, &size));
    for (size_t i = 0; i < length; i++)
        for (int bit = 0; bit < 8; bit++) {
            bytes[i] ^= (unsigned char)(1 << bit);
            back = standing_unpack(bytes, length, &size); /* whatever it says, it lies within its own memory */
            refused += back == NULL;
            free(back);
            bytes[i] ^= (unsigned char)(1 << bit);
        }
    ck_assert_uint_gt(refused, 500);
    free(bytes);
    free(brief);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/standings");
    TCase *garden = tcase_create("garden"), *bytes = tcase_create("bytes");

    tcase_add_checked_fixture(garden, open_garden, close_it);
    tcase_set_timeout(garden, 60);
    tcase_add_test(garden, nobody_is_lost_while_it_is_worked_out);
    tcase_add_test(garden, what_was_logged_comes_first);
    tcase_add_test(garden, an_older_look_does_not_settle_it);
    tcase_add_test(garden, a_start_finds_them_in_the_file);
    tcase_add_test(garden, the_list_tells_what_was_read_last);
    tcase_add_test(garden, what_is_a_day_behind_says_so);
    tcase_add_test(garden, a_round_waits_for_few_tanks_only);
    suite_add_tcase(suite, garden);
    tcase_add_test(bytes, bytes_come_back_and_broken_ones_do_not);
    suite_add_tcase(suite, bytes);
    return run_suite(suite);
}
