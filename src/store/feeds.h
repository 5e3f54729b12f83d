/* feeds.h - addresses that a calendar program may read, as the file keeps them: by the hash of their key. */
#ifndef TIDEMARK_STORE_FEEDS_H
#define TIDEMARK_STORE_FEEDS_H

#include "store/members.h"

/* Times are ms since 1970 UTC, STORE_NO_INT: not yet. */
struct feed_row {
    int64_t key;
    const char *id, *name;
    int64_t member_key;      /* STORE_NO_INT: made from the host itself */
    const char *member;      /* uid; read only */
    int64_t member_removed_ms; /* read only */
    unsigned char hash[MEMBER_HASH]; /* written only */
    int64_t made_ms, last_used_ms, revoked_ms;
};

int feed_rows_add(struct db *db, struct feed_row *feed, struct fault *fault);

/* By id, or by the hash of a key: 1 found, 0 not there, -1 fault. */
int feed_rows_one(struct db *db, const char *id, struct feed_row *feed, struct arena *arena, struct fault *fault);
int feed_rows_by_hash(struct db *db, const unsigned char hash[MEMBER_HASH], struct feed_row *feed, struct arena *arena,
                      struct fault *fault);

/* All, by age: struct feed_row. */
int feed_rows_list(struct db *db, struct list *feeds, struct arena *arena, struct fault *fault);

int feed_rows_used(struct db *db, int64_t key, int64_t now_ms, struct fault *fault);
int feed_rows_revoke(struct db *db, int64_t key, int64_t now_ms, struct fault *fault);

extern const struct query feeds_queries[];
extern const size_t feeds_queries_count;

#endif
