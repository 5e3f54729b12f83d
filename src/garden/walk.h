/* walk.h - the order in which one walks past the tanks: area by area, in each by the places that people gave. */
#ifndef TIDEMARK_WALK_H
#define TIDEMARK_WALK_H

#include "garden/garden.h"
#include "store/areas.h"

/* What stands or lies directly in one place, in walking order: tanks in use and areas. */
struct walk {
    const char *area; /* NULL: what lies in no area */
    const char *name;
    struct list tanks; /* struct tank_row */
    struct list areas; /* struct area_row */
};

/* The place of an area by its id; "top": of what lies in none. FAULT_ABSENT. */
int garden_walk(struct garden *garden, const char *area, struct walk *walk, struct arena *arena, struct fault *fault);

/* A new order: every id once (const char *), and the order that the sender saw. A list that is not given has item NULL. */
struct walk_change {
    bool tanks_given, areas_given;
    struct list tanks, tanks_were, areas, areas_were;
};

/* Sets the order of a whole place at one stroke. FAULT_INPUT with pointers for ids that are not there, missing or doubled;
 * FAULT_CONFLICT where somebody else changed it meanwhile, unless it is the very order that is asked for: sent twice it is
 * set once. */
int garden_walk_change(struct garden *garden, const char *area, const struct walk_change *change, struct walk *walk,
                       struct arena *arena, struct fault *fault);

/* ---- across areas ---- */

/* All areas, for walk_sort and walk_within; struct area_row. */
struct walk_map {
    struct list areas;
};
int walk_map_read(struct db *db, struct walk_map *map, struct arena *arena, struct fault *fault);

/* The area of this key, or NULL. */
const struct area_row *walk_area(const struct walk_map *map, int64_t key);

/* Whether what stands in area_key stands in the area within, or in one that lies in it. */
bool walk_within(const struct walk_map *map, int64_t area_key, int64_t within);

/* Where a tank comes on a round: compare by walk_compare. */
struct walk_place {
    double outer, inner, own;
    int64_t outer_key, inner_key, key;
};
struct walk_place walk_place_of(const struct walk_map *map, int64_t area_key, double walk_order, int64_t key);
int walk_compare(const struct walk_place *a, const struct walk_place *b);

#endif
