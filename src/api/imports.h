/* imports.h - bringing data in over HTTP: a whole garden, readings from a table, the tables of single nouns. */
#ifndef TIDEMARK_API_IMPORTS_H
#define TIDEMARK_API_IMPORTS_H

#include "api/request.h"
#include "api/shape.h"
#include "garden/jobs.h"

extern const struct shape import_shape, imports_answer_shape;

/* The longest file that is taken: 4 GiB, ours. */
#define IMPORT_MOST ((size_t)4 << 30)

/* Starts work on the request's body, which it takes over: context begins with this. Answers 202 with the job. */
struct import {
    struct garden *garden;
    FILE *from;
};
int import_start(struct request *request, struct reply *reply, const char *what, job_work *work, job_done *done, struct import *import,
                 struct fault *fault);

int imports_get(struct request *request, struct reply *reply, struct fault *fault);
int import_get(struct request *request, struct reply *reply, struct fault *fault);
int import_delete(struct request *request, struct reply *reply, struct fault *fault);
int import_garden_post(struct request *request, struct reply *reply, struct fault *fault);

extern const struct shape import_table_ask_shape;
int import_table_post(struct request *request, struct reply *reply, struct fault *fault);

extern const struct shape import_readings_ask_shape, import_look_ask_shape, import_look_shape;
int import_readings_post(struct request *request, struct reply *reply, struct fault *fault);
int import_look_post(struct request *request, struct reply *reply, struct fault *fault);

/* The work on a whole garden, for the fuzzer, too. */
int import_garden_work(struct job *job, void *context, struct fault *fault);

#endif
