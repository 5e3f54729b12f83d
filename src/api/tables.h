/* tables.h - lists as tables for spreadsheets, and the labels to print. */
#ifndef TIDEMARK_API_TABLES_H
#define TIDEMARK_API_TABLES_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape labels_answer_shape;

/* GET /api/v1/tables/{noun}: what /api/v1/{noun} lists, a row an item, as CSV. */
int table_get(struct request *request, struct reply *reply, struct fault *fault);

int labels_get(struct request *request, struct reply *reply, struct fault *fault);

#endif
