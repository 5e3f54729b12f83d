/* areas.h - areas over HTTP. */
#ifndef TIDEMARK_API_AREAS_H
#define TIDEMARK_API_AREAS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape area_shape, areas_answer_shape;

int areas_get(struct request *request, struct reply *reply, struct fault *fault);
int areas_post(struct request *request, struct reply *reply, struct fault *fault);
int area_patch(struct request *request, struct reply *reply, struct fault *fault);
int area_delete(struct request *request, struct reply *reply, struct fault *fault);

#endif
