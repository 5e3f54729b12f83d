/* salts.h - the shelf of salts over HTTP. */
#ifndef TIDEMARK_API_SALTS_H
#define TIDEMARK_API_SALTS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape salt_shape, salts_answer_shape;

int salts_get(struct request *request, struct reply *reply, struct fault *fault);
int salts_post(struct request *request, struct reply *reply, struct fault *fault);
int salt_patch(struct request *request, struct reply *reply, struct fault *fault);

#endif
