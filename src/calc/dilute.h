/* dilute.h - what a tank holds of each element: put in, taken with the water, left; and what mixing makes.
 *
 * Pure arithmetic on mass, mg and litres: nothing falls out, and the volumes of dilute solutions add up (within 0.1 %).
 * No clock, no locale, no allocation; safe from any thread. Concentrations are mg/L by element_key[].
 *
 * A tank is followed through its log, in the order of its entries:
 *
 *     dilute_fill(&tank, 94.6, recipe.delivers_mg_l, &fault);
 *     dilute_level(&tank, 61.0, &fault);             the waterline was read: 33.6 L were drunk
 *     dilute_add(&tank, 10.0, water_mg_l, &fault);
 *     dilute_left(&tank, low, high, &left, &fault);
 */
#ifndef TIDEMARK_DILUTE_H
#define TIDEMARK_DILUTE_H

#include "calc/fault.h"
#include "calc/ions.h"

struct dilute_tank {
    double volume_l;
    double put_in_mg[ELEMENT_NUTRIENTS]; /* of what was put in since the fill, the share that was not poured out again */
    double put_in_l;
    double drunk_l;  /* taken by plants and air since the fill; never with solution poured out */
    double gained_l; /* risen without anything logged: rain, or an unlogged top-up; counted as pure water */
};

/* Starts anew with a fill. Volumes 0 to 1,000,000 L, concentrations 0 to 1,000,000 mg/L; else -1 with FAULT_INPUT at "/volume_l" or
 * "/mg_l/ca", and the tank stays as it was: so in every function here.
 */
int dilute_fill(struct dilute_tank *tank, double volume_l, const double mg_l[ELEMENT_NUTRIENTS], struct fault *fault);

/* Adds solution or water. */
int dilute_add(struct dilute_tank *tank, double volume_l, const double mg_l[ELEMENT_NUTRIENTS], struct fault *fault);

/* The volume was read: what is missing was drunk; what is more came from outside, as pure water. */
int dilute_level(struct dilute_tank *tank, double volume_l, struct fault *fault);

/* Solution was poured out, as the tank then held it: with it goes the same share of each element. At most volume_l. */
int dilute_pour_out(struct dilute_tank *tank, double volume_l, struct fault *fault);

/* What is left, as a range: with each litre drunk the plants took from low to high mg of each element, NAN where nobody
 * knows: then from nothing to all of it. Never below nothing.
 */
struct dilute_left {
    double low_mg_l[ELEMENT_NUTRIENTS], high_mg_l[ELEMENT_NUTRIENTS]; /* NAN in an empty tank */
    double least_taken_mg[ELEMENT_NUTRIENTS], most_taken_mg[ELEMENT_NUTRIENTS];
    double concentrated; /* put in over left, by volume: 2 when half was drunk and nothing is taken up; NAN when empty */
};

/* -1 with FAULT_INPUT at "/uptake_mg_l/ca": below 0, or low above high. */
int dilute_left(const struct dilute_tank *tank, const double low_mg_l[ELEMENT_NUTRIENTS], const double high_mg_l[ELEMENT_NUTRIENTS],
                struct dilute_left *left, struct fault *fault);

/* What an analysis of the tank says the plants took: mg of each element, and mg per litre drunk (NAN where nothing was
 * drunk). Below nothing where the analysis finds more than was put in: then one of both is wrong, and the caller says so.
 * NAN where mg_l is.
 */
int dilute_taken(const struct dilute_tank *tank, const double mg_l[ELEMENT_NUTRIENTS], double taken_mg[ELEMENT_NUTRIENTS],
                 double taken_mg_l[ELEMENT_NUTRIENTS], struct fault *fault);

/* Two solutions poured together. */
int dilute_mix(double a_l, const double a_mg_l[ELEMENT_NUTRIENTS], double b_l, const double b_mg_l[ELEMENT_NUTRIENTS],
               double mg_l[ELEMENT_NUTRIENTS], struct fault *fault);

/* Litres of water with water_mg_l to pour into volume_l at mg_l to bring it to aim_mg_l. Returns 0; -1 with FAULT_INPUT at
 * "/aim_mg_l" where that is not between the two (no amount of this water does it), "/volume_l", "/mg_l", "/water_mg_l".
 */
int dilute_water_for(double volume_l, double mg_l, double water_mg_l, double aim_mg_l, double *add_l, struct fault *fault);

#endif
