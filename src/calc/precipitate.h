/* precipitate.h - what falls out of a solution, how much of it, and what it takes along.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread.
 */
#ifndef TIDEMARK_PRECIPITATE_H
#define TIDEMARK_PRECIPITATE_H

#include "calc/solution.h"

/* What a saturation index means for a person at the tank. */
enum precipitate_verdict {
    PRECIPITATE_NONE,      /* stays clear */
    PRECIPITATE_MAY_CLOUD, /* "may slowly cloud" */
    PRECIPITATE_FALLS_OUT  /* "will fall out" */
};

/* "clear", "may slowly cloud", "will fall out" */
extern const char *const precipitate_verdict_text[3];

/* The verdict on one mineral at this saturation index.
 *
 * Thresholds (may cloud, falls out): gypsum 0, 0.1; calcite 0.5, 1.0 (tap waters stand at 0.4 for weeks); struvite 0.1, 0.5;
 * brushite 0.45, 0.75: measured working solutions reach 0.45 with computed pH (fixtures/chemistry/measured-nutrient-samples.csv) and stay
 * clear. All ours but the last. Hydroxyapatite and the minerals after struvite never alarm.
 */
enum precipitate_verdict precipitate_judge(enum solution_mineral mineral, double saturation);

/* The index above which precipitate_judge leaves PRECIPITATE_NONE; a large number for those that never do. */
double precipitate_threshold(enum solution_mineral mineral);

/* The worst verdict over all minerals, and which one gave it. */
enum precipitate_verdict precipitate_worst(const struct solution *solved, enum solution_mineral *mineral);

#define PRECIPITATE_MINERALS 4 /* those that are let fall out */

struct precipitate_item {
    enum solution_mineral mineral; /* gypsum, brushite, calcite, struvite, in this order */
    double saturation;             /* before anything fell out; SATURATION_ABSENT */
    enum precipitate_verdict verdict;
    double mmol_l, g_l; /* of the mineral, at equilibrium with all of the four: the most that can fall out in time */
};

struct precipitate {
    struct precipitate_item item[PRECIPITATE_MINERALS];
    double g_l;                         /* all together */
    double lost_mg_l[ELEMENT_COUNT];    /* Ca, Mg, N, P, S */
    double lost_percent[ELEMENT_COUNT]; /* of what the solution held */
    struct solution before, after;
};

/* Solves `given`, lets gypsum, brushite, calcite and struvite come to equilibrium, and solves what is left. (Hydroxyapatite
 * and the slow phosphates would take more, but not within a crop's time.)
 *
 * Returns 0; -1 as solution_solve.
 */
int precipitate_equilibrium(const struct solution_input *given, struct precipitate *precipitate, struct fault *fault);

/* "1.2 g of gypsum will fall out and take 14 % of the calcium and 20 % of the sulfur along." for this volume; the items that
 * are PRECIPITATE_NONE are left out; "" where all are. Returns text.
 */
const char *precipitate_sentence(const struct precipitate *precipitate, double volume_l, char *text, size_t size);

#endif
