/* request.h - one request and its answer, as http hands them over and handlers see them.
 *
 * http fills in what the wire says; api_answer finds the route, checks who asks and what
 * is asked, and calls the handler. Handlers see only what passed the checks.
 */
#ifndef TIDEMARK_REQUEST_H
#define TIDEMARK_REQUEST_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "calc/fault.h"
#include "garden/garden.h"
#include "garden/people.h"
#include "store/arena.h"

struct route;
struct words;
struct answers;

/* What the process was started with, shared by all threads, never changed after start. */
struct service {
    struct garden *garden;
    const char *public_url; /* from the option; NULL: the garden's own setting, else the request's Host */
    const char *www;        /* folder of the pages */
    const struct words *words; /* texts of the plain pages (api/words.h); NULL: their keys are shown */
    struct answers *answers; /* rendered answers that are kept (api/answers.h); NULL: none are */
    bool loopback_is_keeper; /* asked from loopback without a device: a keeper (the shelf computer itself); --demo and first start */
};

struct request {
    struct service *service;

    /* From the wire. Header texts are NULL where the header was not sent. */
    const char *method;       /* "GET" */
    const char *path;         /* percent-decoded, no NUL in it, begins with "/" */
    const char *query;        /* what follows "?", still encoded; "" for none */
    const char *host, *origin, *sec_fetch_site, *content_type, *cookie, *authorization, *if_none_match, *accept_language;
    const char *peer;         /* numeric address of who asks, after trusted proxies */
    bool from_loopback;       /* the peer is this machine */
    bool secure;              /* over TLS, here or at a trusted proxy */
    const char *body;
    size_t body_length;
    FILE *body_file;          /* the body of a route that spools, wound back; a handler that keeps it puts NULL in its place */

    /* Filled in by api_answer. */
    const struct route *route;
    struct arena *arena;      /* lives until the answer is written */
    struct who who;           /* ROLE_NONE when nobody is known */
    int64_t now_ms;           /* when it came in */
    const char *part[3];      /* what stood for {…} in the route's path, in order */
    const void *given;        /* the body, read by the route's `takes` */
    const void *asked;        /* the query, read by the route's `asks` */
    const json_t *document;   /* the body as it came, for a route that `patches` (shape_patch); lives as long as the call */
};

struct reply_header {
    const char *name, *value;
};

struct reply {
    unsigned status;          /* 0: 200 */
    json_t *json;             /* the answer; owned by the reply. Or bytes: */
    char *bytes;              /* malloc'ed, owned by the reply */
    size_t length;
    FILE *file;               /* instead of bytes: an answer too long for memory, owned by the reply; length tells its bytes */
    const char *type;         /* media type of bytes */
    const char *etag;         /* in the arena; NULL: made from the content of a 200 to a GET */
    const char *keep_as;      /* in the arena; names this answer to the kept ones once it is rendered (api/answers.h) */
    struct reply_header header[6]; /* further ones (Set-Cookie, Location), texts in the arena */
    size_t headers;
};

/* Takes over document, on failure too (NULL is out of memory). */
int reply_json(struct reply *reply, unsigned status, json_t *document, struct fault *fault);
/* Takes over file, on failure too: what was written to it is the answer. */
int reply_file(struct reply *reply, FILE *file, const char *type, struct fault *fault);
int reply_header(struct request *request, struct reply *reply, const char *name, const char *value, struct fault *fault);

/* Answers one request whose path begins with /api/, /plain, /t/, /healthz or /metrics; always leaves an answer in *reply, with bytes
 * rendered (never json). arena lives until the caller has sent it; reply_end frees the rest.
 */
void api_answer(struct request *request, struct reply *reply);

/* The longest body that a request may bring, by its head alone: more than API_BODY_MOST only where its route says so, for
 * one who may ask it. */
#define API_BODY_MOST ((size_t)256 << 10)
size_t api_body_most(struct request *request);

/* Where the body of this request goes, known after api_body_most: a file of its own beside the garden, without a name, for routes
 * that spool; NULL: into memory, or (with a fault) there is no room for it. */
FILE *api_body_file(struct request *request, struct fault *fault);

/* The same for a request whose who and now_ms are known already: not from the wire, but from within. */
void api_answer_as(struct request *request, struct reply *reply);
void reply_end(struct reply *reply);

#endif
