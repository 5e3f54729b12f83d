/* nnls.c - bounded non-negative least squares.
 *
 * The columns are scaled to length 1 first, so that grams of a trace salt and of a main salt weigh alike in every
 * comparison; `q` are the scaled columns. Each unknown is at zero, at its upper bound, or free. The method works on a table that
 * starts as the products q' q, with q' b beside it, and is swept by each unknown that is set free, and again when it stops
 * being free (Goodnight, The American Statistician 33, 1979):
 *
 *                     free f                  others o              beside it
 *     free f     inverse of q_f' q_f    solution of q_f x = q_o    least squares of the free ones
 *     others o          ..              products of what of q_o    gradient of the others
 *                                       q_f leaves over
 *
 * So each sweep gives the next least squares and the next gradient at once. Products lose half of the digits; an answer is
 * refined with the true residual before it is believed.
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
    size_t n, rows4, columns4; /* rounded up to four: what is beyond is zero */
    double q[NNLS_COLUMNS][NNLS_ROWS], scale[NNLS_COLUMNS], upper[NNLS_COLUMNS];
    double table[NNLS_COLUMNS][NNLS_COLUMNS], beside[NNLS_COLUMNS];
    double b_norm;
    double x[NNLS_COLUMNS], residual[NNLS_ROWS], gradient[NNLS_COLUMNS];
    enum nnls_place place[NNLS_COLUMNS];
    /* The same for sums without branches, which a processor would guess wrongly half of the time: 1 at zero, -1 at the upper
     * bound, 0 where free, or barred: set free in vain since anything changed.
     */
    double side[NNLS_COLUMNS];
    int rounds;
};

static double dot(const double *a, const double *b, size_t rows4)
{
    double sum[4] = {0}; /* four chains run side by side in the processor */

    for (size_t i = 0; i < rows4; i += 4)
        for (size_t k = 0; k < 4; k++)
            sum[k] += a[i + k] * b[i + k];
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

/* a -= share x b: the same count for a whole problem, which a processor learns, and no sum that waits for the one before. */
static inline void take_off(double *restrict a, double share, const double *restrict b, size_t count4)
{
    for (size_t i = 0; i < count4; i += 4)
        for (size_t k = 0; k < 4; k++)
            a[i + k] -= share * b[i + k];
}

/* Squares are added up; what is not finite, or its square is not, is found in the sum. */
static bool is_usable(double square)
{
    return square <= 1e300;
}

/* Scales the columns and makes the table. False where a number cannot be used. */
static bool set_up(struct work *work, const struct nnls *problem)
{
    size_t rows = problem->rows;

    work->problem = problem;
    work->n = problem->columns;
    work->rows4 = (rows + 3) & ~(size_t)3;
    work->columns4 = (work->n + 3) & ~(size_t)3;
    work->rounds = 0;
    for (size_t i = 0; i < work->rows4; i++)
        work->residual[i] = i < rows ? problem->b[i] : 0.0;
    work->b_norm = dot(work->residual, work->residual, work->rows4);
    if (!is_usable(work->b_norm))
        return false;
    work->b_norm = sqrt(work->b_norm);
    for (size_t j = 0; j < work->n; j++) {
        double *q = work->q[j], length;

        memcpy(q, problem->a[j], rows * sizeof *q);
        for (size_t i = rows; i < work->rows4; i++)
            q[i] = 0.0;
        length = dot(q, q, work->rows4);
        if (!is_usable(length) || !(problem->upper[j] >= 0.0))
            return false;
        length = sqrt(length);
        work->scale[j] = length > 0.0 ? 1.0 / length : 0.0;
        for (size_t i = 0; i < work->rows4; i++)
            q[i] *= work->scale[j];
        work->upper[j] = length > 0.0 ? problem->upper[j] * length : 0.0; /* a column of zeros stays at zero */
        work->beside[j] = dot(q, work->residual, work->rows4);
        for (size_t k = 0; k < j; k++)
            work->table[j][k] = work->table[k][j] = dot(q, work->q[k], work->rows4);
        work->table[j][j] = length > 0.0 ? 1.0 : 0.0;
        work->x[j] = 0.0;
        work->place[j] = NNLS_AT_ZERO;
        work->side[j] = work->upper[j] > 0.0 ? 1.0 : 0.0;
        for (size_t k = work->n; k < work->columns4; k++)
            work->table[j][k] = 0.0;
    }
    return true;
}

/* Sweeps the table by unknown p, which must not depend on the free ones. Sweeping again takes it back. The column of p is
 * written last of all: a number stored alone holds up the next load of its neighbours.
 */
static void sweep(struct work *work, size_t p)
{
    double *pivot = work->table[p], inverse = 1.0 / pivot[p], beside = work->beside[p] * inverse;

    for (size_t k = 0; k < work->columns4; k += 4)
        for (size_t m = 0; m < 4; m++)
            pivot[k + m] *= inverse;
    for (size_t i = 0; i < work->n; i++) {
        double share = work->table[i][p];

        if (i == p)
            continue;
        take_off(work->table[i], share, pivot, work->columns4);
        work->table[i][p] = -share * inverse;
        work->beside[i] -= share * beside;
    }
    pivot[p] = inverse;
    work->beside[p] = beside;
}

/* What stands beside the table, when an unknown that is not free moves by this much. */
static void shift(struct work *work, size_t j, double by)
{
    for (size_t i = 0; i < work->n; i++)
        work->beside[i] -= work->table[i][j] * by;
}

/* The unknown at a bound that gains most by leaving it, or n. */
static size_t choose(const struct work *work, const double *gradient)
{
    double best = GRADIENT_LEAST * work->b_norm;
    size_t chosen = work->n;

    for (size_t j = 0; j < work->n; j++) {
        double gain = work->side[j] * gradient[j];
        bool better = gain > best;

        best = better ? gain : best;
        chosen = better ? j : chosen;
    }
    return chosen;
}

/* Sets j free if the least squares then moves it inwards; else bars it. */
static bool set_free(struct work *work, size_t j)
{
    bool from_upper = work->place[j] == NNLS_AT_UPPER;

    work->side[j] = 0.0;
    if (!(work->table[j][j] > DEPENDENT))
        return false;
    if (from_upper)
        shift(work, j, -work->upper[j]);
    sweep(work, j);
    work->rounds++;
    if (from_upper ? work->beside[j] < work->upper[j] : work->beside[j] > 0.0) {
        work->place[j] = NNLS_FREE;
        return true;
    }
    sweep(work, j);
    if (from_upper)
        shift(work, j, work->upper[j]);
    return false;
}

/* How far the free unknowns can go towards their least squares before one of them meets a bound: a share of the way, and
 * which; n where all of the way is free.
 */
static size_t first_to_stop(const struct work *work, double *way)
{
    size_t first = work->n;

    for (size_t j = 0; j < work->n; j++) {
        double from = work->x[j], to = work->beside[j], share;

        if (work->place[j] != NNLS_FREE || (to > 0.0 && to <= work->upper[j]))
            continue;
        share = to > 0.0 ? (work->upper[j] - from) / (to - from) : from / (from - to);
        if (!(share >= *way) || first == work->n) { /* nothing to go, from 0 to 0, gives no number: stop there too */
            *way = share > 0.0 ? share : 0.0;
            first = j;
        }
    }
    return first;
}

static bool all_inside(const struct work *work)
{
    int outside = 0;

    for (size_t j = 0; j < work->n; j++)
        outside |= (work->place[j] == NNLS_FREE) & !((work->beside[j] > 0.0) & (work->beside[j] <= work->upper[j]));
    return !outside;
}

static void stop(struct work *work, size_t j)
{
    bool at_upper = work->beside[j] > 0.0;

    sweep(work, j);
    work->x[j] = at_upper ? work->upper[j] : 0.0;
    work->place[j] = at_upper ? NNLS_AT_UPPER : NNLS_AT_ZERO;
    if (at_upper)
        shift(work, j, work->upper[j]);
    work->rounds++;
}

/* Moves the free unknowns to their least squares, stopping on the way each that meets a bound; then all may be tried again. */
static void move(struct work *work)
{
    double way;

    do {
        size_t first = work->n;

        way = 1.0;
        if (!all_inside(work))
            first = first_to_stop(work, &way);
        for (size_t j = 0; j < work->n; j++) {
            double moved = first == work->n ? work->beside[j] : work->x[j] + way * (work->beside[j] - work->x[j]);

            work->x[j] = work->place[j] == NNLS_FREE ? moved : work->x[j];
        }
        if (first == work->n)
            break;
        stop(work, first);
    } while (true);
    for (size_t j = 0; j < work->n; j++)
        work->side[j] = work->upper[j] > 0.0 ? (work->place[j] == NNLS_AT_ZERO) - (double)(work->place[j] == NNLS_AT_UPPER) : 0.0;
}

/* Residual and gradient from the columns themselves. */
static void take_residual(struct work *work)
{
    const struct nnls *problem = work->problem;

    memcpy(work->residual, problem->b, problem->rows * sizeof(double));
    for (size_t j = 0; j < work->n; j++)
        if (work->x[j] != 0.0)
            take_off(work->residual, work->x[j], work->q[j], work->rows4);
    for (size_t j = 0; j < work->n; j++)
        work->gradient[j] = dot(work->q[j], work->residual, work->rows4);
}

/* Newton steps of the free unknowns with the true residual give back the digits that the products lost: one, or some more
 * where columns are nearly dependent.
 */
static void refine(struct work *work)
{
    double moved = HUGE_VAL, ahead[NNLS_COLUMNS] = {0};

    for (int step = 0; step < 4 && moved > 1e-11 * work->b_norm; step++) {
        take_residual(work);
        moved = 0.0;
        for (size_t j = 0; j < work->n; j++)
            ahead[j] = work->place[j] == NNLS_FREE ? work->gradient[j] : 0.0;
        for (size_t j = 0; j < work->n; j++) {
            double before = work->x[j], by;

            if (work->place[j] != NNLS_FREE)
                continue;
            by = before + dot(work->table[j], ahead, work->columns4);
            work->x[j] = by < 0.0 ? 0.0 : by > work->upper[j] ? work->upper[j] : by;
            by = work->x[j] - before;
            moved = fabs(by) > moved ? fabs(by) : moved;
            take_off(work->residual, by, work->q[j], work->rows4);
        }
    }
}

static void tell(const struct work *work, struct nnls_solution *solution)
{
    for (size_t j = 0; j < work->n; j++) {
        solution->x[j] = work->place[j] == NNLS_AT_UPPER ? work->problem->upper[j] : work->x[j] * work->scale[j];
        solution->gradient[j] = work->scale[j] > 0.0 ? work->gradient[j] / work->scale[j] : 0.0;
        solution->place[j] = work->place[j];
    }
    memcpy(solution->residual, work->residual, work->problem->rows * sizeof(double));
    solution->norm = sqrt(dot(work->residual, work->residual, work->rows4));
    solution->rounds = work->rounds;
}

int nnls_solve(const struct nnls *problem, struct nnls_solution *solution, struct fault *fault)
{
    struct work work;
    const double *gradient = work.beside; /* of those that are not free: near enough to choose by */
    int most;

    if (problem->rows < 1 || problem->rows > NNLS_ROWS || problem->columns < 1 || problem->columns > NNLS_COLUMNS)
        return fault_add(fault, FAULT_INPUT, "", "must be 1 to %d rows and 1 to %d columns", NNLS_ROWS, NNLS_COLUMNS);
    if (!set_up(&work, problem))
        return fault_add(fault, FAULT_INPUT, "", "must be finite numbers, below 1e150, with upper bounds of 0 or more");
    most = 6 * (int)work.n + 10;
    for (int outer = 0; outer < most; outer++) {
        size_t chosen = choose(&work, gradient);

        if (chosen == work.n && gradient == work.gradient) {
            tell(&work, solution);
            return 0;
        }
        if (chosen == work.n) { /* nothing gains by the table; is that so by the true residual? */
            refine(&work);
            gradient = work.gradient;
        } else if (set_free(&work, chosen)) {
            move(&work);
            gradient = work.beside;
        }
    }
    return fault_add(fault, FAULT_INPUT, "", "no least squares found in %d rounds", most);
}
