/* The nouns around the tank, as a page or a script asks for them. Figures of bags and gardens are invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "api/shape.h"
#include "caller.h"
#include "calc/targets.h"
#include "csv.h"
#include "garden/clock.h"
#include "garden/targets.h"
#include "runner.h"

static struct caller caller;

static void open_new(void)
{
    caller_open(&caller, "shelf");
}

static void close_it(void)
{
    caller_close(&caller);
}

#define ID(n) "01900000-0000-7000-8000-00000000000" #n

/* ---- what must be refused, in every noun ---- */

static const struct {
    const char *method, *path, *body;
    unsigned status;
    const char *at; /* a pointer that the problem names */
} refused[] = {
    {"POST", "/api/v1/areas", "{\"name\":\"\"}", 422, "/name"},
    {"POST", "/api/v1/areas", "{\"name\":\"roof\",\"colour\":\"red\"}", 422, "/colour"},
    {"POST", "/api/v1/areas", "{\"name\":\"roof\",\"within\":\"" ID(9) "\"}", 422, "/within"},
    {"POST", "/api/v1/areas", "{\"name\":\"roof\",\"id\":\"one\"}", 422, "/id"},
    {"POST", "/api/v1/areas", "{\"name\":\"roof\",\"name\":\"yard\"}", 422, ""},
    {"PATCH", "/api/v1/areas/" ID(9), "{\"name\":\"roof\"}", 404, NULL},
    {"DELETE", "/api/v1/areas/" ID(9), NULL, 404, NULL},
    {"POST", "/api/v1/salts", "{\"name\":\"bag\"}", 422, "/label"},
    {"POST", "/api/v1/salts", "{\"name\":\"bag\",\"label\":{}}", 422, "/label"},
    {"POST", "/api/v1/salts", "{\"name\":\"bag\",\"label\":{\"p\":10,\"p2o5\":20}}", 422, "/label/p"},
    {"POST", "/api/v1/salts", "{\"name\":\"bag\",\"label\":{\"n_no3\":60,\"k2o\":60}}", 422, "/label"},
    {"POST", "/api/v1/salts", "{\"name\":\"bag\",\"label\":{\"npk\":60}}", 422, "/label/npk"},
    {"POST", "/api/v1/salts", "{\"name\":\"bag\",\"label\":{\"k2o\":101}}", 422, "/label/k2o"},
    {"POST", "/api/v1/salts", "{\"name\":\"bag\",\"label\":{\"k2o\":1e999}}", 422, ""},
    {"POST", "/api/v1/salts", "{\"name\":\"bag\",\"label\":{\"k2o\":10},\"stock_g\":-1}", 422, "/stock_g"},
    {"PATCH", "/api/v1/salts/epsom-salt", "{\"label\":{\"mgo\":16}}", 422, "/label"},
    {"PATCH", "/api/v1/salts/epsom-salt", "{\"name\":\"bitter salt\"}", 422, "/name"},
    {"PATCH", "/api/v1/salts/epsom-salt", "{\"weighed_g\":1}", 422, "/weighed_g"},
    {"PATCH", "/api/v1/salts/no-such-salt", "{\"price_per_kg\":1}", 404, NULL},
    {"POST", "/api/v1/waters", "{\"name\":\"tap\",\"ph\":15}", 422, "/ph"},
    {"POST", "/api/v1/waters", "{\"name\":\"tap\",\"ca_mg_l\":\"40\"}", 422, "/ca_mg_l"},
    {"POST", "/api/v1/waters", "{\"name\":\"tap\",\"ph\":4,\"alkalinity_mg_caco3_l\":300}", 422, "/ph"},
    {"POST", "/api/v1/waters", "{\"name\":\"tap\",\"analysed_on\":\"2026-02-30\"}", 422, "/analysed_on"},
    {"POST", "/api/v1/waters", "{\"name\":\"tap\",\"unknown\":[]}", 422, "/unknown"},
    {"PATCH", "/api/v1/waters/" ID(9), "{\"ph\":7}", 404, NULL},
    {"POST", "/api/v1/targets", "{\"name\":\"mine\",\"mg_l\":{}}", 422, "/mg_l"},
    {"POST", "/api/v1/targets", "{\"name\":\"mine\",\"mg_l\":{\"n\":0}}", 422, "/mg_l"},
    {"POST", "/api/v1/targets", "{\"name\":\"mine\",\"mg_l\":{\"n\":100,\"n_nh4_max\":120}}", 422, "/mg_l/n_nh4_max"},
    {"POST", "/api/v1/targets", "{\"name\":\"mine\",\"mg_l\":{\"xx\":1}}", 422, "/mg_l/xx"},
    {"PATCH", "/api/v1/targets/universal", "{\"name\":\"mine\"}", 409, NULL},
    {"PATCH", "/api/v1/targets/" ID(9), "{\"name\":\"mine\"}", 404, NULL},
    {"POST", "/api/v1/crops", "{\"name\":\"Red leaf\"}", 422, "/resembles"},
    {"POST", "/api/v1/crops", "{\"name\":\"Red leaf\",\"resembles\":\"oak\"}", 422, "/resembles"},
    {"POST", "/api/v1/crops", "{\"name\":\"Red leaf\",\"resembles\":\"lettuce-leaf\",\"ph\":[6.5,5.5]}", 422, "/ph"},
    {"POST", "/api/v1/crops", "{\"name\":\"Red leaf\",\"resembles\":\"lettuce-leaf\",\"ph\":[6.5]}", 422, "/ph"},
    {"POST", "/api/v1/crops", "{\"name\":\"Red leaf\",\"resembles\":\"lettuce-leaf\",\"yield_g\":[0,10]}", 422, "/yield_g"},
    {"PATCH", "/api/v1/crops/basil", "{\"resembles\":\"mint\"}", 422, "/resembles"},
    {"PATCH", "/api/v1/crops/oak", "{\"ph\":[5,6]}", 404, NULL},
    {"POST", "/api/v1/weather", "{\"days\":[]}", 422, "/days"},
    {"POST", "/api/v1/weather", "{\"days\":[{\"date\":\"2026-05-01\",\"tmin_c\":9,\"tmax_c\":8}]}", 422, "/days/0/tmin_c"},
    {"POST", "/api/v1/weather", "{\"days\":[{\"date\":\"2999-05-01\",\"tmin_c\":7,\"tmax_c\":8}]}", 422, "/days/0/date"},
    {"POST", "/api/v1/weather",
     "{\"days\":[{\"date\":\"2026-05-01\",\"tmin_c\":7,\"tmax_c\":8},{\"date\":\"2026-05-01\",\"tmin_c\":7,\"tmax_c\":8}]}", 422, "/days/1/date"},
    {"POST", "/api/v1/weather", "{\"days\":[{\"date\":\"2026-05-01\",\"tmin_c\":7}]}", 422, "/days/0/tmax_c"},
};

/* Everything the garden tells of these nouns; after a refused write it must be the same. */
static json_t *everything(void)
{
    static const char *const lists[] = {"areas", "salts", "waters", "targets", "crops", "weather"};
    json_t *all = json_object();

    for (size_t i = 0; i < COUNT(lists); i++) {
        char path[64];

        snprintf(path, sizeof path, "/api/v1/%s", lists[i]);
        json_object_set_new(all, lists[i], caller_get(&caller, path));
    }
    return all;
}

START_TEST(bad_bodies_are_refused_and_leave_nothing)
{
    json_t *before = everything(), *after, *problem;

    problem = caller_expect(&caller, refused[_i].status, refused[_i].method, refused[_i].path, refused[_i].body ? "%s" : NULL, refused[_i].body);
    ck_assert_msg(!refused[_i].at || problem_at(problem, refused[_i].at), "%s: %s", refused[_i].body, caller.bytes);
    after = everything();
    ck_assert(json_equal(before, after));
    json_decref(before);
    json_decref(after);
    json_decref(problem);
}
END_TEST

/* ---- resending ---- */

static const struct {
    const char *path, *body, *other; /* other: the same id, other content */
} sent[] = {
    {"/api/v1/areas", "{\"id\":\"" ID(1) "\",\"name\":\"roof\",\"walk_order\":2}", "{\"id\":\"" ID(1) "\",\"name\":\"yard\"}"},
    {"/api/v1/salts", "{\"id\":\"" ID(1) "\",\"name\":\"base\",\"label\":{\"n_no3\":5,\"k2o\":26,\"p2o5\":11},\"stock_g\":900}",
     "{\"id\":\"" ID(1) "\",\"name\":\"base\",\"label\":{\"n_no3\":5,\"k2o\":27,\"p2o5\":11},\"stock_g\":900}"},
    {"/api/v1/waters", "{\"id\":\"" ID(1) "\",\"name\":\"tap\",\"ph\":7.6,\"method\":\"strips\"}", "{\"id\":\"" ID(1) "\",\"name\":\"tap\",\"ph\":7.5}"},
    {"/api/v1/targets", "{\"id\":\"" ID(1) "\",\"name\":\"mine\",\"mg_l\":{\"n\":100}}", "{\"id\":\"" ID(1) "\",\"name\":\"mine\",\"mg_l\":{\"n\":101}}"},
    {"/api/v1/crops", "{\"id\":\"" ID(1) "\",\"name\":\"Red leaf\",\"resembles\":\"lettuce-leaf\",\"ph\":[5.5,6]}",
     "{\"id\":\"" ID(1) "\",\"name\":\"Red leaf\",\"resembles\":\"lettuce-leaf\",\"ph\":[5.5,6.1]}"},
};

START_TEST(sent_twice_is_kept_once)
{
    json_t *first = caller_expect(&caller, 201, "POST", sent[_i].path, "%s", sent[_i].body);
    json_t *again = caller_expect(&caller, 200, "POST", sent[_i].path, "%s", sent[_i].body);

    ck_assert(json_equal(first, again));
    json_decref(caller_expect(&caller, 409, "POST", sent[_i].path, "%s", sent[_i].other));
    json_decref(first);
    json_decref(again);
}
END_TEST

/* ---- areas ---- */

START_TEST(areas_go_two_deep_and_are_removed_empty)
{
    json_t *roof = caller_expect(&caller, 201, "POST", "/api/v1/areas", "{\"id\":\"" ID(1) "\",\"name\":\"roof\"}");
    json_t *bay = caller_expect(&caller, 201, "POST", "/api/v1/areas", "{\"id\":\"" ID(2) "\",\"name\":\"bay\",\"within\":\"" ID(1) "\"}");

    ck_assert_str_eq(text_of(bay, "within"), ID(1));
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/areas", "{\"name\":\"corner\",\"within\":\"" ID(2) "\"}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/areas", "{\"id\":\"" ID(3) "\",\"name\":\"yard\"}"));
    json_decref(caller_expect(&caller, 422, "PATCH", "/api/v1/areas/" ID(1), "{\"within\":\"" ID(3) "\"}"));
    json_decref(caller_expect(&caller, 422, "PATCH", "/api/v1/areas/" ID(3), "{\"within\":\"" ID(3) "\"}"));
    json_decref(caller_expect(&caller, 409, "DELETE", "/api/v1/areas/" ID(1), NULL));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/areas/" ID(2), "{\"within\":null}"));
    json_decref(caller_expect(&caller, 204, "DELETE", "/api/v1/areas/" ID(1), NULL));
    json_decref(roof);
    json_decref(bay);
}
END_TEST

static void make_tank(void)
{
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"" ID(8) "\",\"name\":\"tub\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[500,350],\"rim_mm\":[520,370],"
                              "\"height_mm\":300},\"start_mm\":260,\"low_mm\":40,\"cups\":[{\"x_mm\":100,\"y_mm\":100},{\"x_mm\":300,\"y_mm\":100}]}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"" ID(7) "\",\"name\":\"one\",\"vessel\":\"" ID(8) "\"}"));
}

START_TEST(area_with_a_tank_stays)
{
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/areas", "{\"id\":\"" ID(1) "\",\"name\":\"roof\"}"));
    make_tank();
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/tanks/" ID(7), "{\"area\":\"" ID(1) "\"}"));
    json_decref(caller_expect(&caller, 409, "DELETE", "/api/v1/areas/" ID(1), NULL));
}
END_TEST

/* ---- salts ---- */

static json_t *salt(const char *id)
{
    json_t *all = caller_get(&caller, "/api/v1/salts"), *found = json_incref(item_of(all, "id", id));

    json_decref(all);
    return found;
}

static double stock(const char *id)
{
    json_t *found = salt(id);
    double grams = number_of(found, "stock_g");

    json_decref(found);
    return grams;
}

#define FILL(n, grams) \
    "{\"id\":\"" ID(n) "\",\"tank\":\"" ID(7) "\",\"kind\":\"fill\",\"at\":\"2999-01-01T08:00:00Z\",\"volume_l\":40,\"weighed\":[{\"salt\":\"epsom-salt\",\"grams\":" grams "}]"

/* The stock is what the log leaves of it: an entry withdrawn or amended gives its grams back, at any later time. */
START_TEST(stock_follows_the_log_and_its_corrections)
{
    make_tank();
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/salts/epsom-salt", "{\"stock_g\":1000,\"price_per_kg\":2.5}"));
    ck_assert_double_eq(stock("epsom-salt"), 1000);
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", FILL(1, "120") "}"));
    ck_assert_double_eq(stock("epsom-salt"), 880);
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", FILL(2, "100") ",\"amends\":\"" ID(1) "\"}"));
    ck_assert_double_eq(stock("epsom-salt"), 900);
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"" ID(3) "\",\"tank\":\"" ID(7) "\",\"kind\":\"note\",\"at\":\"2999-01-01T09:00:00Z\",\"withdraws\":\"" ID(2) "\"}"));
    ck_assert_double_eq(stock("epsom-salt"), 880); /* the amendment is gone: the first entry stands again */
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/salts/epsom-salt", "{\"price_per_kg\":3}"));
    ck_assert_double_eq(stock("epsom-salt"), 880); /* a price says nothing of the stock */
}
END_TEST

START_TEST(stock_told_later_counts_from_then)
{
    json_t *found;

    make_tank();
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"" ID(1) "\",\"tank\":\"" ID(7) "\",\"kind\":\"fill\",\"at\":\"2020-01-01T08:00:00Z\",\"volume_l\":40,"
                              "\"weighed\":[{\"salt\":\"epsom-salt\",\"grams\":120}]}"));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/salts/epsom-salt", "{\"stock_g\":100}"));
    ck_assert_double_eq(stock("epsom-salt"), 100);
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", FILL(2, "130") "}"));
    found = salt("epsom-salt");
    ck_assert_double_eq(number_of(found, "stock_g"), 0);
    ck_assert_double_eq(number_of(found, "weighed_g"), 130);
    ck_assert(json_is_true(json_object_get(found, "stock_doubtful")));
    json_decref(found);
}
END_TEST

/* Oxidisers and acids: fixtures/shelf/cautions.csv. */
static const struct {
    const char *salt, *hazard; /* NULL: none */
} hazards[] = {
    {"calcium-nitrate-4h2o", "oxidiser"},
    {"calcium-nitrate-double", "oxidiser"},
    {"potassium-nitrate", "oxidiser"},
    {"nitric-acid", "acid"},
    {"sulfuric-acid", "acid"},
    {"phosphoric-acid", "acid"},
    {"citric-acid-h2o", "acid_mild"},
    {"potassium-hydroxide", "alkali"},
    {"epsom-salt", NULL},
    {"potassium-sulfate", NULL},
    {"dipotassium-phosphate", NULL},
    {"iron-dtpa-11", NULL},
};

START_TEST(salts_say_what_to_mind)
{
    json_t *found = salt(hazards[_i].salt), *list = json_object_get(found, "hazards"), *item;
    bool there = false;
    size_t i;

    json_array_foreach(list, i, item)
        there |= hazards[_i].hazard && strcmp(json_string_value(item), hazards[_i].hazard) == 0;
    if (hazards[_i].hazard)
        ck_assert(there && strlen(text_of(found, "caution")) > 20);
    else
        ck_assert(json_array_size(list) == 0 && json_is_null(json_object_get(found, "caution")));
    json_decref(found);
}
END_TEST

START_TEST(own_caution_stands_before_ours_and_can_go)
{
    json_t *found;

    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/salts/potassium-nitrate", "{\"caution\":\"top shelf\",\"opened_on\":\"2026-03-01\"}"));
    found = salt("potassium-nitrate");
    ck_assert_str_eq(text_of(found, "caution"), "top shelf");
    ck_assert_str_eq(text_of(found, "opened_on"), "2026-03-01");
    json_decref(found);
    found = caller_expect(&caller, 200, "PATCH", "/api/v1/salts/potassium-nitrate", "{\"caution\":null}");
    ck_assert_ptr_nonnull(strstr(text_of(found, "caution"), "Oxidiser"));
    json_decref(found);
}
END_TEST

/* ---- waters ---- */

START_TEST(water_says_what_it_does_not_know)
{
    json_t *strip = caller_expect(&caller, 201, "POST", "/api/v1/waters",
                                  "{\"name\":\"tap\",\"analysed_on\":\"2026-02-01\",\"method\":\"strips\",\"hardness_mg_caco3_l\":180,\"ph\":7.5}");
    json_t *whole = caller_expect(&caller, 201, "POST", "/api/v1/waters",
                                  "{\"id\":\"" ID(1) "\",\"name\":\"well\",\"ph\":7.6,\"alkalinity_mg_caco3_l\":180,\"ca_mg_l\":60,\"mg_mg_l\":12,\"na_mg_l\":20,"
                                  "\"k_mg_l\":0,\"cl_mg_l\":30,\"so4_mg_l\":25,\"no3_mg_l\":5}");

    ck_assert_uint_eq(json_array_size(json_object_get(strip, "unknown")), 8);
    ck_assert_uint_eq(json_array_size(json_object_get(whole, "unknown")), 0);
    json_decref(whole);
    whole = caller_expect(&caller, 200, "PATCH", "/api/v1/waters/" ID(1), "{\"k_mg_l\":null}");
    ck_assert_str_eq(json_string_value(json_array_get(json_object_get(whole, "unknown"), 0)), "k_mg_l");
    ck_assert_double_eq(number_of(whole, "ca_mg_l"), 60);
    json_decref(whole);
    json_decref(strip);
}
END_TEST

/* What the range must hold: an analysed water (fixtures/chemistry/waters.csv has more of them) told by less and less. Hardness of 60 mg/L Ca
 * and 12 mg/L Mg: 2.497 x 60 + 4.118 x 12 = 199 mg/L CaCO3 (Standard Methods (water, wastewater), 2340 B). */
static const struct {
    const char *told, *by;
} less_and_less[] = {
    {"\"ph\":7.6,\"alkalinity_mg_caco3_l\":180,\"ca_mg_l\":60,\"mg_mg_l\":12,\"na_mg_l\":20", "analysis"},
    {"\"ph\":7.6,\"alkalinity_mg_caco3_l\":180,\"hardness_mg_caco3_l\":199,\"ec_ms_cm\":0.46", "hardness"},
    {"\"ph\":7.5,\"alkalinity_mg_caco3_l\":180,\"hardness_mg_caco3_l\":200,\"method\":\"strips\"", "strips"},
    {"\"ec_ms_cm\":0.46,\"method\":\"meter\"", "meter"},
};

START_TEST(water_known_by_less_is_reckoned_wider)
{
    double width = -1;

    for (size_t i = 0; i < COUNT(less_and_less); i++) {
        json_t *water = caller_expect(&caller, 201, "POST", "/api/v1/waters", "{\"name\":\"tap\",%s}", less_and_less[i].told);
        double low = number_of(json_object_get(water, "reckoned_low"), "ca_mg_l"), high = number_of(json_object_get(water, "reckoned_high"), "ca_mg_l");

        ck_assert_str_eq(text_of(water, "reckoned_by"), less_and_less[i].by);
        ck_assert_msg(low <= 60 && high >= 60, "%s: calcium from %g to %g", less_and_less[i].by, low, high);
        ck_assert_msg(high - low > width, "%s: %g wide, after %g", less_and_less[i].by, high - low, width);
        width = high - low;
        json_decref(water);
    }
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/waters", "{\"name\":\"rain\"}"));
    ck_assert_ptr_nonnull(strstr(caller.bytes, "\"reckoned_by\":\"nothing\""));
}
END_TEST

/* ---- targets ---- */

START_TEST(published_targets_say_their_source_and_status)
{
    json_t *all = caller_get(&caller, "/api/v1/targets"), *item;
    size_t i, builtin = 0;

    json_array_foreach(json_object_get(all, "items"), i, item) {
        const char *source = text_of(item, "source");

        builtin += json_is_true(json_object_get(item, "builtin"));
        ck_assert_msg(strstr(source, ": from memory") || strstr(source, ": secondary") || strstr(source, ": read") ||
                      strstr(source, ": derived") || strstr(source, ": common practice, no source"), "%s", source);
    }
    ck_assert_uint_eq(builtin, published_targets_count);
    ck_assert_double_eq(number_of(json_object_get(item_of(all, "id", "universal"), "mg_l"), "k"), 273.7);
    ck_assert_str_eq(text_of(item_of(all, "id", "lettuce-seedling"), "stage"), "seedling");
    ck_assert_str_eq(text_of(item_of(all, "id", "lettuce-finish"), "stage"), "finishing");
    ck_assert(json_is_null(json_object_get(item_of(all, "id", "universal"), "stage"))); /* its source tells none */
    json_decref(all);
}
END_TEST

/* Every row of the fixture stands in the table, and the table says nothing more. */
START_TEST(published_targets_are_as_published)
{
    struct csv csv = csv_read(source_path("fixtures/shelf/published-solutions.csv"));
    double left[16][ELEMENT_NUTRIENTS], ammonium[16] = {0};

    ck_assert_uint_le(published_targets_count, 16);
    for (size_t t = 0; t < published_targets_count; t++)
        memcpy(left[t], published_targets[t].mg_l, sizeof left[t]);
    for (size_t row = 0; row < csv.rows; row++) {
        const struct published_target *target = published_targets_find(csv_text(&csv, row, csv_column(&csv, "target")));
        const char *element = csv_text(&csv, row, csv_column(&csv, "element")), *status = csv_text(&csv, row, csv_column(&csv, "status"));
        double mg_l = csv_number(&csv, row, csv_column(&csv, "mg_l"));
        size_t e;

        ck_assert_ptr_nonnull(target);
        ck_assert_ptr_nonnull(strstr(target->source, csv_text(&csv, row, csv_column(&csv, "source"))));
        ck_assert_msg(strstr(target->source, status) != NULL, "%s: %s", target->id, status);
        if (element[0] == 'N' && (element[1] == 'O' || element[1] == 'H'))
            element = csv_text(&csv, row, csv_column(&csv, "element"))[1] == 'H' ? (ammonium[target - published_targets] = mg_l, "n") : "n";
        for (e = 0; e < ELEMENT_NUTRIENTS && strcasecmp(element_key[e], element) != 0; e++)
            ;
        ck_assert_msg(e < ELEMENT_NUTRIENTS, "%s", element);
        left[target - published_targets][e] -= mg_l;
    }
    for (size_t t = 0; t < published_targets_count; t++) {
        ck_assert(ammonium[t] > 0 ? published_targets[t].n_nh4_mg_l == ammonium[t] : isnan(published_targets[t].n_nh4_mg_l));
        for (size_t e = 0; e < ELEMENT_NUTRIENTS; e++)
            ck_assert_msg(isnan(left[t][e]) || fabs(left[t][e]) < 1e-9, "%s %s: %g", published_targets[t].id, element_key[e], left[t][e]);
    }
    csv_free(&csv);
}
END_TEST

START_TEST(own_target_can_be_changed)
{
    json_t *mine = caller_expect(&caller, 201, "POST", "/api/v1/targets", "{\"id\":\"" ID(1) "\",\"name\":\"mild\",\"mg_l\":{\"n\":100,\"k\":150}}");

    json_decref(mine);
    mine = caller_expect(&caller, 200, "PATCH", "/api/v1/targets/" ID(1), "{\"mg_l\":{\"n\":90},\"source\":\"our own trials\"}");
    ck_assert_double_eq(number_of(json_object_get(mine, "mg_l"), "n"), 90);
    ck_assert_ptr_null(json_object_get(json_object_get(mine, "mg_l"), "k"));
    ck_assert(json_is_false(json_object_get(mine, "builtin")));
    json_decref(mine);
}
END_TEST

/* ---- crops ---- */

START_TEST(crop_figures_become_the_gardens_own_and_go_back)
{
    json_t *all = caller_get(&caller, "/api/v1/crops"), *before = json_incref(item_of(all, "id", "lettuce-leaf")), *after;

    ck_assert_uint_eq(json_array_size(json_object_get(all, "items")), 17);
    after = caller_expect(&caller, 200, "PATCH", "/api/v1/crops/lettuce-leaf", "{\"yield_g\":[90,140]}");
    ck_assert_double_eq(json_number_value(json_array_get(json_object_get(after, "yield_g"), 1)), 140);
    ck_assert_str_eq(text_of(json_object_get(after, "sources"), "yield_g"), "the garden's own");
    ck_assert_str_eq(text_of(json_object_get(after, "sources"), "ph"), text_of(json_object_get(before, "sources"), "ph"));
    ck_assert_str_eq(json_string_value(json_array_get(json_object_get(after, "own"), 0)), "yield_g");
    json_decref(after);
    after = caller_expect(&caller, 200, "PATCH", "/api/v1/crops/lettuce-leaf", "{\"yield_g\":null}");
    ck_assert(json_equal(before, after));
    json_decref(after);
    json_decref(before);
    json_decref(all);
}
END_TEST

START_TEST(own_crop_takes_what_it_lacks_from_what_it_resembles)
{
    json_t *mine = caller_expect(&caller, 201, "POST", "/api/v1/crops",
                                 "{\"name\":\"Red leaf\",\"resembles\":\"lettuce-leaf\",\"days_to_harvest\":[22,35],"
                                 "\"sources\":{\"days_to_harvest\":\"seed packet\"}}");
    json_t *all = caller_get(&caller, "/api/v1/crops"), *like = item_of(all, "id", "lettuce-leaf");

    ck_assert_double_eq(json_number_value(json_array_get(json_object_get(mine, "days_to_harvest"), 0)), 22);
    ck_assert_str_eq(text_of(json_object_get(mine, "sources"), "days_to_harvest"), "seed packet");
    ck_assert(json_equal(json_object_get(mine, "ph"), json_object_get(like, "ph")));
    ck_assert_str_eq(text_of(mine, "name"), "Red leaf");
    json_decref(all);
    json_decref(mine);
}
END_TEST

/* The moment some days ago, as text. */
static const char *days_ago(int days)
{
    static char text[2][32];
    static int turn;

    return shape_instant(text[turn++ % 2], clock_now_ms() - days * DAY_MS);
}

static double harvest_day(void)
{
    json_t *tank = caller_get(&caller, "/api/v1/tanks/" ID(7));
    const char *date = text_of(json_object_get(json_object_get(tank, "outlook"), "harvest_on"), "p50");
    int32_t day = 0;

    ck_assert_int_eq(shape_read_date(date, &day), 0);
    json_decref(tank);
    return day;
}

/* A garden whose lettuce takes longer says so, and the tank's own outlook follows. */
START_TEST(crop_figures_reach_the_outlook)
{
    double before;

    make_tank();
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden",
                              "{\"place\":\"lamps\",\"climate\":{\"indoor\":{\"temperature_c\":21,\"rh_percent\":65,\"ppfd_umol\":200,\"hours\":16}}}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/crops", "{\"id\":\"" ID(6) "\",\"name\":\"Red leaf\",\"resembles\":\"lettuce-leaf\"}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"" ID(1) "\",\"tank\":\"" ID(7) "\",\"kind\":\"fill\",\"at\":\"%s\",\"waterline_mm\":260}", days_ago(3)));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"" ID(2) "\",\"tank\":\"" ID(7) "\",\"kind\":\"planting\",\"at\":\"%s\",\"crop\":\"" ID(6) "\",\"count\":2}", days_ago(3)));
    before = harvest_day();
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/crops/" ID(6), "{\"days_to_harvest\":[60,70]}"));
    ck_assert_double_ge(harvest_day(), before + 10);
}
END_TEST

/* ---- what an entry names ---- */

static const struct {
    const char *fields, *at;
} misnamed[] = {
    {"\"kind\":\"planting\",\"crop\":\"oak\",\"count\":1", "/crop"},
    {"\"kind\":\"fill\",\"volume_l\":30,\"target\":\"oak\"", "/target"},
    {"\"kind\":\"fill\",\"volume_l\":30,\"water\":\"oak\"", "/water"},
    {"\"kind\":\"fill\",\"volume_l\":30,\"weighed\":[{\"salt\":\"epsom-salt\",\"grams\":1},{\"salt\":\"oak\",\"grams\":1}]", "/weighed/1/salt"},
};

START_TEST(entry_names_only_what_is_there)
{
    json_t *problem;

    make_tank();
    problem = caller_expect(&caller, 422, "POST", "/api/v1/entries", "{\"id\":\"" ID(1) "\",\"tank\":\"" ID(7) "\",\"at\":\"2026-05-01T08:00:00Z\",%s}",
                            misnamed[_i].fields);
    ck_assert_msg(problem_at(problem, misnamed[_i].at), "%s", caller.bytes);
    json_decref(problem);
}
END_TEST

/* ---- weather ---- */

START_TEST(weather_is_kept_by_day_and_paged)
{
    json_t *page;

    json_decref(caller_expect(&caller, 200, "POST", "/api/v1/weather",
                              "{\"days\":[{\"date\":\"2026-05-02\",\"tmin_c\":9,\"tmax_c\":19},{\"date\":\"2026-05-01\",\"tmin_c\":8,"
                              "\"tmax_c\":18,\"rain_mm\":4.5},{\"date\":\"2026-05-03\",\"tmin_c\":7,\"tmax_c\":17}]}"));
    json_decref(caller_expect(&caller, 200, "POST", "/api/v1/weather", "{\"days\":[{\"date\":\"2026-05-02\",\"tmin_c\":10,\"tmax_c\":20}]}"));
    page = caller_get(&caller, "/api/v1/weather?from=2026-05-01&to=2026-05-03&limit=2");
    ck_assert_uint_eq(json_array_size(json_object_get(page, "items")), 2);
    ck_assert_double_eq(number_of(item_of(page, "date", "2026-05-02"), "tmax_c"), 20);
    ck_assert_double_eq(number_of(item_of(page, "date", "2026-05-01"), "rain_mm"), 4.5);
    ck_assert_str_eq(text_of(page, "next"), "2026-05-02");
    json_decref(page);
    page = caller_get(&caller, "/api/v1/weather?to=2026-05-03&after=2026-05-02");
    ck_assert_uint_eq(json_array_size(json_object_get(page, "items")), 1);
    ck_assert(json_is_null(json_object_get(page, "next")));
    json_decref(page);
}
END_TEST

START_TEST(lists_are_cut_where_asked)
{
    json_t *first = caller_get(&caller, "/api/v1/crops?limit=10"), *rest;
    char path[64];

    snprintf(path, sizeof path, "/api/v1/crops?after=%s", text_of(first, "next"));
    rest = caller_get(&caller, path);
    ck_assert_uint_eq(json_array_size(json_object_get(rest, "items")), 7);
    json_decref(caller_expect(&caller, 422, "GET", "/api/v1/crops?after=oak", NULL));
    json_decref(caller_expect(&caller, 422, "GET", "/api/v1/crops?limit=0", NULL));
    json_decref(first);
    json_decref(rest);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("shelf");
    TCase *tcase = tcase_create("shelf");

    tcase_add_checked_fixture(tcase, open_new, close_it);
    tcase_set_timeout(tcase, 60);
    tcase_add_loop_test(tcase, bad_bodies_are_refused_and_leave_nothing, 0, COUNT(refused));
    tcase_add_loop_test(tcase, sent_twice_is_kept_once, 0, COUNT(sent));
    tcase_add_test(tcase, areas_go_two_deep_and_are_removed_empty);
    tcase_add_test(tcase, area_with_a_tank_stays);
    tcase_add_test(tcase, stock_follows_the_log_and_its_corrections);
    tcase_add_test(tcase, stock_told_later_counts_from_then);
    tcase_add_loop_test(tcase, salts_say_what_to_mind, 0, COUNT(hazards));
    tcase_add_test(tcase, own_caution_stands_before_ours_and_can_go);
    tcase_add_test(tcase, water_says_what_it_does_not_know);
    tcase_add_test(tcase, water_known_by_less_is_reckoned_wider);
    tcase_add_test(tcase, published_targets_say_their_source_and_status);
    tcase_add_test(tcase, published_targets_are_as_published);
    tcase_add_test(tcase, own_target_can_be_changed);
    tcase_add_test(tcase, crop_figures_become_the_gardens_own_and_go_back);
    tcase_add_test(tcase, own_crop_takes_what_it_lacks_from_what_it_resembles);
    tcase_add_test(tcase, crop_figures_reach_the_outlook);
    tcase_add_loop_test(tcase, entry_names_only_what_is_there, 0, COUNT(misnamed));
    tcase_add_test(tcase, weather_is_kept_by_day_and_paged);
    tcase_add_test(tcase, lists_are_cut_where_asked);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
