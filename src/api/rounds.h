/* rounds.h - rounds over HTTP. */
#ifndef TIDEMARK_API_ROUNDS_H
#define TIDEMARK_API_ROUNDS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape round_sent_shape, round_deed_shape, round_shape, rounds_answer_shape;

int rounds_get(struct request *request, struct reply *reply, struct fault *fault);
int rounds_post(struct request *request, struct reply *reply, struct fault *fault);
int round_get(struct request *request, struct reply *reply, struct fault *fault);
int round_acts_post(struct request *request, struct reply *reply, struct fault *fault);

#endif
