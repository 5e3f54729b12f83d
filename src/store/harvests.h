/* harvests.h - which tanks were harvested, or filled. What was taken, or put in, is the log's to say (garden/harvests.h, fills.h). */
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

/* The same of fills. */
int filled_tanks(struct db *db, int64_t from_ms, int64_t to_ms, struct list *tanks, struct arena *arena, struct fault *fault);

/* Moves *from_ms up to the nth harvest, or fill, of that stretch counted from its end, whether it counts or not; *all: there are
 * no more than that, and it stays where it is. */
int harvests_newest(struct db *db, int64_t *from_ms, int64_t to_ms, int64_t n, bool *all, struct fault *fault);
int fills_newest(struct db *db, int64_t *from_ms, int64_t to_ms, int64_t n, bool *all, struct fault *fault);

extern const struct query harvests_queries[];
extern const size_t harvests_queries_count;

#endif
