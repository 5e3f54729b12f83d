/* concentrate.h - a recipe as two or more stock solutions, strong, and yet clear.
 *
 * The split is found by calculation: of all ways to share the salts among the stocks, the one with the highest common
 * factor at which every mineral stays 0.3 in saturation index below saturation (the margin that different databases of
 * constants ask for in strong solutions) and every salt within its solubility, a tenth in hand.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread. struct concentrate is some 4 kB, and the search takes 30 kB of
 * stack; with eight salts it takes about 10 ms, with twelve up to 200 ms.
 *
 * POST /api/v1/calc/concentrate: the request of calc/recipe; from its answer salt[].grams / volume_l goes to .g_l.
 * Answer: factor, stocks[] {name, salts[{salt, g_l}], ph, ec_ms_cm, limited_by, saturation, dose_ml_l, haze_g_l, label[]}, all_in_one_factor, why, cautions[].
 */
#ifndef TIDEMARK_CONCENTRATE_H
#define TIDEMARK_CONCENTRATE_H

#include "calc/solution.h"

#define CONCENTRATE_SALTS 16
#define CONCENTRATE_STOCKS 4
#define CONCENTRATE_MARGIN 0.3    /* SI; fixtures/chemistry/README.md */
#define CONCENTRATE_FACTOR_MOST 300.0
#define CONCENTRATE_CAUTIONS 8

struct concentrate_request {
    struct {
        const struct salt *salt;
        double g_l; /* in the finished, working solution */
    } salt[CONCENTRATE_SALTS];
    size_t count;
    struct solution_input water; /* a litre of the water that the stocks are made with; its temperature: the coldest they will stand at */
    size_t stocks;               /* 2 to 4; 0: two, or three where that lifts the factor by half */
    double factor_most;          /* stop here; 0: CONCENTRATE_FACTOR_MOST */
};

enum concentrate_limit {
    CONCENTRATE_BY_NOTHING,   /* factor_most was reached */
    CONCENTRATE_BY_MINERAL,
    CONCENTRATE_BY_SOLUBILITY,
    CONCENTRATE_BY_MODEL      /* stronger cannot be computed */
};

struct concentrate_stock {
    char name[4]; /* "A", "B", ... ; A holds most of the calcium */
    size_t count;
    struct {
        size_t index; /* in request.salt[] */
        double g_l;   /* of stock */
    } salt[CONCENTRATE_SALTS];
    double factor_alone; /* how far this stock could go by itself */
    enum concentrate_limit limit; /* what stops it there */
    enum solution_mineral mineral;     /* CONCENTRATE_BY_MINERAL */
    size_t limiting_salt;              /* CONCENTRATE_BY_SOLUBILITY: index in request.salt[] */
    double saturation;                 /* highest index of a mineral at the common factor; SATURATION_ABSENT */
    double ph, ec_ms_cm, kg_l_of_salts; /* at the common factor; kg of salts in a litre */
    double haze_g_l;                    /* what the water's own lime and calcium make settle, see .water_clouds */
    char label[6][96]; /* text to stick on the bottle, line by line; "" ends it */
};

struct concentrate {
    double factor;    /* common, rounded down to one whose dose is easily measured: 2, 2.5, 4, 5, 8, 10, 12.5, ... 200, 250 */
    double factor_exact;
    double dose_ml_l; /* of each stock, per litre of finished solution */
    size_t stocks;
    struct concentrate_stock stock[CONCENTRATE_STOCKS];
    bool water_clouds; /* with this water no stock stays clear: its carbonate and calcium were left out of the judgement, .haze_g_l
                        * says what settles, and a caution says so */
    double all_in_one_factor; /* how far one bottle with everything could go: why there are two */
    char why[320];
    size_t cautions;
    const char *caution[CONCENTRATE_CAUTIONS];
};

/* Finds split and factor. Returns 0; -1 with FAULT_INPUT: "/salts" (none, more than CONCENTRATE_SALTS, more than twelve with
 * ions, amounts out of range), "/stocks",
 * "" where not even a factor of 2 is possible, in demineralised water either (a salt that hardly dissolves).
 */
int concentrate_split(const struct concentrate_request *request, struct concentrate *concentrate, struct fault *fault);

/* The lowest factor from 1 to most at which a mineral's saturation index reaches `index` in water with salts at factor x g_l:
 * *factor is 1 where it is there already (*already true), INFINITY where it is not reached, NAN where an ingredient is missing.
 * Beyond what can be computed counts as not reached.
 */
int concentrate_reaches(const struct concentrate_request *request, enum solution_mineral mineral, double index, double *factor, bool *already,
                        struct fault *fault);

#endif
