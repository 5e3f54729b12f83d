/* mix.h - a recipe made whole: grams, what the water then is, acid for the pH, the order at the bucket, cautions.
 *
 * Joins the calculations of src/calc; pure, but for memory in the arena. The acid is dosed last, by what the finished
 * solution needs; what it brings (the P of phosphoric acid, the N of nitric) is taken off the salts, so that the sum fits.
 */
#ifndef TIDEMARK_MIX_H
#define TIDEMARK_MIX_H

#include "calc/acid.h"
#include "calc/concentrate.h"
#include "calc/mixing.h"
#include "calc/recipe.h"
#include "calc/topup.h"
#include "store/arena.h"

#define MIX_CAUTIONS 24

/* Where nobody chose an acid: it brings no nutrient, so that the recipe stays as it was asked for, and can be made up in a
 * kitchen from powder and as much water by weight. Ours. */
#define MIX_USUAL_ACID REAGENT_CITRIC
#define MIX_USUAL_STRENGTH_PERCENT 50.0

/* A water whose pH was not analysed (NAN) is taken as at rest with outdoor air at 25 C: what standing or aeration brings it to,
 * 5.6 for rain, above 8 for a hard water. Tap water often comes out somewhat below. Ours. -1 with a fault as solution_add_water.
 */
int mix_water_ph(struct source_water *water, struct fault *fault);

struct mix_request {
    struct recipe_request recipe;
    double temperature_c;    /* of the water, 0 to 40 */
    double ph;               /* wished; NAN: whatever it comes to */
    enum reagent acid;
    double strength_percent; /* of that acid */
};

struct mix {
    struct recipe recipe;
    const struct salt *salt[RECIPE_SALTS]; /* for the chemistry: those of the recipe, the charges of labels closed */
    /* Why there is no chemistry (a label that leaves out a main ingredient); NULL: there is. Without it only the recipe stands. */
    const char *no_chemistry;
    struct solution_input input; /* the finished mix, without acid */
    struct solution solution;    /* and with it */
    bool acid_asked;
    struct acid_request acid_request;
    struct acid_dose acid;
    bool steps_known;
    struct mixing mixing; /* index: into recipe.weigh[] through step_of[] */
    size_t step_of[MIXING_SALTS];
    size_t cautions;
    const char *caution[MIX_CAUTIONS]; /* sentences for a person */
};

/* Works it all out. NULL with a fault: FAULT_INPUT with pointers as recipe_make, "/ph" where acid cannot reach it. */
struct mix *mix_make(const struct mix_request *request, struct arena *arena, struct fault *fault);

/* The same recipe as stock solutions; stocks 0 lets the calculation choose two or three. */
struct mix_stocks {
    struct mix *mix;
    struct concentrate concentrate;
    size_t weigh_of[CONCENTRATE_SALTS]; /* its salts, into recipe.weigh[] */
};
struct mix_stocks *mix_stocks_make(const struct mix_request *request, size_t stocks, struct arena *arena, struct fault *fault);

/* A top-up with its grams and its acid. */
struct mix_topup_request {
    struct topup_given topup;        /* water_mg_l and water_ec_ms_cm are worked out from recipe.water */
    struct recipe_request recipe;    /* volume and target come from the top-up; no salts: plain water is all there is */
    double temperature_c, ph;        /* ph: as read in the tank; NAN: no acid is dosed */
    enum reagent acid;
    double strength_percent;
};

struct mix_topup {
    struct topup topup;
    const struct mix *mix; /* NULL: nothing is weighed in */
    bool acid_asked;
    struct acid_request acid_request;
    struct acid_dose acid;
    double ec_after_ms_cm; /* NAN: not known */
    size_t whys, cautions;
    const char *why[TOPUP_WHYS + 1], *caution[TOPUP_CAUTION_COUNT + MIX_CAUTIONS];
};

/* What is added comes in at the tank's own pH where that is good (MIX_PH_LEAST to MIX_PH_MOST), else at MIX_PH_GOOD; common
 * practice, no source. NULL with a fault: FAULT_INPUT as topup_make and recipe_make.
 */
#define MIX_PH_LEAST 5.5
#define MIX_PH_MOST 6.5
#define MIX_PH_GOOD 6.0
struct mix_topup *mix_topup_make(const struct mix_topup_request *request, struct arena *arena, struct fault *fault);

#endif
