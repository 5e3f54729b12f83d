/* tanks.h - tanks and what stands in them, over HTTP. */
#ifndef TIDEMARK_API_TANKS_H
#define TIDEMARK_API_TANKS_H

#include "api/request.h"
#include "api/shape.h"
#include "garden/standing.h"

extern const struct shape tanks_answer_shape, tank_shape, tank_sent_shape;

/* The tank that the request's path names, worked out. FAULT_ABSENT where there is none. */
int tank_standing(struct request *request, struct db *db, struct standing_place *place, struct standing *standing,
                  struct fault *fault);

int tanks_get(struct request *request, struct reply *reply, struct fault *fault);
int tanks_post(struct request *request, struct reply *reply, struct fault *fault);
int tank_get(struct request *request, struct reply *reply, struct fault *fault);
int tank_patch(struct request *request, struct reply *reply, struct fault *fault);
int tank_entries_get(struct request *request, struct reply *reply, struct fault *fault);
int tank_outlook_get(struct request *request, struct reply *reply, struct fault *fault);

#endif
