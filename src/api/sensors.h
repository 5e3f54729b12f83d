/* sensors.h - sensors over HTTP. */
#ifndef TIDEMARK_API_SENSORS_H
#define TIDEMARK_API_SENSORS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape sensor_shape, sensors_answer_shape;
int sensors_get(struct request *request, struct reply *reply, struct fault *fault);
int sensors_post(struct request *request, struct reply *reply, struct fault *fault);
int sensor_key_post(struct request *request, struct reply *reply, struct fault *fault);
int sensor_delete(struct request *request, struct reply *reply, struct fault *fault);

#endif
