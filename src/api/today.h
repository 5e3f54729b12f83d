/* today.h - what wants a hand today. */
#ifndef TIDEMARK_API_TODAY_H
#define TIDEMARK_API_TODAY_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape today_shape, putoff_shape;
int today_get(struct request *request, struct reply *reply, struct fault *fault);


int putoffs_post(struct request *request, struct reply *reply, struct fault *fault);
int putoff_delete(struct request *request, struct reply *reply, struct fault *fault);

#endif
