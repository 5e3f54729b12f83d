/* feeds.h - addresses for calendar programs, which show no cookie: each has a key of its own that can be revoked. */
#ifndef TIDEMARK_FEEDS_H
#define TIDEMARK_FEEDS_H

#include "garden/garden.h"
#include "garden/people.h"
#include "garden/token.h"
#include "store/feeds.h"

/* A new feed of this name for who asks; key is shown this once. FAULT_INPUT at "/name". */
int garden_feed_add(struct garden *garden, const struct who *who, const char *name, int64_t now_ms, struct feed_row *feed,
                    char key[TOKEN_TEXT], struct arena *arena, struct fault *fault);

/* A keeper's list has all, others' their own: struct feed_row. */
int garden_feeds(struct garden *garden, const struct who *who, struct list *feeds, struct arena *arena, struct fault *fault);

/* FAULT_ABSENT; FAULT_DENIED for somebody else's, but for keepers. */
int garden_feed_revoke(struct garden *garden, const struct who *who, const char *id, int64_t now_ms, struct arena *arena,
                       struct fault *fault);

/* Whether this key may read the calendar now: 1, 0, -1 fault. A removed member's may not. Notes once a day that it was used. */
int garden_feed_may(struct garden *garden, const char *key, int64_t now_ms, struct arena *arena, struct fault *fault);

#endif
