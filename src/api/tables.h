/* tables.h - lists as tables for spreadsheets, and the labels to print. */
#ifndef TIDEMARK_API_TABLES_H
#define TIDEMARK_API_TABLES_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape labels_answer_shape;

/* GET /api/v1/tables/{noun}: what /api/v1/{noun} lists, a row an item, as CSV. */
int table_get(struct request *request, struct reply *reply, struct fault *fault);

/* Whether this member of the noun is worked out from the log and the day, and stands in no table. */
bool table_leaves_out(const char *noun, const char *member, size_t length);

/* The members that any variant of a FIELD_ONE_OF has, each once: the nth, or NULL. They are its columns. */
const struct field *table_variant_field(const struct shape *shape, size_t n);

int labels_get(struct request *request, struct reply *reply, struct fault *fault);

#endif
