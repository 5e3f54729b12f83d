/* bodies.h - a good body for every route that takes one, in the order in which a garden grows by them (bodies.json, invented). */
#ifndef TIDEMARK_TESTS_BODIES_H
#define TIDEMARK_TESTS_BODIES_H

#include "api/routes.h"
#include "caller.h"

struct example {
    const struct route *route;
    char path[200];
    json_t *body; /* owned */
    bool tells;   /* its answer names what later ones refer to */
};

/* The routes that take a JSON body. */
bool takes_json(const struct route *route);

/* How many examples there are; -1 ends the test where the file cannot be read. */
size_t examples_open(void);
void examples_close(void);

/* The nth, with what earlier answers told put in the place of "$name". */
struct example example_take(size_t n);
void example_end(struct example *example);

/* Sends it and remembers what its answer told. The test ends where it is refused. */
void example_send(struct caller *caller, size_t n, const struct example *example);

#endif
