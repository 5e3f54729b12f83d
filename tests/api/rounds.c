/* Rounds, duties and walking order over the API, in the invented garden of the demo. The rules are ours. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/demo.h"
#include "api/shape.h"
#include "caller.h"
#include "garden/clock.h"
#include "garden/garden.h"
#include "runner.h"
#include "store/members.h"

static struct caller caller;
static struct who tavi, sunniva, odo; /* two growers and a visitor of the demo garden */

static int find_members(struct db *db, void *context, struct fault *fault)
{
    static const struct {
        const char *id;
        struct who *who;
    } row[] = {{"9e22791b-96b3-5250-966e-f5c1d9450fbe", &tavi}, {"d5c331d0-80ba-50f8-9856-54ec155c96df", &sunniva}, {"74ec9399-2b63-5306-85ca-20f5ba0f9836", &odo}};

    for (size_t i = 0; i < COUNT(row); i++) {
        struct member_row member;

        if (members_one(db, row[i].id, &member, context, fault) != 1)
            return -1;
        *row[i].who = (struct who){.role = (enum role)member.role, .member = member.key, .member_id = row[i].id};
    }
    return 0;
}

static void open_demo(void)
{
    struct fault fault = {0};
    static struct arena arena;

    caller_open(&caller, "api-rounds");
    ck_assert_msg(demo_load(&caller.service, &fault) == 0, "%s", fault.item[0].detail);
    ck_assert_int_eq(store_write(caller.service.garden->store, find_members, &arena, &fault), 0);
}

static void close_it(void)
{
    caller_close(&caller);
}

static json_t *as(const struct who *who, unsigned status, const char *method, const char *path, const char *body)
{
    json_t *answer = caller_ask(&caller, &(struct asking){.method = method, .path = path, .body = body, .length = body ? strlen(body) : 0, .who = who});

    ck_assert_msg(caller.status == status, "%s %s %s: %u, not %u: %s", method, path, body ? body : "", caller.status, status, caller.bytes);
    return answer;
}

/* ---- what to carry ---- */

#define THIRSTY "00000000-0000-7000-8000-000000000301"

static double grams_of(const json_t *salts, const char *salt)
{
    size_t i;
    json_t *item;

    json_array_foreach(salts, i, item)
        if (strcmp(text_of(item, "salt"), salt) == 0)
            return number_of(item, "grams");
    return NAN;
}

static void log_days_ago(int days, const char *id, const char *rest)
{
    char at[32];

    shape_instant(at, clock_now_ms() - days * DAY_MS);
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"00000000-0000-7000-8000-0000000003%s\",\"tank\":\"" THIRSTY "\",\"at\":\"%s\",%s}",
                              id, at, rest));
}

/* A tank that has drunk nearly all, salts and water alike: it asks for solution, not for plain water. */
static void add_a_thirsty_tank(void)
{
    json_t *vessels = caller_get(&caller, "/api/v1/vessels");

    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"" THIRSTY "\",\"name\":\"Thirsty\",\"vessel\":\"%s\"}",
                              text_of(item_of(vessels, "name", "Roof tote"), "id")));
    log_days_ago(12, "01", "\"kind\":\"fill\",\"waterline_mm\":80,\"target\":\"universal\",\"weighed\":[{\"salt\":\"calcium-nitrate-double\",\"grams\":12},"
                           "{\"salt\":\"potassium-nitrate\",\"grams\":6},{\"salt\":\"monopotassium-phosphate\",\"grams\":3},{\"salt\":\"epsom-salt\",\"grams\":5}]");
    log_days_ago(11, "02", "\"kind\":\"planting\",\"crop\":\"basil\",\"cups\":[1,2,3,4]");
    log_days_ago(1, "03", "\"kind\":\"reading\",\"waterline_mm\":44,\"ec_ms_cm\":0.5,\"ph\":6.9");
    json_decref(vessels);
}

START_TEST(carries_what_each_tank_asks_for)
{
    json_t *round = (add_a_thirsty_tank(), as(&tavi, 201, "POST", "/api/v1/rounds", "{}")), *stop, *salt, *carry = json_object_get(round, "carry"), *water;
    double litres = 0, by_strength = 0, grams = 0, sum = 0;
    size_t i, s, watered = 0, weighed = 0;

    json_array_foreach(json_object_get(round, "stops"), i, stop) {
        json_t *with = json_object_get(stop, "with"), *topup;
        char path[128];

        ck_assert_int_eq((int)number_of(stop, "stop"), (int)i + 1);
        if (strcmp(text_of(stop, "act"), "top-up") != 0 || !json_object_get(with, "litres") || number_of(with, "litres") <= 0)
            continue;
        watered++;
        litres += number_of(with, "litres");
        snprintf(path, sizeof path, "/api/v1/tanks/%s/topup", text_of(stop, "tank"));
        topup = caller_get(&caller, path);
        ck_assert_double_eq_tol(number_of(with, "litres"), number_of(topup, "add_l"), 1e-9);
        ck_assert_str_eq(text_of(with, "strength"), text_of(topup, "strength"));
        json_array_foreach(json_object_get(topup, "grams"), s, salt) {
            double mine = grams_of(json_object_get(stop, "grams"), text_of(salt, "salt"));

            if (number_of(salt, "grams") > 0)
                ck_assert_double_eq_tol(mine, number_of(salt, "grams"), 1e-9);
            weighed++;
        }
        json_array_foreach(json_object_get(stop, "grams"), s, salt)
            grams += number_of(salt, "grams");
        ck_assert_uint_gt(json_array_size(json_object_get(stop, "cautions")), 0);
        json_decref(topup);
    }
    ck_assert_uint_gt(watered, 0);
    ck_assert_uint_gt(weighed, 0);
    json_array_foreach(json_object_get(carry, "water"), i, water)
        by_strength += number_of(water, "litres");
    json_array_foreach(json_object_get(carry, "salts"), i, salt)
        sum += number_of(salt, "grams");
    ck_assert_double_eq_tol(number_of(carry, "litres"), litres, 1e-9);
    ck_assert_double_eq_tol(by_strength, litres, 1e-9);
    ck_assert_double_eq_tol(sum, grams, 1e-9);
    json_decref(round);
}
END_TEST

/* "Not today" holds for a round as for Today. */
START_TEST(what_was_put_off_is_left_out)
{
    json_t *today = caller_get(&caller, "/api/v1/today"), *first = json_array_get(json_object_get(today, "items"), 0), *round, *stop;
    char tank[64], reason[32];
    size_t i;

    snprintf(tank, sizeof tank, "%s", text_of(first, "tank"));
    snprintf(reason, sizeof reason, "%s", text_of(first, "reason"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/putoffs", "{\"tank\":\"%s\",\"reason\":\"%s\",\"days\":1}", tank, reason));
    round = as(&tavi, 201, "POST", "/api/v1/rounds", "{}");
    json_array_foreach(json_object_get(round, "stops"), i, stop)
        ck_assert(strcmp(text_of(stop, "tank"), tank) != 0 || strcmp(text_of(stop, "reason"), reason) != 0);
    json_decref(today);
    json_decref(round);
}
END_TEST

/* Every tank that Today lists, each once; without the empty ones unless they were asked for. */
START_TEST(stops_are_those_of_today)
{
    json_t *today = caller_get(&caller, "/api/v1/today"), *round = as(&tavi, 201, "POST", "/api/v1/rounds", "{}"), *all, *item, *stop;
    size_t i, s, empty = 0;
    char path[128], body[128];

    json_array_foreach(json_object_get(today, "items"), i, item) {
        size_t found = 0;

        json_array_foreach(json_object_get(round, "stops"), s, stop)
            found += strcmp(text_of(stop, "tank"), text_of(item, "tank")) == 0;
        ck_assert_uint_eq(found, strcmp(text_of(item, "reason"), "empty") != 0);
        empty += strcmp(text_of(item, "reason"), "empty") == 0;
    }
    ck_assert_uint_gt(empty, 0);
    snprintf(path, sizeof path, "/api/v1/rounds/%s/acts", text_of(round, "id"));
    snprintf(body, sizeof body, "{\"id\":\"%s\",\"what\":\"end\"}", "00000000-0000-7000-8000-0000000004e1");
    json_decref(as(&tavi, 200, "POST", path, body));
    all = as(&tavi, 201, "POST", "/api/v1/rounds", "{\"empty\":true}");
    ck_assert_uint_eq(json_array_size(json_object_get(all, "stops")), json_array_size(json_object_get(today, "items")));
    json_decref(today);
    json_decref(round);
    json_decref(all);
}
END_TEST

START_TEST(an_entry_closes_its_stop_for_all_to_see)
{
    json_t *round = (add_a_thirsty_tank(), as(&tavi, 201, "POST", "/api/v1/rounds", "{}")), *seen, *stop = json_array_get(json_object_get(round, "stops"), 0);
    char path[128], body[512], tag[64], stamp[32];

    ck_assert_str_eq(text_of(stop, "name"), "Thirsty"); /* in no area: it comes first */
    ck_assert_str_eq(text_of(stop, "act"), "top-up");
    snprintf(path, sizeof path, "/api/v1/rounds/%s", text_of(round, "id"));
    json_decref(caller_get(&caller, path));
    snprintf(tag, sizeof tag, "%s", caller.etag);
    ck_assert_ptr_null(caller_ask(&caller, &(struct asking){.method = "GET", .path = path, .if_none_match = tag}));
    ck_assert_uint_eq(caller.status, 304);
    snprintf(stamp, sizeof stamp, "%s", text_of(round, "made_at"));
    snprintf(body, sizeof body, "{\"id\":\"00000000-0000-7000-8000-000000000501\",\"tank\":\"%s\",\"kind\":\"top-up\",\"at\":\"%s\",\"volume_l\":0.5}",
             text_of(stop, "tank"), stamp);
    json_decref(as(&sunniva, 201, "POST", "/api/v1/entries", body));
    seen = as(&tavi, 200, "GET", path, NULL);
    stop = json_array_get(json_object_get(seen, "stops"), 0);
    ck_assert_str_eq(text_of(stop, "state"), "done");
    ck_assert_str_eq(text_of(stop, "by_name"), "Sunniva");
    ck_assert_str_ne(caller.etag, tag);
    json_decref(seen);
    json_decref(round);
}
END_TEST

START_TEST(visitors_look_and_no_more)
{
    json_t *round = as(&tavi, 201, "POST", "/api/v1/rounds", "{}");
    char path[128];

    snprintf(path, sizeof path, "/api/v1/rounds/%s/acts", text_of(round, "id"));
    json_decref(as(&odo, 403, "POST", path, "{\"id\":\"00000000-0000-7000-8000-000000000601\",\"what\":\"take\"}"));
    json_decref(as(&odo, 403, "POST", "/api/v1/rounds", "{}"));
    json_decref(as(&odo, 403, "POST", "/api/v1/duties", "{\"tank\":\"x\"}"));
    json_decref(as(&odo, 200, "GET", "/api/v1/rounds", NULL));
    json_decref(as(&odo, 200, "GET", "/api/v1/duties", NULL));
    json_decref(as(&tavi, 403, "PATCH", "/api/v1/walk/top", "{\"tanks\":[],\"tanks_were\":[]}"));
    json_decref(round);
}
END_TEST

START_TEST(bad_acts_change_nothing)
{
    json_t *round = as(&tavi, 201, "POST", "/api/v1/rounds", "{}"), *problem;
    static const struct {
        const char *body, *at;
        unsigned status;
    } row[] = {{"{\"id\":\"00000000-0000-7000-8000-000000000701\",\"what\":\"skip\"}", "/stop", 422},
               {"{\"id\":\"00000000-0000-7000-8000-000000000701\",\"what\":\"skip\",\"stop\":299}", "/stop", 422},
               {"{\"id\":\"00000000-0000-7000-8000-000000000701\",\"what\":\"take\",\"area\":\"nowhere\"}", "/area", 422},
               {"{\"id\":\"00000000-0000-7000-8000-000000000701\",\"what\":\"skip\",\"stop\":1,\"area\":\"x\"}", "/area", 422},
               {"{\"id\":\"no-uuid-at-all-but-as-long-as-one-xx\",\"what\":\"take\"}", "/id", 422}};
    char path[128];
    uint64_t hash;

    snprintf(path, sizeof path, "/api/v1/rounds/%s/acts", text_of(round, "id"));
    hash = caller_hash(&caller);
    for (size_t i = 0; i < COUNT(row); i++) {
        problem = as(&tavi, row[i].status, "POST", path, row[i].body);
        ck_assert_msg(problem_at(problem, row[i].at), "%s: %s", row[i].body, caller.bytes);
        json_decref(problem);
    }
    json_decref(as(&tavi, 404, "POST", "/api/v1/rounds/00000000-0000-7000-8000-0000000007ff/acts", row[0].body));
    json_decref(as(&tavi, 422, "POST", "/api/v1/rounds", "{\"area\":\"nowhere\"}"));
    ck_assert_uint_eq(caller_hash(&caller), hash);
    json_decref(round);
}
END_TEST

/* ---- walking order ---- */

/* {"tanks":[...],"tanks_were":[...]} with the first of the first list moved to its end. */
static void order_body(const json_t *walk, bool turned, char *body, size_t size)
{
    json_t *tanks = json_array(), *were = json_array(), *item, *document = json_object();
    size_t i;
    char *text;

    json_array_foreach(json_object_get(walk, "tanks"), i, item) {
        json_array_append_new(tanks, json_string(text_of(item, "id")));
        json_array_append_new(were, json_string(text_of(item, "id")));
    }
    if (turned) {
        json_t *first = json_incref(json_array_get(tanks, 0));

        json_array_remove(tanks, 0);
        json_array_append_new(tanks, first);
    }
    json_object_set_new(document, "tanks", tanks);
    json_object_set_new(document, "tanks_were", were);
    text = json_dumps(document, JSON_COMPACT);
    snprintf(body, size, "%s", text);
    free(text);
    json_decref(document);
}

#define NORTH "1270d066-9411-54f0-be03-42c45c2cc243"

START_TEST(an_order_is_set_at_one_stroke)
{
    json_t *walk = caller_get(&caller, "/api/v1/walk/" NORTH), *after;
    size_t count = json_array_size(json_object_get(walk, "tanks"));
    char first[64], body[2048], late[2048];
    uint64_t hash;

    snprintf(first, sizeof first, "%s", text_of(json_array_get(json_object_get(walk, "tanks"), 0), "id"));
    order_body(walk, true, body, sizeof body);
    after = caller_expect(&caller, 200, "PATCH", "/api/v1/walk/" NORTH, "%s", body);
    ck_assert_str_eq(text_of(json_array_get(json_object_get(after, "tanks"), count - 1), "id"), first);
    for (size_t i = 0; i < count; i++)
        ck_assert_double_eq(number_of(json_array_get(json_object_get(after, "tanks"), i), "walk_order"), (double)i + 1);
    hash = caller_hash(&caller);
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/walk/" NORTH, "%s", body)); /* sent twice */
    ck_assert_uint_eq(caller_hash(&caller), hash);
    /* Somebody else who saw the order before. */
    order_body(walk, false, late, sizeof late);
    json_decref(walk);
    walk = caller_expect(&caller, 409, "PATCH", "/api/v1/walk/" NORTH, "%s", late);
    ck_assert(problem_at(walk, "/tanks_were"));
    ck_assert_uint_eq(caller_hash(&caller), hash);
    json_decref(walk);
    json_decref(after);
}
END_TEST

START_TEST(an_order_is_that_of_all)
{
    json_t *walk = caller_get(&caller, "/api/v1/walk/" NORTH), *problem;
    char body[2048], *end;
    uint64_t hash = caller_hash(&caller);

    order_body(walk, true, body, sizeof body);
    end = strstr(body, "],\"tanks_were\"");
    memcpy(end - 2, "x", 1); /* the last id is another */
    problem = caller_expect(&caller, 422, "PATCH", "/api/v1/walk/" NORTH, "%s", body);
    ck_assert(problem_at(problem, "/tanks/4"));
    json_decref(problem);
    json_decref(caller_expect(&caller, 422, "PATCH", "/api/v1/walk/" NORTH, "{}"));
    json_decref(caller_expect(&caller, 404, "PATCH", "/api/v1/walk/nowhere", "{\"tanks\":[]}"));
    json_decref(caller_expect(&caller, 409, "PATCH", "/api/v1/walk/" NORTH, "{\"tanks\":[]}"));
    ck_assert_uint_eq(caller_hash(&caller), hash);
    json_decref(walk);
}
END_TEST

START_TEST(areas_go_two_deep)
{
    json_t *bay = caller_expect(&caller, 201, "POST", "/api/v1/areas", "{\"name\":\"Bay\",\"within\":\"" NORTH "\"}"), *problem;

    problem = caller_expect(&caller, 422, "POST", "/api/v1/areas", "{\"name\":\"Shelf\",\"within\":\"%s\"}", text_of(bay, "id"));
    ck_assert(problem_at(problem, "/within"));
    json_decref(problem);
    /* What has something in it cannot go into another. */
    problem = caller_expect(&caller, 422, "PATCH", "/api/v1/areas/" NORTH, "{\"within\":\"edf58432-f85e-5186-b8d2-d21cc60ee3cc\"}");
    ck_assert(problem_at(problem, "/within"));
    json_decref(problem);
    json_decref(bay);
}
END_TEST

/* ---- planned rounds ---- */

#define EVERY_DAY "[\"monday\",\"tuesday\",\"wednesday\",\"thursday\",\"friday\",\"saturday\",\"sunday\"]"

static json_t *due_in(const json_t *today, const char *list, const char *area)
{
    json_t *item;
    size_t i;

    json_array_foreach(json_object_get(today, list), i, item) {
        const char *of = json_string_value(json_object_get(item, "area"));

        if (area ? of && strcmp(of, area) == 0 : !of)
            return item;
    }
    return NULL;
}

START_TEST(round_days_are_set_whole)
{
    json_t *days = caller_get(&caller, "/api/v1/round-days"), *set, *problem;
    uint64_t hash;

    ck_assert_uint_eq(json_array_size(json_object_get(days, "items")), 0);
    json_decref(days);
    set = caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/" NORTH, "{\"weekdays\":[\"friday\",\"tuesday\",\"friday\"]}");
    ck_assert_str_eq(text_of(set, "area"), NORTH);
    ck_assert_uint_eq(json_array_size(json_object_get(set, "weekdays")), 2);
    ck_assert_str_eq(json_string_value(json_array_get(json_object_get(set, "weekdays"), 0)), "tuesday"); /* Monday first */
    json_decref(set);
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/garden", "{\"weekdays\":[\"sunday\"]}"));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/garden", "{\"weekdays\":[\"monday\"]}"));
    days = caller_get(&caller, "/api/v1/round-days");
    ck_assert_uint_eq(json_array_size(json_object_get(days, "items")), 2);
    ck_assert(json_is_null(json_object_get(json_array_get(json_object_get(days, "items"), 0), "area")));
    json_decref(days);
    hash = caller_hash(&caller);
    problem = caller_expect(&caller, 422, "PATCH", "/api/v1/round-days/garden", "{\"weekdays\":[\"monday\",\"noday\"]}");
    ck_assert(problem_at(problem, "/weekdays/1"));
    json_decref(problem);
    json_decref(caller_expect(&caller, 404, "PATCH", "/api/v1/round-days/nowhere", "{\"weekdays\":[]}"));
    json_decref(as(&tavi, 403, "PATCH", "/api/v1/round-days/garden", "{\"weekdays\":[]}")); /* a keeper plans */
    ck_assert_uint_eq(caller_hash(&caller), hash);
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/garden", "{\"weekdays\":[]}"));
    days = caller_get(&caller, "/api/v1/round-days");
    ck_assert_uint_eq(json_array_size(json_object_get(days, "items")), 1);
    json_decref(days);
}
END_TEST

START_TEST(a_round_day_is_due_until_it_was_walked)
{
    json_t *today, *round, *due;
    char path[128], id[64];

    add_a_thirsty_tank(); /* in no area: of the whole garden's round alone */
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/garden", "{\"weekdays\":" EVERY_DAY "}"));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/" NORTH, "{\"weekdays\":" EVERY_DAY "}"));
    today = caller_get(&caller, "/api/v1/today");
    due = due_in(today, "rounds", NULL);
    ck_assert_ptr_nonnull(due);
    ck_assert_str_eq(text_of(due, "day"), text_of(today, "date"));
    ck_assert(json_is_null(json_object_get(due, "round")));
    ck_assert_double_gt(number_of(due, "tanks"), number_of(due_in(today, "rounds", NORTH), "tanks"));
    round = as(&tavi, 201, "POST", "/api/v1/rounds", "{}");
    ck_assert_double_eq(number_of(due, "tanks"), (double)json_array_size(json_object_get(round, "stops")));
    json_decref(today);
    snprintf(id, sizeof id, "%s", text_of(round, "id"));
    json_decref(round);

    /* Under way is not walked; the whole garden's goes by the area, too. */
    today = caller_get(&caller, "/api/v1/today");
    ck_assert_str_eq(text_of(due_in(today, "rounds", NULL), "round"), id);
    ck_assert_str_eq(text_of(due_in(today, "rounds", NORTH), "round"), id);
    json_decref(today);
    snprintf(path, sizeof path, "/api/v1/rounds/%s/acts", id);
    json_decref(as(&tavi, 200, "POST", path, "{\"id\":\"00000000-0000-7000-8000-000000000e01\",\"what\":\"end\"}"));
    today = caller_get(&caller, "/api/v1/today"); /* ended before anybody did anything */
    ck_assert(json_is_null(json_object_get(due_in(today, "rounds", NULL), "round")));
    json_decref(today);

    round = as(&tavi, 201, "POST", "/api/v1/rounds", "{\"area\":\"" NORTH "\"}");
    snprintf(path, sizeof path, "/api/v1/rounds/%s/acts", text_of(round, "id"));
    json_decref(round);
    json_decref(as(&tavi, 200, "POST", path, "{\"id\":\"00000000-0000-7000-8000-000000000e02\",\"what\":\"done\",\"stop\":1}"));
    json_decref(as(&tavi, 200, "POST", path, "{\"id\":\"00000000-0000-7000-8000-000000000e03\",\"what\":\"end\"}"));
    today = caller_get(&caller, "/api/v1/today");
    ck_assert_ptr_null(due_in(today, "rounds", NORTH));
    ck_assert_ptr_nonnull(due_in(today, "rounds", NULL)); /* one area is not the whole garden */
    json_decref(today);
}
END_TEST

START_TEST(a_planned_round_is_put_off)
{
    json_t *today, *off, *problem, *again;
    uint64_t hash;

    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/" NORTH, "{\"weekdays\":" EVERY_DAY "}"));
    off = as(&tavi, 201, "POST", "/api/v1/round-putoffs", "{\"id\":\"00000000-0000-7000-8000-000000000f11\",\"area\":\"" NORTH "\",\"days\":2}");
    today = caller_get(&caller, "/api/v1/today");
    ck_assert_str_eq(text_of(off, "day"), text_of(today, "date"));
    ck_assert_str_eq(text_of(off, "member_name"), "Tavi");
    ck_assert_ptr_null(due_in(today, "rounds", NORTH));
    ck_assert_str_eq(text_of(due_in(today, "rounds_put_off", NORTH), "until"), text_of(off, "until"));
    json_decref(today);
    hash = caller_hash(&caller);
    again = as(&sunniva, 200, "POST", "/api/v1/round-putoffs", "{\"id\":\"00000000-0000-7000-8000-000000000f11\",\"area\":\"" NORTH "\",\"days\":2}");
    ck_assert_str_eq(text_of(again, "member_name"), "Tavi"); /* sent twice it is kept once */
    json_decref(again);
    json_decref(as(&tavi, 409, "POST", "/api/v1/round-putoffs", "{\"id\":\"00000000-0000-7000-8000-000000000f11\",\"area\":\"" NORTH "\",\"days\":3}"));
    problem = as(&tavi, 409, "POST", "/api/v1/round-putoffs", "{\"area\":\"" NORTH "\",\"days\":2}"); /* not due any more */
    ck_assert(problem_at(problem, "/area"));
    json_decref(problem);
    json_decref(as(&tavi, 409, "POST", "/api/v1/round-putoffs", "{\"days\":1}")); /* nobody plans one there */
    json_decref(as(&tavi, 422, "POST", "/api/v1/round-putoffs", "{\"area\":\"nowhere\",\"days\":1}"));
    json_decref(as(&odo, 403, "POST", "/api/v1/round-putoffs", "{\"area\":\"" NORTH "\",\"days\":1}"));
    ck_assert_uint_eq(caller_hash(&caller), hash);
    json_decref(as(&tavi, 404, "DELETE", "/api/v1/round-putoffs/nothing", NULL));
    json_decref(as(&sunniva, 204, "DELETE", "/api/v1/round-putoffs/00000000-0000-7000-8000-000000000f11", NULL));
    today = caller_get(&caller, "/api/v1/today");
    ck_assert_ptr_nonnull(due_in(today, "rounds", NORTH));
    ck_assert_ptr_null(due_in(today, "rounds_put_off", NORTH));
    json_decref(today);
    json_decref(off);
}
END_TEST

/* ---- duties ---- */

START_TEST(a_duty_shows_on_today)
{
    json_t *today = caller_get(&caller, "/api/v1/today"), *first = json_array_get(json_object_get(today, "items"), 0), *after, *duty;
    const char *before = json_string_value(json_object_get(first, "whose"));
    char tank[64], body[256], path[128], was[64];

    snprintf(was, sizeof was, "%s", before ? before : "");
    snprintf(tank, sizeof tank, "%s", text_of(first, "tank"));
    ck_assert(json_is_boolean(json_object_get(first, "overdue")));
    snprintf(body, sizeof body, "{\"tank\":\"%s\"}", tank);
    duty = as(&tavi, 201, "POST", "/api/v1/duties", body); /* one's own, to the end of the week */
    ck_assert_str_eq(text_of(duty, "member_name"), "Tavi");
    ck_assert_str_eq(text_of(duty, "from"), text_of(today, "date"));
    after = caller_get(&caller, "/api/v1/today");
    ck_assert_str_eq(text_of(json_array_get(json_object_get(after, "items"), 0), "whose"), "9e22791b-96b3-5250-966e-f5c1d9450fbe");
    snprintf(path, sizeof path, "/api/v1/duties/%s", text_of(duty, "id"));
    json_decref(as(&sunniva, 403, "DELETE", path, NULL));
    json_decref(as(&sunniva, 403, "PATCH", path, "{\"member\":\"d5c331d0-80ba-50f8-9856-54ec155c96df\"}"));
    json_decref(as(&tavi, 403, "PATCH", path, "{\"member\":\"d5c331d0-80ba-50f8-9856-54ec155c96df\"}")); /* a keeper gives */
    json_decref(as(&tavi, 204, "DELETE", path, NULL));
    json_decref(as(&tavi, 404, "DELETE", path, NULL));
    json_decref(today);
    today = caller_get(&caller, "/api/v1/today");
    before = json_string_value(json_object_get(json_array_get(json_object_get(today, "items"), 0), "whose"));
    ck_assert_str_eq(before ? before : "", was);
    json_decref(today);
    json_decref(after);
    json_decref(duty);
}
END_TEST

START_TEST(bad_duties_change_nothing)
{
    static const struct {
        const char *body, *at;
        unsigned status;
    } row[] = {{"{\"member\":\"9e22791b-96b3-5250-966e-f5c1d9450fbe\"}", "/tank", 422},
               {"{\"member\":\"9e22791b-96b3-5250-966e-f5c1d9450fbe\",\"area\":\"" NORTH "\",\"tank\":\"x\"}", "/tank", 422},
               {"{\"member\":\"9e22791b-96b3-5250-966e-f5c1d9450fbe\",\"tank\":\"x\"}", "/tank", 422},
               {"{\"member\":\"74ec9399-2b63-5306-85ca-20f5ba0f9836\",\"area\":\"" NORTH "\"}", "/member", 422}, /* may only look */
               {"{\"area\":\"" NORTH "\"}", "/member", 422},
               {"{\"member\":\"9e22791b-96b3-5250-966e-f5c1d9450fbe\",\"area\":\"" NORTH "\",\"from\":\"2026-05-02\",\"to\":\"2026-05-01\"}", "/to", 422},
               {"{\"member\":\"9e22791b-96b3-5250-966e-f5c1d9450fbe\",\"area\":\"" NORTH "\",\"from\":\"2026-05-02\",\"to\":\"2027-05-04\"}", "/to", 422}};
    uint64_t hash = caller_hash(&caller);

    for (size_t i = 0; i < COUNT(row); i++) {
        json_t *problem = caller_expect(&caller, row[i].status, "POST", "/api/v1/duties", "%s", row[i].body);

        ck_assert_msg(problem_at(problem, row[i].at), "%s: %s", row[i].body, caller.bytes);
        json_decref(problem);
    }
    ck_assert_uint_eq(caller_hash(&caller), hash);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/rounds");
    TCase *tcase = tcase_create("api/rounds");

    tcase_add_checked_fixture(tcase, open_demo, close_it);
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, carries_what_each_tank_asks_for);
    tcase_add_test(tcase, stops_are_those_of_today);
    tcase_add_test(tcase, what_was_put_off_is_left_out);
    tcase_add_test(tcase, an_entry_closes_its_stop_for_all_to_see);
    tcase_add_test(tcase, visitors_look_and_no_more);
    tcase_add_test(tcase, bad_acts_change_nothing);
    tcase_add_test(tcase, an_order_is_set_at_one_stroke);
    tcase_add_test(tcase, an_order_is_that_of_all);
    tcase_add_test(tcase, areas_go_two_deep);
    tcase_add_test(tcase, round_days_are_set_whole);
    tcase_add_test(tcase, a_round_day_is_due_until_it_was_walked);
    tcase_add_test(tcase, a_planned_round_is_put_off);
    tcase_add_test(tcase, a_duty_shows_on_today);
    tcase_add_test(tcase, bad_duties_change_nothing);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
