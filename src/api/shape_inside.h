/* shape_inside.h - what reading a document and holding one against its shape share. */
#ifndef TIDEMARK_SHAPE_INSIDE_H
#define TIDEMARK_SHAPE_INSIDE_H

#include "api/shape.h"

/* Where we are in the document, as a JSON Pointer that grows and shrinks. */
struct path {
    char text[64];
    size_t length;
};

struct reading {
    struct arena *arena;
    struct fault *fault;
    struct path path;
};

/* One step down, by name (escaped as RFC 6901, 2013, has it) or by index; what does not fit is left out. Returns the length to go
 * back to. */
size_t shape_step_in(struct path *path, const char *name);
size_t shape_step_to(struct path *path, size_t index);
void shape_step_back(struct path *path, size_t length);

/* A fault at the present place. Returns -1. */
int shape_refuse(struct reading *reading, const char *what);

/* A value of one kind within the field's bounds; members that the shape does not know. 0 or -1 with a fault. */
int shape_read_number(struct reading *reading, const struct field *field, const json_t *value, double *to);
int shape_read_integer(struct reading *reading, const struct field *field, const json_t *value, int64_t *to);
int shape_read_choice(struct reading *reading, const struct field *field, const json_t *value, int *to);
int shape_refuse_unknown(struct reading *reading, const struct shape *shape, const json_t *document);

/* Sizes where a field names none. */
#define TEXT_MOST 500
#define LIST_MOST 500

#endif
