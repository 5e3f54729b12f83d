/* shelf.h - the salts at hand: what is built in, what the garden noted about it, and its own bags. */
#ifndef TIDEMARK_SHELF_H
#define TIDEMARK_SHELF_H

#include "calc/label.h"
#include "calc/salts.h"
#include "garden/garden.h"
#include "store/salts.h"

/* What wants care in the store room and at the scale; a salt may have several. */
enum shelf_hazard {
    HAZARD_OXIDISER,  /* feeds a fire: dry, sealed, away from anything that burns */
    HAZARD_ACID,      /* add acid to water, never water to acid; gloves and goggles */
    HAZARD_ACID_MILD, /* citric acid: an acid still, the mildest */
    HAZARD_ALKALI,    /* burns skin and eyes; gloves and goggles */
    HAZARD_NITRATE    /* harms infants in drinking water: label it, keep it out of the kitchen */
};
#define SHELF_HAZARDS (HAZARD_NITRATE + 1)
extern const char *const shelf_hazard_key[SHELF_HAZARDS + 1]; /* "oxidiser", ...; ended by NULL */

struct shelf_salt {
    const char *id, *name;
    const struct salt *builtin; /* NULL: one of the garden's own bags */
    struct label label;         /* own bags; cleared for built-in ones */
    struct salt salt;           /* for the calculations, id as above where it fits */
    double price_per_kg;        /* NAN: not told */
    double stock_g;             /* now: what was noted less what was weighed since; NAN: not told; never below 0 */
    double weighed_g;           /* by fills and top-ups since the stock was noted; NAN: no stock noted */
    bool stock_doubtful;        /* more was weighed than there was */
    int32_t opened_day;         /* INT32_MIN: not told */
    const char *caution;        /* what the garden noted; else one sentence of ours; NULL: none */
    bool own_caution;           /* the garden noted it */
    unsigned hazards;           /* 1 << enum shelf_hazard */
};

/* What a garden tells of a salt. */
struct salt_told {
    const char *id;      /* slug, or UUID of a bag */
    const char *name;    /* own bags */
    struct label label;  /* own bags */
    bool label_told, price_told, stock_told, opened_told, caution_told; /* for a change: what it names */
    double price_per_kg, stock_g;
    int32_t opened_day;
    const char *caution;
};

/* Built-in salts first, then own bags in the order in which they were made: struct shelf_salt. */
int shelf_salts(struct garden *garden, struct list *salts, struct arena *arena, struct fault *fault);
int shelf_salts_in(struct db *db, struct list *salts, struct arena *arena, struct fault *fault);

/* The one of this id among all, or NULL. */
const struct shelf_salt *shelf_salt_find(const struct list *all, const char *id);

/* By id: 1 found, 0 not there, -1 fault. */
int shelf_salt_one(struct db *db, const char *id, struct shelf_salt *salt, struct arena *arena, struct fault *fault);

/* Adds a bag: name and a label that adds up. Sent twice it is kept once. now_ms dates its stock. */
int shelf_salt_add(struct garden *garden, struct salt_told *told, int64_t now_ms, struct shelf_salt *made, bool *stored_before,
                   struct arena *arena, struct fault *fault);

/* Changes what is told and leaves the rest. FAULT_ABSENT; FAULT_INPUT for the name or label of a built-in salt. */
int shelf_salt_change(struct garden *garden, const struct salt_told *told, int64_t now_ms, struct shelf_salt *changed,
                      struct arena *arena, struct fault *fault);

/* What a make-up asks for, by the elements and ions it has. */
unsigned shelf_hazards(const struct salt *salt);

#endif
