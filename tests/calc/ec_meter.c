/* Conductivity meters: scales, temperature factors and standards against what is printed. */
#include "calc/ec_meter.h"
#include "csv.h"
#include "runner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

START_TEST(scales)
{
    /* 0.5 and 0.7 of uS/cm: common practice, no source */
    ck_assert_double_eq_tol(ec_from_ms_cm(2.0, EC_PPM_500), 1000.0, 1e-12);
    ck_assert_double_eq_tol(ec_from_ms_cm(2.0, EC_PPM_700), 1400.0, 1e-12);
    ck_assert_double_eq_tol(ec_from_ms_cm(2.0, EC_US_CM), 2000.0, 1e-12);
    for (int scale = 0; scale < EC_SCALES; scale++)
        ck_assert_double_eq_tol(ec_to_ms_cm(ec_from_ms_cm(1.7, (enum ec_scale)scale), (enum ec_scale)scale), 1.7, 1e-12);
}
END_TEST

/* Source: ISO 7888 / EN 27888 (0 to 12 C read in a meter's manual, rest from memory), and computed factors of a published nutrient solution. */
START_TEST(factors_as_printed)
{
    struct csv csv = csv_read(source_path("fixtures/chemistry/facts-ec-compensation.csv"));
    struct fault fault = {0};
    double factor = NAN;

    ck_assert_uint_eq(csv.rows, 36);
    for (size_t row = 0; row < csv.rows; row++) {
        double t_c = csv_number(&csv, row, csv_column(&csv, "temp_c")), solution = csv_number(&csv, row, csv_column(&csv, "computed_hoagland_1"));

        ck_assert_int_eq(ec_factor_to_25(EC_ISO7888, t_c, &factor, &fault), 0);
        ck_assert_double_eq_tol(factor, csv_number(&csv, row, csv_column(&csv, "f25")), 1e-9);
        ck_assert_int_eq(ec_factor_to_25(EC_LINEAR_2, t_c, &factor, &fault), 0);
        ck_assert_double_eq_tol(factor, csv_number(&csv, row, csv_column(&csv, "linear_2_percent")), 0.00006);
        /* what ec_at_25 promises for nutrient solutions */
        if (t_c >= 15.0)
            ck_assert_double_le(fabs(factor / solution - 1.0), 0.0072);
        else if (t_c >= 10.0)
            ck_assert_double_le(fabs(factor / solution - 1.0), 0.02);
    }
    ck_assert_int_eq(ec_factor_to_25(EC_ISO7888, 10.5, &factor, &fault), 0);
    ck_assert_double_eq_tol(factor, 0.5 * (1.428 + 1.390), 1e-9);
    ck_assert_int_eq(ec_at_25(1.8, 20.0, &factor, &fault), 0);
    ck_assert_double_eq_tol(factor, 2.0, 1e-12);
    csv_free(&csv);
}
END_TEST

/* Sources: CRC Handbook, standard KCl solutions (mol/kg; the ratio to 25 C is compared), and a meter manual's table. */
static const struct {
    enum ec_standard standard;
    double t_c, ms_cm, within;
    const char *source;
} standards[] = {
    {EC_STANDARD_0_01, 25, 1.413, 1e-9, "calibration table in a meter's manual"},
    {EC_STANDARD_0_1, 25, 12.88, 1e-9, "the same"},
    {EC_STANDARD_0_01, 10, 1.020, 0.003 * 1.02, "the same"},
    {EC_STANDARD_0_01, 20, 1.278, 0.003 * 1.278, "the same"},
    {EC_STANDARD_0_1, 10, 9.33, 0.003 * 9.33, "the same"},
    {EC_STANDARD_0_1, 20, 11.67, 0.003 * 11.67, "the same"},
    {EC_STANDARD_0_01, 15, 1.413 * 1.14145 / 1.40823, 1e-9, "CRC Handbook, standard KCl solutions"},
    {EC_STANDARD_0_1, 35, 12.88 * 15.316 / 12.8246, 1e-9, "the same"},
};

START_TEST(standards_as_printed)
{
    struct ec_check check;
    struct fault fault = {0};

    ck_assert_int_eq(ec_check_meter(standards[_i].standard, 1.0, standards[_i].t_c, false, &check, &fault), 0);
    ck_assert_msg(fabs(check.expected_ms_cm - standards[_i].ms_cm) <= standards[_i].within, "%g C: %g in place of %g (%s)", standards[_i].t_c,
                  check.expected_ms_cm, standards[_i].ms_cm, standards[_i].source);
}
END_TEST

START_TEST(a_meter_is_judged)
{
    struct ec_check check;
    struct fault fault = {0};

    ck_assert_int_eq(ec_check_meter(EC_STANDARD_0_01, 1.43, 18.0, true, &check, &fault), 0);
    ck_assert(check.good);
    ck_assert_int_eq(ec_check_meter(EC_STANDARD_0_01, 1.55, 18.0, true, &check, &fault), 0);
    ck_assert(!check.good && strstr(check.said, "too high"));
    ck_assert_double_eq_tol(1.55 * check.correction, 1.413, 1e-12);
    ck_assert_int_eq(ec_check_meter(EC_STANDARD_0_01, 12.9, 18.0, true, &check, &fault), 0);
    ck_assert(strstr(check.said, "wrong standard") != NULL);
    ck_assert_int_eq(ec_check_meter(EC_STANDARD_0_01, NAN, 60.0, true, &check, &fault), -1);
    ck_assert_uint_eq(fault.count, 2);
    ck_assert_int_eq(ec_at_25(-1.0, 20.0, &check.correction, &fault), -1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("ec_meter");
    TCase *tcase = tcase_create("ec_meter");

    tcase_add_test(tcase, scales);
    tcase_add_test(tcase, factors_as_printed);
    tcase_add_loop_test(tcase, standards_as_printed, 0, COUNT(standards));
    tcase_add_test(tcase, a_meter_is_judged);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
