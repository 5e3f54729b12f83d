/* waters.h - source waters: what is known of them, and what is not. */
#ifndef TIDEMARK_GARDEN_WATERS_H
#define TIDEMARK_GARDEN_WATERS_H

#include "calc/solution.h"
#include "garden/garden.h"
#include "store/waters.h"

/* The key of each value in a document, by enum water_value: "ph", "alkalinity_mg_caco3_l", ... */
extern const char *const water_value_key[WATER_VALUES];

/* All analyses, in the order in which they were noted: struct water_row. */
int garden_waters(struct garden *garden, struct list *waters, struct arena *arena, struct fault *fault);

/* Adds one with id (or NULL). Sent twice it is kept once. */
int garden_water_add(struct garden *garden, struct water_row *water, bool *stored_before, struct arena *arena, struct fault *fault);

/* Puts all of it in the place of what the water of this id has. FAULT_ABSENT where there is none. */
int garden_water_change(struct garden *garden, struct water_row *water, struct arena *arena, struct fault *fault);

/* Keys of what a recipe wants to know and this analysis does not tell: const char *. Such values count as 0 in a recipe,
 * and must be shown as not known. Empty where all main ions, pH and alkalinity are there. */
int water_unknown(const struct water_row *water, struct list *keys, struct arena *arena, struct fault *fault);

/* The analysis as the chemistry takes it; what was not analysed is 0, a pH that was not is 7. */
struct source_water water_source(const struct water_row *water);

#endif
