/* salts.h - the garden's own bags, and what it noted about built-in salts, as the file keeps them. */
#ifndef TIDEMARK_STORE_SALTS_H
#define TIDEMARK_STORE_SALTS_H

#include "store/arena.h"
#include "store/store.h"

struct salt_part {
    const char *part; /* "n_no3", "p2o5", ...: the keys of a label */
    double percent;
};

struct salt_row {
    int64_t key;
    const char *id, *name;
    double price_per_kg; /* NAN: not told */
    double stock_g;      /* NAN: not told; what there was at stock_ms */
    int64_t stock_ms;    /* STORE_NO_INT: never told */
    int32_t opened_day;  /* INT32_MIN: not told */
    const char *caution; /* NULL: nothing noted */
    struct list parts;   /* struct salt_part; none for a note about a built-in salt */
};

/* Adds one. FAULT_CONFLICT when the id is there already. */
int salt_rows_add(struct db *db, struct salt_row *salt, struct fault *fault);
int salt_rows_change(struct db *db, const struct salt_row *salt, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int salt_rows_one(struct db *db, const char *id, struct salt_row *salt, struct arena *arena, struct fault *fault);

/* All, in the order in which they were made: struct salt_row. */
int salt_rows_list(struct db *db, struct list *salts, struct arena *arena, struct fault *fault);

/* Grams of the salt weighed in by fills and top-ups later than since_ms (STORE_NO_INT: ever), as the log stands now:
 * what was withdrawn or amended away does not count. */
int salt_rows_weighed(struct db *db, const char *id, int64_t since_ms, double *grams, struct fault *fault);

extern const struct query salts_queries[];
extern const size_t salts_queries_count;

#endif
