/* Orders of dissolving: the 60 computed steps, the order itself, jugs and their least volumes. */
#include "calc/mixing.h"
#include "csv.h"
#include "rows.h"
#include "runner.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The three parts of the household recipe (invented) and the four salts of a published one (California Agricultural Experiment Station,
 * Circular 347, 1950; fixtures/chemistry/solutions-dissolving.csv), g per litre, from the rows' own mmol/L.
 */
static struct salt blend;

static void make_blend(void)
{
    static const struct {
        const char *id;
        double mmol_l;
    } parts[] = {
        {"potassium-nitrate", 2.5696821},
        {"monopotassium-phosphate", 1.18382764},
        {"potassium-sulfate", 0.0344328903},
        {"epsom-salt", 0.29212954},
    };
    double grams = 0.0;

    memset(&blend, 0, sizeof blend);
    snprintf(blend.id, sizeof blend.id, "blend");
    snprintf(blend.name, sizeof blend.name, "base blend");
    blend.molar_mass_g_mol = 100.0;
    blend.solubility_source = "";
    for (size_t p = 0; p < COUNT(parts); p++)
        grams += parts[p].mmol_l / 1000.0 * salts_find(parts[p].id)->molar_mass_g_mol;
    for (size_t p = 0; p < COUNT(parts); p++) {
        const struct salt *salt = salts_find(parts[p].id);

        for (int i = 0; i < ION_COUNT; i++)
            blend.ions[i] += parts[p].mmol_l / 1000.0 * salt->ions[i] * 100.0 / grams;
        for (int e = 0; e < ELEMENT_COUNT; e++)
            blend.atoms[e] += parts[p].mmol_l / 1000.0 * salt->atoms[e] * 100.0 / grams;
    }
}

static double grams_of(const char *id, double mmol_l, double litres)
{
    return mmol_l / 1000.0 * salts_find(id)->molar_mass_g_mol * litres;
}

static struct mixing_request household(const char *water_id, double litres)
{
    struct mixing_request request = {.count = 3, .volume_l = litres, .jug_l = 2.0, .jug_temperature_c = NAN};
    struct source_water water = rows_water(water_id);
    struct fault fault = {0};

    make_blend();
    solution_begin(&request.water, 20.0);
    ck_assert_int_eq(solution_add_water(&request.water, &water, 1.0, &fault), 0);
    request.salt[0] =
        (struct mixing_salt){salts_find("calcium-nitrate-double"), grams_of("calcium-nitrate-double", 0.555235267, litres)};
    request.salt[1] = (struct mixing_salt){
        &blend, (grams_of("potassium-nitrate", 2.5696821, 1) + grams_of("monopotassium-phosphate", 1.18382764, 1) +
                 grams_of("potassium-sulfate", 0.0344328903, 1) + grams_of("epsom-salt", 0.29212954, 1)) *
                    litres};
    request.salt[2] = (struct mixing_salt){salts_find("epsom-salt"), grams_of("epsom-salt", 1.21720643, litres)};
    return request;
}

static struct mixing_request published(const char *water_id, double litres)
{
    static const struct {
        const char *id;
        double mmol_l;
    } salts_of_it[] = {
        {"calcium-nitrate-4h2o", 5.0},
        {"potassium-nitrate", 5.0},
        {"epsom-salt", 2.0},
        {"monopotassium-phosphate", 1.0},
    };
    struct mixing_request request = household(water_id, litres);

    request.count = COUNT(salts_of_it);
    for (size_t i = 0; i < COUNT(salts_of_it); i++)
        request.salt[i] =
            (struct mixing_salt){salts_find(salts_of_it[i].id), grams_of(salts_of_it[i].id, salts_of_it[i].mmol_l, litres)};
    return request;
}

/* One row of the file by id; the test ends where there is none. */
static size_t row_of(const struct csv *csv, const char *id)
{
    for (size_t row = 0; row < csv->rows; row++)
        if (strcmp(csv_text(csv, row, 0), id) == 0)
            return row;
    ck_abort_msg("no row %s", id);
    return 0;
}

static void assert_row(const struct csv *csv, const char *recipe, const char *water_id, const char *path, size_t step, double ph,
                       double ec)
{
    char id[128];
    size_t row;

    snprintf(id, sizeof id, "step-%s-%s-%s-%zu", recipe, water_id, path, step);
    row = row_of(csv, id);
    ck_assert_msg(fabs(ph - csv_number(csv, row, csv_column(csv, "ph"))) <= 0.1, "%s: pH %g", id, ph);
    if (strcmp(water_id, "demin") != 0 || step > 2)
        ck_assert_msg(fabs(ph - csv_number(csv, row, csv_column(csv, "ph"))) <= 0.02, "%s: pH %g", id, ph);
    ck_assert_msg(fabs(ec / csv_number(csv, row, csv_column(csv, "ec25_ms_cm")) - 1.0) <= 0.01, "%s: EC %g", id, ec);
}

/* Source: PHREEQC 3.8.8, constants of release 3.7.3: every step as a solution (all 60 rows are also solved one by one in solution_rows). */
START_TEST(steps_as_computed_elsewhere)
{
    static const char *const waters[] = {"demin", "hard"};
    struct csv csv = csv_read(source_path("fixtures/chemistry/solutions-dissolving.csv"));
    struct fault fault = {0};

    for (size_t w = 0; w < COUNT(waters); w++) {
        static struct mixing mixing;
        struct mixing_request request = household(waters[w], 95.0);
        static const size_t forward[] = {1, 2, 0}, backward[] = {0, 2, 1};

        ck_assert_int_eq(mixing_in_order(&request, forward, &mixing, &fault), 0);
        for (size_t n = 0; n < 3; n++) {
            assert_row(&csv, "household-normal", waters[w], "each-into-the-full-tank", n + 1, mixing.step[n].tank_ph,
                       mixing.step[n].tank_ec_ms_cm);
            assert_row(&csv, "household-normal", waters[w], "each-in-its-own-jug", n + 1, mixing.step[n].jug_ph,
                       mixing.step[n].jug_ec_ms_cm);
        }
        assert_row(&csv, "household-normal", waters[w], "all-into-one-jug", 3, mixing.in_one_jug.before.ph,
                   mixing.in_one_jug.before.ec_ms_cm);
        ck_assert_int_eq(mixing_in_order(&request, backward, &mixing, &fault), 0);
        for (size_t n = 0; n < 2; n++)
            assert_row(&csv, "household-normal", waters[w], "reverse-order-into-the-full-tank", n + 1, mixing.step[n].tank_ph,
                       mixing.step[n].tank_ec_ms_cm);
    }
    csv_free(&csv);
}
END_TEST

static void print_order(const struct mixing_request *request, const struct mixing *mixing)
{
    for (size_t n = 0; n < mixing->count; n++)
        printf("  %s -> %s %.2f\n", request->salt[mixing->step[n].index].salt->name, solution_mineral_key[mixing->step[n].worst],
               mixing->step[n].worst_saturation);
    printf("  %s\n  %s\n", mixing->why, mixing->one_jug_text);
    fflush(stdout);
}

/* The trade's order (base blend, Epsom salt, calcium nitrate last: common practice, no source) comes out by itself, in every water. */
START_TEST(the_classic_order_comes_out)
{
    static const char *const waters[] = {"demin", "soft", "medium", "hard"};
    struct mixing_request request = household(waters[_i], 95.0);
    static struct mixing mixing;
    struct fault fault = {0};

    ck_assert_int_eq(mixing_best(&request, &mixing, &fault), 0);
    print_order(&request, &mixing);
    ck_assert_str_eq(request.salt[mixing.step[0].index].salt->id, "blend");
    ck_assert_str_eq(request.salt[mixing.step[1].index].salt->id, "epsom-salt");
    ck_assert_str_eq(request.salt[mixing.step[2].index].salt->id, "calcium-nitrate-double");
    ck_assert(mixing.why[0] != '\0');
    if (_i == 0)
        ck_assert(strstr(mixing.why, "calcium comes last") != NULL);
}
END_TEST

/* All into one jug of 2 L: gypsum falls out (its index is 0.72 in the reference row), and it is said in grams. */
START_TEST(all_in_one_jug_is_what_it_is)
{
    struct mixing_request request = household("demin", 95.0);
    static struct mixing mixing;
    struct fault fault = {0};
    const struct precipitate *jug = &mixing.in_one_jug;

    ck_assert_int_eq(mixing_best(&request, &mixing, &fault), 0);
    ck_assert(mixing.one_jug_computed);
    ck_assert_double_eq_tol(jug->item[0].saturation, 0.724, 0.02);
    ck_assert_int_eq(jug->item[0].verdict, PRECIPITATE_FALLS_OUT);
    ck_assert_double_gt(jug->item[0].g_l * mixing.one_jug_l, 5.0);
    ck_assert_double_gt(jug->lost_percent[ELEMENT_S], 30.0);
    ck_assert(strstr(mixing.one_jug_text, "gypsum") && strstr(mixing.one_jug_text, "will fall out"));
    /* while the tank itself stays clear */
    ck_assert_int_eq(mixing.in_tank.item[0].verdict, PRECIPITATE_NONE);
}
END_TEST

START_TEST(a_published_recipe)
{
    struct mixing_request request = published(_i ? "hard" : "demin", 50.0);
    static struct mixing best, other;
    struct fault fault = {0};

    ck_assert_int_eq(mixing_best(&request, &best, &fault), 0);
    print_order(&request, &best);
    ck_assert_str_eq(request.salt[best.step[3].index].salt->id, "calcium-nitrate-4h2o");
    /* no order of the 24 has a smallest margin that is wider by more than can be told, nor one that matters */
    for (size_t a = 0; a < 4; a++)
        for (size_t b = 0; b < 4; b++)
            for (size_t c = 0; c < 4; c++) {
                size_t order[4] = {a, b, c, 6 - a - b - c};

                if (a == b || b == c || a == c)
                    continue;
                ck_assert_int_eq(mixing_in_order(&request, order, &other, &fault), 0);
                ck_assert(other.margin <= best.margin + 0.1 || best.margin >= 0.1);
            }
}
END_TEST

START_TEST(many_salts_go_greedily)
{
    struct mixing_request request = published("medium", 50.0);
    static const char *const more[] = {"potassium-sulfate",      "ammonium-nitrate",   "monoammonium-phosphate",
                                       "magnesium-nitrate-6h2o", "potassium-chloride", "boric-acid",
                                       "iron-dtpa-11",           "zinc-sulfate-7h2o"};
    static struct mixing mixing;
    struct fault fault = {0};
    unsigned seen = 0;

    for (size_t i = 0; i < COUNT(more); i++)
        request.salt[request.count++] = (struct mixing_salt){salts_find(more[i]), 2.0};
    ck_assert_int_eq(mixing_best(&request, &mixing, &fault), 0);
    for (size_t n = 0; n < mixing.count; n++)
        seen |= 1u << mixing.step[n].index;
    ck_assert_uint_eq(seen, (1u << request.count) - 1u);
    ck_assert_str_eq(request.salt[mixing.step[request.count - 2].index].salt->id, "iron-dtpa-11");
    ck_assert_double_eq(mixing.step[request.count - 2].worst_saturation > SATURATION_ABSENT, 1);
}
END_TEST

/* 300 g of potassium sulfate at 10 C, 85.9 g/kg water (Geochim. Cosmochim. Acta 51:2429, 1987): with a tenth in hand 3.88 kg of water. */
START_TEST(a_jug_must_hold_it)
{
    double litres = 0.0;
    struct fault fault = {0};
    struct mixing_request request = published("demin", 50.0);
    static struct mixing mixing;

    ck_assert_int_eq(mixing_least_jug_l(salts_find("potassium-sulfate"), 300.0, 10.0, &litres, &fault), 0);
    ck_assert_double_eq_tol(litres, 300.0 / 85.9 / 0.9 + 0.18, 0.01);
    request.salt[3] = (struct mixing_salt){salts_find("potassium-sulfate"), 300.0};
    request.salt[0].salt = salts_find("calcium-nitrate-double");
    request.water.temperature_c = 10.0;
    ck_assert_int_eq(mixing_best(&request, &mixing, &fault), 0);
    for (size_t n = 0; n < mixing.count; n++) /* no name is cut, however long */
        ck_assert(strstr(mixing.step[n].text, request.salt[mixing.step[n].index].salt->name) != NULL);
    for (size_t n = 0; n < mixing.count; n++)
        if (mixing.step[n].index == 3) {
            ck_assert_double_eq_tol(mixing.step[n].jug_l, litres, 1e-9); /* not the 2 L wished */
            ck_assert(strstr(mixing.step[n].text, "at least 4.1 L") != NULL);
        }
    request.salt[3].grams = 30000.0;
    ck_assert_int_eq(mixing_best(&request, &mixing, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/salts/3/grams");
}
END_TEST

START_TEST(nonsense_is_refused)
{
    struct mixing_request request = published("demin", NAN);
    static struct mixing mixing;
    struct fault fault = {0};
    static const size_t twice[] = {0, 0, 1, 2};

    request.jug_l = -1.0;
    ck_assert_int_eq(mixing_best(&request, &mixing, &fault), -1);
    ck_assert_uint_eq(fault.count, 2);
    request = published("demin", 10.0);
    ck_assert_int_eq(mixing_in_order(&request, twice, &mixing, &fault), -1);
    request.count = 0;
    ck_assert_int_eq(mixing_best(&request, &mixing, &fault), -1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("mixing");
    TCase *tcase = tcase_create("mixing");

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, steps_as_computed_elsewhere);
    tcase_add_loop_test(tcase, the_classic_order_comes_out, 0, 4);
    tcase_add_test(tcase, all_in_one_jug_is_what_it_is);
    tcase_add_loop_test(tcase, a_published_recipe, 0, 2);
    tcase_add_test(tcase, many_salts_go_greedily);
    tcase_add_test(tcase, a_jug_must_hold_it);
    tcase_add_test(tcase, nonsense_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
