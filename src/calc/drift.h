/* drift.h - what is left in a tank as the plants drink: composition, EC and pH while the level falls.
 *
 * The crop takes water; with each litre, an amount of every ion (its uptake concentration). What it takes less of than the
 * solution holds gathers, what it takes more of runs out. Cations and anions are not taken equally: roots give back H+ or OH-, and
 * that moves the pH. Pure: no clock, no locale, no allocation; safe from any thread.
 */
#ifndef TIDEMARK_DRIFT_H
#define TIDEMARK_DRIFT_H

#include "calc/solution.h"

#define DRIFT_POINTS 24

struct drift_request {
    struct solution_input start; /* a litre of it as filled; .gas: how it stands */
    double volume_l;             /* at the start */
    double least_l;              /* stop here */
    double uptake_mmol_l[ION_TOTALS]; /* mmol of each total per litre that the plants drink */
    size_t points;               /* 2 to DRIFT_POINTS, evenly by volume */
};

struct drift_point {
    double volume_l;
    double ph, ec_ms_cm;
    double total_mmol_l[ION_TOTALS];
    double elements_mg_l[ELEMENT_COUNT];
    double worst_saturation; /* nearest to its threshold */
    enum solution_mineral worst;
};

struct drift {
    size_t points;
    struct drift_point point[DRIFT_POINTS];
    int runs_out;       /* the ion that is used up first, or -1 */
    double runs_out_at_l;
    char said[200];
};

/* Uptake concentrations that take up a solution's mineral nutrients in its own proportions, `strength` of its concentration in each
 * litre drunk: 1 leaves the EC where it is, below 1 lets it rise.
 */
void drift_uptake_like(const struct solution_input *start, double strength, double uptake_mmol_l[ION_TOTALS]);

/* Returns 0; -1 with FAULT_INPUT at "/volume_l", "/least_l", "/points", "/uptake_mmol_l", or as solution_solve. A total never falls
 * below zero: from runs_out_at_l on none of it is taken.
 */
int drift_course(const struct drift_request *request, struct drift *drift, struct fault *fault);

#endif
