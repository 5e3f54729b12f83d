/* standings.h - how each tank stood when it was last worked out, packed (garden/standing_pack.h), for the next start. */
#ifndef TIDEMARK_STORE_STANDINGS_H
#define TIDEMARK_STORE_STANDINGS_H

#include "store/arena.h"
#include "store/store.h"

struct standing_row {
    int64_t tank_key, changed;
    int32_t day;
    const void *made;
    size_t length;
};

int standing_rows_put(struct db *db, const struct standing_row *row, struct fault *fault);

/* Calls take with each, by tank; what it is given lives until it returns. A take that fails ends it. */
typedef int standing_taker(void *context, const struct standing_row *row, struct fault *fault);
int standing_rows_all(struct db *db, standing_taker *take, void *context, struct fault *fault);

extern const struct query standings_queries[];
extern const size_t standings_queries_count;

#endif
