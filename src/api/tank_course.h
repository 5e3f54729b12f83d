/* tank_course.h - what to add to a tank, and how its solution goes, from its own log. */
#ifndef TIDEMARK_API_TANK_COURSE_H
#define TIDEMARK_API_TANK_COURSE_H

#include "api/request.h"
#include "api/shape.h"

int tank_topup_get(struct request *request, struct reply *reply, struct fault *fault);

extern const struct shape drift_shape;
int tank_drift_get(struct request *request, struct reply *reply, struct fault *fault);

#endif
