/* refill.h - a top-up from what the log knows of a tank: what was put in, what was drunk, what hangs there.
 *
 * Without a target named in the fill, the fill's own salts are the target: what is added is like what was there at first.
 */
#ifndef TIDEMARK_REFILL_H
#define TIDEMARK_REFILL_H

#include "garden/mix.h"
#include "garden/standing.h"

/* What a tank's fill was made of, as far as the log tells. */
struct refill {
    struct topup_given topup;
    struct recipe_request recipe; /* the salts of the fill, its water, its target; no salts: nothing was noted */
    double grams[RECIPE_SALTS];   /* of each, as weighed for the fill */
    struct source_water water;
    bool target_known;
};

/* Gathers it for the tank of standing, whose state and outlook are there; vessel is borrowed by the answer. */
int refill_gather(struct db *db, const struct standing_place *place, const struct standing *standing, const struct vessel *vessel,
                  struct refill *refill, struct arena *arena, struct fault *fault);

/* The top-up with its grams and acid. NULL with a fault. */
struct mix_topup *refill_make(const struct refill *refill, double ph, struct arena *arena, struct fault *fault);

#endif
