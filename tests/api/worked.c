/* Costs and yields against published worked examples: each is logged as a grower would log it, and the answer is read back. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "caller.h"
#include "runner.h"

#define ID(n) "01900000-0000-7000-8000-0000000000" #n
#define BAG ID(0a)
#define TUB ID(0b)
#define TANK ID(0c)

#define POUND_G 453.59237         /* NIST Special Publication 811 */
#define SHORT_TON_KG 907.18474    /* the same */
#define SQUARE_FOOT_M2 0.09290304 /* the same */

static struct caller caller;

/* A straight box of 500 x 400 mm holds 0.2 L a millimetre under 0.2 m2, with four cups. */
static void open_new(void)
{
    caller_open(&caller, "worked");
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"" TUB "\",\"name\":\"tub\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[500,400],\"rim_mm\":[500,400],\"height_mm\":300},"
                              "\"start_mm\":260,\"low_mm\":20,\"cups\":[{\"x_mm\":100,\"y_mm\":100},{\"x_mm\":200,\"y_mm\":100},"
                              "{\"x_mm\":300,\"y_mm\":100},{\"x_mm\":400,\"y_mm\":100}]}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"" TANK "\",\"name\":\"tub\",\"vessel\":\"" TUB "\"}"));
}

static void close_it(void)
{
    caller_close(&caller);
}

/* ---- what a fill costs: the salt that holds one pound of a nutrient, at a price a short ton ---- */

#define A133 "Calculating Fertilizer Costs, Guide A-133, New Mexico State University"
#define NOBLE "Fertilizer: buy the numbers, Noble Research Institute (2007)"
static const struct {
    const char *part;   /* of the label */
    double percent, ton_price, pound_cost; /* as printed, to the cent */
    const char *source;
} costs[] = {
    {"n_urea", 46, 567, 0.62, A133 ", example A: urea, 920 lb of nitrogen a ton"},
    {"p2o5", 46, 996, 1.08, A133 ", example B: superphosphate, 920 lb of P2O5 a ton"},
    {"n_urea", 46, 412, 0.45, NOBLE ": urea"},
    {"n_no3", 34, 370, 0.54, NOBLE ": ammonium nitrate, here as one kind of nitrogen"},
    {"n_no3", 35, 550, 0.79, "Fertilizer comparison, nitrogen (web page): ammonium nitrate, 700 lb of nitrogen a ton"},
};

START_TEST(costs_are_those_of_worked_examples)
{
    double grams = POUND_G / costs[_i].percent * 100;
    json_t *fills, *fill;

    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/salts", "{\"id\":\"" BAG "\",\"name\":\"bag\",\"label\":{\"%s\":%.17g},\"price_per_kg\":%.17g}",
                              costs[_i].part, costs[_i].percent, costs[_i].ton_price / SHORT_TON_KG));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"" ID(01) "\",\"tank\":\"" TANK "\",\"kind\":\"fill\",\"at\":\"2026-05-01T08:00:00Z\",\"waterline_mm\":260,"
                              "\"weighed\":[{\"salt\":\"" BAG "\",\"grams\":%.17g}]}", grams));
    fills = caller_get(&caller, "/api/v1/fills");
    fill = json_array_get(json_object_get(fills, "items"), 0);
    ck_assert_msg(fabs(number_of(fill, "cost") - costs[_i].pound_cost) <= 0.005, "%g, not %g (%s)", number_of(fill, "cost"), costs[_i].pound_cost,
                  costs[_i].source);
    if (costs[_i].part[0] == 'n')
        ck_assert_double_eq_tol(number_of(fill, "n_g"), POUND_G, 1e-6);
    json_decref(fills);
}
END_TEST

/* ---- what a tank gives ---- */

static void grow(double drunk_l, double weight_g)
{
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"" ID(01) "\",\"tank\":\"" TANK "\",\"kind\":\"fill\",\"at\":\"2026-05-01T08:00:00Z\",\"waterline_mm\":260}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"" ID(02) "\",\"tank\":\"" TANK "\",\"kind\":\"planting\",\"at\":\"2026-05-01T09:00:00Z\",\"crop\":\"lettuce-leaf\",\"count\":4}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"" ID(03) "\",\"tank\":\"" TANK "\",\"kind\":\"reading\",\"at\":\"2026-06-01T08:00:00Z\",\"waterline_mm\":%.17g}",
                              260 - drunk_l / 0.2));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"" ID(04) "\",\"tank\":\"" TANK "\",\"kind\":\"harvest\",\"at\":\"2026-06-01T09:00:00Z\",\"how\":\"whole\",\"weight_g\":%.17g}",
                              weight_g));
}

static double middle_of(const char *measure)
{
    json_t *summary = caller_get(&caller, "/api/v1/harvests/summary");
    double median = number_of(json_object_get(json_object_get(summary, "all"), measure), "median");

    json_decref(summary);
    return median;
}

static const struct {
    double head_g, head_l; /* what a head weighs and drinks; NAN: a kilogram's is told */
    double l_per_kg, within;
    const char *source;
} drinks[] = {
    {220, 2.4, 11, 0.24, "CTAHR VC-1 (2010), secondary: a 220 g head at 11 L/kg; 2.4 L as printed, to a tenth"},
    {220, 4.4, 20, 0.24, "CTAHR VC-1 (2010), secondary: a 220 g head at 20 L/kg; 4.4 L as printed, to a tenth"},
    {75, 1, 13.3, 0.05, "Resource use efficiency of indoor lettuce cultivation, Scientific Reports 9 (2019): 75 g for each litre"},
};

START_TEST(litres_are_those_of_worked_examples)
{
    grow(4 * drinks[_i].head_l, 4 * drinks[_i].head_g);
    ck_assert_msg(fabs(1000 / middle_of("g_per_litre") - drinks[_i].l_per_kg) <= drinks[_i].within, "%g L/kg, not %g (%s)",
                  1000 / middle_of("g_per_litre"), drinks[_i].l_per_kg, drinks[_i].source);
}
END_TEST

/* Comparison of land, water & energy requirements of lettuce, IJERPH 12 (2015), abstract: 90,000 kJ a kilogram, which are 25 kWh. */
START_TEST(energy_is_that_of_a_worked_example)
{
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden",
                              "{\"place\":\"lamps\",\"lamp_w\":%.17g,\"climate\":{\"indoor\":{\"temperature_c\":20,\"rh_percent\":70,\"ppfd_umol\":200,\"hours\":16}}}",
                              90000 * 1000.0 / (31 * 16 * 3600)));
    grow(10, 1000);
    ck_assert_double_eq_tol(3600 * 1000 / middle_of("g_per_kwh"), 90000, 1e-6);
}
END_TEST

/* Estimating yields of greenhouse lettuce, ATTRA, National Sustainable Agriculture Information Service: salad mix, one pound
 * from five square feet. */
START_TEST(area_is_that_of_a_worked_example)
{
    grow(10, 0.2 / (5 * SQUARE_FOOT_M2) * POUND_G);
    ck_assert_double_eq_tol(middle_of("g_per_m2") * 5 * SQUARE_FOOT_M2, POUND_G, 1e-6);
    ck_assert_double_eq_tol(middle_of("g_per_m2"), 976.5, 0.05); /* 4.882 kg/m2 a lb/ft2, NIST SP 811, over five */
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("worked examples");
    TCase *tcase = tcase_create("costs and yields");

    tcase_add_checked_fixture(tcase, open_new, close_it);
    tcase_add_loop_test(tcase, costs_are_those_of_worked_examples, 0, COUNT(costs));
    tcase_add_loop_test(tcase, litres_are_those_of_worked_examples, 0, COUNT(drinks));
    tcase_add_test(tcase, energy_is_that_of_a_worked_example);
    tcase_add_test(tcase, area_is_that_of_a_worked_example);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
