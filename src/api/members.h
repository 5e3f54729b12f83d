/* members.h - members over HTTP. */
#ifndef TIDEMARK_API_MEMBERS_H
#define TIDEMARK_API_MEMBERS_H

#include "api/request.h"
#include "api/shape.h"

/* Roles as documents say them, ended by NULL; the first is ROLE_VISITOR. */
extern const char *const role_words[];

extern const struct shape member_shape, members_answer_shape;
int members_get(struct request *request, struct reply *reply, struct fault *fault);
int members_post(struct request *request, struct reply *reply, struct fault *fault);
int member_patch(struct request *request, struct reply *reply, struct fault *fault);

/* Cursors of these short lists are the key of the last item. */
int people_after(const char *after, int64_t *key, struct fault *fault);
const char *people_next(struct arena *arena, int64_t key, size_t *count, int64_t limit);

#endif
