/* topup.h - what to add to a tank: how much, how strong, or nothing at all.
 *
 * Pure, no allocation. It decides volume and strength; the grams for that small volume come from the recipe
 * (recipe.h) asked for .target_mg_l of the answer in .add_l, weighed and dissolved in a jug as any recipe.
 *
 * How the fields of POST /api/v1/calc/topup map:
 *   vessel, waterline_mm, ec_ms_cm, ceiling_mm, days_left, use_l   by name, NAN when absent
 *   target_mg_l   .target_mg_l[] by element_key[]
 *   water         .water_mg_l[]: the source water's own elements, mg/L of the element (N of its nitrate, S of its sulfate)
 *                 .water_ec_ms_cm: by solution.h, NAN when not known
 *   ph, salts     for the recipe and the acid, not needed here
 * and of the answer:
 *   add_l, to_mm  by name
 *   grams, acid   the recipe for .target_mg_l in .add_l; none when .strength is TOPUP_NOTHING or TOPUP_PLAIN
 *   ec_after_ms_cm  topup_ec_after() with the EC that solution.h finds for the recipe; or .ec_after_ms_cm, the estimate
 *   why           topup_why_key[] of each .why[0 .. why_count), with its numbers; or its sentence by topup_why_text()
 *   cautions      topup_caution_key[] of each bit set in .cautions
 */
#ifndef TIDEMARK_TOPUP_H
#define TIDEMARK_TOPUP_H

#include <stdbool.h>
#include <stddef.h>

#include "calc/fault.h"
#include "calc/ions.h"

struct vessel;

/* The one published ceiling: raising the level by more than 20 mm, by rain or by adding, may injure a plant whose air
 * roots hang. A suspended pot, non-circulating hydroponic method, Acta Horticulturae 648 (2004), abstract.
 */
#define TOPUP_RISE_MM 20.0

struct topup_given {
    const struct vessel *vessel;
    double waterline_mm;
    double ceiling_mm;  /* the highest that any top-up may reach; NAN: waterline_mm + 20 mm, the published rise */
    bool roots_hang;    /* air roots hang: the rise of 20 mm holds, too. Default of topup_given_init: true */
    double ec_ms_cm;    /* as read now; NAN: not read */
    double target_ec_ms_cm; /* of the target solution; NAN: estimated from its elements */
    double days_left;   /* to harvest; NAN: not known */
    double use_l;       /* what the plants will still drink until harvest, litres in all; NAN: not known */
    double reserve_l;   /* what must be left at harvest; NAN: 0 */
    double target_mg_l[ELEMENT_NUTRIENTS]; /* NAN: no aim for this one */
    double water_mg_l[ELEMENT_NUTRIENTS];  /* 0 where not analysed */
    double water_ec_ms_cm;                 /* NAN: not known */
    /* The tank's own balance, when the log has it; NAN: judged by EC alone. */
    double put_in_mg[ELEMENT_NUTRIENTS]; /* of each element, since the fill */
    double drunk_l;                      /* water that the plants have taken since the fill */
};

/* All unknown; target and put_in NAN, water 0, roots_hang true. */
void topup_given_init(struct topup_given *given);

enum topup_strength { TOPUP_NOTHING, TOPUP_PLAIN, TOPUP_DILUTE, TOPUP_FULL };
extern const char *const topup_strength_key[]; /* "nothing", "plain", "dilute", "full" */

enum topup_why_kind {
    TOPUP_ENOUGH,        /* days: to harvest; water_days: that the water lasts; litres: above the reserve at harvest */
    TOPUP_TO_HARVEST,    /* litres: what is missing to harvest */
    TOPUP_CEILING,       /* mm: the ceiling; litres: up to it */
    TOPUP_RISE,          /* mm: the most it may rise */
    TOPUP_AGAIN,         /* days: after which the tank asks for more */
    TOPUP_STRONG,        /* ec_ms_cm now is above the target: plain water */
    TOPUP_WEAK,          /* ec_ms_cm now is below the target: full strength */
    TOPUP_BALANCED,      /* share: of full strength */
    TOPUP_SHORT_OF,      /* element: the one that runs out first; share: left of what is needed */
    TOPUP_AT_CEILING,    /* no room below the ceiling */
    TOPUP_EC_UNREAD      /* no EC was read: half strength until one is */
};
#define TOPUP_WHY_KINDS 11
extern const char *const topup_why_key[TOPUP_WHY_KINDS];
/* "enough", "to_harvest", "ceiling", "rise", "again", "strong", "weak", "balanced", "short_of", "at_ceiling", "ec_unread" */

struct topup_why {
    enum topup_why_kind kind;
    double days, water_days, litres, mm, ec_ms_cm, share; /* NAN: not of this kind, or not known */
    int element;                              /* enum element, -1: none */
};

enum topup_caution {
    TOPUP_CAUTION_JUG,      /* dissolve in a jug first, one salt after the other; never dry salt on roots */
    TOPUP_CAUTION_SLOW,     /* pour slowly beside the cups, not over the leaves */
    TOPUP_CAUTION_HOSE,     /* never leave a hose end in the tank: backflow into drinking water; local codes decide */
    TOPUP_CAUTION_WEIGHT    /* weight of the water: do not carry or stack a filled tank */
};
#define TOPUP_CAUTION_COUNT 4
extern const char *const topup_caution_key[TOPUP_CAUTION_COUNT]; /* "jug", "slow", "hose", "weight" */

#define TOPUP_WHYS 8

struct topup {
    double add_l;  /* 0: nothing */
    double to_mm;  /* the waterline after it */
    double rise_mm;
    enum topup_strength strength;
    double share;  /* of the target's strength in what is added, 0 to 1 */
    double target_mg_l[ELEMENT_NUTRIENTS]; /* the recipe for add_l; NAN: no aim */
    double left_mg_l[ELEMENT_NUTRIENTS];   /* thought to be in the tank now; NAN: not known */
    double left_low_mg_l[ELEMENT_NUTRIENTS], left_high_mg_l[ELEMENT_NUTRIENTS]; /* when the crop took more, or less, of it than most do */
    double ec_after_ms_cm; /* estimate by mixing; NAN where no EC is known */
    double again_days;     /* until the tank asks for more; NAN: not before harvest, or not known */
    struct topup_why why[TOPUP_WHYS];
    size_t why_count;
    unsigned cautions; /* bits 1u << enum topup_caution */
};

/* Returns 0, or -1 with FAULT_INPUT and pointers ("/waterline_mm"); *topup untouched then. */
int topup_make(const struct topup_given *given, struct topup *topup, struct fault *fault);

/* EC after mixing by volume; straight enough for solutions of like strength (ours, within 3 %). */
double topup_ec_after(double volume_l, double ec_ms_cm, double add_l, double add_ec_ms_cm);

/* One plain English sentence into text (at most size bytes with its NUL, cut if longer). Returns its whole length. */
size_t topup_why_text(const struct topup_why *why, char *text, size_t size);

#endif
