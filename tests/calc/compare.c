/* Measured against predicted: each mishap, measured as it would be, must be named first, or among the first where two look alike. */
#include "calc/compare.h"
#include "rows.h"
#include "runner.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* invented: four salts of a published recipe's kind in a soft water, 50 L */
static struct compare_request meant(void)
{
    static const struct {
        const char *id;
        double g_l;
    } list[] = {
        {"calcium-nitrate-4h2o", 0.94}, {"potassium-nitrate", 0.51}, {"epsom-salt", 0.49}, {"monopotassium-phosphate", 0.136}};
    struct compare_request request = {
        .mix = {.count = COUNT(list), .volume_l = 50.0, .jug_temperature_c = NAN}, .measured_ec_ms_cm = NAN, .measured_ph = NAN};
    struct source_water water = rows_water("medium");
    struct fault fault = {0};

    solution_begin(&request.mix.water, 20.0);
    ck_assert_int_eq(solution_add_water(&request.mix.water, &water, 1.0, &fault), 0);
    for (size_t i = 0; i < COUNT(list); i++)
        request.mix.salt[i] = (struct mixing_salt){salts_find(list[i].id), list[i].g_l * 50.0};
    return request;
}

/* What a meter would show of the mix as it really was. */
static void measure(struct compare_request *request, const double times[4], double volume, double water_strength, bool open)
{
    struct solution_input litre = request->mix.water;
    struct solution solved;
    struct fault fault = {0};

    solution_scale(&litre, water_strength);
    for (size_t i = 0; i < request->mix.count; i++)
        ck_assert_int_eq(
            solution_add_salt(&litre, request->mix.salt[i].salt, times[i] * request->mix.salt[i].grams / (50.0 * volume), &fault),
            0);
    litre.gas = open ? SOLUTION_OPEN_AIR : SOLUTION_CLOSED;
    ck_assert_int_eq(solution_solve(&litre, &solved, &fault), 0);
    request->measured_ec_ms_cm = solved.ec_ms_cm;
    request->measured_ph = solved.ph;
}

static size_t place_of(const struct compare *compare, enum compare_cause cause, size_t index)
{
    for (size_t i = 0; i < compare->count; i++)
        if (compare->item[i].cause == cause && (compare->item[i].index == index))
            return i;
    return COMPARE_MOST;
}

static void print(const struct compare *compare)
{
    printf("predicted EC %.2f, pH %.2f:", compare->predicted_ec_ms_cm, compare->predicted_ph);
    for (size_t i = 0; i < compare->count && i < 4; i++)
        printf(" %.0f %% %s;", 100.0 * compare->item[i].chance, compare->item[i].text);
    printf("\n");
    fflush(stdout);
}

static const double all_in[] = {1, 1, 1, 1};

START_TEST(nothing_is_wrong)
{
    struct compare_request request = meant();
    static struct compare compare;
    struct fault fault = {0};
    double sum = 0.0;

    measure(&request, all_in, 1.0, 1.0, false);
    ck_assert_int_eq(compare_measured(&request, &compare, &fault), 0);
    print(&compare);
    ck_assert(compare.within);
    ck_assert_int_eq(compare.item[0].cause, COMPARE_NOTHING);
    for (size_t i = 0; i < compare.count; i++) {
        sum += compare.item[i].chance;
        ck_assert(i == 0 || compare.item[i].chance <= compare.item[i - 1].chance);
        ck_assert(compare.item[i].text[0] != '\0');
    }
    ck_assert(sum > 0.9 && sum < 1.0 + 1e-9);
}
END_TEST

START_TEST(a_forgotten_salt_is_found)
{
    struct compare_request request = meant();
    static struct compare compare;
    struct fault fault = {0};
    double times[] = {1, 1, 1, 1};

    times[_i] = 0;
    measure(&request, times, 1.0, 1.0, false);
    ck_assert_int_eq(compare_measured(&request, &compare, &fault), 0);
    print(&compare);
    /* a little phosphate less is hardly to be seen in EC; its buffer is, in the pH */
    ck_assert_uint_le(place_of(&compare, COMPARE_FORGOTTEN, (size_t)_i), _i == 3 ? 3 : 2);
    if (_i != 3)
        ck_assert(!compare.within);
}
END_TEST

START_TEST(a_salt_twice_is_found)
{
    struct compare_request request = meant();
    static struct compare compare;
    struct fault fault = {0};
    static const double times[] = {2, 1, 1, 1};

    measure(&request, times, 1.0, 1.0, false);
    ck_assert_int_eq(compare_measured(&request, &compare, &fault), 0);
    print(&compare);
    ck_assert_uint_eq(place_of(&compare, COMPARE_TWICE, 0), 0);
    ck_assert_double_eq_tol(compare.item[0].ec_ms_cm, request.measured_ec_ms_cm, 1e-6);
}
END_TEST

START_TEST(too_much_water_is_found)
{
    struct compare_request request = meant();
    static struct compare compare;
    struct fault fault = {0};
    size_t place;

    measure(&request, all_in, 1.12, 1.0, false);
    ck_assert_int_eq(compare_measured(&request, &compare, &fault), 0);
    print(&compare);
    place = place_of(&compare, COMPARE_VOLUME, 0);
    ck_assert_uint_le(place, 1);
    ck_assert_double_eq_tol(compare.item[place].share, 1.12, 0.002);
    ck_assert(strstr(compare.item[place].text, "about 56.0 L") != NULL);
}
END_TEST

START_TEST(standing_open_is_found)
{
    struct compare_request request = meant();
    static struct compare compare;
    struct fault fault = {0};

    measure(&request, all_in, 1.0, 1.0, true);
    ck_assert_int_eq(compare_measured(&request, &compare, &fault), 0);
    print(&compare);
    ck_assert_int_eq(compare.item[0].cause, COMPARE_NOT_OPEN_YET);
}
END_TEST

START_TEST(a_ph_meter_that_is_off)
{
    struct compare_request request = meant();
    static struct compare compare;
    struct fault fault = {0};

    measure(&request, all_in, 1.0, 1.0, false);
    request.measured_ph -= 0.9;
    ck_assert_int_eq(compare_measured(&request, &compare, &fault), 0);
    print(&compare);
    ck_assert_int_eq(compare.item[0].cause, COMPARE_PH_METER);
    ck_assert_double_eq_tol(compare.item[0].share, -0.9, 1e-6);
}
END_TEST

START_TEST(nonsense_is_refused)
{
    struct compare_request request = meant();
    static struct compare compare;
    struct fault fault = {0};

    ck_assert_int_eq(compare_measured(&request, &compare, &fault), -1);
    request.measured_ec_ms_cm = -1.0;
    request.measured_ph = 15.0;
    request.mix.volume_l = 0.0;
    fault = (struct fault){0};
    ck_assert_int_eq(compare_measured(&request, &compare, &fault), -1);
    ck_assert_uint_eq(fault.count, 3);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("compare");
    TCase *tcase = tcase_create("compare");

    tcase_add_test(tcase, nothing_is_wrong);
    tcase_add_loop_test(tcase, a_forgotten_salt_is_found, 0, 4);
    tcase_add_test(tcase, a_salt_twice_is_found);
    tcase_add_test(tcase, too_much_water_is_found);
    tcase_add_test(tcase, standing_open_is_found);
    tcase_add_test(tcase, a_ph_meter_that_is_off);
    tcase_add_test(tcase, nonsense_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
