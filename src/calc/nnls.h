/* nnls.h - bounded non-negative least squares for small problems.
 *
 * Finds x, 0 <= x <= upper, that makes |A x - b| least. The active set method of Lawson and Hanson, Solving Least
 * Squares Problems (1974), chapter 23, with upper bounds as a third set (Stark and Parker, Computational Statistics 10,
 * 1995), on swept normal equations, refined with true residuals. Rows and columns are weighted by the caller.
 * Pure: no clock, no locale, no allocation; safe from any thread.
 */
#ifndef TIDEMARK_NNLS_H
#define TIDEMARK_NNLS_H

#include "calc/fault.h"

#define NNLS_ROWS 20
#define NNLS_COLUMNS 16

struct nnls {
    size_t rows, columns;               /* 1 to NNLS_ROWS, 1 to NNLS_COLUMNS */
    double a[NNLS_COLUMNS][NNLS_ROWS];  /* by column */
    double b[NNLS_ROWS];
    double upper[NNLS_COLUMNS];         /* 0 or more; HUGE_VAL: none */
};

enum nnls_place { NNLS_AT_ZERO, NNLS_FREE, NNLS_AT_UPPER };

struct nnls_solution {
    double x[NNLS_COLUMNS];
    double residual[NNLS_ROWS];      /* b - A x */
    double gradient[NNLS_COLUMNS];   /* A' residual: above 0 at an upper bound means that more would help */
    enum nnls_place place[NNLS_COLUMNS];
    double norm;                     /* |b - A x| */
    int rounds;                      /* least squares solved */
};

/* Solves. Always ends: each round lowers the residual or bars a column, and columns are set free at most 6 x columns + 10
 * times.
 *
 * Returns 0, or -1 with FAULT_INPUT at "": sizes out of range, a value not finite, an upper bound below 0 or not a number;
 * or the rounds ran out. *solution is untouched then.
 * A column that depends on others in use stays at its bound: of several solutions one is found.
 */
int nnls_solve(const struct nnls *problem, struct nnls_solution *solution, struct fault *fault);

#endif
