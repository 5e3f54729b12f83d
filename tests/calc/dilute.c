/* Balances of a tank: published arithmetic, and what must hold whatever the order of things. */
#include "calc/dilute.h"
#include "csv.h"
#include "runner.h"

#include <math.h>
#include <string.h>

static const double nothing[ELEMENT_NUTRIENTS];

static void all(double mg_l[ELEMENT_NUTRIENTS], double value)
{
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        mg_l[e] = value;
}

/* salts-worked-examples.csv, W5: 17.8035 oz of 15 % N in a US gallon of stock, dosed 1 to 100, is 200 mg/L of N (a greenhouse
 * supply newsletter, How to mix a concentrate for an injector, label table).
 */
START_TEST(a_stock_dosed_one_to_a_hundred)
{
    struct csv csv = csv_read(source_path("fixtures/horticulture/salts-worked-examples.csv"));
    double oz = NAN, stock[ELEMENT_NUTRIENTS] = {0}, mixed[ELEMENT_NUTRIENTS];

    for (size_t row = 0; row < csv.rows; row++)
        if (strcmp(csv_text(&csv, row, csv_column(&csv, "example_id")), "W5") == 0)
            oz = csv_number(&csv, row, csv_column(&csv, "exact_answer"));
    stock[ELEMENT_N] = oz * 28349.523125 * 0.15 / 3.785411784; /* mg in a litre */
    ck_assert_int_eq(dilute_mix(1, stock, 99, nothing, mixed, 0), 0);
    ck_assert_double_eq_tol(mixed[ELEMENT_N], 200, 1e-3);
    csv_free(&csv);
}
END_TEST

/* passive-tank.csv, K2005: 109 L stood 76 mm deep and 13 mm at harvest. Growing lettuce in non-aerated, non-circulated
 * hydroponic systems, Journal of Vegetable Science 11 (2005), abstract: 90 L used, 17 % left (derived there).
 */
START_TEST(a_published_tank_drunk_down)
{
    struct csv csv = csv_read(source_path("fixtures/horticulture/passive-tank.csv"));
    double start_mm = NAN, end_mm = NAN, used_l = NAN, aim[ELEMENT_NUTRIENTS], low[ELEMENT_NUTRIENTS], high[ELEMENT_NUTRIENTS];
    struct dilute_tank tank = {0};
    struct dilute_left left;

    for (size_t row = 0; row < csv.rows; row++) {
        const char *item = csv_text(&csv, row, csv_column(&csv, "item"));
        size_t low_end = csv_column(&csv, "low");

        if (strcmp(item, "depth of solution at the start in that trial") == 0)
            start_mm = csv_number(&csv, row, low_end);
        if (strcmp(item, "solution depth left at harvest") == 0)
            end_mm = csv_number(&csv, row, low_end);
        if (strcmp(item, "solution used in that trial") == 0)
            used_l = csv_number(&csv, row, low_end);
    }
    all(aim, 100);
    ck_assert_int_eq(dilute_fill(&tank, 109, aim, 0), 0);
    ck_assert_int_eq(dilute_level(&tank, 109 * end_mm / start_mm, 0), 0);
    ck_assert_double_eq_tol(tank.drunk_l, used_l, 0.5);
    /* By arithmetic (ours): nothing taken up is 5.8 times as strong; all of it taken up is water. */
    all(low, 0);
    all(high, NAN);
    ck_assert_int_eq(dilute_left(&tank, low, high, &left, 0), 0);
    ck_assert_double_eq_tol(left.concentrated, start_mm / end_mm, 1e-9);
    ck_assert_double_eq_tol(left.high_mg_l[ELEMENT_CA], 100 * start_mm / end_mm, 1e-9);
    ck_assert_double_eq(left.low_mg_l[ELEMENT_CA], 0);
    csv_free(&csv);
}
END_TEST

/* A crop that takes exactly what the water it drinks holds leaves the concentration where it is. */
START_TEST(uptake_like_the_solution_changes_nothing)
{
    double aim[ELEMENT_NUTRIENTS];
    struct dilute_tank tank = {0};
    struct dilute_left left;

    all(aim, 150);
    dilute_fill(&tank, 90, aim, 0);
    dilute_level(&tank, 50, 0);
    dilute_add(&tank, 20, aim, 0);
    dilute_level(&tank, 30, 0);
    ck_assert_double_eq_tol(tank.drunk_l, 80, 1e-12);
    ck_assert_int_eq(dilute_left(&tank, aim, aim, &left, 0), 0);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        ck_assert_double_eq_tol(left.low_mg_l[e], 150, 1e-9);
        ck_assert_double_eq_tol(left.high_mg_l[e], 150, 1e-9);
    }
}
END_TEST

/* Put in = taken + left, in any history; and pouring out does not change what the rest holds. */
START_TEST(mass_is_kept)
{
    double aim[ELEMENT_NUTRIENTS], half[ELEMENT_NUTRIENTS], taken[ELEMENT_NUTRIENTS], each[ELEMENT_NUTRIENTS];
    struct dilute_tank tank = {0};
    struct dilute_left before, after;

    all(aim, 200);
    all(half, 60);
    dilute_fill(&tank, 80, aim, 0);
    dilute_level(&tank, 55, 0);
    dilute_add(&tank, 10, nothing, 0);
    dilute_level(&tank, 68, 0); /* 3 L of rain */
    ck_assert_double_eq_tol(tank.gained_l, 3, 1e-12);
    ck_assert_double_eq_tol(tank.put_in_l + tank.gained_l - tank.drunk_l, tank.volume_l, 1e-12);
    dilute_left(&tank, half, aim, &before, 0);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        ck_assert_double_eq_tol(before.low_mg_l[e] * 68 + before.most_taken_mg[e], 16000, 1e-9);
        ck_assert_double_eq_tol(before.high_mg_l[e] * 68 + before.least_taken_mg[e], 16000, 1e-9);
    }
    ck_assert_int_eq(dilute_pour_out(&tank, 17, 0), 0);
    dilute_left(&tank, half, aim, &after, 0);
    ck_assert_double_eq_tol(tank.volume_l, 51, 1e-12);
    ck_assert_double_eq_tol(after.low_mg_l[ELEMENT_K], before.low_mg_l[ELEMENT_K], 1e-9);
    ck_assert_double_eq_tol(after.high_mg_l[ELEMENT_K], before.high_mg_l[ELEMENT_K], 1e-9);
    /* An analysis that finds the high end says that the least was taken. */
    ck_assert_int_eq(dilute_taken(&tank, after.high_mg_l, taken, each, 0), 0);
    ck_assert_double_eq_tol(taken[ELEMENT_K], after.least_taken_mg[ELEMENT_K], 1e-9);
    ck_assert_double_eq_tol(each[ELEMENT_K], 60, 1e-9);
}
END_TEST

START_TEST(water_that_weakens)
{
    double add_l = NAN;

    ck_assert_int_eq(dilute_water_for(60, 240, 0, 160, &add_l, 0), 0); /* C1 V1 = C2 V2 */
    ck_assert_double_eq_tol(add_l, 30, 1e-12);
    ck_assert_int_eq(dilute_water_for(60, 240, 80, 160, &add_l, 0), 0);
    ck_assert_double_eq_tol(add_l, 60, 1e-12);
    ck_assert_int_eq(dilute_water_for(60, 100, 180, 140, &add_l, 0), 0); /* a hard water may raise it, too */
    ck_assert_double_eq_tol(add_l, 60, 1e-12);
    ck_assert_int_eq(dilute_water_for(60, 100, 100, 100, &add_l, 0), 0);
    ck_assert_double_eq(add_l, 0);
}
END_TEST

START_TEST(what_cannot_be_is_refused)
{
    double aim[ELEMENT_NUTRIENTS], bad[ELEMENT_NUTRIENTS], out[ELEMENT_NUTRIENTS], add_l = 7;
    struct dilute_tank tank = {0}, as_it_was;
    struct dilute_left left = {.concentrated = 7};
    struct fault fault;

    all(aim, 100);
    all(bad, 100);
    bad[ELEMENT_CA] = NAN;
    dilute_fill(&tank, 50, aim, 0);
    as_it_was = tank;
#define REFUSED(call, pointer)                         \
    do {                                               \
        fault = (struct fault){0};                     \
        ck_assert_int_eq(call, -1);                    \
        ck_assert_int_eq(fault.code, FAULT_INPUT);     \
        ck_assert_str_eq(fault.item[0].at, pointer);   \
    } while (0)
    REFUSED(dilute_fill(&tank, -1, aim, &fault), "/volume_l");
    REFUSED(dilute_fill(&tank, 50, bad, &fault), "/mg_l/ca");
    REFUSED(dilute_add(&tank, HUGE_VAL, aim, &fault), "/volume_l");
    REFUSED(dilute_level(&tank, NAN, &fault), "/volume_l");
    REFUSED(dilute_pour_out(&tank, 50.1, &fault), "/volume_l");
    bad[ELEMENT_CA] = 99;
    REFUSED(dilute_left(&tank, aim, bad, &left, &fault), "/uptake_mg_l/ca");
    bad[ELEMENT_CA] = -1;
    REFUSED(dilute_taken(&tank, bad, out, out, &fault), "/mg_l/ca");
    REFUSED(dilute_mix(1, aim, 1, bad, out, &fault), "/b/mg_l/ca");
    REFUSED(dilute_mix(0, aim, 0, aim, out, &fault), "");
    REFUSED(dilute_water_for(50, 100, 20, 10, &add_l, &fault), "/aim_mg_l");
    REFUSED(dilute_water_for(50, 100, 20, 20, &add_l, &fault), "/aim_mg_l");
    REFUSED(dilute_water_for(50, 100, 20, NAN, &add_l, &fault), "/aim_mg_l");
    ck_assert_mem_eq(&tank, &as_it_was, sizeof tank);
    ck_assert_double_eq(left.concentrated, 7);
    ck_assert_double_eq(add_l, 7);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("dilute");
    TCase *tcase = tcase_create("dilute");

    tcase_add_test(tcase, a_stock_dosed_one_to_a_hundred);
    tcase_add_test(tcase, a_published_tank_drunk_down);
    tcase_add_test(tcase, uptake_like_the_solution_changes_nothing);
    tcase_add_test(tcase, mass_is_kept);
    tcase_add_test(tcase, water_that_weakens);
    tcase_add_test(tcase, what_cannot_be_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
