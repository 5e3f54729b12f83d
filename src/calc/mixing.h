/* mixing.h - in which order to dissolve the salts, in how much water; why.
 *
 * Every step is a solution of its own: the jug in which a salt is pre-dissolved, the tank after it was poured in, and the
 * moment between, when the strong jug meets the tank (mixtures of both, at half, a fifth and a twentieth of jug). The margin of a step is
 * how far the worst of these stays below precipitate_threshold; the best order is the one whose smallest margin is widest.
 * Margins within 0.1 of each other are equal (no calculation can tell them apart), and so are those above 0.2; among equals the one
 * with the most margin in all steps together is taken, then the one in which the fewest salts follow the calcium, then the
 * heavier salt first.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread. With eight salts some thousand solutions are solved (about
 * 30 ms, with six 7 ms); struct mixing is some 11 kB, and the search takes 30 kB of stack.
 *
 * In POST /api/v1/calc/recipe: "steps" from .step[]: do = .text, salt, grams, saturation = .worst_saturation (null where SATURATION_ABSENT).
 */
#ifndef TIDEMARK_MIXING_H
#define TIDEMARK_MIXING_H

#include "calc/precipitate.h"

#define MIXING_SALTS 16
#define MIXING_SEARCHED 8 /* that many salts with ions are ordered by trying all orders; more go one by one, greedily */

struct mixing_salt {
    const struct salt *salt;
    double grams; /* for the whole volume */
};

struct mixing_request {
    struct mixing_salt salt[MIXING_SALTS]; /* in the order in which they stand on the shelf */
    size_t count;
    struct solution_input water; /* a litre of the water the tank is filled with, acid included (solution_add_water ...) */
    double volume_l;             /* of the tank, 0.1 to 1e6 */
    double jug_l;                /* to pre-dissolve each salt in; 0: a jug of a twentieth of the volume, 0.5 L at least */
    double jug_temperature_c;    /* NAN: as the water */
};

/* One step as it is done. */
struct mixing_step {
    size_t index; /* in request.salt[] */
    double grams;
    double least_jug_l;   /* least water in which it dissolves at the jug's temperature, with a tenth in hand; 0: not known */
    double jug_l;         /* what the step was computed with: the wish, or least_jug_l where that is more */
    double jug_ph, jug_ec_ms_cm;   /* NAN where it is too strong to be computed */
    double tank_ph, tank_ec_ms_cm; /* after it was stirred in */
    enum solution_mineral worst;   /* nearest to its threshold in jug, meeting and tank */
    double worst_saturation;       /* its index there; SATURATION_ABSENT: nothing can precipitate yet */
    enum precipitate_verdict verdict;
    char text[224]; /* "Dissolve 412.0 g of ... in at least 1.4 L of water, stir it into the tank until clear." */
};

struct mixing {
    size_t count;
    struct mixing_step step[MIXING_SALTS];
    double margin;       /* the smallest threshold minus saturation over the steps; 99 where nothing can precipitate */
    enum solution_mineral worst;
    char why[320];       /* why this order: one or two sentences */
    struct precipitate in_tank;    /* of the finished tank */
    struct precipitate in_one_jug; /* of all salts in one jug (the largest jug_l of the steps) */
    double one_jug_l;
    bool one_jug_computed; /* false: such a jug is beyond what can be computed */
    char one_jug_text[320]; /* what 'all in one jug' would cost, grams lost; "" where nothing would fall out */
};

/* The best order. Returns 0; -1 with FAULT_INPUT at "/salts", "/volume_l", "/jug_l", or as solution_solve. */
int mixing_best(const struct mixing_request *request, struct mixing *mixing, struct fault *fault);

/* The steps in a given order (indices into request->salt, request->count of them). Faults as above. */
int mixing_in_order(const struct mixing_request *request, const size_t order[], struct mixing *mixing, struct fault *fault);

/* Litres of water that grams of a salt need at t_c, the volume of the finished jug, a tenth in hand. 0 and
 * FAULT_ABSENT (-1) where no solubility is known.
 */
int mixing_least_jug_l(const struct salt *salt, double grams, double t_c, double *litres, struct fault *fault);

#endif
