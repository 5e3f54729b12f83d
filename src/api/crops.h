/* crops.h - crops over HTTP. */
#ifndef TIDEMARK_API_CROPS_H
#define TIDEMARK_API_CROPS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape crop_shape, crops_answer_shape;

int crops_get(struct request *request, struct reply *reply, struct fault *fault);
int crops_post(struct request *request, struct reply *reply, struct fault *fault);
int crop_patch(struct request *request, struct reply *reply, struct fault *fault);

#endif
