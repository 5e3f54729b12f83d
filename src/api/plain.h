/* plain.h - pages made here, for browsers without script and for whoever scans a label. */
#ifndef TIDEMARK_PLAIN_H
#define TIDEMARK_PLAIN_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape plain_log_shape;

int plain_today_get(struct request *request, struct reply *reply, struct fault *fault);
int plain_tank_get(struct request *request, struct reply *reply, struct fault *fault);
int plain_log_post(struct request *request, struct reply *reply, struct fault *fault);
int label_get(struct request *request, struct reply *reply, struct fault *fault);

#endif
