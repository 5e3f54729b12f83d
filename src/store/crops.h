/* crops.h - the garden's own crops, and what it changed about built-in ones, as the file keeps them. */
#ifndef TIDEMARK_STORE_CROPS_H
#define TIDEMARK_STORE_CROPS_H

#include "store/arena.h"
#include "store/store.h"

struct crop_row_range {
    const char *quantity; /* "days", "yield_g", ...: the keys of a crop document */
    double low, high;
    const char *source;   /* NULL: the garden's own */
};

struct crop_row {
    int64_t key;
    const char *id, *name, *fitness; /* name NULL: as built in; fitness NULL: nothing said */
    const char *resembles;           /* slug of a built-in crop; NULL for a note about a built-in one */
    struct list ranges;              /* struct crop_row_range: only those that the garden tells */
};

/* Adds one. FAULT_CONFLICT when the id is there already. */
int crop_rows_add(struct db *db, struct crop_row *crop, struct fault *fault);

/* Every tank counts as changed after either: the crop's figures are in their outlooks. */
int crop_rows_change(struct db *db, const struct crop_row *crop, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int crop_rows_one(struct db *db, const char *id, struct crop_row *crop, struct arena *arena, struct fault *fault);

/* All, in the order in which they were made: struct crop_row. */
int crop_rows_list(struct db *db, struct list *crops, struct arena *arena, struct fault *fault);

extern const struct query crops_queries[];
extern const size_t crops_queries_count;

#endif
