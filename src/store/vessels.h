/* vessels.h - vessels with their lids and cups, as the file keeps them. */
#ifndef TIDEMARK_STORE_VESSELS_H
#define TIDEMARK_STORE_VESSELS_H

#include "calc/lid.h"
#include "calc/vessel.h"
#include "store/arena.h"
#include "store/store.h"

/* Lengths in mm. NAN where a vessel has no such thing. */
struct vessel_row {
    int64_t key;
    const char *id, *name;
    int shape;           /* enum vessel_shape */
    double floor_l_mm, floor_w_mm, rim_l_mm, rim_w_mm; /* round: diameters in floor_l_mm and rim_l_mm */
    double height_mm;    /* of the lid's underside above the floor; poured: of its last point where not given */
    double corner_mm;
    struct list points;  /* struct vessel_point, poured only */
    double lid_l_mm, lid_w_mm, lid_corner_mm, hole_mm, edge_mm, spacing_mm;
    int pattern;         /* enum lid_pattern; -1: none */
    struct list cups;    /* struct lid_cup; cup 1 is the first */
    double cup_height_mm, cup_top_mm, cup_bottom_mm, cup_medium_fraction;
    double start_mm, low_mm;
};

/* Adds one; its id must be set. FAULT_CONFLICT when the id is there already. */
int vessels_add(struct db *db, struct vessel_row *vessel, struct fault *fault);

/* Puts all of it in the place of what its key has now; every tank in such a vessel counts as changed. */
int vessels_change(struct db *db, const struct vessel_row *vessel, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int vessels_one(struct db *db, const char *id, struct vessel_row *vessel, struct arena *arena, struct fault *fault);
int vessels_by_key(struct db *db, int64_t key, struct vessel_row *vessel, struct arena *arena, struct fault *fault);

/* Those whose key is above after_key, at most limit: struct vessel_row. */
int vessels_list(struct db *db, int64_t after_key, int64_t limit, struct list *vessels, struct arena *arena, struct fault *fault);

extern const struct query vessels_queries[];
extern const size_t vessels_queries_count;

#endif
