/* targets.h - published nutrient solutions, as targets to aim at.
 *
 * Pure, no allocation; the table is constant. Most figures reached us at second hand: how far each can be
 * trusted ends its source, and belongs beside it wherever it is shown.
 */
#ifndef TIDEMARK_TARGETS_H
#define TIDEMARK_TARGETS_H

#include <stddef.h>

#include "calc/ions.h"

/* What it is meant for; most sources tell none. */
enum target_stage { STAGE_ANY = -1, STAGE_SEEDLING, STAGE_GROWING, STAGE_FINISHING };

struct published_target {
    char id[24];                    /* "universal": the word in JSON */
    char name[64];                  /* for people */
    const char *source;             /* publication (year): "read", "secondary" or "from memory" */
    int stage;                      /* enum target_stage */
    double n_nh4_mg_l;              /* of the nitrogen, that as ammonium; NAN: the source does not tell the forms, or has none */
    double mg_l[ELEMENT_NUTRIENTS]; /* NAN: the source does not name it */
};

extern const struct published_target published_targets[];
extern const size_t published_targets_count; /* 9 */

/* The target of this id, or NULL. */
const struct published_target *published_targets_find(const char *id);

#endif
