/* fills.h - what each fill cost and what came of it, and what the coming ones need.
 *
 * Money is the salts' alone, at the prices noted now: water, acid, seed and work are left out, and every answer says which
 * salts had no price.
 */
#ifndef TIDEMARK_FILLS_H
#define TIDEMARK_FILLS_H

#include "garden/garden.h"
#include "garden/standing.h"
#include "store/entries.h"

/* A fill with its top-ups and harvests, until the tank was filled anew or cleaned out. NAN: not known. */
struct fill_record {
    struct entry entry;           /* the fill as it stands */
    const char *tank, *tank_code, *tank_name;
    int64_t until_ms;             /* STORE_NO_INT: it is in the tank now */
    double filled_l, topped_up_l;
    double cost;                  /* of all salts weighed; NAN where one has no price, or none was weighed */
    struct list unpriced;         /* const char *: names of salts without a price */
    double n_g;                   /* nitrogen weighed in; NAN where a salt is not known any more, or none was weighed */
    int64_t harvests, plants;     /* plants taken whole or cut, each time counted */
    double weight_g;              /* NAN: nothing weighed */
    double cost_per_plant, cost_per_kg, g_per_g_n;
};

/* Fills of [from_ms, to_ms), newest first: struct fill_record; *all: these are all of them, not only the newest. */
struct fills_ask {
    int64_t from_ms, to_ms;
    int64_t newest; /* about so many of the newest will do; 0: all */
};
int garden_fills(struct garden *garden, const struct fills_ask *ask, struct list *fills, bool *all, struct arena *arena, struct fault *fault);

/* What the coming fills and top-ups are likely to take from the shelf. Three numbers each, since nobody knows: low counts the
 * fills that are nearly sure (nine in ten), likely those as likely as not, high those that may be (one in ten) and every litre
 * to top up at full strength. A tank is filled as it was filled last; ours. */
#define NEEDS_DAYS_MOST 90
struct need {
    const char *salt, *name;
    double stock_g;               /* NAN: not noted */
    double low_g, likely_g, high_g;
    double buy_g;                 /* what is missing for high_g; NAN: stock not noted */
    double cost;                  /* of buy_g; NAN: no price, or stock not noted */
    int32_t buy_by;               /* the first day by which more than the stock may be needed; INT32_MIN: none, or stock not noted */
    double high_by_day_g[NEEDS_DAYS_MOST + 1]; /* until that many days from now */
};
struct needs {
    int32_t first, last;          /* days looked at */
    int64_t tanks;                /* in use, with a fill to go by */
    int64_t unlike;               /* in use, never filled with weighed salts: not in the sums */
    double fills_low, fills_likely, fills_high;
    struct standing_behind behind; /* counted as they stood before */
    struct list items;            /* struct need, by name */
};
/* days: 1 to NEEDS_DAYS_MOST. */
int garden_needs(struct garden *garden, int64_t now_ms, int days, struct needs *needs, struct arena *arena, struct fault *fault);

#endif
