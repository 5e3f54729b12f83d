/* round_days.h - planned rounds over HTTP: their weekdays, and putting one off. Today tells which are due. */
#ifndef TIDEMARK_API_ROUND_DAYS_H
#define TIDEMARK_API_ROUND_DAYS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape round_days_sent_shape, round_days_shape, round_days_answer_shape, round_putoff_shape;

int round_days_get(struct request *request, struct reply *reply, struct fault *fault);
int round_days_patch(struct request *request, struct reply *reply, struct fault *fault);
int round_putoffs_post(struct request *request, struct reply *reply, struct fault *fault);
int round_putoff_delete(struct request *request, struct reply *reply, struct fault *fault);

#endif
