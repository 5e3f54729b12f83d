/* The cheapest recipe: by hand, and against a linear programming solver that is not ours. */
#include "garden/cheapest.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "calc/targets.h"
#include "runner.h"

/* ---- by hand: two sources of nitrogen for 100 L at 100 mg/L, 10 % either side ---- */

static struct cheapest_request two_nitrogens(void)
{
    struct cheapest_request request = {.tolerance_percent = 10, .other_tolerance_percent = 50};

    request.recipe.volume_l = 100;
    recipe_target_clear(&request.recipe.target);
    request.recipe.target.mg_l[ELEMENT_N] = 100;
    request.recipe.salt[0] = (struct recipe_salt){salts_find("ammonium-nitrate"), NAN}; /* 35.0 % N by its formula */
    request.recipe.salt[1] = (struct recipe_salt){salts_find("ammonium-sulfate"), NAN}; /* 21.2 % N */
    request.recipe.count = 2;
    request.price_per_kg[0] = 2.0;
    request.price_per_kg[1] = 1.0; /* 4.7 a kg of nitrogen, against 5.7 */
    return request;
}

/* The cheapest nitrogen is bought down to the lower edge: 90 mg/L in 100 L are 9 g, of which the sulfate holds 21.2 %. */
START_TEST(cheaper_nitrogen_to_the_lower_edge)
{
    struct cheapest_request request = two_nitrogens();
    double percent = 100 * 2 * 14.007 / (2 * 14.007 + 8 * 1.008 + 32.06 + 4 * 15.999);
    struct cheapest cheapest;
    struct fault fault = {0};

    ck_assert_msg(cheapest_make(&request, &cheapest, &fault) == 0, "%s", fault.item[0].detail);
    ck_assert(cheapest.feasible);
    ck_assert_double_eq_tol(cheapest.grams[0], 0, 1e-9);
    ck_assert_double_eq_tol(cheapest.grams[1], 9 / (percent / 100), 1e-6);
    ck_assert_double_eq_tol(cheapest.cost, cheapest.grams[1] / 1000, 1e-9);
    ck_assert_double_eq_tol(cheapest.off_percent[ELEMENT_N], -10, 1e-6);
    ck_assert_double_eq_tol(cheapest.nearest_percent, 0, 1e-6);
}
END_TEST

/* At ten times the price per gram it pays no more. */
START_TEST(price_turns_the_choice)
{
    struct cheapest_request request = two_nitrogens();
    struct cheapest cheapest;
    struct fault fault = {0};

    request.price_per_kg[1] = 10;
    ck_assert_int_eq(cheapest_make(&request, &cheapest, &fault), 0);
    ck_assert_double_eq_tol(cheapest.grams[1], 0, 1e-9);
    ck_assert_double_gt(cheapest.grams[0], 25);
}
END_TEST

START_TEST(limits_hold_and_the_impossible_says_how_far)
{
    struct cheapest_request request = two_nitrogens();
    struct cheapest cheapest;
    struct fault fault = {0};

    request.recipe.salt[0].max_g = request.recipe.salt[1].max_g = 10; /* 3.5 g and 2.12 g of nitrogen: 56 mg/L */
    ck_assert_int_eq(cheapest_make(&request, &cheapest, &fault), 0);
    ck_assert(!cheapest.feasible);
    ck_assert_double_eq_tol(cheapest.nearest_percent, 100 - 10 * (0.34998 + 0.21201) * 10, 0.02);
    request.recipe.target.n_nh4_max_mg_l = 0; /* nothing may be used at all */
    ck_assert_int_eq(cheapest_make(&request, &cheapest, &fault), 0);
    ck_assert_double_eq_tol(cheapest.nearest_percent, 100, 1e-6);
}
END_TEST

START_TEST(bad_questions_are_refused)
{
    struct cheapest_request request = two_nitrogens();
    struct cheapest cheapest;
    struct fault price = {0}, tolerance = {0}, volume = {0};

    request.price_per_kg[1] = NAN;
    ck_assert_int_eq(cheapest_make(&request, &cheapest, &price), -1);
    ck_assert_str_eq(price.item[0].at, "/salts/1/price_per_kg");
    request = two_nitrogens();
    request.tolerance_percent = 0;
    ck_assert_int_eq(cheapest_make(&request, &cheapest, &tolerance), -1);
    ck_assert_str_eq(tolerance.item[0].at, "/tolerance_percent");
    request = two_nitrogens();
    request.recipe.volume_l = -1;
    ck_assert_int_eq(cheapest_make(&request, &cheapest, &volume), -1);
    ck_assert_str_eq(volume.item[0].at, "/volume_l");
}
END_TEST

/* ---- against scipy ---- */

static uint64_t random_state = 20260501;

static double uniform(double low, double high)
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return low + (high - low) * (double)(random_state >> 11) / 9007199254740992.0;
}

static bool plain(const struct salt *salt)
{
    return salt->ions[ION_H] <= 0 && salt->ions[ION_OH] <= 0 && salt->ions[ION_CITRATE] <= 0;
}

static bool main_element(int e)
{
    return e == ELEMENT_N || e == ELEMENT_P || e == ELEMENT_K || e == ELEMENT_CA || e == ELEMENT_MG;
}

static struct cheapest_request random_request(struct source_water *water)
{
    static const double tolerances[] = {2, 5, 10, 25};
    const struct published_target *target = &published_targets[(size_t)uniform(0, (double)published_targets_count)];
    struct cheapest_request request = {.tolerance_percent = tolerances[(size_t)uniform(0, 4)], .other_tolerance_percent = 90};
    size_t wanted = (size_t)uniform(7, RECIPE_SALTS + 1), first = (size_t)uniform(0, (double)salts_count);

    request.recipe.volume_l = uniform(5, 200);
    recipe_target_clear(&request.recipe.target);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        if (main_element(e) || e == ELEMENT_S)
            request.recipe.target.mg_l[e] = target->mg_l[e];
    *water = (struct source_water){.ph = 7.5, .alkalinity_mg_caco3_l = 100, .ca_mg_l = uniform(0, 60), .mg_mg_l = uniform(0, 15), .so4_mg_l = uniform(0, 40)};
    request.recipe.water = water;
    for (size_t i = 0; i < salts_count && request.recipe.count < wanted; i++) {
        const struct salt *salt = &salts[(first + i * 7) % salts_count];

        if (!plain(salt))
            continue;
        request.price_per_kg[request.recipe.count] = uniform(0.5, 12);
        request.recipe.salt[request.recipe.count++] = (struct recipe_salt){salt, NAN};
    }
    return request;
}

static void write_problem(FILE *file, const struct cheapest_request *request, const struct cheapest *cheapest)
{
    const struct recipe_request *recipe = &request->recipe;
    double water[ELEMENT_NUTRIENTS];
    int elements = 0;

    recipe_water_elements(recipe->water, water, NULL);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        elements += recipe->target.mg_l[e] > 0;
    fprintf(file, "%zu %d", recipe->count, elements);
    for (size_t i = 0; i < recipe->count; i++)
        fprintf(file, " %.17g", request->price_per_kg[i] / 1000);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        if (!(recipe->target.mg_l[e] > 0))
            continue;
        fprintf(file, " %.17g %.17g %.17g", recipe->target.mg_l[e],
                (main_element(e) ? request->tolerance_percent : request->other_tolerance_percent) / 100, water[e]);
        for (size_t i = 0; i < recipe->count; i++)
            fprintf(file, " %.17g", salts_element_percent(recipe->salt[i].salt, (enum element)e) * 10 / recipe->volume_l);
    }
    fprintf(file, " %d %.17g %.17g %.17g\n", cheapest->feasible, cheapest->feasible ? cheapest->cost_exact : 0, cheapest->nearest_percent,
            request->tolerance_percent);
}

START_TEST(costs_are_those_of_scipy)
{
    char name[64], command[512];
    FILE *file;

    snprintf(name, sizeof name, "test-cheapest-%ld.txt", (long)getpid());
    file = fopen(name, "w");
    ck_assert_ptr_nonnull(file);
    for (int i = 0; i < 200; i++) {
        struct source_water water;
        struct cheapest_request request = random_request(&water);
        struct cheapest cheapest;
        struct fault fault = {0};

        ck_assert_msg(cheapest_make(&request, &cheapest, &fault) == 0, "problem %d: %s %s", i, fault.item[0].at, fault.item[0].detail);
        write_problem(file, &request, &cheapest);
    }
    fclose(file);
    snprintf(command, sizeof command, "/usr/bin/python3 %s %s", source_path("tests/garden/cheapest_scipy.py"), name);
    ck_assert_int_eq(system(command), 0);
    unlink(name);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("cheapest");
    TCase *tcase = tcase_create("cheapest");

    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, cheaper_nitrogen_to_the_lower_edge);
    tcase_add_test(tcase, price_turns_the_choice);
    tcase_add_test(tcase, limits_hold_and_the_impossible_says_how_far);
    tcase_add_test(tcase, bad_questions_are_refused);
    if (system("/usr/bin/python3 -c 'import scipy' 2>/dev/null") == 0)
        tcase_add_test(tcase, costs_are_those_of_scipy);
    else
        puts("skipped: no python3-scipy here to hold the costs against");
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
