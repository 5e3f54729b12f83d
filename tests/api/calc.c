/* The calculations over HTTP: field names and figures arrive where they belong. That the calculations are right is shown in
 * tests/calc; here a few published figures go the whole way through a document, and the parts of an answer must agree. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "caller.h"
#include "runner.h"

static struct caller caller;

static void open_new(void)
{
    caller_open(&caller, "calc");
}

static void close_it(void)
{
    caller_close(&caller);
}

static json_t *ask(const char *what, const char *body)
{
    char path[80];

    snprintf(path, sizeof path, "/api/v1/calc/%s", what);
    return caller_expect(&caller, 200, "POST", path, "%s", body);
}

/* "weigh/0/grams": members and indices, one after the other; the test ends where one is missing. */
static const json_t *at(const json_t *document, const char *way)
{
    char step[64];

    while (*way) {
        size_t length = strcspn(way, "/");

        snprintf(step, sizeof step, "%.*s", (int)length, way);
        document = json_is_array(document) ? json_array_get(document, (size_t)atoi(step)) : json_object_get(document, step);
        ck_assert_msg(document != NULL, "%s is missing", step);
        way += length + (way[length] == '/');
    }
    return document;
}

static double number_at(const json_t *document, const char *way)
{
    const json_t *value = at(document, way);

    ck_assert_msg(json_is_number(value), "%s is no number", way);
    return json_number_value(value);
}

/* ---- published figures ---- */

static const struct {
    const char *what, *body, *way;
    double printed, within;
    const char *source;
} published[] = {
    {"vessel", "{\"vessel\":{\"shape\":\"round\",\"floor_mm\":400,\"rim_mm\":600,\"height_mm\":600},\"waterline_mm\":600}", "volume_l", 119.381, 0.0005,
     "fixtures/horticulture/vessels.csv, V3: radii 30 and 20 cm, height 60 cm, 38 000 pi cm3"},
    {"vessel", "{\"vessel\":{\"shape\":\"round\",\"floor_mm\":140,\"rim_mm\":280,\"height_mm\":300},\"waterline_mm\":300}", "volume_l", 10.776, 0.0005,
     "the same, V1: radii 14 and 7 cm, height 30 cm"},
    {"vessel", "{\"vessel\":{\"shape\":\"round\",\"floor_mm\":400,\"rim_mm\":600,\"height_mm\":600},\"volume_l\":119.38052}", "waterline_mm", 600, 0.001,
     "V3, the other way round"},
    {"vessel", "{\"vessel\":{\"shape\":\"box\",\"floor_mm\":[500,400],\"rim_mm\":[500,400],\"height_mm\":500},\"waterline_mm\":250}", "volume_l", 50, 1e-9,
     "length x width x height"},
    {"vessel", "{\"vessel\":{\"shape\":\"box\",\"floor_mm\":[500,400],\"rim_mm\":[500,400],\"height_mm\":500},\"waterline_mm\":250}", "surface_cm2", 2000, 1e-9,
     "length x width"},
    {"vessel", "{\"vessel\":{\"shape\":\"poured\",\"points\":[[100,5],[200,10]]},\"waterline_mm\":150}", "volume_l", 7.5, 1e-9, "half-way between two equal pours"},
    {"reference-et", "{\"latitude_deg\":50.8,\"elevation_m\":100,\"date\":\"2015-07-06\",\"tmin_c\":12.3,\"tmax_c\":21.5,\"rh_min_percent\":63,\"rh_max_percent\":84,"
                     "\"wind_m_s\":2.78,\"wind_height_m\":10,\"sunshine_h\":9.25}", "et0_mm_day", 3.9, 0.05,
     "FAO Irrigation and Drainage Paper 56 (1998), example 18"},
    {"reference-et", "{\"latitude_deg\":50.8,\"elevation_m\":100,\"date\":\"2015-07-06\",\"tmin_c\":12.3,\"tmax_c\":21.5,\"rh_min_percent\":63,\"rh_max_percent\":84,"
                     "\"wind_m_s\":2.78,\"wind_height_m\":10,\"sunshine_h\":9.25}", "ra_mj_m2", 41.09, 0.005, "the same example"},
    {"reference-et", "{\"latitude_deg\":50.8,\"elevation_m\":100,\"date\":\"2015-07-06\",\"tmin_c\":12.3,\"tmax_c\":21.5,\"rh_min_percent\":63,\"rh_max_percent\":84,"
                     "\"wind_m_s\":2.78,\"wind_height_m\":10,\"sunshine_h\":9.25}", "u2_m_s", 2.078, 0.002, "the same example"},
    {"reference-et", "{\"latitude_deg\":-20,\"elevation_m\":0,\"date\":\"2015-09-03\",\"tmin_c\":19,\"tmax_c\":25}", "ra_mj_m2", 32.2, 0.05,
     "the same paper, example 8"},
    {"solution", "{\"temperature_c\":25,\"added\":[{\"ions_mmol_l\":{\"K\":10,\"Cl\":10}}]}", "ec_ms_cm", 1.408, 0.03 * 1.408,
     "primary standard of 0.01 mol/kg potassium chloride, fixtures/chemistry/standards.csv; within the 3 % that the answer itself tells"},
    {"solution", "{\"temperature_c\":20,\"added\":[{\"salt\":\"calcium-nitrate-4h2o\",\"g_l\":1.18073},{\"salt\":\"potassium-nitrate\",\"g_l\":0.50551},"
                 "{\"salt\":\"monopotassium-phosphate\",\"g_l\":0.136085},{\"salt\":\"epsom-salt\",\"g_l\":0.49294},{\"salt\":\"boric-acid\",\"g_l\":0.0028596}]}", "ph", 4.9363, 0.05,
     "The water-culture method (1950), solution 1, computed with PHREEQC 3: fixtures/chemistry/solutions-full.csv"},
    {"solution", "{\"temperature_c\":20,\"added\":[{\"salt\":\"calcium-nitrate-4h2o\",\"g_l\":1.18073},{\"salt\":\"potassium-nitrate\",\"g_l\":0.50551},"
                 "{\"salt\":\"monopotassium-phosphate\",\"g_l\":0.136085},{\"salt\":\"epsom-salt\",\"g_l\":0.49294},{\"salt\":\"boric-acid\",\"g_l\":0.0028596}]}",
     "saturation/gypsum", -1.107, 0.1, "the same row"},
    {"solution", "{\"temperature_c\":20,\"added\":[{\"salt\":\"calcium-nitrate-4h2o\",\"g_l\":1.18073},{\"salt\":\"potassium-nitrate\",\"g_l\":0.50551},"
                 "{\"salt\":\"monopotassium-phosphate\",\"g_l\":0.136085},{\"salt\":\"epsom-salt\",\"g_l\":0.49294},{\"salt\":\"boric-acid\",\"g_l\":0.0028596}]}",
     "species_mmol_l/CaSO4", 0.34579, 0.02, "the same row"},
    {"solution", "{\"added\":[{\"ions_mmol_l\":{\"H\":1,\"Cl\":1}}]}", "ph", 3.015, 0.02, "a strong acid of 1 mmol/L, activity coefficient 0.965: textbook, from memory"},
    {"solution", "{\"added\":[{\"ions_mmol_l\":{\"Na\":1,\"OH\":1}}]}", "ph", 10.98, 0.03, "a strong base of 1 mmol/L at 25 C, the same way"},
    {"recipe", "{\"volume_l\":1000,\"target_mg_l\":{\"n\":100},\"salts\":[{\"name\":\"calcium nitrate\",\"label\":{\"n_no3\":15.5,\"ca\":19}}]}", "weigh/0/grams", 645, 0.5,
     "fixtures/horticulture/salts-worked-examples.csv, W1: 645 mg/L (from memory there)"},
    {"recipe", "{\"volume_l\":1000,\"target_mg_l\":{\"n\":100},\"salts\":[{\"name\":\"calcium nitrate\",\"label\":{\"n_no3\":15.5,\"ca\":19}}]}", "delivers_mg_l/ca", 122.6, 0.05,
     "the same, W2"},
    {"recipe", "{\"volume_l\":1,\"target_mg_l\":{\"ca\":200},\"salts\":[{\"name\":\"calcium nitrate\",\"label\":{\"n_no3\":11.9,\"n_nh4\":1,\"ca\":18.8}}]}", "weigh/0/grams_exact", 1.0638,
     0.00005, "the same, W11: 1063.8 mg of salt per L"},
};

START_TEST(published_figures_come_through)
{
    json_t *answer = ask(published[_i].what, published[_i].body);
    double value = number_at(answer, published[_i].way);

    ck_assert_msg(fabs(value - published[_i].printed) <= published[_i].within, "%s %s: %g, not %g (%s)", published[_i].what, published[_i].way, value,
                  published[_i].printed, published[_i].source);
    json_decref(answer);
}
END_TEST

/* What is missing is estimated as the standard says, and named. */
START_TEST(what_was_filled_in_is_named)
{
    json_t *bare = ask("reference-et", "{\"latitude_deg\":45.72,\"elevation_m\":200,\"date\":\"2026-07-15\",\"tmin_c\":14.8,\"tmax_c\":26.6}");
    json_t *windy = ask("reference-et", "{\"latitude_deg\":45.72,\"elevation_m\":200,\"date\":\"2026-07-15\",\"tmin_c\":14.8,\"tmax_c\":26.6,\"wind_m_s\":2}");

    ck_assert_str_eq(text_of(bare, "method"), "hargreaves");
    ck_assert_str_eq(text_of(windy, "method"), "penman-monteith");
    ck_assert_uint_gt(json_array_size(at(windy, "filled_in")), 0);
    for (size_t i = 0; i < json_array_size(at(windy, "filled_in")); i++)
        ck_assert_str_ne(json_string_value(json_array_get(at(windy, "filled_in"), i)), "wind");
    json_decref(bare);
    json_decref(windy);
}
END_TEST

/* ---- a lid: what a tape measure would find (ours) ---- */

START_TEST(cups_lie_as_far_apart_as_asked)
{
    json_t *answer = ask("lid", "{\"lid_mm\":[640,440],\"corner_mm\":40,\"hole_mm\":76,\"edge_mm\":40,\"spacing_mm\":180,\"pattern\":\"square\"}");
    const json_t *cups = at(answer, "cups");

    ck_assert_str_eq(text_of(answer, "pattern"), "square");
    ck_assert_uint_eq(json_array_size(cups), 6);
    for (size_t i = 0; i < 6; i++) {
        double x = number_of(json_array_get(cups, i), "x_mm"), y = number_of(json_array_get(cups, i), "y_mm");

        ck_assert(x >= 78 && x <= 562 && y >= 78 && y <= 362);
        for (size_t k = 0; k < i; k++)
            ck_assert(hypot(x - number_of(json_array_get(cups, k), "x_mm"), y - number_of(json_array_get(cups, k), "y_mm")) >= 180 - 1e-9);
    }
    ck_assert(number_of(answer, "least_web_mm") >= 40 - 1e-9);
    json_decref(answer);
}
END_TEST

/* ---- the recipe's parts agree with each other ---- */

static const char recipe[] =
    "{\"volume_l\":95,\"water\":{\"ph\":7.4,\"alkalinity_mg_caco3_l\":90,\"ca_mg_l\":30,\"mg_mg_l\":5},"
    "\"target_mg_l\":{\"n\":150,\"p\":31,\"k\":210,\"ca\":150,\"mg\":40},"
    "\"salts\":[{\"salt\":\"epsom-salt\",\"max_g\":20},{\"salt\":\"calcium-nitrate-4h2o\"},{\"name\":\"base blend\",\"label\":{\"n_no3\":4,\"p2o5\":12,\"k2o\":30}},"
    "{\"salt\":\"potassium-nitrate\"}],\"scale_step_g\":0.5,\"ph\":6.0}";

START_TEST(a_recipe_adds_up)
{
    json_t *answer = ask("recipe", recipe);
    /* Mass fractions from the formulas' atomic masses (CIAAW 2021, abridged) and the label as printed. */
    double epsom = number_at(answer, "weigh/0/grams"), calcium = number_at(answer, "weigh/1/grams"), blend = number_at(answer, "weigh/2/grams"),
           potassium = number_at(answer, "weigh/3/grams"), dissolved = 0;
    double mg = 5 + 1000 * epsom * 24.305 / 246.466 / 95, ca = 30 + 1000 * calcium * 40.078 / 236.146 / 95;
    double k = 1000 * (potassium * 39.098 / 101.102 + blend * 0.30 * 0.83015) / 95;
    const json_t *steps = at(answer, "steps");

    ck_assert_str_eq(json_string_value(at(answer, "weigh/2/salt")), "base blend");
    ck_assert_double_eq_tol(epsom, 20, 1e-9); /* the limit */
    ck_assert(json_is_true(at(answer, "weigh/0/at_limit")));
    ck_assert_double_eq_tol(number_at(answer, "delivers_mg_l/mg"), mg, 0.01);
    ck_assert_double_eq_tol(number_at(answer, "delivers_mg_l/ca"), ca, 0.02);
    ck_assert_double_eq_tol(number_at(answer, "delivers_mg_l/k"), k, 0.05);
    ck_assert_double_eq_tol(number_at(answer, "off_percent/mg"), 100 * (mg / 40 - 1), 0.05);
    ck_assert_str_eq(json_string_value(at(answer, "short/0/element")), "mg");
    ck_assert_str_eq(json_string_value(at(answer, "short/0/reason")), "at_limit");
    for (size_t i = 0; i < 4; i++) { /* on the scale's step */
        double grams = number_of(json_array_get(at(answer, "weigh"), i), "grams");

        ck_assert_double_eq_tol(grams * 2, round(grams * 2), 1e-9);
    }
    ck_assert_uint_eq(json_array_size(steps), 4);
    for (size_t i = 0; i < 4; i++)
        dissolved += number_of(json_array_get(steps, i), "grams");
    ck_assert_double_eq_tol(dissolved, epsom + calcium + blend + potassium, 1e-6);
    ck_assert_double_eq_tol(number_at(answer, "solution/ph"), 6.0, 0.001);
    ck_assert_double_eq_tol(number_at(answer, "solution/elements_mg_l/k"), k, 0.05);
    ck_assert(number_at(answer, "acid/ml") > 0 && json_array_size(at(answer, "acid/cautions")) > 0);
    ck_assert(json_array_size(at(answer, "cautions")) >= 3); /* nitrates, children and dust, weight */
    json_decref(answer);
}
END_TEST

/* The dose of the recipe, asked for by itself with what was weighed, is the same. */
START_TEST(recipe_and_acid_agree)
{
    json_t *answer = ask("recipe", "{\"volume_l\":100,\"water\":{\"ph\":7.6,\"alkalinity_mg_caco3_l\":180,\"ca_mg_l\":60},\"target_mg_l\":{\"k\":100},"
                                   "\"salts\":[{\"salt\":\"potassium-nitrate\"}],\"ph\":5.8,\"acid\":\"nitric\",\"strength_percent\":60}");
    json_t *alone = caller_expect(&caller, 200, "POST", "/api/v1/calc/acid",
                                  "{\"water\":{\"ph\":7.6,\"alkalinity_mg_caco3_l\":180,\"ca_mg_l\":60},\"added\":[{\"salt\":\"potassium-nitrate\",\"g_l\":%.12g}],"
                                  "\"ph\":5.8,\"acid\":\"nitric\",\"strength_percent\":60,\"volume_l\":100}",
                                  number_at(answer, "weigh/0/grams") / 100);

    ck_assert_double_eq_tol(number_at(answer, "acid/ml"), number_of(alone, "ml"), 1e-6 * number_of(alone, "ml"));
    ck_assert(number_of(alone, "ml") > 10);
    json_decref(alone);
    json_decref(answer);
}
END_TEST

/* What an acid brings is taken off the salts: the sum fits the target better than salts and acid worked out apart. */
START_TEST(acid_is_counted_in)
{
    static const char body[] = "{\"volume_l\":100,\"water\":{\"ph\":7.6,\"alkalinity_mg_caco3_l\":180,\"ca_mg_l\":60},\"target_mg_l\":{\"k\":200,\"p\":120},"
                               "\"salts\":[{\"salt\":\"monopotassium-phosphate\"},{\"salt\":\"potassium-chloride\"}],\"ph\":5.8%s}";
    json_t *without = caller_expect(&caller, 200, "POST", "/api/v1/calc/recipe", body, "");
    json_t *with = caller_expect(&caller, 200, "POST", "/api/v1/calc/recipe", body, ",\"acid\":\"phosphoric\",\"strength_percent\":85");
    double brought = number_at(with, "acid/adds_mg_l/p");

    ck_assert_double_gt(brought, 30);
    ck_assert_double_eq_tol(number_at(without, "acid/adds_mg_l/p"), 0, 1e-12);
    ck_assert_double_eq_tol(number_at(with, "delivers_mg_l/p"), number_at(without, "delivers_mg_l/p"), 1.0);
    ck_assert_double_eq_tol(number_at(with, "solution/elements_mg_l/p"), 120, 1.0);
    ck_assert_double_lt(number_at(with, "weigh/0/grams"), 0.6 * number_at(without, "weigh/0/grams"));
    json_decref(with);
    json_decref(without);
}
END_TEST

/* A salt of which nothing is taken has no step, and the others keep their names. */
START_TEST(a_salt_that_is_not_used_has_no_step)
{
    json_t *answer = ask("recipe", "{\"volume_l\":10,\"target_mg_l\":{\"k\":100,\"mg\":20},\"salts\":[{\"salt\":\"calcium-chloride-2h2o\",\"max_g\":0},"
                                   "{\"salt\":\"potassium-nitrate\"},{\"salt\":\"epsom-salt\"}]}");
    const json_t *steps = at(answer, "steps");
    double grams[2] = {number_at(answer, "weigh/1/grams"), number_at(answer, "weigh/2/grams")};

    ck_assert_double_eq_tol(number_at(answer, "weigh/0/grams"), 0, 1e-12);
    ck_assert_uint_eq(json_array_size(steps), 2);
    for (size_t i = 0; i < 2; i++) {
        bool nitrate = strcmp(text_of(json_array_get(steps, i), "salt"), "potassium-nitrate") == 0;

        ck_assert(nitrate || strcmp(text_of(json_array_get(steps, i), "salt"), "epsom-salt") == 0);
        ck_assert_double_eq_tol(number_of(json_array_get(steps, i), "grams"), grams[nitrate ? 0 : 1], 1e-9);
    }
    json_decref(answer);
}
END_TEST

/* A bag whose label leaves out half of what is in it: grams, but no chemistry that would be fiction. */
START_TEST(a_label_that_says_too_little)
{
    json_t *answer = ask("recipe", "{\"volume_l\":10,\"target_mg_l\":{\"k\":100},\"salts\":[{\"name\":\"half a label\",\"label\":{\"k2o\":40}}],\"ph\":6}");

    ck_assert_double_gt(number_at(answer, "weigh/0/grams"), 0);
    ck_assert(json_is_null(at(answer, "solution")) == (json_array_size(at(answer, "steps")) == 0));
    if (json_is_null(at(answer, "solution"))) {
        ck_assert(json_is_null(at(answer, "acid")));
        ck_assert_ptr_nonnull(strstr(caller.bytes, "half a label"));
    }
    json_decref(answer);
}
END_TEST

/* A water without its pH: at rest with outdoor air. 1.9 to 2.2 mmol/L of alkalinity then stand near pH 8.3, rain near 5.6 (textbook, from memory). */
START_TEST(a_water_without_its_ph)
{
    json_t *hard = ask("solution", "{\"water\":{\"alkalinity_mg_caco3_l\":100,\"ca_mg_l\":40}}"), *rain = ask("solution", "{\"water\":{\"cl_mg_l\":0}}");

    ck_assert_double_eq_tol(number_of(hard, "ph"), 8.3, 0.15);
    ck_assert_double_eq_tol(number_of(rain, "ph"), 5.6, 0.1);
    json_decref(hard);
    json_decref(rain);
}
END_TEST

/* ---- stock solutions ---- */

START_TEST(stocks_hold_the_whole_recipe)
{
    json_t *answer = ask("concentrate", "{\"volume_l\":10,\"target_mg_l\":{\"n\":150,\"p\":31,\"k\":200,\"ca\":120,\"mg\":30},"
                                        "\"salts\":[{\"salt\":\"epsom-salt\"},{\"salt\":\"calcium-nitrate-4h2o\"},{\"salt\":\"potassium-nitrate\"},"
                                        "{\"salt\":\"monopotassium-phosphate\"}],\"scale_step_g\":0.01}");
    double factor = number_of(answer, "factor");
    const json_t *weigh = at(answer, "recipe/weigh"), *stocks = at(answer, "stocks");
    bool with_calcium[4] = {false}, with_partner[4] = {false};

    ck_assert_double_gt(factor, number_of(answer, "all_in_one_factor"));
    ck_assert_double_eq_tol(factor * number_of(answer, "dose_ml_l"), 1000, 1e-6);
    for (size_t w = 0; w < json_array_size(weigh); w++) {
        const json_t *row = json_array_get(weigh, w);
        double held = 0;

        for (size_t s = 0; s < json_array_size(stocks); s++) {
            const json_t *salts = json_object_get(json_array_get(stocks, s), "salts");

            for (size_t i = 0; i < json_array_size(salts); i++) {
                const char *salt = text_of(json_array_get(salts, i), "salt");

                if (strcmp(salt, text_of(row, "salt")) == 0)
                    held += number_of(json_array_get(salts, i), "g_l");
                with_calcium[s] |= strstr(salt, "calcium") != NULL;
                with_partner[s] |= strstr(salt, "epsom") || strstr(salt, "phosphate");
            }
        }
        ck_assert_double_eq_tol(held / factor, number_of(row, "grams") / 10, 1e-9 + 1e-6 * held);
    }
    for (size_t s = 0; s < json_array_size(stocks); s++) /* calcium apart from sulfate and phosphate: common practice, no source */
        ck_assert(!with_calcium[s] || !with_partner[s]);
    json_decref(answer);
}
END_TEST

/* ---- a top-up ---- */

#define TOTE "\"vessel\":{\"shape\":\"box\",\"floor_mm\":[560,360],\"rim_mm\":[640,440],\"height_mm\":420}"

static const struct {
    const char *more;
    double ceiling_mm;
} topups[] = {
    {"", 140}, /* no ceiling told: 20 mm, A suspended pot, non-circulating hydroponic method, Acta Horticulturae 648 (2004) */
    {",\"ceiling_mm\":130", 130},
    {",\"ceiling_mm\":130,\"ec_ms_cm\":1.1,\"days_left\":20,\"use_l\":25", 130},
    {",\"ceiling_mm\":300,\"ec_ms_cm\":0.6,\"ph\":7.2,\"days_left\":20,\"use_l\":40,\"target_mg_l\":{\"n\":150,\"p\":31,\"k\":200,\"ca\":120,\"mg\":30},"
     "\"salts\":[{\"salt\":\"epsom-salt\"},{\"salt\":\"calcium-nitrate-4h2o\"},{\"salt\":\"potassium-nitrate\"},{\"salt\":\"monopotassium-phosphate\"}],"
     "\"water\":{\"ph\":7.6,\"alkalinity_mg_caco3_l\":120,\"ca_mg_l\":40}", 140},
};

START_TEST(a_top_up_stays_below_its_ceiling)
{
    json_t *answer = caller_expect(&caller, 200, "POST", "/api/v1/calc/topup", "{" TOTE ",\"waterline_mm\":120%s}", topups[_i].more);
    json_t *before = caller_expect(&caller, 200, "POST", "/api/v1/calc/vessel", "{" TOTE ",\"waterline_mm\":120}");
    json_t *after = caller_expect(&caller, 200, "POST", "/api/v1/calc/vessel", "{" TOTE ",\"waterline_mm\":%.12g}", number_of(answer, "to_mm"));

    ck_assert_double_le(number_of(answer, "to_mm"), topups[_i].ceiling_mm + 1e-9);
    ck_assert_double_eq_tol(number_of(after, "volume_l") - number_of(before, "volume_l"), number_of(answer, "add_l"), 1e-6);
    ck_assert(json_array_size(at(answer, "why")) > 0);
    json_decref(after);
    json_decref(before);
    json_decref(answer);
}
END_TEST

START_TEST(a_weak_tank_gets_grams_and_acid)
{
    json_t *answer = caller_expect(&caller, 200, "POST", "/api/v1/calc/topup", "{" TOTE ",\"waterline_mm\":120%s}", topups[3].more);

    ck_assert_str_ne(text_of(answer, "strength"), "plain");
    ck_assert(json_array_size(at(answer, "grams")) > 0);
    ck_assert_double_gt(number_at(answer, "acid/ml"), 0);
    ck_assert_double_gt(number_of(answer, "ec_after_ms_cm"), 0.6);
    json_decref(answer);
}
END_TEST

/* ---- an outlook ---- */

START_TEST(an_outlook_is_in_order)
{
    json_t *answer = ask("outlook", "{\"today\":\"2026-05-20\"," TOTE ",\"start_mm\":380,\"low_mm\":60,"
                                    "\"plantings\":[{\"crop\":\"lettuce-leaf\",\"count\":6,\"on\":\"2026-05-01\",\"harvest_on\":null}],"
                                    "\"climate\":{\"indoor\":{\"temperature_c\":22,\"rh_percent\":60,\"ppfd_umol\":250,\"hours\":16}},\"weather\":[],"
                                    "\"readings\":[{\"at\":\"2026-05-12T08:00:00Z\",\"waterline_mm\":365}],\"added\":[],\"cuts\":[],\"horizon_days\":90}");
    const json_t *lines = at(answer, "waterline");
    double last = 1e9;

    ck_assert_uint_eq(json_array_size(lines), 90);
    ck_assert_str_eq(json_string_value(at(answer, "waterline/0/date")), "2026-05-20");
    for (size_t i = 0; i < json_array_size(lines); i++) {
        double p10 = number_of(json_array_get(lines, i), "p10_mm"), p50 = number_of(json_array_get(lines, i), "p50_mm"),
               p90 = number_of(json_array_get(lines, i), "p90_mm");

        ck_assert(p10 <= p50 && p50 <= p90 && p50 <= last);
        last = p50;
    }
    ck_assert(number_at(answer, "use_l_day/p10") <= number_at(answer, "use_l_day/p50") && number_at(answer, "use_l_day/p50") <= number_at(answer, "use_l_day/p90"));
    ck_assert(number_of(answer, "carries_to_harvest") >= 0 && number_of(answer, "carries_to_harvest") <= 1);
    ck_assert_str_le(json_string_value(at(answer, "harvest_on/p10")), json_string_value(at(answer, "harvest_on/p90")));
    json_decref(answer);
}
END_TEST

/* ---- faults of the calculations carry the pointers of the document ---- */

static const struct {
    const char *what, *body, *at;
} refused[] = {
    {"vessel", "{\"vessel\":{\"shape\":\"round\",\"floor_mm\":400,\"rim_mm\":600,\"height_mm\":600},\"waterline_mm\":601}", "/waterline_mm"},
    {"vessel", "{\"vessel\":{\"shape\":\"round\",\"floor_mm\":400,\"rim_mm\":600,\"height_mm\":600},\"waterline_mm\":1,\"volume_l\":1}", ""},
    {"vessel", "{\"vessel\":{\"shape\":\"round\",\"floor_mm\":400,\"rim_mm\":600,\"height_mm\":600}}", ""},
    {"vessel", "{\"vessel\":{\"shape\":\"box\",\"floor_mm\":[400,300],\"rim_mm\":[400,300],\"height_mm\":300,\"corner_mm\":200},\"volume_l\":1}", "/vessel/corner_mm"},
    {"vessel", "{\"vessel\":{\"shape\":\"poured\",\"points\":[[100,5],[90,10]]},\"volume_l\":1}", "/vessel/points/1"},
    {"lid", "{\"lid_mm\":[300,300],\"hole_mm\":76,\"edge_mm\":40,\"spacing_mm\":70}", "/spacing_mm"},
    {"lid", "{\"lid_mm\":[100,100],\"hole_mm\":76,\"edge_mm\":40,\"spacing_mm\":90}", ""},
    {"reference-et", "{\"latitude_deg\":50,\"elevation_m\":0,\"date\":\"2026-05-01\",\"tmin_c\":20,\"tmax_c\":10}", "/tmin_c"},
    {"reference-et", "{\"latitude_deg\":50,\"elevation_m\":0,\"date\":\"2026-05-01\",\"tmin_c\":2,\"tmax_c\":10,\"rh_min_percent\":40}", "/rh_max_percent"},
    {"solution", "{\"added\":[{\"ions_mmol_l\":{\"Ca\":1,\"Cl\":1}}]}", "/added/0/ions_mmol_l"},
    {"solution", "{\"added\":[{\"salt\":\"epsom-salt\",\"g_l\":1},{\"salt\":\"no-such-salt\",\"g_l\":1}]}", "/added/1/salt"},
    {"solution", "{\"water\":{\"ph\":10.9,\"alkalinity_mg_caco3_l\":2}}", "/water/alkalinity_mg_caco3_l"},
    {"acid", "{\"added\":[{\"salt\":\"no-such-salt\",\"g_l\":1}],\"ph\":5.8,\"acid\":\"nitric\",\"strength_percent\":60,\"volume_l\":1}", "/added/0/salt"},
    {"recipe", "{\"volume_l\":10,\"target_mg_l\":{},\"salts\":[{\"salt\":\"epsom-salt\"}]}", "/target_mg_l"},
    {"recipe", "{\"volume_l\":10,\"target_mg_l\":{\"n\":1},\"salts\":[{\"salt\":\"no-such-salt\"}]}", "/salts/0/salt"},
    {"recipe", "{\"volume_l\":10,\"target_mg_l\":{\"n\":1},\"salts\":[{\"salt\":\"epsom-salt\"},{\"salt\":\"epsom-salt\"}]}", "/salts/1"},
    {"recipe", "{\"volume_l\":10,\"target_mg_l\":{\"n\":1},\"salts\":[{\"name\":\"x\",\"label\":{\"p\":4,\"p2o5\":9}}]}", "/salts/0/label/p"},
    {"recipe", "{\"volume_l\":10,\"target_mg_l\":{\"n\":1},\"salts\":[{\"label\":{\"p\":4}}]}", "/salts/0/name"},
    {"recipe", "{\"volume_l\":10,\"target_mg_l\":{\"n\":1},\"salts\":[{\"salt\":\"epsom-salt\",\"name\":\"x\"}]}", "/salts/0"},
    {"recipe", "{\"volume_l\":10,\"target_mg_l\":{\"n\":1},\"salts\":[{\"salt\":\"potassium-nitrate\"}],\"ph\":6,\"acid\":\"nitric\"}", "/strength_percent"},
    {"outlook", "{\"today\":\"2026-05-20\"," TOTE ",\"start_mm\":380,\"low_mm\":60,\"plantings\":[{\"crop\":\"no-such-crop\",\"count\":6,\"on\":\"2026-05-01\"}],"
                "\"climate\":{\"indoor\":{\"temperature_c\":22,\"rh_percent\":60,\"ppfd_umol\":250,\"hours\":16}}}", "/plantings/0/crop"},
    {"outlook", "{\"today\":\"2026-05-20\"," TOTE ",\"start_mm\":60,\"low_mm\":380,\"plantings\":[],"
                "\"climate\":{\"indoor\":{\"temperature_c\":22,\"rh_percent\":60,\"ppfd_umol\":250,\"hours\":16}}}", "/low_mm"},
    {"topup", "{" TOTE ",\"waterline_mm\":421}", "/waterline_mm"},
};

START_TEST(faults_point_into_the_document)
{
    char path[80];
    json_t *problem;

    snprintf(path, sizeof path, "/api/v1/calc/%s", refused[_i].what);
    problem = caller_expect(&caller, 422, "POST", path, "%s", refused[_i].body);
    ck_assert_msg(problem_at(problem, refused[_i].at), "%s %s: not at %s: %s", refused[_i].what, refused[_i].body, refused[_i].at, caller.bytes);
    json_decref(problem);
}
END_TEST

/* No number is printed with more digits than can mean anything: 12 at most. */
START_TEST(numbers_have_twelve_digits_at_most)
{
    json_decref(ask("recipe", recipe));
    for (const char *c = caller.bytes; *c; c++) {
        size_t digits = 0;

        if (*c == '"') {
            c = strchr(c + 1, '"');
            continue;
        }
        if (*c < '1' || *c > '9')
            continue;
        for (; (*c >= '0' && *c <= '9') || *c == '.'; c++)
            digits += *c != '.';
        ck_assert_uint_le(digits, 12);
        c += strcspn(c, ",}]") - 1; /* an exponent */
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/calc");
    TCase *tests = tcase_create("calc");

    tcase_add_checked_fixture(tests, open_new, close_it);
    tcase_add_loop_test(tests, published_figures_come_through, 0, COUNT(published));
    tcase_add_test(tests, what_was_filled_in_is_named);
    tcase_add_test(tests, cups_lie_as_far_apart_as_asked);
    tcase_add_test(tests, a_recipe_adds_up);
    tcase_add_test(tests, recipe_and_acid_agree);
    tcase_add_test(tests, acid_is_counted_in);
    tcase_add_test(tests, a_salt_that_is_not_used_has_no_step);
    tcase_add_test(tests, a_label_that_says_too_little);
    tcase_add_test(tests, a_water_without_its_ph);
    tcase_add_test(tests, stocks_hold_the_whole_recipe);
    tcase_add_loop_test(tests, a_top_up_stays_below_its_ceiling, 0, COUNT(topups));
    tcase_add_test(tests, a_weak_tank_gets_grams_and_acid);
    tcase_add_test(tests, an_outlook_is_in_order);
    tcase_add_loop_test(tests, faults_point_into_the_document, 0, COUNT(refused));
    tcase_add_test(tests, numbers_have_twelve_digits_at_most);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
