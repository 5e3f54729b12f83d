/* What fills cost, what came of them, what the coming ones need: worked by hand on an invented tank. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/demo.h"
#include "api/shape.h"
#include "caller.h"
#include "garden/clock.h"
#include "runner.h"

static struct caller caller;

static void open_new(void)
{
    caller_open(&caller, "fills");
}

static void close_it(void)
{
    caller_close(&caller);
}

#define ID(n) "01900000-0000-7000-8000-00000000000" #n

static void make_tub(void)
{
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"" ID(1) "\",\"name\":\"tub\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[500,400],\"rim_mm\":[500,400],\"height_mm\":300},"
                              "\"start_mm\":260,\"low_mm\":40,\"cups\":[{\"x_mm\":100,\"y_mm\":100},{\"x_mm\":200,\"y_mm\":100}]}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"" ID(2) "\",\"name\":\"tub\",\"vessel\":\"" ID(1) "\"}"));
}

static void logs(const char *id, const char *at, const char *rest)
{
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"%s\",\"tank\":\"" ID(2) "\",\"at\":\"%s\",%s}", id, at, rest));
}

static json_t *fill(const char *id)
{
    json_t *list = caller_get(&caller, "/api/v1/fills"), *found = json_incref(item_of(list, "entry", id));

    json_decref(list);
    return found;
}

static void price(const char *salt, double price_per_kg)
{
    char path[64];

    snprintf(path, sizeof path, "/api/v1/salts/%s", salt);
    json_decref(caller_expect(&caller, 200, "PATCH", path, "{\"price_per_kg\":%g}", price_per_kg));
}

#define WEIGHED(epsom, nitrate) "\"weighed\":[{\"salt\":\"epsom-salt\",\"grams\":" epsom "},{\"salt\":\"potassium-nitrate\",\"grams\":" nitrate "}]"

/* 30 g at 2 a kg and 50 g at 4 a kg in the fill, 10 g and 5 g in the top-up: 0.06 + 0.20 + 0.02 + 0.02 = 0.30.
 * Potassium nitrate is 13.85 % N (14.007 of 101.102): 55 g hold 7.62 g. Two heads of 300 g together: 0.15 a head, 1 a kg. */
START_TEST(cost_is_of_what_was_weighed_and_taken)
{
    json_t *one;

    make_tub();
    price("epsom-salt", 2);
    logs(ID(3), "2026-05-01T08:00:00Z", "\"kind\":\"fill\",\"waterline_mm\":250," WEIGHED("30", "50"));
    logs(ID(4), "2026-05-01T09:00:00Z", "\"kind\":\"planting\",\"crop\":\"lettuce-leaf\",\"count\":2");
    logs(ID(5), "2026-05-20T09:00:00Z", "\"kind\":\"top-up\",\"volume_l\":8," WEIGHED("10", "5"));
    logs(ID(6), "2026-06-05T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"whole\",\"weight_g\":300");
    one = fill(ID(3));
    ck_assert(json_is_null(json_object_get(one, "cost")));
    ck_assert_uint_eq(json_array_size(json_object_get(one, "unpriced")), 1);
    ck_assert_str_eq(json_string_value(json_array_get(json_object_get(one, "unpriced"), 0)), "potassium nitrate");
    json_decref(one);
    price("potassium-nitrate", 4);
    one = fill(ID(3));
    ck_assert_double_eq_tol(number_of(one, "cost"), 0.30, 1e-9);
    ck_assert_double_eq_tol(number_of(one, "cost_per_plant"), 0.15, 1e-9);
    ck_assert_double_eq_tol(number_of(one, "cost_per_kg"), 1.0, 1e-9);
    ck_assert_double_eq_tol(number_of(one, "filled_l"), 50, 1e-9); /* 500 x 400 x 250 mm */
    ck_assert_double_eq_tol(number_of(one, "topped_up_l"), 8, 1e-9);
    ck_assert_double_eq_tol(number_of(one, "n_g"), 55 * 14.007 / 101.102, 0.001);
    ck_assert_double_eq_tol(number_of(one, "g_per_g_n"), 300 / (55 * 14.007 / 101.102), 0.01);
    ck_assert(json_is_null(json_object_get(one, "until")));
    json_decref(one);
}
END_TEST

START_TEST(each_fill_has_its_own)
{
    json_t *one;

    make_tub();
    price("epsom-salt", 2);
    price("potassium-nitrate", 4);
    logs(ID(3), "2026-05-01T08:00:00Z", "\"kind\":\"fill\",\"volume_l\":45," WEIGHED("30", "50"));
    logs(ID(4), "2026-06-10T08:00:00Z", "\"kind\":\"clean-out\"");
    logs(ID(5), "2026-06-11T08:00:00Z", "\"kind\":\"fill\",\"volume_l\":40," WEIGHED("50", "0"));
    logs(ID(6), "2026-06-12T08:00:00Z", "\"kind\":\"fill\",\"volume_l\":40");
    one = fill(ID(3));
    ck_assert_str_eq(text_of(one, "until"), "2026-06-10T08:00:00Z");
    ck_assert_double_eq_tol(number_of(one, "cost"), 0.26, 1e-9);
    ck_assert(json_is_null(json_object_get(one, "cost_per_plant")));
    json_decref(one);
    one = fill(ID(5));
    ck_assert_double_eq_tol(number_of(one, "cost"), 0.10, 1e-9);
    json_decref(one);
    one = fill(ID(6));
    ck_assert(json_is_null(json_object_get(one, "cost"))); /* nothing was weighed: no cost, not none */
    json_decref(one);
}
END_TEST

/* An empty tank is filled as it was last: three times the same numbers. */
/* A page is read from the end of the log alone; page by page it is the whole list, and a span has what lies in it. */
START_TEST(pages_of_fills_make_the_whole_list)
{
    json_t *whole, *span;
    size_t i, pages = 0;
    json_t *item;
    char path[120] = "/api/v1/fills?limit=1";

    make_tub();
    for (int day = 10; day < 30; day++) {
        char id[40], at[40];

        snprintf(id, sizeof id, "01900000-0000-7000-8000-0000000001%d", day);
        snprintf(at, sizeof at, "2026-05-%dT08:00:00Z", day);
        logs(id, at, "\"kind\":\"fill\",\"volume_l\":40," WEIGHED("30", "50"));
    }
    for (int day = 26; day < 30; day++) { /* taken back: the newest four do not count */
        char id[40], rest[120];

        snprintf(id, sizeof id, "01900000-0000-7000-8000-0000000002%d", day);
        snprintf(rest, sizeof rest, "\"kind\":\"note\",\"withdraws\":\"01900000-0000-7000-8000-0000000001%d\"", day);
        logs(id, "2026-06-01T08:00:00Z", rest);
    }
    whole = caller_get(&caller, "/api/v1/fills");
    ck_assert_uint_eq(json_array_size(json_object_get(whole, "items")), 16);
    json_array_foreach(json_object_get(whole, "items"), i, item) {
        json_t *page = caller_get(&caller, path);

        ck_assert_uint_eq(json_array_size(json_object_get(page, "items")), 1);
        ck_assert_msg(json_equal(json_array_get(json_object_get(page, "items"), 0), item), "page %zu is not the list's", i);
        ck_assert(json_is_null(json_object_get(page, "next")) == (i == 15));
        if (i < 15)
            snprintf(path, sizeof path, "/api/v1/fills?limit=1&after=%s", text_of(page, "next"));
        json_decref(page);
        pages++;
    }
    ck_assert_uint_eq(pages, 16);
    span = caller_get(&caller, "/api/v1/fills?from=2026-05-12&to=2026-05-14");
    ck_assert_uint_eq(json_array_size(json_object_get(span, "items")), 3);
    for (i = 0; i < 3; i++)
        ck_assert(json_equal(json_array_get(json_object_get(span, "items"), i), json_array_get(json_object_get(whole, "items"), 11 + i)));
    json_decref(caller_expect(&caller, 422, "GET", "/api/v1/fills?after=nothing", NULL));
    json_decref(whole);
    json_decref(span);
}
END_TEST

START_TEST(empty_tank_needs_its_last_fill)
{
    json_t *needs, *epsom;

    make_tub();
    price("epsom-salt", 2);
    logs(ID(3), "2026-05-01T08:00:00Z", "\"kind\":\"fill\",\"volume_l\":45," WEIGHED("30", "50"));
    logs(ID(4), "2026-06-10T08:00:00Z", "\"kind\":\"clean-out\"");
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/salts/epsom-salt", "{\"stock_g\":10}"));
    needs = caller_get(&caller, "/api/v1/needs?days=7");
    epsom = json_array_get(json_object_get(needs, "items"), 0);
    ck_assert_str_eq(text_of(epsom, "salt"), "epsom-salt");
    ck_assert_double_eq(number_of(epsom, "low_g"), 30);
    ck_assert_double_eq(number_of(epsom, "high_g"), 30);
    ck_assert_double_eq(number_of(epsom, "buy_g"), 20);
    ck_assert_double_eq_tol(number_of(epsom, "cost"), 0.04, 1e-9);
    ck_assert_str_eq(text_of(epsom, "buy_by"), text_of(needs, "from")); /* the tank stands empty today */
    ck_assert(json_is_null(json_object_get(json_array_get(json_object_get(needs, "items"), 1), "buy_g")));
    json_decref(needs);
    json_decref(caller_expect(&caller, 422, "GET", "/api/v1/needs?days=91", NULL));
}
END_TEST

START_TEST(needs_of_a_garden_grow_with_the_days)
{
    struct fault fault = {0};
    double before = -1;
    size_t dated = 0;

    ck_assert_msg(demo_load(&caller.service, &fault) == 0, "%s", fault.item[0].detail);
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/salts/epsom-salt", "{\"stock_g\":20}"));
    for (int days = 7; days <= 84; days += 7) {
        char path[64];
        json_t *needs, *one;
        size_t i;

        snprintf(path, sizeof path, "/api/v1/needs?days=%d", days);
        needs = caller_get(&caller, path);
        ck_assert_double_le(number_of(needs, "fills_low"), number_of(needs, "fills_likely"));
        ck_assert_double_le(number_of(needs, "fills_likely"), number_of(needs, "fills_high"));
        ck_assert_double_ge(number_of(needs, "fills_likely"), before);
        before = number_of(needs, "fills_likely");
        json_array_foreach(json_object_get(needs, "items"), i, one)
        {
            const char *by = json_string_value(json_object_get(one, "buy_by"));

            ck_assert(number_of(one, "low_g") <= number_of(one, "likely_g") && number_of(one, "likely_g") <= number_of(one, "high_g"));
            ck_assert(json_is_null(json_object_get(one, "buy_g")) || (number_of(one, "buy_g") > 0) == (by != NULL));
            ck_assert(!by || (strcmp(text_of(needs, "from"), by) <= 0 && strcmp(by, text_of(needs, "to")) <= 0));
            dated += by != NULL;
        }
        ck_assert_uint_ge(i, 3);
        json_decref(needs);
    }
    ck_assert_double_gt(before, 3);
    ck_assert_uint_gt(dated, 0);
}
END_TEST

START_TEST(cheapest_costs_no_more_than_the_closest)
{
    json_t *found;

    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/calc/cheapest", "{\"volume_l\":100,\"target\":\"lettuce-modified\"}"));
    price("epsom-salt", 1.2);
    price("potassium-nitrate", 3.5);
    price("calcium-nitrate-double", 1.1);
    price("monopotassium-phosphate", 4.8);
    price("ammonium-nitrate", 0.9);
    price("iron-dtpa-11", 14);
    price("manganese-sulfate-h2o", 3);
    price("zinc-sulfate-7h2o", 3);
    price("boric-acid", 4);
    price("copper-sulfate-5h2o", 5);
    price("sodium-molybdate-2h2o", 40);
    price("potassium-sulfate", 1.9);
    price("nitric-acid", 1);
    found = caller_expect(&caller, 200, "POST", "/api/v1/calc/cheapest", "{\"volume_l\":100,\"target\":\"lettuce-modified\",\"tolerance_percent\":10}");
    ck_assert(json_is_true(json_object_get(found, "feasible")));
    ck_assert_double_gt(number_of(found, "saves"), 0);
    ck_assert_uint_eq(json_array_size(json_object_get(found, "weigh")), 12); /* the acid is left out */
    for (size_t i = 0; i < 5; i++) {
        static const char *const main_elements[] = {"n", "p", "k", "ca", "mg"};

        ck_assert_double_le(fabs(number_of(json_object_get(found, "off_percent"), main_elements[i])), 10 + 1e-6);
    }
    json_decref(found);
    found = caller_expect(&caller, 200, "POST", "/api/v1/calc/cheapest",
                          "{\"volume_l\":100,\"target\":\"lettuce-modified\",\"salts\":[\"epsom-salt\",\"potassium-nitrate\"]}");
    ck_assert(json_is_false(json_object_get(found, "feasible")) && json_is_null(json_object_get(found, "cost")));
    json_decref(found);
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/calc/cheapest", "{\"volume_l\":100,\"target\":\"oak\"}"));
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/calc/cheapest", "{\"volume_l\":100,\"target\":\"universal\",\"salts\":[\"oak\"]}"));
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/calc/cheapest", "{\"volume_l\":100,\"target\":\"universal\",\"water\":\"oak\"}"));
}
END_TEST

static const char *day_after(int days, char text[16])
{
    return shape_date(text, (int32_t)(clock_now_ms() / DAY_MS) + days);
}

static int32_t day_of(const json_t *document, const char *member)
{
    int32_t day = 0;

    ck_assert_int_eq(shape_read_date(text_of(document, member), &day), 0);
    return day;
}

/* Under lamps every day is alike: plantings follow one another like the harvests they are for. */
START_TEST(succession_under_lamps_keeps_its_step)
{
    char from[16], to[16];
    json_t *plan, *planting;
    size_t i;
    int32_t before = 0;

    make_tub();
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/calc/succession", "{\"crop\":\"lettuce-leaf\",\"count\":1,\"every_days\":30,\"from\":\"%s\",\"to\":\"%s\"}",
                              day_after(150, from), day_after(270, to))); /* the place is not told */
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden",
                              "{\"place\":\"lamps\",\"climate\":{\"indoor\":{\"temperature_c\":21,\"rh_percent\":65,\"ppfd_umol\":200,\"hours\":16}}}"));
    plan = caller_expect(&caller, 200, "POST", "/api/v1/calc/succession", "{\"crop\":\"lettuce-leaf\",\"count\":1,\"every_days\":30,\"from\":\"%s\",\"to\":\"%s\"}",
                         day_after(150, from), day_after(270, to));
    ck_assert_str_eq(text_of(plan, "why"), "fits");
    json_array_foreach(json_object_get(plan, "plantings"), i, planting) {
        int32_t plant_on = day_of(planting, "plant_on");

        ck_assert_int_eq(day_of(planting, "sow_on"), plant_on - 18);
        ck_assert_int_ge(day_of(planting, "harvest_on") - plant_on, 15);
        ck_assert_int_le(day_of(planting, "harvest_on") - plant_on, 60);
        if (i)
            ck_assert_int_le(abs(plant_on - before - 30), 1); /* growth is looked at every few days, and rounded between */
        before = plant_on;
    }
    ck_assert_uint_eq(i, 5);
    json_decref(plan);
    plan = caller_expect(&caller, 200, "POST", "/api/v1/calc/succession", "{\"crop\":\"lettuce-leaf\",\"count\":1,\"every_days\":3,\"from\":\"%s\",\"to\":\"%s\"}",
                         day_after(150, from), day_after(270, to));
    ck_assert_str_eq(text_of(plan, "why"), "cups");
    ck_assert_double_gt(number_of(plan, "nearest_every_days"), 10);
    json_decref(plan);
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/calc/succession", "{\"crop\":\"oak\",\"count\":1,\"every_days\":3,\"from\":\"%s\",\"to\":\"%s\"}", from, to));
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/calc/succession", "{\"crop\":\"basil\",\"count\":1,\"every_days\":3,\"from\":\"%s\",\"to\":\"%s\"}", to, from));
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/calc/succession", "{\"crop\":\"basil\",\"count\":1,\"every_days\":3,\"from\":\"2020-05-01\",\"to\":\"2020-06-01\"}"));
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/calc/succession", "{\"crop\":\"basil\",\"count\":1,\"every_days\":3,\"from\":\"2999-05-01\",\"to\":\"2999-06-01\"}"));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("fills");
    TCase *tcase = tcase_create("fills");

    tcase_add_checked_fixture(tcase, open_new, close_it);
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, cost_is_of_what_was_weighed_and_taken);
    tcase_add_test(tcase, each_fill_has_its_own);
    tcase_add_test(tcase, pages_of_fills_make_the_whole_list);
    tcase_add_test(tcase, empty_tank_needs_its_last_fill);
    tcase_add_test(tcase, needs_of_a_garden_grow_with_the_days);
    tcase_add_test(tcase, cheapest_costs_no_more_than_the_closest);
    tcase_add_test(tcase, succession_under_lamps_keeps_its_step);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
