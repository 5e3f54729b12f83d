/* answers.h - rendered answers, kept while what they tell is unchanged.
 *
 * A handler names its answer by what it depends on ("tank 12 340 20782": key, changed counter, day): when any of
 * that changes, the name changes, and the old answer falls out as the least lately used. Safe from any thread.
 */
#ifndef TIDEMARK_ANSWERS_H
#define TIDEMARK_ANSWERS_H

#include <stdbool.h>
#include <stddef.h>

#include "api/request.h"

struct answers;

/* At most `most` bytes of answers are kept. NULL when out of memory. */
struct answers *answers_new(size_t most);
void answers_free(struct answers *answers);

/* Puts a kept answer into *reply; false where there is none. answers may be NULL: nothing is kept. */
bool answers_find(struct answers *answers, const char *name, struct request *request, struct reply *reply);

/* Keeps a copy of a rendered reply. What cannot be kept is not: no fault. */
void answers_keep(struct answers *answers, const char *name, const struct reply *reply);

#endif
