/* Waters from much and from little knowledge: the truth must lie inside what is claimed. */
#include "calc/water.h"
#include "rows.h"
#include "runner.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const waters[] = {"soft", "medium", "hard"};

static double hardness_of(const struct source_water *water)
{
    return (water->ca_mg_l / 40.078 + water->mg_mg_l / 24.305) * 100.087;
}

static double ec_of(const struct source_water *water)
{
    struct solution_input given;
    struct solution solved;
    struct fault fault = {0};

    solution_begin(&given, 25.0);
    ck_assert_int_eq(solution_add_water(&given, water, 1.0, &fault), 0);
    ck_assert_int_eq(solution_solve(&given, &solved, &fault), 0);
    return solved.ec_ms_cm;
}

/* The truth lies between low and high in every main ion. */
static void assert_inside(const struct water_estimate *estimate, const struct source_water *truth, const char *what)
{
    const struct {
        const char *name;
        double low, truth, high;
    } fields[] = {
        {"alkalinity", estimate->low.alkalinity_mg_caco3_l, truth->alkalinity_mg_caco3_l, estimate->high.alkalinity_mg_caco3_l},
        {"Ca", estimate->low.ca_mg_l, truth->ca_mg_l, estimate->high.ca_mg_l},
        {"Mg", estimate->low.mg_mg_l, truth->mg_mg_l, estimate->high.mg_mg_l},
        {"Na", estimate->low.na_mg_l, truth->na_mg_l, estimate->high.na_mg_l},
        {"Cl", estimate->low.cl_mg_l, truth->cl_mg_l, estimate->high.cl_mg_l},
        {"SO4", estimate->low.so4_mg_l, truth->so4_mg_l, estimate->high.so4_mg_l},
        {"NO3", estimate->low.no3_mg_l, truth->no3_mg_l, estimate->high.no3_mg_l},
        {"pH", estimate->low.ph, truth->ph, estimate->high.ph},
    };

    for (size_t i = 0; i < COUNT(fields); i++)
        ck_assert_msg(fields[i].low <= fields[i].truth && fields[i].truth <= fields[i].high, "%s: %s %g is outside %g to %g",
                      what, fields[i].name, fields[i].truth, fields[i].low, fields[i].high);
}

START_TEST(an_analysis_that_balances)
{
    struct source_water truth = rows_water(waters[_i]);
    struct water_estimate estimate;
    struct fault fault = {0};

    ck_assert_int_eq(water_from_analysis(&truth, NAN, &estimate, &fault), 0);
    ck_assert_str_eq(estimate.missing, "");
    ck_assert_double_lt(fabs(estimate.charge_error_percent), 0.05);
    /* EC of the invented waters as PHREEQC 3.8.8 computes it: fixtures/chemistry/waters.csv */
    ck_assert_double_eq_tol(estimate.ec_ms_cm / ((const double[]){0.12205, 0.34357, 0.67844})[_i], 1.0, 0.003);
    ck_assert_int_eq(water_from_analysis(&truth, 2.0 * estimate.ec_ms_cm, &estimate, &fault), 0);
    ck_assert(strstr(estimate.said, "was measured") != NULL);
}
END_TEST

START_TEST(a_hole_is_named)
{
    struct source_water water = rows_water("hard");
    struct water_estimate estimate;
    struct fault fault = {0};

    water.na_mg_l = 0.0;
    ck_assert_int_eq(water_from_analysis(&water, NAN, &estimate, &fault), 0);
    ck_assert_msg(strncmp(estimate.missing, "sodium, about 20 mg/L", 21) == 0, "%s", estimate.missing);
    water = rows_water("hard");
    water.cl_mg_l = 0.0;
    ck_assert_int_eq(water_from_analysis(&water, NAN, &estimate, &fault), 0);
    ck_assert_msg(strncmp(estimate.missing, "chloride, about 35 mg/L", 23) == 0, "%s", estimate.missing);
    water = rows_water("hard");
    water.so4_mg_l = 0.0;
    ck_assert_int_eq(water_from_analysis(&water, NAN, &estimate, &fault), 0);
    ck_assert_msg(strncmp(estimate.missing, "sulfate, about 55 mg/L", 22) == 0, "%s", estimate.missing);
    ck_assert_double_gt(estimate.charge_error_percent, 5.0);
}
END_TEST

/* The invented waters (fixtures/chemistry/waters.csv) found again from three numbers, a strip, and a meter. */
START_TEST(found_again_from_less)
{
    struct source_water truth = rows_water(waters[_i]);
    struct water_estimate by_hardness, by_strip, by_ec;
    struct fault fault = {0};
    double hardness = hardness_of(&truth), ec = ec_of(&truth);
    struct water_strip strip = {.hardness_mg_caco3_l = hardness,
                                .hardness_low = 0.6 * hardness,
                                .hardness_high = 1.5 * hardness,
                                .alkalinity_mg_caco3_l = truth.alkalinity_mg_caco3_l,
                                .alkalinity_low = 0.6 * truth.alkalinity_mg_caco3_l,
                                .alkalinity_high = 1.5 * truth.alkalinity_mg_caco3_l,
                                .ph = truth.ph,
                                .ph_low = truth.ph - 0.5,
                                .ph_high = truth.ph + 0.5,
                                .no3_mg_l = NAN};

    ck_assert_msg(water_from_hardness(hardness, truth.alkalinity_mg_caco3_l, ec, truth.ph, &by_hardness, &fault) == 0, "%s",
                  fault.item[0].detail);
    assert_inside(&by_hardness, &truth, "hardness");
    ck_assert_double_eq_tol(by_hardness.ec_ms_cm, ec, 1e-4);
    ck_assert_double_eq_tol(ec_of(&by_hardness.water), ec, 1e-4);
    ck_assert_int_eq(water_from_strip(&strip, &by_strip, &fault), 0);
    ck_assert(by_strip.ec_low_ms_cm <= ec && ec <= by_strip.ec_high_ms_cm);
    ck_assert_int_eq(water_from_ec(ec, &by_ec, &fault), 0);
    assert_inside(&by_ec, &truth, "EC alone");
    ck_assert_double_eq_tol(ec_of(&by_ec.water), ec, 1e-5);
    /* the less is known, the wider the range */
    ck_assert_double_gt(by_ec.high.alkalinity_mg_caco3_l - by_ec.low.alkalinity_mg_caco3_l,
                        by_strip.high.alkalinity_mg_caco3_l - by_strip.low.alkalinity_mg_caco3_l);
    ck_assert_double_gt(by_strip.high.alkalinity_mg_caco3_l - by_strip.low.alkalinity_mg_caco3_l,
                        by_hardness.high.alkalinity_mg_caco3_l - by_hardness.low.alkalinity_mg_caco3_l);
    ck_assert(by_ec.said[0] && by_strip.said[0] && by_hardness.said[0]);
}
END_TEST

/* Every water made up from less balances: nothing invented may carry a charge of its own. */
START_TEST(made_up_waters_balance)
{
    struct water_estimate estimate;
    struct fault fault = {0};

    for (double ec = 0.02; ec < 4.0; ec *= 1.7) {
        struct solution_input given;
        struct solution solved;

        ck_assert_int_eq(water_from_ec(ec, &estimate, &fault), 0);
        solution_begin(&given, 25.0);
        ck_assert_int_eq(solution_add_water(&given, &estimate.water, 1.0, &fault), 0);
        ck_assert_int_eq(solution_solve(&given, &solved, &fault), 0);
        ck_assert_double_le(fabs(solved.charge_error_percent), 0.1);
        ck_assert_int_eq(water_from_hardness(300.0 * ec, 200.0 * ec, ec, NAN, &estimate, &fault), 0);
        solution_begin(&given, 25.0);
        ck_assert_int_eq(solution_add_water(&given, &estimate.water, 1.0, &fault), 0);
        ck_assert_int_eq(solution_solve(&given, &solved, &fault), 0);
        ck_assert_double_le(fabs(solved.charge_error_percent), 0.1);
    }
}
END_TEST

START_TEST(blends)
{
    struct source_water hard = rows_water("hard"), rain = {.ph = 5.6}, blend;
    struct fault fault = {0};
    double share = NAN;

    ck_assert_int_eq(water_blend_for(&hard, &rain, 60.0, &share, &blend, &fault), 0);
    ck_assert_double_eq_tol(share, 190.0 / 250.0, 1e-12);
    ck_assert_double_eq_tol(blend.alkalinity_mg_caco3_l, 60.0, 1e-9);
    ck_assert_double_eq_tol(blend.ca_mg_l, 105.0 * 0.24, 1e-9);
    ck_assert(blend.ph > 6.5 && blend.ph < 8.0);
    ck_assert_int_eq(water_blend_for(&hard, &rain, 300.0, &share, &blend, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/alkalinity_mg_caco3_l");
}
END_TEST

START_TEST(nonsense_is_refused)
{
    struct water_estimate estimate = {.ec_ms_cm = 7.0};
    struct fault fault = {0};
    struct water_strip strip = {.hardness_mg_caco3_l = NAN, .alkalinity_mg_caco3_l = NAN, .ph = NAN, .no3_mg_l = NAN};

    ck_assert_int_eq(water_from_hardness(-1.0, NAN, 99.0, 2.0, &estimate, &fault), -1);
    ck_assert_uint_eq(fault.count, 4);
    fault = (struct fault){0};
    ck_assert_int_eq(water_from_hardness(250.0, 250.0, 0.2, NAN, &estimate, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/ec_ms_cm");
    ck_assert_int_eq(water_from_strip(&strip, &estimate, &fault), -1);
    ck_assert_int_eq(water_from_ec(0.0, &estimate, &fault), -1);
    ck_assert_double_eq(estimate.ec_ms_cm, 7.0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("water");
    TCase *tcase = tcase_create("water");

    tcase_add_loop_test(tcase, an_analysis_that_balances, 0, COUNT(waters));
    tcase_add_test(tcase, a_hole_is_named);
    tcase_add_loop_test(tcase, found_again_from_less, 0, COUNT(waters));
    tcase_add_test(tcase, made_up_waters_balance);
    tcase_add_test(tcase, blends);
    tcase_add_test(tcase, nonsense_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
