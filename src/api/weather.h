/* weather.h - the weather as it was, over HTTP. */
#ifndef TIDEMARK_API_WEATHER_H
#define TIDEMARK_API_WEATHER_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape weather_ask_shape, weather_answer_shape, weather_sent_shape;

int weather_get(struct request *request, struct reply *reply, struct fault *fault);
int weather_post(struct request *request, struct reply *reply, struct fault *fault);

#endif
