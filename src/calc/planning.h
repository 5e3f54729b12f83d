/* planning.h - how many plants one fill carries, before anything is filled.
 *
 * Pure, no allocation. The same growth, climate and spread as the outlook, with no readings yet.
 */
#ifndef TIDEMARK_PLANNING_H
#define TIDEMARK_PLANNING_H

#include "calc/outlook.h"

#define PLANNING_PLANTS 60

struct planning_given {
    const struct vessel *vessel;
    double start_mm, low_mm;
    const struct crop *crop;
    int32_t on;                /* day of planting */
    int most;                  /* plants looked at, 1 to PLANNING_PLANTS */
    struct outlook_climate climate;
    struct outlook_prior prior; /* all NAN: none */
};

struct planning {
    int count; /* = most */
    struct planning_row {
        int plants;
        double carries;                  /* probability that one fill reaches first harvest */
        struct outlook_spread litres;    /* drunk by all of them to first harvest */
        double ground_share;             /* of the ground that each would like: crowded plants stay smaller by about this */
    } row[PLANNING_PLANTS];
    int plants_at_90, plants_at_50; /* the most whose probability is at least 0.9, 0.5; 0: not even one */
    int plants_by_spacing; /* that the lid has room for at the middle of the crop's spacing; at least 1 */
    double start_l, usable_l;       /* at start_mm; between start_mm and low_mm */
    double solution_kg;             /* at the start, 1.00 kg/L (ours: within 0.5 % for nutrient solutions) */
    double floor_kg_m2;             /* solution over the vessel's own floor: what the floor or roof under it bears */
    struct outlook_dates harvest_on;
};

/* Returns 0, or -1 with FAULT_INPUT; *planning untouched then. */
int planning_make(const struct planning_given *given, struct planning *planning, struct fault *fault);

#endif
