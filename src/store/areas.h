/* areas.h - named places of the garden, as the file keeps them. */
#ifndef TIDEMARK_STORE_AREAS_H
#define TIDEMARK_STORE_AREAS_H

#include "store/arena.h"
#include "store/store.h"

struct area_row {
    int64_t key;
    const char *id, *name;
    int64_t within_key; /* STORE_NO_INT: stands by itself */
    const char *within; /* uid of the area it lies in; NULL: none */
    double walk_order;
    int64_t tanks, areas; /* how many stand or lie directly in it; read only */
};

/* Adds one with id, name, within_key, walk_order. FAULT_CONFLICT when the id is there already. */
int area_rows_add(struct db *db, struct area_row *area, struct fault *fault);
int area_rows_change(struct db *db, const struct area_row *area, struct fault *fault);

/* FAULT_CONFLICT when anything is still in it. */
int area_rows_remove(struct db *db, int64_t key, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int area_rows_one(struct db *db, const char *id, struct area_row *area, struct arena *arena, struct fault *fault);

/* All, in the order in which they were made: struct area_row. */
int area_rows_list(struct db *db, struct list *areas, struct arena *arena, struct fault *fault);

extern const struct query areas_queries[];
extern const size_t areas_queries_count;

#endif
