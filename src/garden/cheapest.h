/* cheapest.h - the least money for a target within a tolerance: a linear programme.
 *
 * The closest recipe (calc/recipe.h) stays the default; this tells what nearness costs.
 */
#ifndef TIDEMARK_CHEAPEST_H
#define TIDEMARK_CHEAPEST_H

#include "calc/recipe.h"
#include "garden/garden.h"

struct cheapest_request {
    struct recipe_request recipe;       /* volume, water, target, salts with their limits; the scale's step */
    double price_per_kg[RECIPE_SALTS];  /* of each salt, 0 or more */
    double tolerance_percent;           /* either side of the target, for N, P, K, Ca and Mg: 0 to 100 */
    double other_tolerance_percent;     /* for the others aimed at, which a crop takes in a wide range */
};

struct cheapest {
    bool feasible;                      /* false: only nearest_percent is told */
    double nearest_percent;             /* the least tolerance at which these salts can do it, other_ growing in the same measure */
    double grams[RECIPE_SALTS];         /* rounded to the scale's step */
    double grams_exact[RECIPE_SALTS];
    double cost, cost_exact;
    double delivers_mg_l[ELEMENT_NUTRIENTS]; /* by the rounded grams, water included */
    double off_percent[ELEMENT_NUTRIENTS];   /* NAN: not aimed at */
};

/* Minimise sum price x grams, each element aimed at between (1 - tolerance) and (1 + tolerance) of its target, water
 * included; ammonium nitrogen below its limit; each salt from 0 to its max_g. Solved exactly by the simplex method.
 *
 * Returns 0 (feasible or not); -1 with FAULT_INPUT as recipe_make, and at "/tolerance_percent", "/other_tolerance_percent", "/salts/2/price_per_kg";
 * FAULT_MEMORY where the solver gave up.
 */
int cheapest_make(const struct cheapest_request *request, struct cheapest *cheapest, struct fault *fault);

/* The same with what stands on the garden's shelf: its priced salts (no acids or alkalis, which move the pH), a target and a water
 * by their ids. Beside it the closest recipe of the same salts, and what it costs. */
struct shelf_ask {
    double volume_l, scale_step_g, tolerance_percent, other_tolerance_percent;
    const char *target, *water; /* ids; water NULL: demineralised */
    struct list salts;          /* const char *, ids; none: every salt that has a price */
};
struct shelf_cheapest {
    struct cheapest cheapest;
    struct recipe closest;
    double closest_cost;
    size_t count;
    const char *salt[RECIPE_SALTS], *name[RECIPE_SALTS]; /* of grams[], in order */
    double price_per_kg[RECIPE_SALTS];
};
int shelf_cheapest(struct garden *garden, const struct shelf_ask *ask, struct shelf_cheapest *found, struct arena *arena, struct fault *fault);

#endif
