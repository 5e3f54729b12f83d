/* fills.h - costs, needs, the cheapest recipe and succession over HTTP. */
#ifndef TIDEMARK_API_FILLS_H
#define TIDEMARK_API_FILLS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape fills_ask_shape, fills_answer_shape, needs_ask_shape, needs_shape, cheapest_ask_shape, cheapest_shape,
    succession_ask_shape, succession_shape;

int fills_get(struct request *request, struct reply *reply, struct fault *fault);
int needs_get(struct request *request, struct reply *reply, struct fault *fault);
int cheapest_post(struct request *request, struct reply *reply, struct fault *fault);
int succession_post(struct request *request, struct reply *reply, struct fault *fault);

#endif
