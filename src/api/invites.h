/* invites.h - invites over HTTP, and using one. */
#ifndef TIDEMARK_API_INVITES_H
#define TIDEMARK_API_INVITES_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape invite_sent_shape, invite_made_shape, invites_answer_shape, pairing_shape, paired_shape;
int invites_get(struct request *request, struct reply *reply, struct fault *fault);
int invites_post(struct request *request, struct reply *reply, struct fault *fault);
int invite_delete(struct request *request, struct reply *reply, struct fault *fault);
int pair_post(struct request *request, struct reply *reply, struct fault *fault);

#endif
