/* Units against their definitions. */
#include "calc/units.h"
#include "csv.h"
#include "runner.h"

#include <math.h>
#include <string.h>

/* The rows "unit" of vessels.csv: NIST SP 811 (2008), appendix B; from memory, exact. */
static const struct {
    const char *given;
    enum unit unit;
    double base; /* of the printed unit, in ours */
} defined[] = {
    {"1 US gallon = 231 in3", UNIT_US_GAL, 1.0},        {"1 imperial gallon", UNIT_IMP_GAL, 1.0},
    {"1 US fluid ounce", UNIT_US_FL_OZ, 1e-3},          {"1 imperial fluid ounce", UNIT_IMP_FL_OZ, 1e-3},
    {"1 US cup", UNIT_US_CUP, 1e-3},                    {"1 inch", UNIT_IN, 1.0},
    {"1 pound", UNIT_LB, 1.0},                          {"1 ounce", UNIT_OZ, 1.0},
};

START_TEST(units_as_defined)
{
    struct csv csv = csv_read(source_path("fixtures/horticulture/vessels.csv"));
    size_t found = 0;

    for (size_t row = 0; row < csv.rows; row++)
        if (strcmp(csv_text(&csv, row, csv_column(&csv, "given")), defined[_i].given) == 0) {
            double printed = csv_number(&csv, row, csv_column(&csv, "exact")) * defined[_i].base;

            ck_assert_msg(fabs(units_to_base(defined[_i].unit, 1.0) / printed - 1.0) < 1e-15, "%s", defined[_i].given);
            ck_assert_msg(fabs(units_from_base(defined[_i].unit, printed) - 1.0) < 1e-15, "%s", defined[_i].given);
            found++;
        }
    ck_assert_uint_eq(found, 1);
    csv_free(&csv);
}
END_TEST

/* How units hang together by definition. */
static const struct {
    double value;
    enum unit from, to;
    double converted;
    const char *source;
} related[] = {
    {231.0 * 25.4 * 25.4 * 25.4 * 1e-6, UNIT_L, UNIT_US_GAL, 1.0, "US gallon: 231 cubic inches, NIST Handbook 44"},
    {1.0, UNIT_US_GAL, UNIT_US_FL_OZ, 128.0, "NIST Handbook 44, appendix C"},
    {1.0, UNIT_US_GAL, UNIT_US_CUP, 16.0, "NIST Handbook 44, appendix C"},
    {1.0, UNIT_IMP_GAL, UNIT_IMP_FL_OZ, 160.0, "Weights and Measures Act 1985, schedule 1"},
    {1.0, UNIT_LB, UNIT_OZ, 16.0, "NIST Handbook 44, appendix C"},
    {1.0, UNIT_FT, UNIT_IN, 12.0, "NIST Handbook 44, appendix C"},
    {212.0, UNIT_F, UNIT_C, 100.0, "NIST SP 811 (2008), B.8: t/C = (t/F - 32)/1.8"},
    {-40.0, UNIT_C, UNIT_F, -40.0, "the same"},
    {20.0, UNIT_C, UNIT_F, 68.0, "the same"},
    {1.0, UNIT_CM, UNIT_MM, 10.0, "SI"},
    {1.0, UNIT_L, UNIT_ML, 1000.0, "SI"},
    {1.5, UNIT_KG, UNIT_G, 1500.0, "SI"},
    {250.0, UNIT_MG, UNIT_G, 0.25, "SI"},
    {3.5, UNIT_M, UNIT_CM, 350.0, "SI"},
    {2.0, UNIT_ML, UNIT_L, 0.002, "SI"},
};

START_TEST(units_hang_together)
{
    struct fault fault = {0};
    double converted = NAN;

    ck_assert_int_eq(units_convert(related[_i].value, related[_i].from, related[_i].to, &converted, &fault), 0);
    ck_assert_msg(fabs(converted - related[_i].converted) <= 1e-12 * fabs(related[_i].converted), "%.17g, not %.17g (%s)", converted,
                  related[_i].converted, related[_i].source);
}
END_TEST

START_TEST(every_unit_goes_there_and_back)
{
    enum unit unit = (enum unit)_i, found;
    double values[] = {-12.5, 0.0, 1.0, 94.6352946};

    for (size_t i = 0; i < COUNT(values); i++)
        ck_assert_double_eq_tol(units_from_base(unit, units_to_base(unit, values[i])), values[i], 1e-12);
    ck_assert_int_eq(units_find(unit_key[unit], &found, 0), 0);
    ck_assert_int_eq(found, unit);
}
END_TEST

START_TEST(what_cannot_be_converted_is_refused)
{
    struct fault fault = {0};
    enum unit unit = UNIT_COUNT - 1;
    double converted = 7.0;

    ck_assert_int_eq(units_convert(1.0, UNIT_L, UNIT_G, &converted, &fault), -1);
    ck_assert_int_eq(units_convert(NAN, UNIT_L, UNIT_ML, &converted, &fault), -1);
    ck_assert_int_eq(units_convert(1e308, UNIT_M, UNIT_MM, &converted, &fault), -1);
    ck_assert_int_eq(units_find("gal", &unit, &fault), -1); /* which gallon? */
    ck_assert_uint_eq(fault.count, 4);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
    ck_assert_double_eq(converted, 7.0);
    ck_assert_int_eq(unit, UNIT_COUNT - 1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("units");
    TCase *tcase = tcase_create("units");

    tcase_add_loop_test(tcase, units_as_defined, 0, COUNT(defined));
    tcase_add_loop_test(tcase, units_hang_together, 0, COUNT(related));
    tcase_add_loop_test(tcase, every_unit_goes_there_and_back, 0, UNIT_COUNT);
    tcase_add_test(tcase, what_cannot_be_converted_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
