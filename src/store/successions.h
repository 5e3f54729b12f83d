/* successions.h - successions that people keep, as the file has them. */
#ifndef TIDEMARK_STORE_SUCCESSIONS_H
#define TIDEMARK_STORE_SUCCESSIONS_H

#include "store/arena.h"
#include "store/store.h"

struct succession_step_row {
    int32_t plant_day, harvest_day;
    int64_t plants;
};

struct succession_row {
    int64_t key;
    const char *id, *name, *crop;
    int64_t plants, every_days, seedling_days, topup_days;
    int32_t first_day, last_day;
    int64_t made_ms, member_key; /* STORE_NO_INT: the host itself */
    const char *member_name;
    bool ended;
    struct list tanks; /* const char *, uids */
    struct list steps; /* struct succession_step_row, by plant_day */
};

/* Adds one with its tanks and steps. FAULT_CONFLICT when the id is there already. */
int succession_rows_add(struct db *db, const struct succession_row *row, struct fault *fault);

/* Changes name and ended. */
int succession_rows_change(struct db *db, const struct succession_row *row, struct fault *fault);

/* One with its tanks and steps: 1 found, 0 not there, -1 fault. */
int succession_rows_one(struct db *db, const char *id, struct succession_row *row, struct arena *arena, struct fault *fault);

/* All by age, or those that are not ended, each with its tanks and steps: struct succession_row. */
int succession_rows_list(struct db *db, bool open_only, struct list *rows, struct arena *arena, struct fault *fault);

extern const struct query successions_queries[];
extern const size_t successions_queries_count;

#endif
