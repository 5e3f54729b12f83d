/* waters.h - source waters: dated analyses, as the file keeps them. */
#ifndef TIDEMARK_STORE_WATERS_H
#define TIDEMARK_STORE_WATERS_H

#include "store/arena.h"
#include "store/store.h"

enum water_method { WATER_LABORATORY, WATER_SUPPLIER, WATER_STRIPS, WATER_METER };

/* What an analysis may name, in the order of water_row.value. mg/L of the ion as water reports print it. */
enum water_value {
    WATER_PH, WATER_ALKALINITY, WATER_HARDNESS, WATER_EC,
    WATER_CA, WATER_MG, WATER_NA, WATER_K, WATER_NH4,
    WATER_CL, WATER_SO4, WATER_NO3, WATER_PO4, WATER_SI, WATER_B
};
#define WATER_VALUES (WATER_B + 1)

struct water_row {
    int64_t key;
    const char *id, *name;
    int32_t analysed_day; /* INT32_MIN: not told */
    int method;           /* -1: not told */
    double value[WATER_VALUES]; /* NAN: not analysed */
};

/* Adds one. FAULT_CONFLICT when the id is there already. */
int water_rows_add(struct db *db, struct water_row *water, struct fault *fault);
int water_rows_change(struct db *db, const struct water_row *water, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int water_rows_one(struct db *db, const char *id, struct water_row *water, struct arena *arena, struct fault *fault);

/* All, in the order in which they were made: struct water_row. */
int water_rows_list(struct db *db, struct list *waters, struct arena *arena, struct fault *fault);

extern const struct query waters_queries[];
extern const size_t waters_queries_count;

#endif
