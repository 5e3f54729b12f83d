/* vessel.h - how much a vessel holds at a waterline, and back; what the cups in its lid displace.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread. All measures are inside measures:
 * the wall is not in them. Heights count from the floor.
 *
 *          rim_mm           ____________________ lid, at height_mm
 *      \____________/       \   |__|    |__|   /   cups hang from it
 *       \          /         \~~~~~~~~~~~~~~~~/    start: half-way up the cups
 *        \________/           \______________/     floor, waterline 0
 *         floor_mm
 */
#ifndef TIDEMARK_VESSEL_H
#define TIDEMARK_VESSEL_H

#include "calc/fault.h"

enum vessel_shape {
    VESSEL_BOX,   /* flat tapered walls, rounded upright corners */
    VESSEL_ROUND, /* a bucket: a frustum of a cone, or a cylinder */
    VESSEL_POURED /* calibrated: known volumes poured in, the waterline read after each */
};

struct vessel_point {
    double waterline_mm, volume_l;
};
#define VESSEL_POINTS 64

struct vessel {
    enum vessel_shape shape;
    double floor_mm[2]; /* box: length, width; round: diameter, in the first */
    double rim_mm[2];   /* the same at height_mm */
    double height_mm;   /* of the rim, where the lid lies; poured: 0 or NAN stands for the last point's waterline */
    double corner_mm;   /* box: radius of its upright corners, the same at every height; 0 or NAN: square */
    const struct vessel_point *points; /* poured: rising in both, by 0.1 mm and 0.001 L at least; borrowed. (0, 0) is
                                            understood where the first is above 0 */
    size_t point_count;                /* 2 to VESSEL_POINTS */
};

/* What a waterline means. */
struct vessel_level {
    double waterline_mm;
    double volume_l;    /* between floor and waterline, nothing hanging in it */
    double surface_cm2; /* of the water: volume_l changes by surface_cm2 / 10000 each mm */
    double brim_l;      /* at the rim; poured: at the last point */
    double solution_kg; /* of volume_l */
};

/* Nutrient solution: water at 20 C is 0.9982 kg/L (from memory), one to two grams of salts a litre make up for it. Ours. */
#define VESSEL_KG_PER_L 1.0

/* Net cups, all alike, hung from the lid at height_mm. */
struct vessel_cups {
    size_t count;
    double height_mm; /* from the lid's underside down to the cup's bottom */
    double top_mm, bottom_mm; /* widths across */
    double medium_fraction;   /* 0 to 1: solid share of what fills the cup, what keeps solution out; 0: an empty mesh.
                                 The mesh itself is thin and left out. */
};

/* Is this a shape that can hold water? Gathers every fault.
 *
 * Lengths 5 to 20000 mm (our bounds), floor and rim in proportion to any taper, also narrowing upwards;
 * corner_mm at most half of the least width.
 * Returns 0, or -1 with FAULT_INPUT, pointers as in the API's vessel: "/floor_mm", "/floor_mm/1", "/rim_mm",
 * "/height_mm", "/corner_mm", "/points", "/points/3".
 *
 * Every function below makes the same check and answers with the same pointers; call this one first where
 * the vessel lies deeper in what was given, and pass its faults on with fault_under.
 */
int vessel_check(const struct vessel *vessel, struct fault *fault);

/* Height of the rim: height_mm, or the last point's waterline. Of a checked vessel. */
double vessel_height_mm(const struct vessel *vessel);

/* Level at a waterline. 0 to the rim, or to the last point of a poured vessel, else -1 with FAULT_INPUT at "/waterline_mm".
 * Closed forms; poured: the monotone cubic of Fritsch and Carlson (SIAM Journal on Numerical Analysis 17, 1980), with the
 * slopes of Fritsch and Butland (SIAM Journal on Scientific and Statistical Computing 5, 1984).
 */
int vessel_at_waterline(const struct vessel *vessel, double waterline_mm, struct vessel_level *level, struct fault *fault);

/* Level at a volume: 0 to the brim, else -1 with FAULT_INPUT at "/volume_l". Newton inside a bracket, to 1e-9 of the height. */
int vessel_at_volume(const struct vessel *vessel, double volume_l, struct vessel_level *level, struct fault *fault);

/* Are these cups, and do they fit into the vessel's height? Faults at "/height_mm", "/top_mm", "/bottom_mm", "/medium_fraction". */
int vessel_cups_check(const struct vessel *vessel, const struct vessel_cups *cups, struct fault *fault);

/* Litres of solution that the cups' medium keeps out below a waterline. Cups and waterline are checked as above. */
int vessel_displaced_l(const struct vessel *vessel, const struct vessel_cups *cups, double waterline_mm, double *displaced_l,
                       struct fault *fault);

/* Solution in the vessel with its cups hung in, and the waterline that this much solution reaches. cups may be NULL.
 * -1 with FAULT_INPUT at "/waterline_mm" or "/volume_l" out of range.
 */
int vessel_solution_l(const struct vessel *vessel, const struct vessel_cups *cups, double waterline_mm, double *solution_l,
                      struct fault *fault);
int vessel_solution_waterline_mm(const struct vessel *vessel, const struct vessel_cups *cups, double solution_l,
                                 double *waterline_mm, struct fault *fault);

/* The start: half-way up the cups (common practice, no source). */
struct vessel_start {
    double waterline_mm; /* height of the rim less half a cup */
    double volume_l;     /* as if no cup hung in it */
    double displaced_l;
    double solution_l;   /* what to mix: volume less displaced */
    double brim_l;
    double solution_kg;  /* of solution_l: what floor and people must bear, vessel and plants not counted */
};

/* Returns 0, or -1 with FAULT_INPUT: bad cups (their pointers under "/cup"), or a poured table that ends below the start ("/points"). */
int vessel_start(const struct vessel *vessel, const struct vessel_cups *cups, struct vessel_start *start, struct fault *fault);

#endif
