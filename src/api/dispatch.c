/* dispatch.c - from a request to its route, through every check, to an answer. */
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "api/form.h"
#include "api/limits.h"
#include "api/answers.h"
#include "api/problem.h"
#include "api/routes.h"
#include "api/said.h"
#include "api/who.h"
#include "garden/clock.h"

#define DEPTH_MOST 32

/* ---- the reply ---- */

int reply_json(struct reply *reply, unsigned status, json_t *document, struct fault *fault)
{
    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    reply->status = status;
    reply->json = document;
    return 0;
}

int reply_file(struct reply *reply, FILE *file, const char *type, struct fault *fault)
{
    struct stat about;

    if (fflush(file) || fseek(file, 0, SEEK_SET) || fstat(fileno(file), &about)) {
        fclose(file);
        return fault_add(fault, FAULT_FULL, "", "there is no room for the answer beside the garden file");
    }
    reply->file = file;
    reply->length = (size_t)about.st_size;
    reply->type = type;
    return 0;
}

int reply_header(struct request *request, struct reply *reply, const char *name, const char *value, struct fault *fault)
{
    const char *copy = arena_text(request->arena, value);

    if (!copy || reply->headers == sizeof reply->header / sizeof *reply->header)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    reply->header[reply->headers++] = (struct reply_header){name, copy};
    return 0;
}

void reply_end(struct reply *reply)
{
    json_decref(reply->json);
    free(reply->bytes);
    if (reply->file)
        fclose(reply->file);
    reply->file = NULL;
    reply->json = NULL;
    reply->bytes = NULL;
}

/* ---- the route ---- */

/* What stands for a {part}, in the path as it was asked. */
struct span {
    const char *at;
    size_t length;
};
#define PARTS_MOST (sizeof((struct request *)0)->part / sizeof *((struct request *)0)->part)

/* Whether path is one of this pattern, and where its parts stand. An empty part matches nothing. */
static bool matches(const char *pattern, const char *path, struct span part[PARTS_MOST])
{
    size_t parts = 0;

    memset(part, 0, PARTS_MOST * sizeof *part);
    while (*pattern) {
        size_t length;

        if (*pattern != '{') {
            if (*pattern++ != *path++)
                return false;
            continue;
        }
        pattern = strchr(pattern, '}') + 1;
        length = strcspn(path, "/");
        if (!length || parts == PARTS_MOST)
            return false;
        part[parts++] = (struct span){path, length};
        path += length;
    }
    return *path == '\0';
}

static int keep_parts(struct request *request, const struct span part[PARTS_MOST], struct fault *fault)
{
    for (size_t i = 0; i < PARTS_MOST && part[i].at; i++) {
        request->part[i] = arena_format(request->arena, "%.*s", (int)part[i].length, part[i].at);
        if (!request->part[i])
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    return 0;
}

/* HEAD is asked as GET; http leaves the body away. */
static const struct route *find_route(const struct request *request, struct span part[PARTS_MOST], char *allow, size_t allow_size)
{
    const char *method = strcmp(request->method, "HEAD") == 0 ? "GET" : request->method;
    bool reads;

    for (size_t i = 0; i < routes_count; i++) {
        if (!matches(routes[i].path, request->path, part))
            continue;
        if (strcmp(routes[i].method, method) == 0)
            return &routes[i];
        reads = strcmp(routes[i].method, "GET") == 0;
        snprintf(allow + strlen(allow), allow_size - strlen(allow), "%s%s%s", *allow ? ", " : "", routes[i].method, reads ? ", HEAD" : "");
    }
    return NULL;
}

/* ---- who asks ---- */

static bool may(const struct request *request, enum access access)
{
    switch (access) {
    case ACCESS_ANYONE:
        return true;
    case ACCESS_AT_HOME:
        return request->from_loopback || request->who.role >= ROLE_VISITOR;
    case ACCESS_SENSOR:
        return request->who.role == ROLE_SENSOR || request->who.role >= ROLE_GROWER;
    case ACCESS_VISITOR:
        return request->who.role >= ROLE_VISITOR;
    case ACCESS_GROWER:
        return request->who.role >= ROLE_GROWER;
    case ACCESS_KEEPER:
        return request->who.role >= ROLE_KEEPER;
    case ACCESS_UNSET:
        break;
    }
    return false;
}

/* ---- the body ---- */

static bool writes(const struct request *request)
{
    return strcmp(request->method, "GET") != 0 && strcmp(request->method, "HEAD") != 0;
}

/* A page of another origin can make a browser send anything but these two: a JSON content type, and its own Origin. Over TLS
 * the plain page of the same name is another origin, too: anyone on the way can write it. Not the other way round: a proxy
 * need not say that it spoke TLS. */
static bool own_origin(const struct request *request)
{
    const char *host;

    if (request->sec_fetch_site && strcmp(request->sec_fetch_site, "same-origin") != 0 && strcmp(request->sec_fetch_site, "none") != 0)
        return false;
    if (!request->origin)
        return !request->who.device; /* browsers send it with every write, and cookies belong to browsers */
    host = strstr(request->origin, "://");
    if (!host || (request->secure && strncasecmp(request->origin, "https:", 6) != 0))
        return false;
    return request->host && strcasecmp(host + 3, request->host) == 0;
}

static bool is_type(const char *type, const char *wanted)
{
    size_t length = type ? strcspn(type, "; \t") : 0;

    return length == strlen(wanted) && strncasecmp(type, wanted, length) == 0;
}

/* Of several, apart by blanks. None of them may be a type that a page of another origin can send without asking first. */
static bool is_one_of(const char *type, const char *wanted)
{
    char one[64];

    for (size_t length; *wanted; wanted += length + strspn(wanted + length, " ")) {
        length = strcspn(wanted, " ");
        snprintf(one, sizeof one, "%.*s", (int)length, wanted);
        if (is_type(type, one))
            return true;
    }
    return false;
}

/* Brackets inside texts do not count. Jansson has a limit of its own, far above what its recursion wants of a small stack. */
static bool too_deep(const char *body, size_t length)
{
    int depth = 0;
    bool text = false;

    for (size_t i = 0; i < length; i++) {
        if (text) {
            if (body[i] == '\\')
                i++;
            else if (body[i] == '"')
                text = false;
        } else if (body[i] == '"') {
            text = true;
        } else if (body[i] == '[' || body[i] == '{') {
            if (++depth > DEPTH_MOST)
                return true;
        } else if (body[i] == ']' || body[i] == '}') {
            depth--;
        }
    }
    return false;
}

static json_t *parse(const struct request *request, struct fault *fault)
{
    json_error_t why;
    json_t *document;

    if (!request->body_length) {
        fault_add(fault, FAULT_INPUT, "", "the body is empty");
        return NULL;
    }
    if (memchr(request->body, '\0', request->body_length)) { /* Jansson 2.14 overlooks a NUL behind a number */
        fault_add(fault, FAULT_INPUT, "", "there is a NUL in the body");
        return NULL;
    }
    if (too_deep(request->body, request->body_length)) {
        fault_add(fault, FAULT_INPUT, "", "the body is nested too deeply");
        return NULL;
    }
    document = json_loadb(request->body, request->body_length, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &why);
    if (!document)
        fault_add(fault, FAULT_INPUT, "", "the body is not JSON that can be used: %.100s (line %d, column %d)", why.text, why.line,
                  why.column);
    return document;
}

/* ---- the query ---- */

static const struct shape nothing_asked = {.size = 1};

static int read_query(struct request *request, struct fault *fault)
{
    const struct shape *shape = request->route->asks ? request->route->asks : &nothing_asked;
    json_t *document = form_document(shape, request->query, strlen(request->query), request->arena, fault);
    void *asked = arena_take(request->arena, shape->size);
    int failed;

    if (!document)
        return -1;
    failed = asked ? shape_read(shape, document, asked, request->arena, fault) : fault_add(fault, FAULT_MEMORY, "", "out of memory");
    request->asked = asked;
    json_decref(document);
    return failed;
}

/* ---- the answer ---- */

static void hash_file(unsigned char *hash, size_t length, FILE *file)
{
    crypto_generichash_state state;
    unsigned char part[16384];
    size_t got;

    crypto_generichash_init(&state, NULL, 0, length);
    while ((got = fread(part, 1, sizeof part, file)) > 0)
        crypto_generichash_update(&state, part, got);
    crypto_generichash_final(&state, hash, length);
    rewind(file);
}

/* Weak, since the same content may be sent compressed. */
static const char *make_etag(struct request *request, const struct reply *reply)
{
    unsigned char hash[12];
    char text[2 * sizeof hash + 1];

    if (reply->file)
        hash_file(hash, sizeof hash, reply->file);
    else
        crypto_generichash(hash, sizeof hash, (const unsigned char *)reply->bytes, reply->length, NULL, 0);
    sodium_bin2hex(text, sizeof text, hash, sizeof hash);
    return arena_format(request->arena, "W/\"%s\"", text);
}

static int render(struct reply *reply, struct fault *fault)
{
    if (!reply->json)
        return 0;
    reply->bytes = json_dumps(reply->json, JSON_COMPACT | JSON_REAL_PRECISION(12));
    json_decref(reply->json);
    reply->json = NULL;
    if (!reply->bytes)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    reply->length = strlen(reply->bytes);
    reply->type = "application/json";
    return 0;
}

static void not_modified(struct request *request, struct reply *reply)
{
    if (writes(request) || (reply->status && reply->status != 200))
        return;
    if (!reply->etag)
        reply->etag = make_etag(request, reply);
    if (reply->keep_as)
        answers_keep(request->service->answers, reply->keep_as, reply);
    if (reply->etag && request->if_none_match && strstr(request->if_none_match, reply->etag)) {
        const char *etag = reply->etag;

        reply_end(reply);
        *reply = (struct reply){.status = 304, .etag = etag};
    }
}

/* What has a tag may be kept by the browser that asked, and is asked for again each time; the rest is kept nowhere. A handler
 * that knows better has said so already. */
static void tell_caches(struct request *request, struct reply *reply)
{
    for (size_t i = 0; i < reply->headers; i++)
        if (strcmp(reply->header[i].name, "Cache-Control") == 0)
            return;
    reply_header(request, reply, "Cache-Control", reply->etag ? "private, no-cache" : "no-store", NULL);
}

/* A small body came into memory: the handler sees a file all the same. */
static FILE *body_in_file(struct request *request, struct fault *fault)
{
    FILE *file = store_scratch(request->service->garden->store, fault);

    if (!file)
        return NULL;
    if (fwrite(request->body, 1, request->body_length, file) == request->body_length && fflush(file) == 0 && fseek(file, 0, SEEK_SET) == 0)
        return file;
    fault_add(fault, FAULT_FULL, "", "there is no room for what was sent");
    fclose(file);
    return NULL;
}

static int run(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct shape *takes = request->route->takes;
    json_t *document = NULL;
    void *given = NULL;
    char none;
    int failed;

    if (read_query(request, fault))
        return -1;
    if (request->route->form) {
        document = form_document(takes, request->body, request->body_length, request->arena, fault);
        if (!document)
            return -1;
    } else if (takes || request->route->patches) {
        document = parse(request, fault);
        if (!document)
            return -1;
    } else if (request->route->spools) {
        if (!request->body_file && !(request->body_file = body_in_file(request, fault)))
            return -1;
    } else if (request->body_length) { /* a page that sends "{}" with every write does no harm */
        document = parse(request, fault);
        if (!document || shape_read(&nothing_asked, document, &none, request->arena, fault)) {
            json_decref(document);
            return -1;
        }
    }
    request->document = document;
    if (takes) {
        given = arena_take(request->arena, takes->size);
        if (!given || shape_read(takes, document, given, request->arena, fault)) {
            json_decref(document);
            return given ? -1 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
        }
        request->given = given;
    }
    failed = request->route->handler(request, reply, fault);
    if (!failed && reply->json && said_document(request, request->route->gives, reply->json))
        reply_header(request, reply, "Vary", "Accept-Language", NULL);
    if (!failed)
        failed = render(reply, fault);
    json_decref(document);
    return failed;
}

/* What HTTP itself asks of a request, before anything of it is read. 0 or the status that refuses it. */
static unsigned check(const struct request *request)
{
    const struct route *route = request->route;

    if (!may(request, route->access))
        return request->who.role == ROLE_NONE ? 401 : 403;
    if (!writes(request))
        return 0;
    if (!own_origin(request))
        return 403;
    /* A form can be sent by a page of any origin: for it the Origin must be there. */
    if (route->form && (!request->origin || !is_type(request->content_type, "application/x-www-form-urlencoded")))
        return request->origin ? 415 : 403;
    if (route->spools && !is_one_of(request->content_type, route->spools))
        return 415;
    if (!route->form && (route->takes || route->patches) && !is_type(request->content_type, "application/json"))
        return 415;
    if (request->body_length > (route->body_most ? route->body_most : API_BODY_MOST))
        return 413;
    return 0;
}

static const char *who_may(enum access access)
{
    return access == ACCESS_KEEPER ? "a keeper" : access == ACCESS_GROWER ? "a grower or a keeper" : access == ACCESS_SENSOR ? "a sensor, a grower or a keeper" : "a member";
}

/* What would help whom check() refused; NULL where the title says it all. */
static const char *advise(struct request *request, unsigned refused)
{
    const struct route *route = request->route;

    switch (refused) {
    case 401:
        return "Ask a keeper for an invite and open its link on this device; on the garden's own machine tidemarkd --pair NAME prints one.";
    case 403:
        if (!may(request, route->access))
            return arena_format(request->arena, "This takes %s of the garden.", who_may(route->access));
        return "Only the garden's own pages may write, at the address they were opened at (Origin).";
    case 413:
        return arena_format(request->arena, "At most %zu bytes are taken here.", route->body_most ? route->body_most : (size_t)API_BODY_MOST);
    case 415:
        if (route->spools)
            return arena_format(request->arena, "Send it as one of: %s.", route->spools);
        return route->form ? "Send it as application/x-www-form-urlencoded." : "Send it as application/json.";
    default:
        return NULL;
    }
}

static void answer_as(struct request *request, struct reply *reply)
{
    struct fault fault = {0};
    struct span part[PARTS_MOST];
    char allow[64] = "";
    unsigned refused;
    int wait_s;

    *reply = (struct reply){0};
    request->route = find_route(request, part, allow, sizeof allow);
    if (!request->route) {
        problem_reply_status(request, reply, *allow ? 405 : 404, *allow ? arena_format(request->arena, "It takes %s.", allow) : NULL);
        if (*allow)
            reply_header(request, reply, "Allow", allow, NULL);
        return;
    }
    refused = check(request);
    if (refused) {
        problem_reply_status(request, reply, refused, advise(request, refused));
        if (refused == 401) /* RFC 9110 (2022), section 11.6.1; browsers do not ask for a bearer key, so no window opens */
            reply_header(request, reply, "WWW-Authenticate", "Bearer realm=\"garden\"", NULL);
        return;
    }
    if (!limits_allow(request, &wait_s)) {
        char wait[16];

        snprintf(wait, sizeof wait, "%d", wait_s);
        problem_reply_status(request, reply, 429, arena_format(request->arena, "Try again in %s s.", wait));
        reply_header(request, reply, "Retry-After", wait, NULL);
        return;
    }
    if (keep_parts(request, part, &fault) || run(request, reply, &fault)) {
        problem_reply(request, reply, &fault);
        return;
    }
    not_modified(request, reply);
    tell_caches(request, reply);
    who_renew_cookie(request, reply);
}

/* What no handler kept for itself. */
static void close_body(struct request *request)
{
    if (request->body_file)
        fclose(request->body_file);
    request->body_file = NULL;
}

void api_answer_as(struct request *request, struct reply *reply)
{
    answer_as(request, reply);
    close_body(request);
}

void api_answer(struct request *request, struct reply *reply)
{
    struct fault fault = {0};

    *reply = (struct reply){0};
    request->now_ms = clock_now_ms();
    if (api_who(request, &fault)) {
        problem_reply(request, reply, &fault);
        close_body(request);
        return;
    }
    api_answer_as(request, reply);
}

size_t api_body_most(struct request *request)
{
    struct span part[PARTS_MOST];
    char allow[64] = "";

    request->route = find_route(request, part, allow, sizeof allow);
    if (!request->route || !request->route->body_most || api_who(request, NULL) || check(request))
        return API_BODY_MOST;
    return request->route->body_most;
}

FILE *api_body_file(struct request *request, struct fault *fault)
{
    return request->route && request->route->spools ? store_scratch(request->service->garden->store, fault) : NULL;
}
