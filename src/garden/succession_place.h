/* succession_place.h - which tank takes how many plants of each planting, so that cups and water last: as many plants as possible.
 *
 * A tank's water: it begins with water_l above its low mark. At the start of each stretch of topup_days it is topped up by at
 * most topup_l, and never above usable_l; what hangs there drinks until the next. Refilling an emptied tank is not counted on.
 *
 * First each planting in turn goes where it fits best. Where that leaves none out it is the answer. Else GLPK solves the mixed integer programme
 *
 *   most   sum x[b][t]                                      x: whole plants of planting b in tank t
 *   with   sum over t of x[b][t] <= wanted[b]
 *          sum of x[b][t] that hang on a day <= free[t][day]
 *          level[t][j] <= usable[t] - drunk[t][j],  level[t][j] <= level[t][j-1] + topup[t] - drunk[t][j],  level >= 0
 *
 * by branch and bound, so many nodes at most: then `bound` says what no plan could exceed.
 */
#ifndef TIDEMARK_SUCCESSION_PLACE_H
#define TIDEMARK_SUCCESSION_PLACE_H

#include <stdint.h>

#include "calc/fault.h"
#include "store/arena.h"

struct place_batch {
    int32_t plant_on, harvest_on; /* hang from plant_on to the day before harvest_on */
    int64_t wanted;
    const double *drinks_l;       /* of one plant, each of those days; NULL: not counted */
};

struct place_tank {
    const int64_t *free;   /* cups on each day from place_ask.from on; never fewer as time goes on */
    const double *other_l; /* drunk by what hangs there now, each day; NULL: nothing */
    double usable_l, water_l, topup_l;
};

struct place_ask {
    int32_t from; /* the first day that any list tells of */
    size_t days;
    int topup_days; /* 0: water is not counted */
    const struct place_batch *batch; /* all within the days */
    size_t batches;
    const struct place_tank *tank;
    size_t tanks;
    int nodes; /* of branch and bound, at most */
};

struct place_found {
    int64_t *plants; /* batches x tanks */
    int64_t total, bound; /* planted; no plan plants more */
};

/* Returns 0, or -1 with FAULT_MEMORY. */
int succession_place(const struct place_ask *ask, struct place_found *found, struct arena *arena, struct fault *fault);

/* Litres above the low mark on the worst evening of a tank by a placing; INFINITY where water is not counted. */
double succession_least_l(const struct place_ask *ask, const struct place_found *found, size_t tank);

#endif
