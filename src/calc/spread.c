/* spread.c - mean, ends and scatter, one value at a time. */
#include "calc/spread.h"

#include <math.h>

struct spread spread_none(void)
{
    return (struct spread){.mean = NAN, .low = NAN, .high = NAN, .sd = NAN};
}

void spread_add(struct spread *spread, double value)
{
    double n = (double)spread->n, squares = spread->n > 1 ? spread->sd * spread->sd * (n - 1) : 0.0, off;

    if (!isfinite(value))
        return;
    if (spread->n++ == 0) {
        spread->mean = spread->low = spread->high = value;
        return;
    }
    off = value - spread->mean;
    spread->mean += off / (n + 1);
    squares += off * (value - spread->mean);
    spread->sd = sqrt(squares / n);
    spread->low = fmin(spread->low, value);
    spread->high = fmax(spread->high, value);
}
