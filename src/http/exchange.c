/* exchange.c - one request and its answer. */
#include "http/exchange.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "api/request.h"
#include "http/log.h"

/* Headers that we read; each may come once. Two of a kind are how requests are smuggled past a proxy (CWE-444). */
struct heard {
    const char *host, *origin, *sec_fetch_site, *content_type, *cookie, *authorization, *if_none_match, *accept_language;
    const char *accept_encoding, *content_length, *transfer_encoding, *expect;
    const char *forwarded, *forwarded_for, *forwarded_proto, *forwarded_host;
    bool twice;
};

static const struct {
    const char *name;
    size_t offset;
} headers_read[] = {
    {"Host", offsetof(struct heard, host)},
    {"Origin", offsetof(struct heard, origin)},
    {"Sec-Fetch-Site", offsetof(struct heard, sec_fetch_site)},
    {"Content-Type", offsetof(struct heard, content_type)},
    {"Cookie", offsetof(struct heard, cookie)},
    {"Authorization", offsetof(struct heard, authorization)},
    {"If-None-Match", offsetof(struct heard, if_none_match)},
    {"Accept-Language", offsetof(struct heard, accept_language)},
    {"Accept-Encoding", offsetof(struct heard, accept_encoding)},
    {"Content-Length", offsetof(struct heard, content_length)},
    {"Transfer-Encoding", offsetof(struct heard, transfer_encoding)},
    {"Expect", offsetof(struct heard, expect)},
    {"Forwarded", offsetof(struct heard, forwarded)},
    {"X-Forwarded-For", offsetof(struct heard, forwarded_for)},
    {"X-Forwarded-Proto", offsetof(struct heard, forwarded_proto)},
    {"X-Forwarded-Host", offsetof(struct heard, forwarded_host)},
};

/* What is refused here, before anyone looks at the request's meaning. */
enum refusal {
    REFUSE_NOTHING,
    REFUSE_TARGET,
    REFUSE_TARGET_LONG,
    REFUSE_TWICE,
    REFUSE_HOST_MISSING,
    REFUSE_HOST,
    REFUSE_PROXY,
    REFUSE_LENGTH,
    REFUSE_BODY,
    REFUSE_BUSY,
    REFUSE_METHOD,
    REFUSE_ABSENT
};

static const struct {
    unsigned status;
    const char *type, *title;
} refusals[] = {
    [REFUSE_TARGET] = {400, "target", "The address asked for is not well formed"},
    [REFUSE_TARGET_LONG] = {414, "target-too-long", "The address asked for is too long"},
    [REFUSE_TWICE] = {400, "header-twice", "A header that may stand once was sent twice"},
    [REFUSE_HOST_MISSING] = {400, "host-missing", "The request does not say which host it is for"},
    [REFUSE_HOST] = {421, "host", "This daemon does not answer to that host name; start it with --host NAME if it should"},
    [REFUSE_PROXY] = {400, "proxy", "The trusted proxy does not say who asks"},
    [REFUSE_LENGTH] = {400, "length", "The length of the body is not told in a usable way"},
    [REFUSE_BODY] = {413, "body-too-large", "The body is too large"},
    [REFUSE_BUSY] = {503, "busy", "Too much is coming in at once; try again"},
    [REFUSE_METHOD] = {405, "method", "Pages can only be read"},
    [REFUSE_ABSENT] = {404, "absent", "There is no such page"},
};

struct exchange {
    struct front *front;
    struct MHD_Connection *mhd;
    struct connection *connection;
    char *target, *path; /* as sent; decoded. The query stands in target, behind "?" */
    const char *query;
    bool headers_seen;
    enum refusal refused;
    struct heard heard;
    struct address peer;
    bool from_loopback, secure;
    char *body;
    size_t length, room, most;
    struct arena arena;
};

static struct connection *connection_of(struct MHD_Connection *mhd)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_SOCKET_CONTEXT);

    return info ? info->socket_context : NULL;
}

/* --- connections ------------------------------------------------------------------------------ */

enum MHD_Result front_accept(void *cls, const struct sockaddr *peer, socklen_t length)
{
    struct front *front = cls;
    struct address address;
    char text[ADDRESS_TEXT];

    (void)length;
    if (!address_of(&address, peer) || proxies_trust(&front->proxies, &address))
        return MHD_YES; /* behind a proxy everyone is one address */
    if (connections_from(front->connections, &address) < CONNECTIONS_FROM_ONE)
        return MHD_YES;
    log_event("refused", "connection from %s: it has %d already", address_text(&address, text), CONNECTIONS_FROM_ONE);
    return MHD_NO;
}

void front_connection(void *cls, struct MHD_Connection *mhd, void **socket_context, enum MHD_ConnectionNotificationCode what)
{
    struct front *front = cls;

    if (what == MHD_CONNECTION_NOTIFY_STARTED) {
        const union MHD_ConnectionInfo *info = MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CONNECTION_FD);
        struct connection *connection = connections_add(front->connections, info->connect_fd);

        if (connection)
            connection_phase(connection, PHASE_HEAD, front->times.head_ms);
        *socket_context = connection;
    } else {
        struct connection *connection = *socket_context;
        void *left = connection ? connection->open : NULL;

        /* A request with more arguments than its room holds is begun, yet its end is never told. */
        exchange_end(front, mhd, &left, MHD_REQUEST_TERMINATED_WITH_ERROR);
        connections_remove(front->connections, connection);
        *socket_context = NULL;
    }
}

/* --- the request line and the headers --------------------------------------------------------- */

static int hex_of(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    c |= 0x20;
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

/* Percent-decodes a path. -1 for what is no escape, for control characters (%00 would end the text for all who
 * read on), and for an encoded slash, which would make two parts of one. */
static int decode_path(const char *from, size_t length, char *to)
{
    size_t at = 0;

    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)from[i];

        if (c == '%') {
            int high = i + 2 < length ? hex_of(from[i + 1]) : -1, low = i + 2 < length ? hex_of(from[i + 2]) : -1;

            if (high < 0 || low < 0)
                return -1;
            c = (unsigned char)(high << 4 | low);
            if (c == '/')
                return -1;
            i += 2;
        }
        if (c < 0x20 || c == 0x7f)
            return -1;
        to[at++] = (char)c;
    }
    to[at] = '\0';
    return 0;
}

/* Splits and decodes the target into target, path and query, or says why not. */
static enum refusal read_target(struct exchange *exchange, const char *target)
{
    size_t length = strlen(target), path_length = strcspn(target, "?");

    if (length > TARGET_MOST)
        return REFUSE_TARGET_LONG;
    if (target[0] != '/')
        return REFUSE_TARGET;
    exchange->target = arena_text(&exchange->arena, target);
    exchange->path = arena_take(&exchange->arena, path_length + 1);
    if (!exchange->target || !exchange->path)
        return REFUSE_BUSY;
    exchange->query = target[path_length] ? exchange->target + path_length + 1 : "";
    if (decode_path(target, path_length, exchange->path) || strstr(exchange->query, "%00"))
        return REFUSE_TARGET;
    return REFUSE_NOTHING;
}

void *exchange_begin(void *cls, const char *target, struct MHD_Connection *mhd)
{
    struct exchange *exchange = calloc(1, sizeof *exchange);

    if (!exchange)
        return NULL;
    exchange->front = cls;
    exchange->mhd = mhd;
    exchange->connection = connection_of(mhd);
    if (exchange->connection)
        exchange->connection->open = exchange;
    exchange->query = "";
    exchange->refused = target ? read_target(exchange, target) : REFUSE_TARGET;
    return exchange;
}

static enum MHD_Result hear(void *cls, enum MHD_ValueKind kind, const char *key, const char *value)
{
    struct heard *heard = cls;

    (void)kind;
    for (size_t i = 0; i < sizeof headers_read / sizeof *headers_read; i++)
        if (strcasecmp(key, headers_read[i].name) == 0) {
            const char **place = (const char **)(void *)((char *)heard + headers_read[i].offset);

            heard->twice |= *place != NULL;
            *place = value ? value : "";
        }
    return MHD_YES;
}

/* Who asks, by which host, how safely; a trusted proxy may say so for another. */
static enum refusal find_peer(struct exchange *exchange)
{
    struct front *front = exchange->front;
    struct heard *heard = &exchange->heard;
    struct connection *connection = exchange->connection;
    bool by_proxy = proxies_trust(&front->proxies, &connection->peer);

    exchange->peer = connection->peer;
    exchange->secure = front->tls;
    if (by_proxy && heard->forwarded_for) {
        if (!proxies_client(&front->proxies, heard->forwarded_for, &exchange->peer))
            return REFUSE_PROXY;
        if (heard->forwarded_proto)
            exchange->secure = strcasecmp(heard->forwarded_proto, "https") == 0;
        if (heard->forwarded_host)
            heard->host = heard->forwarded_host;
    }
    if (!heard->host || !heard->host[0])
        return REFUSE_HOST_MISSING;
    if (!hosts_know(&front->hosts, heard->host, &connection->own))
        return REFUSE_HOST;
    /* A proxy on this machine that was not told to us would make everyone a guest at home: its headers give it away. */
    exchange->from_loopback = address_is_loopback(&exchange->peer) && hosts_is_loopback(heard->host) &&
                              (by_proxy || (!heard->forwarded && !heard->forwarded_for && !heard->forwarded_host));
    return REFUSE_NOTHING;
}

static bool is_for_api(const char *path)
{
    return strncmp(path, "/api/", 5) == 0 || strcmp(path, "/plain") == 0 || strncmp(path, "/plain/", 7) == 0 ||
           strncmp(path, "/t/", 3) == 0 || strcmp(path, "/healthz") == 0;
}

/* The request as the interface sees it; peer is room for its text. */
static struct request request_of(struct exchange *exchange, const char *method, char peer[ADDRESS_TEXT])
{
    const struct heard *heard = &exchange->heard;

    return (struct request){
        .service = exchange->front->service,
        .method = strcmp(method, "HEAD") == 0 ? "GET" : method, /* the library leaves the body out */
        .path = exchange->path,
        .query = exchange->query,
        .host = heard->host,
        .origin = heard->origin,
        .sec_fetch_site = heard->sec_fetch_site,
        .content_type = heard->content_type,
        .cookie = heard->cookie,
        .authorization = heard->authorization,
        .if_none_match = heard->if_none_match,
        .accept_language = heard->accept_language,
        .peer = address_text(&exchange->peer, peer),
        .from_loopback = exchange->from_loopback,
        .secure = exchange->secure,
        .body = exchange->body ? exchange->body : "",
        .body_length = exchange->length,
        .arena = &exchange->arena,
    };
}

/* The body's length as told, before a byte of it is read. More than usual is a question to the interface. */
static enum refusal check_length(struct exchange *exchange, const char *method)
{
    const struct heard *heard = &exchange->heard;
    const char *told = heard->content_length;
    char peer[ADDRESS_TEXT];
    struct request request;
    uintmax_t length;

    exchange->most = API_BODY_MOST;
    if (heard->transfer_encoding && (told || strcasecmp(heard->transfer_encoding, "chunked") != 0))
        return REFUSE_LENGTH;
    if (!told)
        return REFUSE_NOTHING;
    if (!told[0] || told[strspn(told, "0123456789")])
        return REFUSE_LENGTH;
    length = strlen(told) > 18 ? UINTMAX_MAX : strtoumax(told, NULL, 10);
    if (length > exchange->most && is_for_api(exchange->path)) {
        request = request_of(exchange, method, peer);
        exchange->most = api_body_most(&request);
    }
    return length > exchange->most ? REFUSE_BODY : REFUSE_NOTHING;
}

static enum refusal check_head(struct exchange *exchange, const char *method)
{
    struct heard *heard = &exchange->heard;
    enum refusal refused;

    MHD_get_connection_values(exchange->mhd, MHD_HEADER_KIND, hear, heard);
    if (exchange->refused)
        return exchange->refused;
    refused = find_peer(exchange); /* before all else: a stranger's page learns nothing but this */
    if (refused)
        return refused;
    if (heard->twice)
        return REFUSE_TWICE;
    refused = check_length(exchange, method);
    if (refused)
        return refused;
    if (!is_for_api(exchange->path)) {
        if (strcmp(method, "GET") != 0 && strcmp(method, "HEAD") != 0)
            return REFUSE_METHOD;
        if (!files_find(exchange->front->files, exchange->path))
            return REFUSE_ABSENT;
    }
    return REFUSE_NOTHING;
}

/* --- answering -------------------------------------------------------------------------------- */

static const struct reply_header on_every_answer[] = {
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
     "manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"X-Frame-Options", "DENY"}, /* for browsers from before frame-ancestors */
    {"Referrer-Policy", "same-origin"}, /* with no-referrer a form without script would send "Origin: null" */
    {"Cross-Origin-Resource-Policy", "same-origin"},
};

/* Takes over response. */
static enum MHD_Result send_off(struct exchange *exchange, unsigned status, struct MHD_Response *response, size_t length)
{
    struct front *front = exchange->front;
    enum MHD_Result result;

    if (!response)
        return MHD_NO; /* out of memory: the library closes the connection */
    for (size_t i = 0; i < sizeof on_every_answer / sizeof *on_every_answer; i++)
        MHD_add_response_header(response, on_every_answer[i].name, on_every_answer[i].value);
    /* Only for the public name: it would hold for every other service under that name, too. */
    if (exchange->secure && exchange->heard.host && hosts_is_public(&front->hosts, exchange->heard.host))
        MHD_add_response_header(response, "Strict-Transport-Security", "max-age=2592000");
    if (atomic_load(&front->stopping))
        MHD_add_response_header(response, "Connection", "close");
    connection_moves(exchange->connection, PHASE_SEND, length, front->times.send_ms);
    result = MHD_queue_response(exchange->mhd, status, response);
    MHD_destroy_response(response);
    return result;
}

static enum MHD_Result refuse(struct exchange *exchange, enum refusal why)
{
    char text[256], peer[ADDRESS_TEXT];
    const char *host = exchange->heard.host;
    int length = snprintf(text, sizeof text, "{\"type\":\"/problems/%s\",\"title\":\"%s\",\"status\":%u,\"errors\":[]}",
                          refusals[why].type, refusals[why].title, refusals[why].status);
    struct MHD_Response *response = MHD_create_response_from_buffer((size_t)length, text, MHD_RESPMEM_MUST_COPY);

    if (why == REFUSE_HOST)
        log_event("refused", "421 from %s: host %.100s", address_text(&exchange->peer, peer), host);
    else if (why != REFUSE_ABSENT)
        log_event("refused", "%u from %s: %s", refusals[why].status, address_text(&exchange->connection->peer, peer),
                  refusals[why].type);
    if (response) {
        MHD_add_response_header(response, "Content-Type", "application/problem+json");
        MHD_add_response_header(response, "Cache-Control", "no-store");
        if (why == REFUSE_METHOD)
            MHD_add_response_header(response, "Allow", "GET, HEAD");
        if (why == REFUSE_BUSY)
            MHD_add_response_header(response, "Retry-After", "2");
    }
    return send_off(exchange, refusals[why].status, response, (size_t)length);
}

/* Whether a list like "gzip, br;q=0.5" has the coding with a weight above nothing. */
static bool accepts_gzip(const char *accepted)
{
    for (const char *at = accepted; at && (at = strstr(at, "gzip")) != NULL; at += 4) {
        const char *weight = at + 4;
        bool begins = at == accepted || at[-1] == ' ' || at[-1] == ',';

        weight += strspn(weight, " ");
        if (!begins || (*weight && *weight != ',' && *weight != ';'))
            continue;
        if (*weight != ';')
            return true;
        weight += 1 + strspn(weight + 1, " ");
        return strncmp(weight, "q=", 2) != 0 || strtod(weight + 2, NULL) > 0;
    }
    return false;
}

/* If-None-Match is a list; weak tags compare like strong ones. */
static bool has_tag(const char *list, const char *tag)
{
    return list && (strcmp(list, "*") == 0 || strstr(list, tag));
}

static enum MHD_Result send_file(struct exchange *exchange)
{
    const struct file *file = files_find(exchange->front->files, exchange->path);
    bool packed = file->gz.bytes && accepts_gzip(exchange->heard.accept_encoding);
    const struct file_form *form = packed ? &file->gz : &file->plain;
    bool unchanged = has_tag(exchange->heard.if_none_match, form->etag);
    size_t length = unchanged ? 0 : form->length;
    struct MHD_Response *response = MHD_create_response_from_buffer(length, form->bytes, MHD_RESPMEM_PERSISTENT);

    if (response) {
        MHD_add_response_header(response, "ETag", form->etag);
        /* Asked for again each time, answered with 304: a page and its modules are always of one version. */
        MHD_add_response_header(response, "Cache-Control", "no-cache");
        if (file->gz.bytes)
            MHD_add_response_header(response, "Vary", "Accept-Encoding");
        if (!unchanged)
            MHD_add_response_header(response, "Content-Type", file->type);
        if (packed && !unchanged)
            MHD_add_response_header(response, "Content-Encoding", "gzip");
    }
    return send_off(exchange, unchanged ? 304 : 200, response, length);
}

static void log_answer(const struct exchange *exchange, const char *method, unsigned status)
{
    char peer[ADDRESS_TEXT];
    bool reads = strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0;

    if (status < 400 && reads)
        return;
    log_event(status >= 500 ? "failed" : status >= 400 ? "refused" : "answered", "%u %s %.200s from %s", status, method,
              exchange->path, address_text(&exchange->peer, peer));
}

static enum MHD_Result ask_api(struct exchange *exchange, const char *method)
{
    char peer[ADDRESS_TEXT];
    struct request request = request_of(exchange, method, peer);
    struct reply reply = {.status = 0};
    struct MHD_Response *response;
    bool cache_told = false;
    unsigned status;

    api_answer(&request, &reply);
    status = reply.status ? reply.status : 200;
    log_answer(exchange, method, status);
    response = MHD_create_response_from_buffer(reply.length, reply.bytes, MHD_RESPMEM_MUST_FREE);
    if (response) {
        reply.bytes = NULL; /* the response frees them */
        if (reply.type && reply.length)
            MHD_add_response_header(response, "Content-Type", reply.type);
        if (reply.etag)
            MHD_add_response_header(response, "ETag", reply.etag);
        for (size_t i = 0; i < reply.headers; i++) {
            MHD_add_response_header(response, reply.header[i].name, reply.header[i].value);
            cache_told |= strcasecmp(reply.header[i].name, "Cache-Control") == 0;
        }
        if (!cache_told)
            MHD_add_response_header(response, "Cache-Control", "no-store");
    }
    reply_end(&reply);
    return send_off(exchange, status, response, reply.length);
}

/* --- the body, and the whole ------------------------------------------------------------------ */

static void forget_body(struct exchange *exchange)
{
    atomic_fetch_sub(&exchange->front->bodies, (int64_t)exchange->room);
    free(exchange->body);
    exchange->body = NULL;
    exchange->length = exchange->room = 0;
}

/* Keeps what came; a NUL is put behind it. */
static enum refusal take_body(struct exchange *exchange, const char *bytes, size_t length)
{
    struct front *front = exchange->front;
    size_t needed = exchange->length + length + 1, room = exchange->room;
    char *grown;

    if (exchange->length + length > exchange->most)
        return REFUSE_BODY;
    if (needed > room) {
        room = needed < 4096 ? 4096 : 2 * needed;
        room = room > exchange->most + 1 ? exchange->most + 1 : room;
        if ((atomic_fetch_add(&front->bodies, (int64_t)(room - exchange->room)) > BODIES_MOST && exchange->most == API_BODY_MOST) ||
            !(grown = realloc(exchange->body, room))) {
            atomic_fetch_sub(&front->bodies, (int64_t)(room - exchange->room));
            return REFUSE_BUSY;
        }
        exchange->body = grown;
        exchange->room = room;
    }
    memcpy(exchange->body + exchange->length, bytes, length);
    exchange->length += length;
    exchange->body[exchange->length] = '\0';
    return REFUSE_NOTHING;
}

/* Of a body in chunks nothing is told: it may be a large one. */
static size_t told_length(const struct heard *heard)
{
    if (!heard->content_length)
        return heard->transfer_encoding ? API_BODY_MOST : 0;
    return strlen(heard->content_length) > 18 ? SWALLOW_MOST : (size_t)strtoull(heard->content_length, NULL, 10);
}

/* Who sends a body without waiting for leave sees a closed connection, not our answer, when it is not read:
 * so it is read and thrown away, if it is not too long. */
static bool should_swallow(const struct heard *heard)
{
    const char *told = heard->content_length;

    if (heard->expect)
        return false;
    return heard->transfer_encoding || (told && strlen(told) < 9 && strtoul(told, NULL, 10) <= SWALLOW_MOST);
}

enum MHD_Result exchange_go_on(void *cls, struct MHD_Connection *mhd, const char *url, const char *method, const char *version,
                               const char *upload, size_t *upload_size, void **context)
{
    struct exchange *exchange = *context;

    (void)cls, (void)mhd, (void)url, (void)version;
    if (!exchange || !exchange->connection)
        return MHD_NO;
    if (!exchange->headers_seen) {
        exchange->headers_seen = true;
        exchange->refused = check_head(exchange, method);
        if (exchange->refused && !should_swallow(&exchange->heard))
            return refuse(exchange, exchange->refused);
        connection_moves(exchange->connection, PHASE_BODY, told_length(&exchange->heard), exchange->front->times.body_ms);
        return MHD_YES;
    }
    if (*upload_size) {
        if (!exchange->refused) {
            exchange->refused = take_body(exchange, upload, *upload_size);
            if (exchange->refused)
                forget_body(exchange);
        } else if ((exchange->length += *upload_size) > SWALLOW_MOST) {
            return MHD_NO;
        }
        *upload_size = 0;
        return MHD_YES;
    }
    if (exchange->refused)
        return refuse(exchange, exchange->refused);
    connection_phase(exchange->connection, PHASE_WORK, 0);
    return is_for_api(exchange->path) ? ask_api(exchange, method) : send_file(exchange);
}

void exchange_end(void *cls, struct MHD_Connection *mhd, void **context, enum MHD_RequestTerminationCode why)
{
    struct exchange *exchange = *context;

    (void)cls, (void)mhd, (void)why;
    if (!exchange)
        return;
    if (exchange->connection) {
        connection_phase(exchange->connection, PHASE_IDLE, exchange->front->times.idle_ms);
        exchange->connection->open = NULL;
    }
    forget_body(exchange);
    arena_end(&exchange->arena);
    free(exchange);
    *context = NULL;
}
