/* tank_drift.h - how a tank's solution changes as its plants drink, from what its fill was made of. */
#ifndef TIDEMARK_TANK_DRIFT_H
#define TIDEMARK_TANK_DRIFT_H

#include "calc/drift.h"
#include "garden/refill.h"

#define TANK_DRIFT_POINTS 13 /* enough for a smooth line on a phone */

/* Plants are taken to drink a solution as strong as the middle of what their crop likes (common practice, no source),
 * between half and one and a quarter of the fill's strength; without a crop at the fill's own. */
#define DRIFT_STRENGTH_LEAST 0.5
#define DRIFT_STRENGTH_MOST 1.25

struct tank_drift {
    struct drift drift;
    size_t ph_readings;          /* of this fill before its first top-up, that the course was set by */
    double alkalinity_shift_mmol_l; /* by which it was set: below 0 for acid that the log does not know; NAN: not set */
};

/* The course from the fill down to the low mark, its pH set by what was measured. FAULT_ABSENT where the log does not say what the
 * fill was made of. */
int tank_drift_course(const struct standing *standing, const struct refill *refill, struct tank_drift *course, struct fault *fault);

#endif
