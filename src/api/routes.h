/* routes.h - every address the daemon answers, and who may ask. */
#ifndef TIDEMARK_ROUTES_H
#define TIDEMARK_ROUTES_H

#include "api/request.h"
#include "api/shape.h"

typedef int route_handler(struct request *request, struct reply *reply, struct fault *fault);

/* Who may ask, least first. A route without one does not compile: ACCESS_UNSET is refused by the table's test. */
enum access {
    ACCESS_UNSET,
    ACCESS_ANYONE,  /* pairing, health, a stranger's view of a label */
    ACCESS_AT_HOME, /* stateless calculations: any member, and anyone asking from this machine */
    ACCESS_SENSOR,  /* a sensor's key for the named tank; growers too */
    ACCESS_VISITOR,
    ACCESS_GROWER,
    ACCESS_KEEPER
};

struct route {
    const char *method, *path; /* "/api/v1/tanks/{tank}" */
    enum access access;
    route_handler *handler;
    const struct shape *asks;  /* the query string, all FIELD kinds but OBJECT, LIST, MAP; NULL: none allowed */
    const struct shape *takes; /* the body; NULL: none allowed */
    const struct shape *patches; /* the body names some members of this document (RFC 7396 merge patch, one level deep) */
    const struct shape *gives; /* a 2xx answer; NULL: bytes that are not JSON */
    const char *about;         /* one sentence for openapi.json */
    bool form;                 /* `takes` comes from a form without script: application/x-www-form-urlencoded */
    size_t body_most;          /* bytes; 0: 256 KiB */
    const char *spools;        /* the body is a file of one of these media types ("text/csv application/json") and is never in memory */
};

extern const struct route routes[];
extern const size_t routes_count;

/* The OpenAPI 3.1 document of all routes. The caller owns it. */
json_t *routes_openapi(void);

#endif
