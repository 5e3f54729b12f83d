/* harvests.h - which tanks were harvested. What was taken is the log's to say (garden/harvests.h). */
#ifndef TIDEMARK_STORE_HARVESTS_H
#define TIDEMARK_STORE_HARVESTS_H

#include "store/arena.h"
#include "store/store.h"

struct harvested_tank {
    int64_t key, vessel_key;
    const char *id, *code, *name;
    double lamp_w; /* NAN: not told */
};

/* Tanks with a harvest from from_ms on and before to_ms, by key: struct harvested_tank. */
int harvested_tanks(struct db *db, int64_t from_ms, int64_t to_ms, struct list *tanks, struct arena *arena, struct fault *fault);

extern const struct query harvests_queries[];
extern const size_t harvests_queries_count;

#endif
