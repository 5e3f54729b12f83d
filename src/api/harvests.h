/* harvests.h - harvests over HTTP. */
#ifndef TIDEMARK_API_HARVESTS_H
#define TIDEMARK_API_HARVESTS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape harvests_ask_shape, harvests_answer_shape, harvest_summary_shape;

int harvests_get(struct request *request, struct reply *reply, struct fault *fault);
int harvests_summary_get(struct request *request, struct reply *reply, struct fault *fault);

#endif
