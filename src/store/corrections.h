/* corrections.h - whether an entry still stands after what later entries say of it. */
#ifndef TIDEMARK_STORE_CORRECTIONS_H
#define TIDEMARK_STORE_CORRECTIONS_H

#include "store/store.h"

/* 1 when the entry of these 16 bytes counts; 0 when an entry that is not itself withdrawn withdraws it, or one that stands
 * amends it; -1 fault. The same rule as log_effective of garden/tank_state.h, for questions that cross tanks.
 */
int entry_stands(struct db *db, const unsigned char id[16], struct fault *fault);

/* The ids of what amends or withdraws it, at most CORRECTIONS_MOST. */
#define CORRECTIONS_MOST 32
int corrections_of(struct db *db, const unsigned char id[16], unsigned char found[CORRECTIONS_MOST][16], size_t *count, struct fault *fault);

/* Which entry stands in the place of this one: itself, or the one that amends it, and so on. 1 with its bytes, 0 when it was
 * taken back, -1 fault. */
int entry_in_place(struct db *db, const unsigned char id[16], unsigned char place[16], struct fault *fault);

extern const struct query corrections_queries[];
extern const size_t corrections_queries_count;

#endif
