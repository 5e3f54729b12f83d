/* duties.h - whose a tank or an area is for a while, over HTTP. */
#ifndef TIDEMARK_API_DUTIES_H
#define TIDEMARK_API_DUTIES_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape duty_shape, duty_change_shape, duties_ask_shape, duties_answer_shape;

int duties_get(struct request *request, struct reply *reply, struct fault *fault);
int duties_post(struct request *request, struct reply *reply, struct fault *fault);
int duty_patch(struct request *request, struct reply *reply, struct fault *fault);
int duty_delete(struct request *request, struct reply *reply, struct fault *fault);

#endif
