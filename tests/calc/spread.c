/* Count, middle, ends and scatter of values. */
#include "calc/spread.h"

#include <math.h>

#include "runner.h"

/* Certified values: NIST Statistical Reference Datasets, univariate summary statistics, NumAcc1 to NumAcc4 (data and certified
 * values from memory; their pattern makes both easy to see). The scatter sits on ever larger values, so that a sum of squares
 * loses its digits. */
static const struct {
    const char *name;
    int n;
    double middle, off, mean, sd; /* the first value is middle, then middle - off and middle + off by turns */
    double digits;                /* that a double can keep of sd */
} certified[] = {
    {"NumAcc1", 3, 10000002, 1, 10000002, 1, 1e-12},
    {"NumAcc2", 1001, 1.2, 0.1, 1.2, 0.1, 1e-12},
    {"NumAcc3", 1001, 1000000.2, 0.1, 1000000.2, 0.1, 1e-8},
    {"NumAcc4", 1001, 10000000.2, 0.1, 10000000.2, 0.1, 1e-7},
};

START_TEST(certified_values_come_out)
{
    struct spread spread = spread_none();

    spread_add(&spread, certified[_i].middle);
    for (int i = 1; i < certified[_i].n; i++)
        spread_add(&spread, certified[_i].middle + (i % 2 ? -1 : 1) * certified[_i].off);
    ck_assert_uint_eq(spread.n, (size_t)certified[_i].n);
    ck_assert_msg(fabs(spread.mean - certified[_i].mean) <= 1e-12 * certified[_i].mean, "%s: mean %.15g", certified[_i].name, spread.mean);
    ck_assert_msg(fabs(spread.sd - certified[_i].sd) <= certified[_i].digits, "%s: sd %.15g", certified[_i].name, spread.sd);
    ck_assert_double_eq(spread.low, certified[_i].middle - certified[_i].off);
    ck_assert_double_eq(spread.high, certified[_i].middle + certified[_i].off);
}
END_TEST

START_TEST(few_values_say_only_what_they_can)
{
    struct spread spread = spread_none();

    ck_assert(isnan(spread.mean) && isnan(spread.sd));
    spread_add(&spread, NAN);
    spread_add(&spread, INFINITY);
    ck_assert_uint_eq(spread.n, 0);
    spread_add(&spread, 7);
    ck_assert_double_eq(spread.mean, 7);
    ck_assert(isnan(spread.sd));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("spread");
    TCase *tcase = tcase_create("spread");

    tcase_add_loop_test(tcase, certified_values_come_out, 0, COUNT(certified));
    tcase_add_test(tcase, few_values_say_only_what_they_can);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
