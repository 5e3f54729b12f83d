/* waters.h - source waters: what is known of them, and what is not. */
#ifndef TIDEMARK_GARDEN_WATERS_H
#define TIDEMARK_GARDEN_WATERS_H

#include "calc/water.h"
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

/* Keys of what a recipe wants to know and this analysis does not tell: const char *. They are reckoned (water_reckon),
 * and must be shown as not known. Empty where all main ions, pH and alkalinity are there. */
int water_unknown(const struct water_row *water, struct list *keys, struct arena *arena, struct fault *fault);

/* What a water is reckoned by, the most first. */
enum water_reckoned {
    RECKONED_ANALYSIS, /* calcium, magnesium and alkalinity: what else was not analysed counts as 0 */
    RECKONED_HARDNESS, /* hardness, alkalinity and EC */
    RECKONED_STRIPS,   /* hardness or alkalinity */
    RECKONED_METER,    /* EC alone */
    RECKONED_NOTHING   /* taken for demineralised */
};

/* The water as the chemistry takes it, by calc/water.h where the main ions were not analysed; what was measured stands as
 * measured. The less is known, the further low and high lie apart; both as water for RECKONED_NOTHING.
 */
enum water_reckoned water_reckon(const struct water_row *row, struct source_water *water, struct source_water *low, struct source_water *high);

/* The same without its range. */
struct source_water water_source(const struct water_row *water);

#endif
