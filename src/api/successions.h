/* successions.h - successions that people keep. */
#ifndef TIDEMARK_API_SUCCESSIONS_H
#define TIDEMARK_API_SUCCESSIONS_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape succession_kept_shape, successions_answer_shape, season_shape;

int successions_get(struct request *request, struct reply *reply, struct fault *fault);
int successions_post(struct request *request, struct reply *reply, struct fault *fault);
int succession_get(struct request *request, struct reply *reply, struct fault *fault);
int succession_patch(struct request *request, struct reply *reply, struct fault *fault);

#endif
