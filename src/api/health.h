/* health.h - whether the daemon can do its work, and figures for whoever watches it. No personal data. */
#ifndef TIDEMARK_HEALTH_H
#define TIDEMARK_HEALTH_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape health_shape;
int health_get(struct request *request, struct reply *reply, struct fault *fault);
int metrics_get(struct request *request, struct reply *reply, struct fault *fault);

#endif
