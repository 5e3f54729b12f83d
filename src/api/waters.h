/* waters.h - source waters over HTTP. */
#ifndef TIDEMARK_API_WATERS_H
#define TIDEMARK_API_WATERS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape water_shape, waters_answer_shape;

int waters_get(struct request *request, struct reply *reply, struct fault *fault);
int waters_post(struct request *request, struct reply *reply, struct fault *fault);
int water_patch(struct request *request, struct reply *reply, struct fault *fault);

#endif
