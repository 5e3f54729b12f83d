/* targets.h - the garden's own targets, as the file keeps them. */
#ifndef TIDEMARK_STORE_TARGETS_H
#define TIDEMARK_STORE_TARGETS_H

#include "store/arena.h"
#include "store/store.h"

struct target_part {
    const char *part; /* "n", "n_nh4_max", "p", ...: the keys of a target document */
    double mg_l;
};

struct target_row {
    int64_t key;
    const char *id, *name, *source; /* source NULL: not told */
    int64_t stage;                  /* enum target_stage; STORE_NO_INT: any */
    struct list parts;              /* struct target_part */
};

/* Adds one. FAULT_CONFLICT when the id is there already. */
int target_rows_add(struct db *db, struct target_row *target, struct fault *fault);
int target_rows_change(struct db *db, const struct target_row *target, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int target_rows_one(struct db *db, const char *id, struct target_row *target, struct arena *arena, struct fault *fault);

/* All, in the order in which they were made: struct target_row. */
int target_rows_list(struct db *db, struct list *targets, struct arena *arena, struct fault *fault);

extern const struct query targets_queries[];
extern const size_t targets_queries_count;

#endif
