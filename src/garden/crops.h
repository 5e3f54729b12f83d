/* crops.h - the crops a garden grows: built in, changed by the garden, or its own. */
#ifndef TIDEMARK_GARDEN_CROPS_H
#define TIDEMARK_GARDEN_CROPS_H

#include "calc/crops.h"
#include "garden/garden.h"

/* The ranges of a crop document. */
#define CROP_RANGES 10

/* The source of a figure that the garden told without one. */
#define CROP_OWN_SOURCE "the garden's own"

extern const struct crop_quantity {
    const char *key;    /* "days" */
    size_t offset;      /* of its struct crop_range in struct crop */
    double least, most; /* catch slips of the finger; ours, and no advice */
} crop_quantities[CROP_RANGES];

struct garden_crop {
    int64_t key;           /* 0: nothing of it in the file */
    const char *id, *name; /* a slug, or the UUID of an own crop */
    const char *resembles; /* own crops: the built-in one whose figures stand where it has none; else NULL */
    bool builtin;
    bool own[CROP_RANGES]; /* told by the garden */
    bool own_name, own_fitness;
    struct crop crop;      /* every figure, its own or not; its id and name are cut to fit. For the calculations. */
};

/* What a garden tells: low and high NAN where it tells nothing. */
struct crop_told {
    const char *id, *name, *fitness, *resembles; /* NULL: not told */
    struct crop_range range[CROP_RANGES];        /* source NULL: the garden's own */
};

/* A crop of which nothing is told. */
struct crop_told crop_told_nothing(void);

/* Built-in ones first, then the garden's own in the order in which they were made: struct garden_crop. */
int garden_crops(struct garden *garden, struct list *crops, struct arena *arena, struct fault *fault);
int garden_crops_in(struct db *db, struct list *crops, struct arena *arena, struct fault *fault);

/* By id: 1 found, 0 not there, -1 fault. */
int garden_crop_one(struct db *db, const char *id, struct garden_crop *crop, struct arena *arena, struct fault *fault);

/* The crop of this id in such a list, or NULL. */
const struct garden_crop *garden_crop_find(const struct list *crops, const char *id);

/* Adds one of the garden's own: name and resembles must be told. Sent twice it is kept once. */
int garden_crop_add(struct garden *garden, struct crop_told *told, struct garden_crop *made, bool *stored_before, struct arena *arena,
                    struct fault *fault);

/* Changes what is told, and leaves the rest; `back` names ranges that go back to what is built in or resembled.
 * A built-in crop keeps its id. FAULT_ABSENT where there is no such crop. */
int garden_crop_change(struct garden *garden, const struct crop_told *told, const bool back[CROP_RANGES], struct garden_crop *changed,
                       struct arena *arena, struct fault *fault);

#endif
