/* Least squares: the conditions of Kuhn and Tucker, which a solution meets and nothing else does, on many problems; the
 * comparison with another library is nnls_against_scipy.
 */
#include "calc/nnls.h"
#include "runner.h"

#include <math.h>
#include <string.h>

static double uniform(unsigned long long *state, double low, double high)
{
    unsigned long long z = *state += 0x9E3779B97F4A7C15u; /* splitmix64 */

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    z ^= z >> 31;
    return low + (high - low) * (double)(z >> 11) / 9007199254740992.0;
}

static struct nnls random_problem(unsigned long long *state, int kind)
{
    struct nnls problem = {.rows = (size_t)uniform(state, 1, 20.999), .columns = (size_t)uniform(state, 1, 16.999)};

    for (size_t j = 0; j < problem.columns; j++) {
        double scale = kind == 1 ? pow(10, uniform(state, -4, 4)) : 1.0;

        for (size_t i = 0; i < problem.rows; i++) {
            problem.a[j][i] = scale * uniform(state, kind == 1 ? 0 : -1, 1);
            if (kind == 1 && uniform(state, 0, 1) < 0.7)
                problem.a[j][i] = 0.0;
            if (kind == 2) /* small whole numbers: ties and dependent columns everywhere */
                problem.a[j][i] = floor(uniform(state, -1, 2));
        }
        problem.upper[j] = uniform(state, 0, 1) < 0.5 ? HUGE_VAL : kind == 2 ? floor(uniform(state, 0, 3)) : uniform(state, 0, 0.5) / scale;
    }
    for (size_t i = 0; i < problem.rows; i++)
        problem.b[i] = kind == 2 ? floor(uniform(state, -2, 4)) : uniform(state, -0.5, 1);
    return problem;
}

/* x is the solution when no move that the bounds allow makes the residual smaller: for each column the gradient is 0 inside,
 * not above 0 at zero, not below 0 at the upper bound.
 */
static void assert_solves(const struct nnls *problem, const struct nnls_solution *solution, const char *what, int number)
{
    double b_length = 0.0, r[NNLS_ROWS], r_length = 0.0;

    for (size_t i = 0; i < problem->rows; i++) {
        r[i] = problem->b[i];
        b_length += problem->b[i] * problem->b[i];
        for (size_t j = 0; j < problem->columns; j++)
            r[i] -= problem->a[j][i] * solution->x[j];
        r_length += r[i] * r[i];
        ck_assert_double_eq_tol(solution->residual[i], r[i], 1e-9);
    }
    ck_assert_double_eq_tol(solution->norm, sqrt(r_length), 1e-9);
    for (size_t j = 0; j < problem->columns; j++) {
        double gradient = 0.0, length = 0.0, x = solution->x[j];

        for (size_t i = 0; i < problem->rows; i++) {
            gradient += problem->a[j][i] * r[i];
            length += problem->a[j][i] * problem->a[j][i];
        }
        gradient /= sqrt(length * b_length) + 1e-300;
        ck_assert_msg(x >= 0.0 && x <= problem->upper[j], "%s %d: x[%zu] = %g of %g", what, number, j, x, problem->upper[j]);
        if (x > 0.0)
            ck_assert_msg(gradient >= -2e-9, "%s %d: less of x[%zu] = %g would help: %g", what, number, j, x, gradient);
        if (x < problem->upper[j])
            ck_assert_msg(gradient <= 2e-9, "%s %d: more of x[%zu] = %g would help: %g", what, number, j, x, gradient);
    }
}

START_TEST(solutions_meet_the_conditions)
{
    static const char *const kinds[] = {"any sign", "like a recipe", "whole numbers"};
    unsigned long long state = 23;

    for (int i = 0; i < 5000; i++) {
        struct nnls problem = random_problem(&state, _i);
        struct nnls_solution solution;
        struct fault fault = {0};

        ck_assert_msg(nnls_solve(&problem, &solution, &fault) == 0, "%s %d: %s", kinds[_i], i, fault.item[0].detail);
        assert_solves(&problem, &solution, kinds[_i], i);
        ck_assert_int_le(solution.rounds, 60);
    }
}
END_TEST

/* Two rows, by hand: x1 + x2 = 3, x1 - x2 = 5 has (4, -1); not negative: (4, 0); x1 at most 2: (2, 0). */
START_TEST(small_enough_for_paper)
{
    struct nnls problem = {.rows = 2, .columns = 2, .a = {{1, 1}, {1, -1}}, .b = {3, 5}, .upper = {HUGE_VAL, HUGE_VAL}};
    struct nnls_solution solution;

    ck_assert_int_eq(nnls_solve(&problem, &solution, 0), 0);
    ck_assert_double_eq_tol(solution.x[0], 4.0, 1e-14);
    ck_assert_double_eq(solution.x[1], 0.0);
    ck_assert_int_eq(solution.place[1], NNLS_AT_ZERO);
    ck_assert_double_eq_tol(solution.norm, sqrt(2.0), 1e-14);
    problem.upper[0] = 2.0;
    ck_assert_int_eq(nnls_solve(&problem, &solution, 0), 0);
    ck_assert_double_eq(solution.x[0], 2.0);
    ck_assert_int_eq(solution.place[0], NNLS_AT_UPPER);
    ck_assert_double_gt(solution.gradient[0], 0.0); /* more of it would help */
}
END_TEST

/* The same problem in other units, large and small. */
START_TEST(any_unit_gives_the_same_answer)
{
    unsigned long long state = 5;

    for (int i = 0; i < 200; i++) {
        struct nnls problem = random_problem(&state, 0), scaled = problem;
        struct nnls_solution solution, again;
        double by = i % 2 ? 1e100 : 1e-100;

        for (size_t row = 0; row < problem.rows; row++)
            scaled.b[row] *= by;
        for (size_t j = 0; j < problem.columns; j++)
            scaled.upper[j] *= by;
        ck_assert_int_eq(nnls_solve(&problem, &solution, 0), 0);
        ck_assert_int_eq(nnls_solve(&scaled, &again, 0), 0);
        ck_assert_double_eq_tol(again.norm / by, solution.norm, 1e-9);
        for (size_t row = 0; row < problem.rows; row++)
            ck_assert_double_eq_tol(again.residual[row] / by, solution.residual[row], 1e-9);
    }
}
END_TEST

START_TEST(columns_alike_or_empty_are_no_trouble)
{
    struct nnls problem = {.rows = 3, .columns = 4, .a = {{1, 2, 3}, {1, 2, 3}, {0, 0, 0}, {2, 4, 6}}, .b = {2, 4, 6},
                           .upper = {0.5, HUGE_VAL, HUGE_VAL, 0}};
    struct nnls_solution solution;

    ck_assert_int_eq(nnls_solve(&problem, &solution, 0), 0);
    ck_assert_double_eq_tol(solution.x[0] + solution.x[1], 2.0, 1e-14);
    ck_assert_double_eq(solution.x[2], 0.0);
    ck_assert_double_eq(solution.x[3], 0.0);
    ck_assert_double_lt(solution.norm, 1e-14);
    memset(problem.b, 0, sizeof problem.b);
    ck_assert_int_eq(nnls_solve(&problem, &solution, 0), 0);
    ck_assert_double_eq(solution.norm, 0.0);
}
END_TEST

START_TEST(what_cannot_be_solved_is_refused)
{
    struct nnls good = {.rows = 2, .columns = 2, .a = {{1, 1}, {1, -1}}, .b = {3, 5}, .upper = {1, 1}}, bad;
    struct nnls_solution solution = {.norm = 7.0};
    struct fault fault = {0};

#define REFUSED(change)                                              \
    do {                                                             \
        bad = good;                                                  \
        change;                                                      \
        ck_assert_int_eq(nnls_solve(&bad, &solution, &fault), -1);   \
    } while (0)
    REFUSED(bad.rows = 0);
    REFUSED(bad.rows = NNLS_ROWS + 1);
    REFUSED(bad.columns = 0);
    REFUSED(bad.columns = NNLS_COLUMNS + 1);
    REFUSED(bad.a[1][0] = NAN);
    REFUSED(bad.b[1] = HUGE_VAL);
    REFUSED(bad.a[0][0] = 1e200);
    REFUSED(bad.upper[0] = -1);
    REFUSED(bad.upper[1] = NAN);
    ck_assert_uint_eq(fault.count, 9);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
    ck_assert_double_eq(solution.norm, 7.0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("nnls");
    TCase *tcase = tcase_create("nnls");

    tcase_add_loop_test(tcase, solutions_meet_the_conditions, 0, 3);
    tcase_add_test(tcase, small_enough_for_paper);
    tcase_add_test(tcase, any_unit_gives_the_same_answer);
    tcase_add_test(tcase, columns_alike_or_empty_are_no_trouble);
    tcase_add_test(tcase, what_cannot_be_solved_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
