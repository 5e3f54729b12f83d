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

/* What a meter said of the pH with so much left in the tank. */
struct drift_seen {
    double volume_l, ph;
};

#define DRIFT_SEEN_MOST 24
#define DRIFT_SHIFT_MOST_MMOL_L 10.0 /* twice the alkalinity of very hard water: ours */

/* How much the start's alkalinity must differ from what is known of it for the course's pH to meet the measured ones: below 0 for acid
 * that nobody noted. Half the readings then lie above the course and half below, so one slip moves nothing.
 *
 * *shift_mmol_l is NAN where nothing was measured or nothing within DRIFT_SHIFT_MOST_MMOL_L would do. Returns 0; -1 as drift_course,
 * and at "/seen" for more than DRIFT_SEEN_MOST or a pH outside 0 to 14.
 */
int drift_anchor(const struct drift_request *request, const struct drift_seen *seen, size_t count, double *shift_mmol_l, struct fault *fault);

/* Shifts the start's alkalinity, with the ions that such a shift comes with: nitrate of nitric acid below 0 (which acid it was is not
 * known), calcium of hard water above. They are taken up like the rest of their kind.
 */
void drift_shift(struct drift_request *request, double shift_mmol_l);

/* Returns 0; -1 with FAULT_INPUT at "/volume_l", "/least_l", "/points", "/uptake_mmol_l", or as solution_solve. A total never falls
 * below zero: from runs_out_at_l on none of it is taken.
 */
int drift_course(const struct drift_request *request, struct drift *drift, struct fault *fault);

#endif
