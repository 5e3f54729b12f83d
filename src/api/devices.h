/* devices.h - devices over HTTP. */
#ifndef TIDEMARK_API_DEVICES_H
#define TIDEMARK_API_DEVICES_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape devices_answer_shape;
int devices_get(struct request *request, struct reply *reply, struct fault *fault);
int device_delete(struct request *request, struct reply *reply, struct fault *fault);

#endif
