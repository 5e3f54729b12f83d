/* targets.h - targets over HTTP. */
#ifndef TIDEMARK_API_TARGETS_H
#define TIDEMARK_API_TARGETS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape target_shape, targets_answer_shape;

int targets_get(struct request *request, struct reply *reply, struct fault *fault);
int targets_post(struct request *request, struct reply *reply, struct fault *fault);
int target_patch(struct request *request, struct reply *reply, struct fault *fault);

#endif
