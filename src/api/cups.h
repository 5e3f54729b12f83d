/* cups.h - one cup of a tank: what hangs there and what happened to it. */
#ifndef TIDEMARK_API_CUPS_H
#define TIDEMARK_API_CUPS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape cup_answer_shape;

int tank_cup_get(struct request *request, struct reply *reply, struct fault *fault);

#endif
