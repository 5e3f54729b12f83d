/* readings.h - what sensors tell, and what people doubt of it, over HTTP. */
#ifndef TIDEMARK_API_READINGS_H
#define TIDEMARK_API_READINGS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape readings_sent_shape, readings_kept_shape, readings_ask_shape, readings_answer_shape, doubted_shape;
int readings_post(struct request *request, struct reply *reply, struct fault *fault);
int tank_doubted_get(struct request *request, struct reply *reply, struct fault *fault);
int tank_readings_get(struct request *request, struct reply *reply, struct fault *fault);

extern const struct shape doubt_shape, doubts_answer_shape;
int doubts_get(struct request *request, struct reply *reply, struct fault *fault);
int doubts_post(struct request *request, struct reply *reply, struct fault *fault);
int doubt_delete(struct request *request, struct reply *reply, struct fault *fault);

#endif
