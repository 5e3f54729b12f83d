/* areas.h - the rules of areas: two deep at most, none removed with something in it. */
#ifndef TIDEMARK_GARDEN_AREAS_H
#define TIDEMARK_GARDEN_AREAS_H

#include "garden/garden.h"
#include "store/areas.h"

/* All areas, those in others last: struct area_row. */
int garden_areas(struct garden *garden, struct list *areas, struct arena *arena, struct fault *fault);

/* Adds one with id (or NULL), name, within (uid or NULL), walk_order. Sent twice it is kept once. */
int garden_area_add(struct garden *garden, struct area_row *area, bool *stored_before, struct arena *arena, struct fault *fault);

/* Puts name, within and walk_order in the place of what the area of this id has. FAULT_ABSENT where there is none. */
int garden_area_change(struct garden *garden, struct area_row *area, struct arena *arena, struct fault *fault);

/* FAULT_ABSENT, or FAULT_CONFLICT while tanks or areas are in it. */
int garden_area_remove(struct garden *garden, const char *id, struct arena *arena, struct fault *fault);

#endif
