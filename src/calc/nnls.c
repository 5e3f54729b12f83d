/* nnls.c - bounded non-negative least squares.
 *
 * The columns are scaled to length 1 first, so that grams of a trace salt and of a main salt weigh alike in every
 * comparison; `q` are the scaled columns, `gram` their products. Each unknown is at zero, at its upper bound, or free; `free`
 * lists the free ones in the order of the Cholesky factor's rows:
 *
 *     factor factor' = gram[free][free]
 *
 * An unknown at a bound whose gradient points inside is set free, the free ones are solved for, and on the way to that
 * solution each that would leave its bounds is stopped there. Normal equations lose half of the digits, so each
 * answer is refined once with the true residual before it is believed.
 */
#include "calc/nnls.h"

#include <math.h>
#include <string.h>

/* Least squared distance of a scaled column from those in use: nearer than this it is a sum of them, as far as doubles
 * can tell.
 */
#define DEPENDENT 1e-10
#define GRADIENT_LEAST 1e-12 /* of |b|: less is rounding */

struct work {
    const struct nnls *problem;
    size_t n, rows4; /* rows rounded up to four: what is beyond is zero */
    double q[NNLS_COLUMNS][NNLS_ROWS], scale[NNLS_COLUMNS], upper[NNLS_COLUMNS];
    double gram[NNLS_COLUMNS][NNLS_COLUMNS], target[NNLS_COLUMNS]; /* target = q' b */
    double b_norm;
    double x[NNLS_COLUMNS], residual[NNLS_ROWS], gradient[NNLS_COLUMNS];
    enum nnls_place place[NNLS_COLUMNS];
    bool barred[NNLS_COLUMNS]; /* set free in vain since anything changed */
    size_t free_count, free[NNLS_COLUMNS];
    double factor[NNLS_COLUMNS][NNLS_COLUMNS];
    double inverse[NNLS_COLUMNS]; /* 1 / factor[i][i] */
    int rounds;
};

static double dot(const double *a, const double *b, size_t rows4)
{
    double s0 = 0.0, s1 = 0.0, s2 = 0.0, s3 = 0.0; /* four chains run side by side in the processor */

    for (size_t i = 0; i < rows4; i += 4) {
        s0 += a[i] * b[i];
        s1 += a[i + 1] * b[i + 1];
        s2 += a[i + 2] * b[i + 2];
        s3 += a[i + 3] * b[i + 3];
    }
    return (s0 + s1) + (s2 + s3);
}

static int check(const struct nnls *problem, struct fault *fault)
{
    double sum = 0.0;

    if (problem->rows < 1 || problem->rows > NNLS_ROWS || problem->columns < 1 || problem->columns > NNLS_COLUMNS)
        return fault_add(fault, FAULT_INPUT, "", "must be 1 to %d rows and 1 to %d columns", NNLS_ROWS, NNLS_COLUMNS);
    for (size_t j = 0; j < problem->columns; j++) {
        if (!(problem->upper[j] >= 0.0))
            return fault_add(fault, FAULT_INPUT, "", "the upper bound of column %zu must be 0 or more", j);
        for (size_t i = 0; i < problem->rows; i++)
            sum += fabs(problem->a[j][i]);
    }
    for (size_t i = 0; i < problem->rows; i++)
        sum += fabs(problem->b[i]);
    /* Squares of these are added up below. */
    if (!(sum < 1e150))
        return fault_add(fault, FAULT_INPUT, "", "must be finite numbers, below 1e150");
    return 0;
}

static void set_up(struct work *work, const struct nnls *problem)
{
    double b[NNLS_ROWS] = {0};

    work->problem = problem;
    work->n = problem->columns;
    work->rows4 = (problem->rows + 3) & ~(size_t)3;
    memcpy(b, problem->b, problem->rows * sizeof *b);
    memcpy(work->residual, b, sizeof b);
    work->b_norm = sqrt(dot(b, b, work->rows4));
    work->free_count = 0;
    work->rounds = 0;
    for (size_t j = 0; j < work->n; j++) {
        double *q = work->q[j], length;

        memcpy(q, problem->a[j], problem->rows * sizeof *q);
        for (size_t i = problem->rows; i < work->rows4; i++)
            q[i] = 0.0;
        length = sqrt(dot(q, q, work->rows4));
        work->scale[j] = length > 0.0 ? 1.0 / length : 0.0;
        for (size_t i = 0; i < work->rows4; i++)
            q[i] *= work->scale[j];
        work->upper[j] = length > 0.0 ? problem->upper[j] * length : 0.0; /* a column of zeros stays at zero */
        work->target[j] = dot(q, b, work->rows4);
        for (size_t k = 0; k < j; k++)
            work->gram[j][k] = work->gram[k][j] = dot(q, work->q[k], work->rows4);
        work->gram[j][j] = length > 0.0 ? 1.0 : 0.0;
        work->x[j] = 0.0;
        work->place[j] = NNLS_AT_ZERO;
        work->barred[j] = false;
    }
}

/* ------------------------------------------------------------- Cholesky of the free */

/* Row i of the factor from the rows before it; false where its column depends on theirs. */
static bool factor_row(struct work *work, size_t i)
{
    const double *products = work->gram[work->free[i]];
    double left = products[work->free[i]];

    for (size_t k = 0; k < i; k++) {
        double sum = products[work->free[k]];

        for (size_t l = 0; l < k; l++)
            sum -= work->factor[i][l] * work->factor[k][l];
        sum *= work->inverse[k];
        work->factor[i][k] = sum;
        left -= sum * sum;
    }
    if (!(left > DEPENDENT))
        return false;
    work->factor[i][i] = sqrt(left);
    work->inverse[i] = 1.0 / work->factor[i][i];
    return true;
}

/* Takes free unknown number i out; the rows below it are made anew. */
static void unfree(struct work *work, size_t i)
{
    work->free_count--;
    for (size_t k = i; k < work->free_count; k++)
        work->free[k] = work->free[k + 1];
    for (size_t k = i; k < work->free_count; k++)
        if (!factor_row(work, k)) {
            /* Fewer columns are never nearer to each other, but rounding may say so: let go of this one too. */
            work->place[work->free[k]] = work->x[work->free[k]] >= work->upper[work->free[k]] ? NNLS_AT_UPPER : NNLS_AT_ZERO;
            work->x[work->free[k]] = work->place[work->free[k]] == NNLS_AT_UPPER ? work->upper[work->free[k]] : 0.0;
            work->free_count--;
            for (size_t m = k; m < work->free_count; m++)
                work->free[m] = work->free[m + 1];
            k--;
        }
}

/* Solves factor factor' z = z in place. */
static void solve(const struct work *work, double *z)
{
    for (size_t i = 0; i < work->free_count; i++) {
        double sum = z[i];

        for (size_t k = 0; k < i; k++)
            sum -= work->factor[i][k] * z[k];
        z[i] = sum * work->inverse[i];
    }
    for (size_t i = work->free_count; i-- > 0;) {
        double done = z[i] * work->inverse[i];

        z[i] = done;
        for (size_t k = 0; k < i; k++)
            z[k] -= work->factor[i][k] * done;
    }
}

/* ------------------------------------------------------------------ residuals */

static void take_residual(struct work *work)
{
    const struct nnls *problem = work->problem;

    memcpy(work->residual, problem->b, problem->rows * sizeof(double));
    for (size_t j = 0; j < work->n; j++)
        if (work->x[j] != 0.0)
            for (size_t i = 0; i < work->rows4; i++)
                work->residual[i] -= work->q[j][i] * work->x[j];
    for (size_t j = 0; j < work->n; j++)
        work->gradient[j] = dot(work->q[j], work->residual, work->rows4);
}

/* The gradient by products: cheaper, and near enough to choose by. */
static void take_gradient(struct work *work)
{
    for (size_t j = 0; j < work->n; j++)
        work->gradient[j] = work->target[j];
    for (size_t k = 0; k < work->n; k++)
        if (work->x[k] != 0.0)
            for (size_t j = 0; j < work->n; j++)
                work->gradient[j] -= work->gram[k][j] * work->x[k];
}

/* The unknown at a bound that gains most by leaving it, or n. */
static size_t choose(const struct work *work)
{
    double best = GRADIENT_LEAST * work->b_norm;
    size_t chosen = work->n;

    for (size_t j = 0; j < work->n; j++) {
        double gain = work->place[j] == NNLS_AT_ZERO ? work->gradient[j] : -work->gradient[j];

        if (work->place[j] == NNLS_FREE || work->barred[j] || work->upper[j] == 0.0 || !(gain > best))
            continue;
        best = gain;
        chosen = j;
    }
    return chosen;
}

/* Least squares over the free unknowns, those at a bound standing still. */
static void solve_free(struct work *work, double *z)
{
    for (size_t i = 0; i < work->free_count; i++)
        z[i] = work->target[work->free[i]];
    for (size_t k = 0; k < work->n; k++)
        if (work->place[k] == NNLS_AT_UPPER)
            for (size_t i = 0; i < work->free_count; i++)
                z[i] -= work->gram[work->free[i]][k] * work->upper[k];
    solve(work, z);
    work->rounds++;
}

/* Moves towards z until the first free unknown meets a bound, and stops that one there. False when all of the way was free. */
static bool stopped_on_the_way(struct work *work, const double *z)
{
    double way = 1.0;
    size_t stopped = work->free_count;
    bool at_upper = false;

    for (size_t i = 0; i < work->free_count; i++) {
        size_t j = work->free[i];
        bool over = z[i] > work->upper[j];
        double share;

        if (z[i] > 0.0 && !over)
            continue;
        share = over ? (work->upper[j] - work->x[j]) / (z[i] - work->x[j]) : work->x[j] / (work->x[j] - z[i]);
        if (!(share >= way)) { /* x = z = 0 gives no number: stop there too */
            way = share > 0.0 ? share : 0.0;
            stopped = i;
            at_upper = over;
        }
    }
    for (size_t i = 0; i < work->free_count; i++)
        work->x[work->free[i]] += way * (z[i] - work->x[work->free[i]]);
    if (stopped == work->free_count)
        return false;
    work->x[work->free[stopped]] = at_upper ? work->upper[work->free[stopped]] : 0.0;
    work->place[work->free[stopped]] = at_upper ? NNLS_AT_UPPER : NNLS_AT_ZERO;
    unfree(work, stopped);
    return true;
}

/* Sets j free if the solution then moves it inwards; else bars it. */
static bool set_free(struct work *work, size_t j, double *z)
{
    bool from_upper = work->place[j] == NNLS_AT_UPPER;
    bool moves;

    work->free[work->free_count] = j;
    if (factor_row(work, work->free_count)) {
        work->free_count++;
        work->place[j] = NNLS_FREE;
        solve_free(work, z);
        moves = from_upper ? z[work->free_count - 1] < work->upper[j] : z[work->free_count - 1] > 0.0;
        if (moves)
            return true;
        work->free_count--;
        work->place[j] = from_upper ? NNLS_AT_UPPER : NNLS_AT_ZERO;
    }
    work->barred[j] = true;
    return false;
}

/* One Newton step of the free unknowns with the true residual: gives back the digits that the products lost. */
static void refine(struct work *work)
{
    double z[NNLS_COLUMNS];

    take_residual(work);
    for (size_t i = 0; i < work->free_count; i++)
        z[i] = work->gradient[work->free[i]];
    solve(work, z);
    for (size_t i = 0; i < work->free_count; i++) {
        size_t j = work->free[i];

        work->x[j] = fmin(fmax(work->x[j] + z[i], 0.0), work->upper[j]);
    }
    take_residual(work);
}

static void tell(const struct work *work, struct nnls_solution *solution)
{
    size_t rows = work->problem->rows;

    for (size_t j = 0; j < work->n; j++) {
        solution->x[j] = work->place[j] == NNLS_AT_UPPER ? work->problem->upper[j] : work->x[j] * work->scale[j];
        solution->gradient[j] = work->scale[j] > 0.0 ? work->gradient[j] / work->scale[j] : 0.0;
        solution->place[j] = work->place[j];
    }
    memcpy(solution->residual, work->residual, rows * sizeof(double));
    solution->norm = sqrt(dot(work->residual, work->residual, work->rows4));
    solution->rounds = work->rounds;
}

int nnls_solve(const struct nnls *problem, struct nnls_solution *solution, struct fault *fault)
{
    struct work work;
    double z[NNLS_COLUMNS];
    bool refined = false;
    int most;

    if (check(problem, fault))
        return -1;
    set_up(&work, problem);
    memcpy(work.gradient, work.target, work.n * sizeof(double));
    most = 6 * (int)work.n + 10;
    for (int outer = 0; outer < most; outer++) {
        size_t chosen = choose(&work);

        if (chosen == work.n) {
            if (refined) {
                tell(&work, solution);
                return 0;
            }
            /* Nothing gains by the products; is that so by the true residual? */
            refine(&work);
            refined = true;
            continue;
        }
        if (!set_free(&work, chosen, z))
            continue;
        while (stopped_on_the_way(&work, z))
            solve_free(&work, z);
        memset(work.barred, 0, sizeof work.barred);
        take_gradient(&work);
        refined = false;
    }
    return fault_add(fault, FAULT_INPUT, "", "no least squares found in %d rounds", most);
}
