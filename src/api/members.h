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

#endif
