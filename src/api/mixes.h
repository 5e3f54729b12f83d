/* mixes.h - solutions under way over HTTP. */
#ifndef TIDEMARK_API_MIXES_H
#define TIDEMARK_API_MIXES_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape mix_shape;
extern const struct shape mixes_answer_shape;
extern const struct shape mix_tick_shape;
extern const struct shape mix_state_shape;
extern const struct shape mix_off_shape;
extern const struct shape mix_under_way_shape; /* struct mix_row: where it is told beside other things */

int mixes_get(struct request *request, struct reply *reply, struct fault *fault);
int mixes_post(struct request *request, struct reply *reply, struct fault *fault);
int mix_get(struct request *request, struct reply *reply, struct fault *fault);
int mix_tick_post(struct request *request, struct reply *reply, struct fault *fault);
int mix_state_post(struct request *request, struct reply *reply, struct fault *fault);
int mix_off_post(struct request *request, struct reply *reply, struct fault *fault);

#endif
