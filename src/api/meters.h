/* meters.h - checks of conductivity meters over HTTP. */
#ifndef TIDEMARK_API_METERS_H
#define TIDEMARK_API_METERS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape meter_check_shape, meter_checks_answer_shape;

int meter_checks_get(struct request *request, struct reply *reply, struct fault *fault);
int meter_checks_post(struct request *request, struct reply *reply, struct fault *fault);

#endif
