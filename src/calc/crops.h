/* crops.h - the crops: what growers and papers say of each, as a constant table.
 *
 * Pure, no allocation. Ranges are what is usual; the source of each stands beside it.
 */
#ifndef TIDEMARK_CROPS_H
#define TIDEMARK_CROPS_H

#include <stddef.h>

struct crop_range {
    double low, high;   /* equal for a single value */
    const char *source; /* publication and year, or "common practice, no source" */
};

struct crop {
    char id[24];   /* "lettuce-leaf": the word in JSON */
    char name[32]; /* for people */
    struct crop_range spacing_mm;
    struct crop_range days;        /* from transplanting to first harvest */
    struct crop_range yield_g;     /* fresh, per plant, at first harvest */
    struct crop_range ec_ms_cm;
    struct crop_range ph;
    struct crop_range air_c;       /* that suits it */
    struct crop_range best_c;
    struct crop_range base_c;      /* below it nothing grows: thermal time counts from the middle of this */
    struct crop_range further_cuts;
    struct crop_range solution_l;  /* per plant to first harvest */
    const char *fitness;           /* for a still tank, one phrase */
    const char *fitness_source;
};

extern const struct crop crops[];
extern const size_t crops_count; /* 17 */

/* The crop of this id, or NULL. */
const struct crop *crops_find(const char *id);

#endif
