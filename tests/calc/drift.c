/* A tank that is drunk from: nothing appears or vanishes, and the course goes the way chemistry says. */
#include "calc/drift.h"
#include "rows.h"
#include "runner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct drift_request request_for(double nh4)
{
    struct drift_request request = {.volume_l = 100.0, .least_l = 25.0, .points = 16};
    /* invented: a lettuce solution */
    double ions[ION_COUNT] = {[ION_CA] = 4.0,  [ION_MG] = 1.5,  [ION_K] = 6.0,  [ION_NH4] = nh4, [ION_NO3] = 13.5 + nh4,
                              [ION_SO4] = 1.5, [ION_PO4] = 1.0, [ION_NA] = 1.0, [ION_CL] = 0.5};
    struct fault fault = {0};

    solution_begin(&request.start, 22.0);
    request.start.gas = SOLUTION_OPEN_AIR;
    ions[ION_H] = 0.0;
    ions[ION_OH] = 0.0;
    {
        double charge = 0.0;

        for (int i = 0; i < ION_COUNT; i++)
            charge += ions[i] * ion_charge[i];
        ions[ION_C] = charge;
    }
    ck_assert_msg(solution_add_ions(&request.start, ions, &fault) == 0, "%s", fault.item[0].detail);
    return request;
}

/* Taken up just as it stands: what the roots take keeps its concentration, what they leave gathers. */
START_TEST(balanced_uptake_leaves_it_as_it_is)
{
    struct drift_request request = request_for(1.0);
    static struct drift drift;
    struct fault fault = {0};

    drift_uptake_like(&request.start, 1.0, request.uptake_mmol_l);
    ck_assert_int_eq(drift_course(&request, &drift, &fault), 0);
    for (size_t n = 0; n < drift.points; n++) {
        ck_assert_double_eq_tol(drift.point[n].total_mmol_l[ION_CA], 4.0, 1e-9);
        ck_assert_double_eq_tol(drift.point[n].total_mmol_l[ION_NA] * drift.point[n].volume_l, 100.0, 1e-9);
        ck_assert_double_eq_tol(drift.point[n].elements_mg_l[ELEMENT_NA], 22.990 * 100.0 / drift.point[n].volume_l, 1e-6);
    }
    ck_assert_double_eq(drift.point[0].volume_l, 100.0);
    ck_assert_double_eq_tol(drift.point[15].volume_l, 25.0, 1e-9);
    ck_assert_int_eq(drift.runs_out, -1);
    ck_assert(drift.said[0] != '\0');
}
END_TEST

/* Half as strong an uptake as the solution: it grows stronger, by conservation twice minus the share: c0 (V0 - (V0 - V) / 2) / V. */
START_TEST(a_thirsty_crop_makes_it_stronger)
{
    struct drift_request request = request_for(1.0);
    static struct drift drift;
    struct fault fault = {0};

    drift_uptake_like(&request.start, 0.5, request.uptake_mmol_l);
    ck_assert_int_eq(drift_course(&request, &drift, &fault), 0);
    ck_assert_double_eq_tol(drift.point[15].total_mmol_l[ION_K], 6.0 * (100.0 - 37.5) / 25.0, 1e-9);
    for (size_t n = 1; n < drift.points; n++)
        ck_assert_double_gt(drift.point[n].ec_ms_cm, drift.point[n - 1].ec_ms_cm);
}
END_TEST

/* Roots that take ammonium give back acid, roots that take nitrate give back base: textbook plant physiology (from memory). */
START_TEST(ammonium_sours_and_nitrate_sweetens)
{
    struct drift_request request = request_for(1.0);
    static struct drift drift;
    struct fault fault = {0};

    request.uptake_mmol_l[ION_NH4] = 0.3;
    ck_assert_int_eq(drift_course(&request, &drift, &fault), 0);
    ck_assert_double_lt(drift.point[15].ph, drift.point[0].ph);
    request.uptake_mmol_l[ION_NH4] = 0.0;
    request.uptake_mmol_l[ION_NO3] = 1.0;
    ck_assert_int_eq(drift_course(&request, &drift, &fault), 0);
    ck_assert_double_gt(drift.point[15].ph, drift.point[0].ph);
    /* a milliequivalent of alkalinity for each millimole of nitrate, no more */
    ck_assert_double_eq_tol(drift.point[15].total_mmol_l[ION_NO3], (14.5 * 100.0 - 75.0) / 25.0, 1e-9);
}
END_TEST

START_TEST(what_runs_out_is_named)
{
    struct drift_request request = request_for(1.0);
    static struct drift drift;
    struct fault fault = {0};

    drift_uptake_like(&request.start, 1.0, request.uptake_mmol_l);
    request.uptake_mmol_l[ION_NH4] = 2.0; /* 100 mmol last for 50 L */
    ck_assert_int_eq(drift_course(&request, &drift, &fault), 0);
    ck_assert_int_eq(drift.runs_out, ION_NH4);
    ck_assert_double_eq_tol(drift.runs_out_at_l, 50.0, 1e-9);
    ck_assert(strstr(drift.said, "NH4 is used up at 50 L") != NULL);
    ck_assert_double_eq(drift.point[15].total_mmol_l[ION_NH4], 0.0);
    for (size_t n = 0; n < drift.points; n++)
        ck_assert_double_ge(drift.point[n].total_mmol_l[ION_NH4], 0.0);
}
END_TEST

/* pH along a course whose start holds so much alkalinity more than the request says, at five volumes. Invented. */
static void measure(struct drift_request request, double more_mmol_l, struct drift_seen seen[5])
{
    static struct drift truth;

    drift_shift(&request, more_mmol_l);
    ck_assert_int_eq(drift_course(&request, &truth, NULL), 0);
    for (int i = 0; i < 5; i++)
        seen[i] = (struct drift_seen){truth.point[3 * i].volume_l, truth.point[3 * i].ph};
}

/* Acid that nobody noted, or lime in the water that nobody knew: found again from the readings, whatever one of them says. */
START_TEST(the_course_is_set_by_what_was_measured)
{
    static const double mores[] = {-1.4, -0.6, 0.0, 2.5};
    struct drift_request request = request_for(1.0);
    struct drift_seen seen[5];
    double shift = NAN;

    drift_uptake_like(&request.start, 0.8, request.uptake_mmol_l);
    for (size_t i = 0; i < sizeof mores / sizeof *mores; i++) {
        measure(request, mores[i], seen);
        ck_assert_int_eq(drift_anchor(&request, seen, 5, &shift, NULL), 0);
        ck_assert_double_eq_tol(shift, mores[i], 1e-5);
        seen[2].ph = 11.2; /* a slip of the thumb */
        ck_assert_int_eq(drift_anchor(&request, seen, 5, &shift, NULL), 0);
        ck_assert_double_eq_tol(shift, mores[i], 0.1);
    }
}
END_TEST

START_TEST(what_was_not_measured_sets_nothing)
{
    struct drift_request request = request_for(1.0);
    struct drift_seen seen[DRIFT_SEEN_MOST + 1] = {{100.0, 0.5}};
    struct fault fault = {0};
    double shift = 1.0;

    ck_assert_int_eq(drift_anchor(&request, NULL, 0, &shift, NULL), 0);
    ck_assert_double_nan(shift);
    shift = 1.0;
    ck_assert_int_eq(drift_anchor(&request, seen, 1, &shift, NULL), 0); /* pH 0.5: no solution for plants */
    ck_assert_double_nan(shift);
    seen[0].ph = NAN;
    ck_assert_int_eq(drift_anchor(&request, seen, 1, &shift, &fault), -1);
    ck_assert_int_eq(drift_anchor(&request, seen, DRIFT_SEEN_MOST + 1, &shift, &fault), -1);
    ck_assert_uint_eq(fault.count, 2);
    ck_assert_str_eq(fault.item[0].at, "/seen");
}
END_TEST

START_TEST(nonsense_is_refused)
{
    struct drift_request request = request_for(1.0);
    static struct drift drift;
    struct fault fault = {0};

    request.least_l = 100.0;
    request.points = 1;
    request.uptake_mmol_l[ION_K] = -1.0;
    ck_assert_int_eq(drift_course(&request, &drift, &fault), -1);
    ck_assert_uint_eq(fault.count, 3);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("drift");
    TCase *tcase = tcase_create("drift");

    tcase_add_test(tcase, balanced_uptake_leaves_it_as_it_is);
    tcase_add_test(tcase, a_thirsty_crop_makes_it_stronger);
    tcase_add_test(tcase, ammonium_sours_and_nitrate_sweetens);
    tcase_add_test(tcase, what_runs_out_is_named);
    tcase_add_test(tcase, the_course_is_set_by_what_was_measured);
    tcase_add_test(tcase, what_was_not_measured_sets_nothing);
    tcase_add_test(tcase, nonsense_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
