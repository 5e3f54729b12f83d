/* people_cache.h - those who asked lately, by the hash of their token, so that a request costs no query. For people.c only.
 *
 * A round ends with each write to people. What was read in one round is not remembered in the next: else a device
 * read just before it was revoked would be remembered as valid.
 */
#ifndef TIDEMARK_PEOPLE_CACHE_H
#define TIDEMARK_PEOPLE_CACHE_H

#include "garden/people.h"

/* A use is noted in the file at most so often. */
#define PEOPLE_TOUCH_MS ((int64_t)600000)

/* Whether it is known; *due tells that its use should be noted now. If not known, *round is for people_remember.
 * Without memory for the texts it is not known. */
bool people_recall(struct people *people, const unsigned char *hash, int64_t now_ms, struct who *who, bool *due, uint64_t *round,
                   struct arena *arena);
void people_remember(struct people *people, const unsigned char *hash, const struct who *who, int64_t used_ms, int64_t now_ms,
                     uint64_t round, bool *due);

bool people_recall_keeper(struct people *people, bool *paired, uint64_t *round);
void people_remember_keeper(struct people *people, bool paired, uint64_t round);

/* Begins the next round. */
void people_forget(struct people *people);

#endif
