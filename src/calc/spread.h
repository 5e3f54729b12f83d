/* spread.h - how a handful of values lie: how many, middle, ends, scatter.
 *
 * Pure, no allocation.
 */
#ifndef TIDEMARK_SPREAD_H
#define TIDEMARK_SPREAD_H

#include <stddef.h>

struct spread {
    size_t n;
    double mean, low, high; /* NAN where n is 0 */
    double sd;              /* of the sample, divided by n - 1; NAN where n is below 2 */
};

/* Nothing seen yet. */
struct spread spread_none(void);

/* Takes one more value in; one that is not finite is passed over. Sums of squares are kept about the running mean, so that
 * large values with a small scatter lose no digits. Source: "Note on a method for calculating corrected sums of squares
 * and products", Technometrics 4 (1962), from memory.
 */
void spread_add(struct spread *spread, double value);

#endif
