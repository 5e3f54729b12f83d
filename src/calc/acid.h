/* acid.h - how much acid or base brings a solution to a wished pH, now and after it has stood open to the air.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread.
 *
 * POST /api/v1/calc/acid: water, added, temperature -> .given (as for calc/solution, closed); ph -> .ph;
 * acid -> .reagent; strength_percent, volume_l -> the same. Answer: ml (null where a powder is weighed: .ml is 0, .grams
 * counts), mmol_l, adds_mg_l from .adds_mg_l[], cautions[]; beside them grams, open_mmol_l, open_ml,
 * ph_before, ph_after_standing_open, closed_form_mmol_l, closed_form_why, alkalinity_left_mmol_l.
 */
#ifndef TIDEMARK_ACID_H
#define TIDEMARK_ACID_H

#include "calc/solution.h"

struct acid_request {
    struct solution_input given; /* water with what is in it already; .gas is not looked at */
    double ph;                   /* wished, 3 to 10 */
    enum reagent reagent;
    double strength_percent; /* by mass, as on the label; 100 for a pure powder */
    double volume_l;         /* of solution to dose, above 0 */
};

#define ACID_CAUTIONS 8

struct acid_dose {
    bool needed;     /* false: the pH is already beyond the wished one; all doses are 0 */
    double ph_before;
    double mmol_l;   /* of the molecule, per litre of solution: the dose for the meter's pH right now */
    double grams, ml; /* of the product for volume_l; ml is 0 where it is a powder */
    double density_kg_l; /* of the product; 0 for a powder */
    double alkalinity_before_mmol_l, alkalinity_left_mmol_l;
    double fraction_neutralised; /* of the alkalinity */

    /* Open tanks lose the carbon dioxide that the acid set free, and the pH climbs back. */
    double ph_after_standing_open; /* with the dose mmol_l */
    double open_mmol_l, open_grams, open_ml; /* the dose that ends at the wished pH after standing; NAN where none does */

    /* What the leaflets of extension services would say: stoichiometry on the alkalinity of .given, a fixed share of it left.
     * Source: University of Massachusetts Extension, Adjusting alkalinity with acids; NC State HIL 558 (secondary, from memory).
     */
    double closed_form_mmol_l, closed_form_ml; /* NAN for citric acid and bases, which they do not cover */
    char closed_form_why[240]; /* why it differs, one sentence; "" where NAN */

    double adds_mg_l[ELEMENT_COUNT]; /* N, P, S or K that the dose brings: to be taken off the recipe */
    struct solution after;           /* right after the dose, closed */
    size_t cautions;
    const char *caution[ACID_CAUTIONS]; /* sentences for a person, static */
};

/* Computes the dose.
 *
 * Returns 0, also when nothing is needed; -1 with FAULT_INPUT: "/ph" (not 3 to 10, or this reagent cannot reach it),
 * "/strength_percent" (not 0.1 to 100, or more than such a solution can hold), "/volume_l" (not above 0 and up to 1e6), or what
 * solution_solve says.
 */
int acid_dose(const struct acid_request *request, struct acid_dose *dose, struct fault *fault);

/* kg/L at 20 C of a solution of this strength (mass percent), 0 where the product is a powder: citric acid above 60 %,
 * potassium hydroxide above 55 %, potassium bicarbonate above 25 %. Source: handbook densities, from memory, within 0.5 %.
 */
double acid_density_kg_l(enum reagent reagent, double strength_percent);

/* g/mol of the molecule. */
double acid_molar_mass_g_mol(enum reagent reagent);

/* mmol/L by the closed form: the alkalinity left is 1 / (1 + 10^(6.35 - ph)) of it, protons counted nitric 1, sulfuric 2,
 * phosphoric 1 + 1 / (1 + 10^(7.20 - ph)). NAN for the other reagents.
 */
double acid_closed_form_mmol_l(enum reagent reagent, double alkalinity_mmol_l, double ph);

#endif
