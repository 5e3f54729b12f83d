/* targets.h - what a garden aims at: published targets and its own. */
#ifndef TIDEMARK_GARDEN_TARGETS_H
#define TIDEMARK_GARDEN_TARGETS_H

#include "calc/ions.h"
#include "calc/targets.h"
#include "garden/garden.h"

/* Keys of "mg_l" in a target document: the nutrients by element_key[], then "n_nh4_max". */
#define TARGET_PARTS (ELEMENT_NUTRIENTS + 1)
#define TARGET_NH4_MAX ELEMENT_NUTRIENTS
extern const char *const target_part_key[TARGET_PARTS + 1]; /* ended by NULL */

struct garden_target {
    int64_t key; /* 0 for a published one */
    const char *id, *name;
    const char *source;         /* NULL: not told */
    int stage;                  /* enum target_stage, which it is meant for; -1: any */
    double mg_l[TARGET_PARTS];  /* NAN: not aimed at */
    bool builtin;
};

/* Published ones first, then the garden's own in the order in which they were made: struct garden_target. */
int garden_targets(struct garden *garden, struct list *targets, struct arena *arena, struct fault *fault);

/* By id: 1 found, 0 not there, -1 fault. */
int garden_target_one(struct db *db, const char *id, struct garden_target *target, struct arena *arena, struct fault *fault);

/* Adds one with id (or NULL). Sent twice it is kept once. FAULT_INPUT where it aims at nothing. */
int garden_target_add(struct garden *garden, struct garden_target *target, bool *stored_before, struct arena *arena,
                      struct fault *fault);

/* Puts all of it in the place of what the target of this id has. FAULT_ABSENT; FAULT_CONFLICT for a published one. */
int garden_target_change(struct garden *garden, struct garden_target *target, struct arena *arena, struct fault *fault);

#endif
