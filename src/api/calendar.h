/* calendar.h - the calendar of days to come, and the addresses that calendar programs subscribe to. */
#ifndef TIDEMARK_API_CALENDAR_H
#define TIDEMARK_API_CALENDAR_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape feed_sent_shape, feed_made_shape, feeds_answer_shape;

int calendar_get(struct request *request, struct reply *reply, struct fault *fault);
int calendar_feed_get(struct request *request, struct reply *reply, struct fault *fault);
int feeds_get(struct request *request, struct reply *reply, struct fault *fault);
int feeds_post(struct request *request, struct reply *reply, struct fault *fault);
int feed_delete(struct request *request, struct reply *reply, struct fault *fault);

#endif
