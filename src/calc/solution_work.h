/* solution_work.h - what the three parts of the solver share: private, not installed.
 *
 *   solution_newton.c   constants at a temperature; Newton on the balances for given activity coefficients
 *   solution.c          the search for the ionic strength around it, and what callers see
 *   solution_tell.c     from molalities to conductivity, saturation and the other answers
 */
#ifndef TIDEMARK_SOLUTION_WORK_H
#define TIDEMARK_SOLUTION_WORK_H

#include "calc/solution_data.h"

#define LN10 2.302585092994046
#define PROTON ION_TOTALS /* its index beside the totals */
#define UNKNOWNS (ION_TOTALS + 1)

enum wanted {
    WANTED_PH,         /* alkalinity and totals known */
    WANTED_ALKALINITY, /* pH and totals known */
    WANTED_CARBONATE   /* pH and alkalinity known */
};

struct term {
    int species;
    int count;         /* unknowns in it */
    int unknown[3];    /* index in x[] */
    double times[3];
};

struct work {
    enum wanted wanted;
    bool open;       /* CO2 held by the air, total carbonate an answer */
    bool water_held; /* the water of the litre is settled */
    double t_c, t_k;
    struct water_properties water;
    double ln_k[SPECIES_COUNT], ln_gamma[SPECIES_COUNT];
    double m[SPECIES_COUNT]; /* mol/kg */
    double fixed[SPECIES_COUNT]; /* k_j of the comment above: all that is no unknown */
    double x[UNKNOWNS], b[UNKNOWNS];
    bool known[UNKNOWNS]; /* x held: pH imposed, CO2 held by the air; or no such total */
    bool present[UNKNOWNS];
    int row[UNKNOWNS]; /* unknown -> row of the matrix, -1 where known */
    int rows;
    struct term term[SPECIES_COUNT];
    int terms;
    double ln_water;
    double ionic_strength;
    int rounds;
};

/* The litre behind the kilogram: what is followed up between two ionic strengths. */
struct litre {
    double c[ION_TOTALS]; /* mol/L */
    double alkalinity;    /* mol/L */
    double kgw;           /* kg of water */
};

/* In solution_newton.c. */
void solution_constants_at(struct work *w, double t_c);
void solution_list_terms(struct work *w);             /* which species there are, and which unknowns are in each */
void solution_first_guess(struct work *w, double ph); /* ph where it is known */
double solution_full_ionic_strength(const struct work *w);
void solution_coefficients_at(struct work *w, double ionic_strength);
double solution_newton(struct work *w, double within); /* to that share of every balance; returns the worst that is left */

/* In solution_tell.c. */
double solution_conductivity(const struct work *w);
void solution_tell(const struct work *w, const struct litre *litre, const struct solution_input *given, struct solution *solved);

#endif
