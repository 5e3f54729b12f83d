/* recipe.h - from a target, the salts at hand and a source water to grams on a scale, and why it is not nearer.
 *
 * Pure arithmetic on mass: no chemistry happens here (solution.h says what the mix does, mixing.h in which order).
 * No clock, no locale, no allocation; safe from any thread.
 *
 * Minimised is the sum over the elements aimed at of weight x (delivered / target - 1)^2, with each salt between 0 and
 * its max_g: bounded least squares (nnls.h). Elements that have no target may come along in any amount and are told
 * in delivers_mg_l. Then the grams are rounded to the scale's step, and repaired by steps of single salts and of
 * pairs as long as that brings the rounded recipe nearer to the target.
 */
#ifndef TIDEMARK_RECIPE_H
#define TIDEMARK_RECIPE_H

#include "calc/fault.h"
#include "calc/ions.h"
#include "calc/salts.h"
#include "calc/solution.h"

#include <stdbool.h>

#define RECIPE_SALTS 16

/* mg/L by element_key[]. */
struct recipe_target {
    double mg_l[ELEMENT_NUTRIENTS];   /* NAN: not aimed at; 0: none wanted; else 0.0001 to 10000 */
    double n_nh4_max_mg_l;            /* most ammonium nitrogen, water included; NAN: no limit */
    double weight[ELEMENT_NUTRIENTS]; /* 0: shown but not aimed at; NAN: the default weight */
};

/* No target, no limit, default weights. */
void recipe_target_clear(struct recipe_target *target);

/* Ours: 1 for N, P, K, Ca and Mg, which a crop uses up and answers to; 0.1 for sulfur and the trace elements, which it
 * takes in a wide range, so that a blend's fixed traces do not pull at the main elements. 0 for Na, Cl, Si.
 */
double recipe_default_weight(enum element element);

struct recipe_salt {
    const struct salt *salt; /* from salts.h or label_salt; borrowed */
    double max_g;            /* at most this much for the whole volume; NAN: no limit */
};

struct recipe_request {
    double volume_l;                  /* 0.1 to 1,000,000: solution to make */
    const struct source_water *water; /* NULL: demineralised */
    struct recipe_target target;
    struct recipe_salt salt[RECIPE_SALTS];
    size_t count;
    double scale_step_g; /* 0.001 to 1000; 0 or NAN: do not round */
};

/* Why an element is off by more than RECIPE_OFF_PERCENT. */
enum recipe_why {
    RECIPE_NO_SALT,   /* short: neither the salts nor the water hold it */
    RECIPE_AT_LIMIT,  /* short: .salt holds it and is at its max_g */
    RECIPE_BRINGS,    /* short: more of .salt would bring too much of .other */
    RECIPE_AMMONIUM,  /* short: more of .salt would pass the limit on ammonium */
    RECIPE_SCALE,     /* short or over: exactly weighed it would fit; the scale's step is too coarse for .salt */
    RECIPE_WEIGHT,    /* short or over: it counts little (its weight) beside .other */
    RECIPE_WATER,     /* over: the water alone holds more than the target */
    RECIPE_COMES_WITH /* over: it comes along with .other in .salt */
};
#define RECIPE_WHYS 8

/* "no_salt", "at_limit", "brings", "ammonium", "scale", "weight", "water", "comes_with". */
extern const char *const recipe_why_key[RECIPE_WHYS];

#define RECIPE_OFF_PERCENT 5.0 /* ours: a scale, a meter and a water analysis together are no better */

struct recipe_short {
    enum element element;
    double off_percent; /* below 0: short; above: over */
    enum recipe_why why;
    const struct salt *salt; /* NULL where none is meant */
    int other;               /* an enum element, or -1 */
    const struct salt *mend; /* short only: the built-in salt that would bring this element nearest; NULL: none */
    double mend_off_percent; /* how far off the element then is */
};

struct recipe {
    size_t count; /* as many as were asked for, in their order */
    struct {
        const struct salt *salt;
        double grams, grams_exact; /* for the whole volume */
        bool at_limit;             /* at max_g (within half a step), and more would help */
    } weigh[RECIPE_SALTS];
    double delivers_mg_l[ELEMENT_NUTRIENTS]; /* by the rounded grams, water included */
    double n_no3_mg_l, n_nh4_mg_l, n_other_mg_l; /* the forms of delivers_mg_l[ELEMENT_N] */
    double off_percent[ELEMENT_NUTRIENTS];   /* of the target; NAN where there is no target, or it is 0 */
    double off_exact_percent[ELEMENT_NUTRIENTS]; /* the same before rounding */
    size_t short_count;
    struct recipe_short shorts[ELEMENT_NUTRIENTS]; /* those off by more than RECIPE_OFF_PERCENT, furthest off first */
    /* The one built-in salt not at hand that would bring the whole recipe nearest to its target; NULL: nothing helps much. */
    const struct salt *mend;
    double mend_grams;
    double deviation, mend_deviation; /* root of the weighted mean square deviation, percent: now, and with it */
    double salts_g_l;                 /* all that is weighed in, g/L */
};

/* Solves, rounds and explains.
 *
 * Returns 0, or -1 with FAULT_INPUT, all faults gathered, pointers as in the API: "/volume_l", "/target_mg_l/ca",
 * "/target_mg_l" (none given), "/weights/ca", "/salts" (none, or more than RECIPE_SALTS), "/salts/2/max_g",
 * "/salts/2" (given twice, or made of nothing that counts), "/scale_step_g", "/water/ca_mg_l". *recipe is untouched then.
 */
int recipe_make(const struct recipe_request *request, struct recipe *recipe, struct fault *fault);

/* What these grams of the request's salts make of its volume of water: grams[j] goes with salt[j]; targets, limits and the
 * scale are not looked at. n_nh4_mg_l may be NULL. Returns 0, or -1 with FAULT_INPUT at "/volume_l", "/salts", "/salts/2",
 * "/water/ca_mg_l"; mg_l is untouched then.
 */
int recipe_deliver(const struct recipe_request *request, const double *grams, double mg_l[ELEMENT_NUTRIENTS], double *n_nh4_mg_l,
                   struct fault *fault);

/* What a source water brings, mg/L of each element; NULL brings nothing. n_nh4_mg_l may be NULL. */
void recipe_water_elements(const struct source_water *water, double mg_l[ELEMENT_NUTRIENTS], double *n_nh4_mg_l);

/* One sentence of plain English for a short, into text (cut to size). Returns text. */
char *recipe_short_text(const struct recipe_short *shortfall, char *text, size_t size);

#endif
