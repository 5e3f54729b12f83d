/* gardens.h - the garden's settings. */
#ifndef TIDEMARK_API_GARDENS_H
#define TIDEMARK_API_GARDENS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape garden_shape;

int garden_get(struct request *request, struct reply *reply, struct fault *fault);
int garden_patch(struct request *request, struct reply *reply, struct fault *fault);

#endif
