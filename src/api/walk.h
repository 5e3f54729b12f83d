/* walk.h - walking order over HTTP. */
#ifndef TIDEMARK_API_WALK_H
#define TIDEMARK_API_WALK_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape walk_shape, walk_sent_shape;

int walk_get(struct request *request, struct reply *reply, struct fault *fault);
int walk_patch(struct request *request, struct reply *reply, struct fault *fault);

#endif
