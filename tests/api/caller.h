/* caller.h - asks the API in the same process, without a socket, and holds every answer against its shape. */
#ifndef TIDEMARK_TESTS_CALLER_H
#define TIDEMARK_TESTS_CALLER_H

#include <jansson.h>
#include <stdint.h>

#include "api/request.h"

struct caller {
    struct service service;
    char path[4096];  /* of the garden file */
    unsigned status;  /* of the last answer */
    size_t length;
    char *bytes;      /* the last answer as it was sent, owned by the caller; NULL when it was empty */
    char type[64], etag[64], allow[64], cache[64], challenge[64]; /* of the last answer, "" where there was none */
};

/* A new garden of its own, asked by a keeper from this machine. */
void caller_open(struct caller *caller, const char *name);
void caller_close(struct caller *caller);

/* Asks, path with its query. body NULL: none; formatted as printf does. The answer is the test's to json_decref; NULL where it is no JSON.
 * A 2xx answer that does not fit the route's shape ends the test.
 */
json_t *caller_get(struct caller *caller, const char *path);
json_t *caller_send(struct caller *caller, const char *method, const char *path, const char *body, ...)
    __attribute__((format(printf, 4, 5)));

/* Everything that can be said in one request; what is NULL or 0 is as caller_send has it. */
struct asking {
    const struct who *who; /* asked from within by this member; NULL: as the request itself shows */
    const char *method, *path, *body; /* the body may hold NULs */
    size_t length;
    const char *content_type, *origin, *sec_fetch_site, *if_none_match;
    int64_t ahead_ms; /* asked from within: so much later than now */
    const char *peer;
    bool not_at_home; /* from another machine, nobody known */
    size_t arena_most; /* bytes that the request may take from its arena; 0: as usual */
};
json_t *caller_ask(struct caller *caller, const struct asking *asking);

/* The same, and the status must be this one. */
json_t *caller_expect(struct caller *caller, unsigned status, const char *method, const char *path, const char *body, ...)
    __attribute__((format(printf, 5, 6)));

/* A number that changes with anything that is written into the garden file, seen by a connection of its own. */
uint64_t caller_hash(const struct caller *caller);

/* Whether a problem document names this pointer. */
bool problem_at(const json_t *problem, const char *at);

/* The item of a list answer whose member says this, borrowed; the test ends where there is none. */
json_t *item_of(const json_t *answer, const char *member, const char *says);

/* A number of a document, or the test ends. */
double number_of(const json_t *document, const char *member);
const char *text_of(const json_t *document, const char *member);

#endif
