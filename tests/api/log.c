/* The log over the API: kept once, corrected by those who may, never half-written. The garden is invented. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "caller.h"
#include "garden/garden.h"
#include "runner.h"
#include "store/members.h"
#include "garden/clock.h"
#include "garden/standing.h"

static struct caller caller;
static struct who tavi, odo; /* two growers */

#define TANK "00000000-0000-7000-8000-000000000001"
#define VESSEL "00000000-0000-7000-8000-000000000002"
#define ID(n) "00000000-0000-7000-8000-0000000001" #n

static int add_members(struct db *db, void *context, struct fault *fault)
{
    struct member_row row[] = {{.id = ID(90), .name = "Tavi", .role = ROLE_GROWER, .joined_ms = 1, .removed_ms = STORE_NO_INT},
                               {.id = ID(91), .name = "Odo", .role = ROLE_GROWER, .joined_ms = 1, .removed_ms = STORE_NO_INT}};

    (void)context;
    if (members_add(db, &row[0], fault) || members_add(db, &row[1], fault))
        return -1;
    tavi = (struct who){.role = ROLE_GROWER, .member = row[0].key};
    odo = (struct who){.role = ROLE_GROWER, .member = row[1].key};
    return 0;
}

static void open_garden(void)
{
    struct fault fault = {0};

    caller_open(&caller, "log");
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"%s\",\"name\":\"tub\",\"shape\":{\"shape\":\"round\",\"floor_mm\":260,\"rim_mm\":300,\"height_mm\":360},"
                              "\"cups\":[{\"x_mm\":80,\"y_mm\":80},{\"x_mm\":180,\"y_mm\":80}],"
                              "\"cup\":{\"height_mm\":76,\"top_mm\":76,\"bottom_mm\":50},\"low_mm\":40}",
                              VESSEL));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"%s\",\"name\":\"one\",\"vessel\":\"%s\"}", TANK, VESSEL));
    ck_assert_int_eq(store_write(caller.service.garden->store, add_members, NULL, &fault), 0);
}

static void close_garden(void)
{
    caller_close(&caller);
}

static json_t *log_as(const struct who *who, unsigned status, const char *body)
{
    json_t *answer = caller_ask(&caller, &(struct asking){.method = "POST", .path = "/api/v1/entries", .body = body,
                                                          .length = strlen(body), .who = who});

    ck_assert_msg(caller.status == status, "%s: %u, not %u: %s", body, caller.status, status, caller.bytes);
    return answer;
}

static size_t count_entries(void)
{
    json_t *page = caller_get(&caller, "/api/v1/entries");
    size_t count = json_array_size(json_object_get(page, "items"));

    json_decref(page);
    return count;
}

#define TUB(id, rest) \
    "{\"id\":\"" id "\",\"name\":\"tub\",\"shape\":{\"shape\":\"round\",\"floor_mm\":260,\"rim_mm\":300,\"height_mm\":360}," \
    "\"cups\":[{\"x_mm\":80,\"y_mm\":80},{\"x_mm\":180,\"y_mm\":80}]," \
    "\"cup\":{\"height_mm\":76,\"top_mm\":76,\"bottom_mm\":50}," rest "}"
#define POURED(points) \
    "{\"id\":\"" ID(05) "\",\"name\":\"jar\",\"shape\":{\"shape\":\"poured\",\"points\":" points "},\"start_mm\":150}"

START_TEST(a_vessel_sent_twice_is_kept_once)
{
    json_t *vessel;

    json_decref(caller_expect(&caller, 200, "POST", "/api/v1/vessels", TUB(VESSEL, "\"low_mm\":40")));
    json_decref(caller_expect(&caller, 200, "POST", "/api/v1/vessels", TUB(VESSEL, "\"low_mm\":40,\"start_mm\":322"))); /* half-way up the cups, told or not */
    json_decref(caller_expect(&caller, 409, "POST", "/api/v1/vessels", TUB(VESSEL, "\"low_mm\":41")));
    vessel = caller_get(&caller, "/api/v1/vessels/" VESSEL);
    ck_assert_double_eq(number_of(vessel, "low_mm"), 40);
    json_decref(vessel);
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels", POURED("[[50,4],[100,9],[200,20]]")));
    json_decref(caller_expect(&caller, 200, "POST", "/api/v1/vessels", POURED("[[50,4],[100,9],[200,20]]")));
    json_decref(caller_expect(&caller, 409, "POST", "/api/v1/vessels", POURED("[[50,4],[100,9.5],[200,20]]")));
    json_decref(caller_expect(&caller, 409, "POST", "/api/v1/vessels", POURED("[[50,4],[200,20]]")));
    vessel = caller_expect(&caller, 200, "PATCH", "/api/v1/vessels/" VESSEL, "{\"low_mm\":60,\"start_mm\":300}");
    ck_assert_double_eq(number_of(vessel, "low_mm"), 60);
    ck_assert_double_eq(number_of(vessel, "start_mm"), 300);
    json_decref(vessel);
    json_decref(caller_expect(&caller, 422, "PATCH", "/api/v1/vessels/" VESSEL, "{\"low_mm\":300}"));
    json_decref(caller_expect(&caller, 409, "POST", "/api/v1/vessels", TUB(VESSEL, "\"low_mm\":40"))); /* meanwhile it was changed */
}
END_TEST

#define READING(n, mm) \
    "{\"id\":\"" ID(n) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"waterline_mm\":" #mm "}"
#define FILL \
    "{\"id\":\"" ID(01) "\",\"tank\":\"" TANK "\",\"kind\":\"fill\",\"at\":\"2026-05-01T07:00:00Z\",\"waterline_mm\":322}"

START_TEST(sent_twice_is_kept_once)
{
    json_t *first = log_as(&tavi, 201, READING(10, 300)), *again = log_as(&odo, 200, READING(10, 300));

    /* Who sends it again does not matter: it is the entry of who logged it. */
    ck_assert(json_equal(first, again));
    ck_assert_str_eq(text_of(again, "member_name"), "Tavi");
    json_decref(first);
    json_decref(again);
    json_decref(log_as(&tavi, 409, READING(10, 301)));
    ck_assert_uint_eq(count_entries(), 1);
}
END_TEST

START_TEST(air_gap_is_kept_as_the_waterline)
{
    json_t *entry = log_as(&tavi, 201, "{\"id\":\"" ID(11) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"air_gap_mm\":100}");

    ck_assert_double_eq(number_of(entry, "waterline_mm"), 260);
    json_decref(entry);
}
END_TEST

/* What is refused, and the field that says why. */
static const struct {
    const char *body, *at;
} refused[] = {
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"waterline_mm\":361}", "/waterline_mm"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"air_gap_mm\":361}", "/air_gap_mm"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"air_gap_mm\":3,\"waterline_mm\":3}", "/air_gap_mm"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\"}", ""},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"ph\":6,\"crop\":\"basil\"}", "/crop"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"fill\",\"at\":\"2026-05-02T07:00:00Z\",\"volume_l\":100}", "/volume_l"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"fill\",\"at\":\"2026-05-02T07:00:00Z\"}", "/volume_l"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"nowhere\",\"kind\":\"clean-out\",\"at\":\"2026-05-02T07:00:00Z\"}", "/tank"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"planting\",\"at\":\"2026-05-02T07:00:00Z\",\"crop\":\"basil\",\"cups\":[1,3]}", "/cups/1"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"planting\",\"at\":\"2026-05-02T07:00:00Z\",\"crop\":\"basil\",\"cups\":[2,2]}", "/cups/1"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"planting\",\"at\":\"2026-05-02T07:00:00Z\",\"count\":1}", "/crop"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"harvest\",\"at\":\"2026-05-02T07:00:00Z\",\"how\":\"whole\",\"kept_fraction\":0.5}", "/kept_fraction"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"harvest\",\"at\":\"2026-05-02T07:00:00Z\"}", "/how"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"note\",\"at\":\"2026-05-02T07:00:00Z\"}", "/note"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"note\",\"at\":\"2026-05-02T07:00:00Z\",\"withdraws\":\"" ID(77) "\"}", "/withdraws"},
    {"{\"id\":\"not-a-uuid-at-all-but-36-bytes-long-x\",\"tank\":\"" TANK "\",\"kind\":\"note\",\"at\":\"2026-05-02T07:00:00Z\",\"note\":\"x\"}", "/id"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"note\",\"at\":\"yesterday\",\"note\":\"x\"}", "/at"},
    {"{\"id\":\"" ID(20) "\",\"tank\":\"" TANK "\",\"kind\":\"note\",\"at\":\"2026-02-30T07:00:00Z\",\"note\":\"x\"}", "/at"},
};

START_TEST(refused_with_a_pointer_and_not_kept)
{
    json_t *problem = log_as(&tavi, 422, refused[_i].body);

    ck_assert_msg(problem_at(problem, refused[_i].at), "%s: %s", refused[_i].at, caller.bytes);
    json_decref(problem);
    ck_assert_uint_eq(count_entries(), 0);
}
END_TEST

#define WITHDRAW(n, what) \
    "{\"id\":\"" ID(n) "\",\"tank\":\"" TANK "\",\"kind\":\"note\",\"at\":\"2026-05-03T07:00:00Z\",\"withdraws\":\"" ID(what) "\"}"

START_TEST(only_who_logged_it_or_a_keeper_may_correct_it)
{
    const struct who keeper = {.role = ROLE_KEEPER};
    json_t *page;

    json_decref(log_as(&tavi, 201, READING(30, 300)));
    json_decref(log_as(&odo, 403, WITHDRAW(31, 30)));
    json_decref(log_as(&odo, 403,
                       "{\"id\":\"" ID(32) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"waterline_mm\":290,"
                       "\"amends\":\"" ID(30) "\"}"));
    ck_assert_uint_eq(count_entries(), 1);
    json_decref(log_as(&tavi, 201, WITHDRAW(33, 30)));
    json_decref(log_as(&tavi, 201, READING(34, 295)));
    json_decref(log_as(&keeper, 201, WITHDRAW(35, 34)));
    page = caller_get(&caller, "/api/v1/entries/" ID(34));
    ck_assert_str_eq(text_of(page, "withdrawn_by"), ID(35)); /* still there, struck through */
    json_decref(page);
}
END_TEST

START_TEST(amendment_changes_the_state_and_keeps_the_history)
{
    json_t *tank, *state, *recent;

    json_decref(log_as(&tavi, 201, FILL));
    json_decref(log_as(&tavi, 201, READING(40, 30)));
    json_decref(log_as(&tavi, 201,
                       "{\"id\":\"" ID(41) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"waterline_mm\":300,"
                       "\"amends\":\"" ID(40) "\"}"));
    tank = caller_get(&caller, "/api/v1/tanks/" TANK);
    state = json_object_get(tank, "state");
    ck_assert_double_eq(number_of(state, "waterline_mm"), 300);
    recent = json_pack("{s:O}", "items", json_object_get(tank, "recent"));
    ck_assert_str_eq(text_of(item_of(recent, "id", ID(40)), "amended_by"), ID(41));
    json_decref(recent);
    json_decref(tank);
}
END_TEST

START_TEST(entry_that_waited_is_told_from_a_clock_that_is_off)
{
    json_t *waited = log_as(&tavi, 201, READING(50, 300)); /* months late, no word of the sender's clock */
    json_t *off = log_as(&tavi, 201,
                         "{\"id\":\"" ID(51) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"waterline_mm\":299,"
                         "\"sent_at\":\"2026-05-02T07:00:30Z\"}");

    ck_assert_ptr_null(json_object_get(waited, "clock_off_ms"));
    ck_assert(number_of(off, "clock_off_ms") != 0);
    json_decref(off);
    off = log_as(&tavi, 201, "{\"id\":\"" ID(52) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2199-05-02T07:00:00Z\",\"ph\":6}");
    ck_assert(number_of(off, "clock_off_ms") < 0); /* nobody observes what is still to come */
    json_decref(waited);
    json_decref(off);
}
END_TEST

/* The waterline of the tank as it stands at a moment. */
static double waterline_by(int64_t now_ms)
{
    struct store *store = caller.service.garden->store;
    struct fault fault = {0};
    struct arena arena = {0};
    struct db *db = store_read(store, &fault);
    struct standing_place place;
    struct standing *standing = arena_take(&arena, sizeof *standing);
    struct tank_row tank;
    double waterline_mm;

    ck_assert(db && standing && tanks_one(db, TANK, &tank, &arena, &fault) == 1);
    ck_assert_int_eq(standing_place(db, now_ms, &place, &arena, &fault), 0);
    ck_assert_int_eq(standing_make(db, &place, &tank, standing, &arena, &fault), 0);
    waterline_mm = standing->state.waterline.value;
    store_done(store, db);
    arena_end(&arena);
    return waterline_mm;
}

START_TEST(what_is_dated_ahead_counts_once_its_time_has_come)
{
    const int64_t in_2199_ms = INT64_C(7236630000000); /* 2199-04-27 */
    json_t *tank, *recent;

    json_decref(log_as(&tavi, 201, FILL));
    json_decref(log_as(&tavi, 201, READING(70, 300)));
    json_decref(log_as(&tavi, 201, "{\"id\":\"" ID(71) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2199-04-01T07:00:00Z\",\"waterline_mm\":100}"));
    tank = caller_get(&caller, "/api/v1/tanks/" TANK);
    ck_assert_double_eq(number_of(json_object_get(tank, "state"), "waterline_mm"), 300);
    recent = json_pack("{s:O}", "items", json_object_get(tank, "recent"));
    ck_assert_str_eq(json_string_value(json_array_get(json_object_get(item_of(recent, "id", ID(71)), "flags"), 0)), "clock_off"); /* still marked */
    json_decref(recent);
    json_decref(tank);
    ck_assert_double_eq(waterline_by(clock_now_ms()), 300);
    ck_assert_double_eq(waterline_by(in_2199_ms), 100);
}
END_TEST

START_TEST(a_tank_without_outlook_says_what_to_log_first)
{
    json_t *problem = caller_expect(&caller, 404, "GET", "/api/v1/tanks/" TANK "/outlook", NULL);

    ck_assert_ptr_nonnull(strstr(caller.bytes, "log a fill of this tank first"));
    json_decref(problem);
    json_decref(log_as(&tavi, 201, FILL));
    problem = caller_expect(&caller, 404, "GET", "/api/v1/tanks/" TANK "/outlook", NULL);
    ck_assert_ptr_nonnull(strstr(caller.bytes, "log a planting first"));
    json_decref(problem);
}
END_TEST

START_TEST(pages_are_walked_by_cursor)
{
    json_t *page;
    char next[128];
    size_t seen = 0;

    json_decref(log_as(&tavi, 201, READING(61, 300)));
    json_decref(log_as(&tavi, 201, READING(62, 301)));
    json_decref(log_as(&tavi, 201, READING(63, 302)));
    page = caller_get(&caller, "/api/v1/entries?limit=2&tank=" TANK);
    seen += json_array_size(json_object_get(page, "items"));
    snprintf(next, sizeof next, "/api/v1/entries?limit=2&after=%s", text_of(page, "next"));
    json_decref(page);
    page = caller_get(&caller, next);
    seen += json_array_size(json_object_get(page, "items"));
    ck_assert(json_is_null(json_object_get(page, "next")));
    ck_assert_uint_eq(seen, 3);
    json_decref(page);
    json_decref(caller_expect(&caller, 422, "GET", "/api/v1/entries?after=elsewhere", NULL));
    json_decref(caller_expect(&caller, 422, "GET", "/api/v1/entries?limit=501", NULL));
    json_decref(caller_expect(&caller, 422, "GET", "/api/v1/entries?colour=blue", NULL));
}
END_TEST

/* From measurements to a tank that knows what it wants, by documents alone. */
START_TEST(today_follows_the_log)
{
    json_t *today;

    today = caller_get(&caller, "/api/v1/today");
    ck_assert_str_eq(text_of(json_array_get(json_object_get(today, "items"), 0), "reason"), "empty");
    json_decref(today);
    json_decref(log_as(&tavi, 201, FILL));
    json_decref(log_as(&tavi, 201, READING(70, 30)));
    today = caller_get(&caller, "/api/v1/today");
    ck_assert_str_eq(text_of(json_array_get(json_object_get(today, "items"), 0), "reason"), "below_low");
    json_decref(today);
}
END_TEST

/* A weighed fill, planted, and read 19 days later: no pH. */
static void log_weighed_fill(void)
{
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/waters",
                              "{\"id\":\"" ID(95) "\",\"name\":\"tap\",\"ph\":7.4,\"alkalinity_mg_caco3_l\":60,\"ca_mg_l\":20,\"mg_mg_l\":4}"));
    json_decref(log_as(&tavi, 201,
                       "{\"id\":\"" ID(96) "\",\"tank\":\"" TANK "\",\"kind\":\"fill\",\"at\":\"2026-05-01T07:00:00Z\",\"waterline_mm\":322,"
                       "\"water\":\"" ID(95) "\",\"weighed\":[{\"salt\":\"monopotassium-phosphate\",\"grams\":3},{\"salt\":\"epsom-salt\",\"grams\":8},"
                       "{\"salt\":\"potassium-nitrate\",\"grams\":8},{\"salt\":\"calcium-nitrate-double\",\"grams\":14}]}"));
    json_decref(log_as(&tavi, 201, "{\"id\":\"" ID(97) "\",\"tank\":\"" TANK "\",\"kind\":\"planting\",\"at\":\"2026-05-01T08:00:00Z\",\"crop\":\"basil\",\"count\":2}"));
    json_decref(log_as(&tavi, 201, "{\"id\":\"" ID(98) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-20T08:00:00Z\",\"waterline_mm\":200,\"ec_ms_cm\":1.5}"));
}

/* What the fill was made of says how EC and pH go, and what a top-up should be. */
START_TEST(fill_that_was_weighed_tells_its_course)
{
    json_t *drift, *topup, *points;

    log_weighed_fill();
    drift = caller_get(&caller, "/api/v1/tanks/" TANK "/drift");
    points = json_object_get(drift, "points");
    ck_assert_double_gt(number_of(json_array_get(points, 0), "waterline_mm"), number_of(json_array_get(points, json_array_size(points) - 1), "waterline_mm"));
    ck_assert_double_gt(number_of(json_array_get(points, 0), "ec_ms_cm"), 0.5);
    ck_assert(json_is_null(json_object_get(drift, "alkalinity_shift_mmol_l"))); /* no pH was read */
    ck_assert_int_eq(json_integer_value(json_object_get(drift, "ph_readings")), 0);
    json_decref(drift);
    topup = caller_get(&caller, "/api/v1/tanks/" TANK "/topup");
    ck_assert_double_le(number_of(topup, "to_mm"), 200 + 20 + 1e-6); /* under the ceiling */
    ck_assert_uint_ge(json_array_size(json_object_get(topup, "why")), 1);
    json_decref(topup);
}
END_TEST

/* Acid went in and nobody noted it: the course comes down to the readings, and says by how much. */
START_TEST(measured_ph_sets_the_course)
{
    json_t *blind, *drift, *points;
    double unset_ph;

    log_weighed_fill();
    blind = caller_get(&caller, "/api/v1/tanks/" TANK "/drift");
    unset_ph = number_of(json_array_get(json_object_get(blind, "points"), 0), "ph");
    ck_assert_double_gt(unset_ph, 7.0);
    json_decref(blind);
    json_decref(log_as(&tavi, 201, "{\"id\":\"" ID(99) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-05-01T08:30:00Z\",\"ph\":5.9}"));
    /* After a top-up it is other water: what is read then counts no more. */
    json_decref(log_as(&tavi, 201, "{\"id\":\"" ID(89) "\",\"tank\":\"" TANK "\",\"kind\":\"top-up\",\"at\":\"2026-05-20T08:30:00Z\",\"volume_l\":1,\"ph\":8.8}"));
    drift = caller_get(&caller, "/api/v1/tanks/" TANK "/drift");
    points = json_object_get(drift, "points");
    ck_assert_double_eq_tol(number_of(json_array_get(points, 0), "ph"), 5.9, 0.05);
    ck_assert_double_lt(number_of(drift, "alkalinity_shift_mmol_l"), -0.5);
    ck_assert_double_gt(number_of(drift, "alkalinity_shift_mmol_l"), -2.0);
    ck_assert_int_eq(json_integer_value(json_object_get(drift, "ph_readings")), 1);
    json_decref(drift);
}
END_TEST

START_TEST(fill_that_was_not_weighed_tells_no_course)
{
    json_decref(log_as(&tavi, 201, FILL));
    json_decref(caller_expect(&caller, 404, "GET", "/api/v1/tanks/" TANK "/drift", NULL));
}
END_TEST

/* ---- without script ---- */

static void send_form(const char *body, unsigned status)
{
    json_decref(caller_ask(&caller, &(struct asking){.method = "POST", .path = "/plain/log", .body = body, .length = strlen(body),
                                                     .content_type = "application/x-www-form-urlencoded", .origin = "http://localhost"}));
    ck_assert_msg(caller.status == status, "%s: %u, not %u: %s", body, caller.status, status, caller.bytes ? caller.bytes : "");
}

START_TEST(form_without_script_logs_in_the_gardens_units)
{
    json_t *entry;

    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden", "{\"length_unit\":\"in\"}"));
    send_form("id=" ID(80) "&tank=" TANK "&kind=reading&waterline=10%2C5&ec=&ph=6.1&note=a+%26+b", 303);
    entry = caller_get(&caller, "/api/v1/entries/" ID(80));
    ck_assert_double_eq_tol(number_of(entry, "waterline_mm"), 10.5 * 25.4, 1e-9);
    ck_assert_str_eq(text_of(entry, "note"), "a & b");
    json_decref(entry);
    send_form("id=" ID(80) "&tank=" TANK "&kind=reading&waterline=10%2C5&ec=&ph=6.1&note=a+%26+b", 303); /* a double tap */
    ck_assert_uint_eq(count_entries(), 1);
}
END_TEST

START_TEST(form_that_cannot_be_used_comes_back)
{
    send_form("id=" ID(81) "&tank=" TANK "&kind=reading&waterline=1,234.5", 422);
    ck_assert_ptr_nonnull(strstr(caller.bytes, "<form"));
    send_form("id=" ID(81) "&tank=" TANK "&kind=reading&waterline=9999", 422);
    ck_assert_uint_eq(count_entries(), 0);
    json_decref(caller_ask(&caller, &(struct asking){.method = "POST", .path = "/plain/log", .body = "a=b", .length = 3,
                                                     .content_type = "application/x-www-form-urlencoded", .origin = "http://evil.example"}));
    ck_assert_uint_eq(caller.status, 403);
}
END_TEST

START_TEST(what_people_typed_never_becomes_markup)
{
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/tanks/" TANK, "{\"name\":\"<script>alert(1)</script>\"}"));
    json_decref(caller_send(&caller, "GET", "/plain", NULL));
    ck_assert_uint_eq(caller.status, 200);
    ck_assert_ptr_null(strstr(caller.bytes, "<script"));
    ck_assert_ptr_nonnull(strstr(caller.bytes, "&lt;script&gt;"));
    json_decref(caller_send(&caller, "GET", "/plain/tank/" TANK, NULL));
    ck_assert_ptr_null(strstr(caller.bytes, "<script"));
}
END_TEST

START_TEST(label_tells_a_stranger_what_the_garden_chose)
{
    const struct who stranger = {.role = ROLE_NONE};

    json_decref(caller_ask(&caller, &(struct asking){.method = "GET", .path = "/t/" TANK, .who = &stranger}));
    ck_assert_uint_eq(caller.status, 404);
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden", "{\"label_shows\":\"crop\"}"));
    json_decref(caller_ask(&caller, &(struct asking){.method = "GET", .path = "/t/" TANK, .who = &stranger}));
    ck_assert_uint_eq(caller.status, 200);
    ck_assert_ptr_null(strstr(caller.bytes, "<form"));
    json_decref(caller_send(&caller, "GET", "/t/" TANK, NULL)); /* a keeper goes on to the tank */
    ck_assert_uint_eq(caller.status, 302);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("log");
    TCase *tcase = tcase_create("log");

    tcase_add_checked_fixture(tcase, open_garden, close_garden);
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, a_vessel_sent_twice_is_kept_once);
    tcase_add_test(tcase, sent_twice_is_kept_once);
    tcase_add_test(tcase, air_gap_is_kept_as_the_waterline);
    tcase_add_loop_test(tcase, refused_with_a_pointer_and_not_kept, 0, COUNT(refused));
    tcase_add_test(tcase, only_who_logged_it_or_a_keeper_may_correct_it);
    tcase_add_test(tcase, amendment_changes_the_state_and_keeps_the_history);
    tcase_add_test(tcase, entry_that_waited_is_told_from_a_clock_that_is_off);
    tcase_add_test(tcase, what_is_dated_ahead_counts_once_its_time_has_come);
    tcase_add_test(tcase, a_tank_without_outlook_says_what_to_log_first);
    tcase_add_test(tcase, pages_are_walked_by_cursor);
    tcase_add_test(tcase, today_follows_the_log);
    tcase_add_test(tcase, fill_that_was_weighed_tells_its_course);
    tcase_add_test(tcase, measured_ph_sets_the_course);
    tcase_add_test(tcase, fill_that_was_not_weighed_tells_no_course);
    tcase_add_test(tcase, form_without_script_logs_in_the_gardens_units);
    tcase_add_test(tcase, form_that_cannot_be_used_comes_back);
    tcase_add_test(tcase, what_people_typed_never_becomes_markup);
    tcase_add_test(tcase, label_tells_a_stranger_what_the_garden_chose);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
