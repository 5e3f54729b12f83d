/* tanks.h - tanks and what stands in them, over HTTP. */
#ifndef TIDEMARK_API_TANKS_H
#define TIDEMARK_API_TANKS_H

#include "api/request.h"
#include "api/shape.h"
#include "garden/standing.h"

extern const struct shape tanks_answer_shape, tank_shape, tank_sent_shape, outlook_shape, dates_shape, spread_shape, advice_shape;

/* Dates of which all are needed: absent where p50 lies beyond the horizon. */
struct dates_document {
    int32_t p10, p50, p90;
};

/* The outlook as a document: also what POST /api/v1/calc/outlook answers. */
json_t *outlook_document(const struct outlook *outlook, struct arena *arena);

/* One piece of advice. */
struct advice_document;
struct list advice_documents(const struct advice *advice, size_t count, struct arena *arena);

int tanks_get(struct request *request, struct reply *reply, struct fault *fault);
int tanks_post(struct request *request, struct reply *reply, struct fault *fault);
int tank_get(struct request *request, struct reply *reply, struct fault *fault);
int tank_patch(struct request *request, struct reply *reply, struct fault *fault);
int tank_entries_get(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape drift_shape;
int tank_drift_get(struct request *request, struct reply *reply, struct fault *fault);
int tank_topup_get(struct request *request, struct reply *reply, struct fault *fault);
int tank_outlook_get(struct request *request, struct reply *reply, struct fault *fault);

int today_get(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape today_shape;

#endif
