/* answer.c - what is sent: a refusal, a page, or what the interface says, each with the headers that go with every answer. */
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>
#include <zlib.h>

#include "api/routes.h"
#include "http/exchange.h"
#include "http/log.h"

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
    [REFUSE_FULL] = {507, "full", "There is no room on the disk for what is sent"},
    [REFUSE_METHOD] = {405, "method", "Pages can only be read"},
    [REFUSE_ABSENT] = {404, "absent", "There is no such page"},
};

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

enum MHD_Result answer_refuse(struct exchange *exchange, enum refusal why)
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

/* Answers that are texts of more than a packet go out packed to who accepts it: a tank is 30 kB plain and 5 packed. A level at
 * which packing takes less time than the phone's network saves. */
#define PACK_LEAST 1400
#define PACK_LEVEL 4

static bool is_text(const char *type)
{
    return type && (strncmp(type, "application/json", 16) == 0 || strncmp(type, "text/", 5) == 0);
}

/* Puts the packed bytes in the place of the reply's; where that fails the plain ones go out. */
static bool pack(struct reply *reply)
{
    z_stream stream = {.next_in = (Bytef *)reply->bytes, .avail_in = (uInt)reply->length};
    char *packed;
    uLong room;

    if (deflateInit2(&stream, PACK_LEVEL, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY) != Z_OK) /* 16: as gzip, RFC 1952 (1996) */
        return false;
    room = deflateBound(&stream, (uLong)reply->length);
    packed = malloc(room);
    stream.next_out = (Bytef *)packed;
    stream.avail_out = (uInt)room;
    if (!packed || deflate(&stream, Z_FINISH) != Z_STREAM_END) {
        deflateEnd(&stream);
        free(packed);
        return false;
    }
    free(reply->bytes);
    reply->bytes = packed;
    reply->length = stream.total_out;
    deflateEnd(&stream);
    return true;
}

/* If-None-Match is a list; weak tags compare like strong ones. */
static bool has_tag(const char *list, const char *tag)
{
    return list && (strcmp(list, "*") == 0 || strstr(list, tag));
}

enum MHD_Result answer_file(struct exchange *exchange)
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

/* A path that holds a key is told as its route has it. */
static void log_answer(const struct exchange *exchange, const struct route *route, const char *method, unsigned status)
{
    const char *path = route && strstr(route->path, "{key}") ? route->path : exchange->path;
    char peer[ADDRESS_TEXT];
    bool reads = strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0;

    if (status < 400 && reads)
        return;
    log_event(status >= 500 ? "failed" : status >= 400 ? "refused" : "answered", "%u %s %.200s from %s", status, method,
              path, address_text(&exchange->peer, peer));
}

/* The library closes the descriptor, the stream goes with the reply. */
static struct MHD_Response *file_response(const struct reply *reply)
{
    int file = dup(fileno(reply->file));
    struct MHD_Response *response = file < 0 ? NULL : MHD_create_response_from_fd64(reply->length, file);

    if (!response && file >= 0)
        close(file);
    return response;
}

/* The longer part: what the interface says, packed where that pays. */
static void make_reply(struct exchange *exchange)
{
    struct reply *reply = &exchange->reply;

    api_answer(&exchange->request, reply);
    exchange->packable = !reply->file && reply->bytes && reply->length > PACK_LEAST && reply->length < UINT32_MAX && is_text(reply->type);
    exchange->packed = exchange->packable && accepts_gzip(exchange->heard.accept_encoding) && pack(reply);
}

/* In a thread of the work. Once the connection is resumed, the exchange may be gone at any moment. */
static void answer_away(struct work_item *item)
{
    struct exchange *exchange = (struct exchange *)(void *)((char *)item - offsetof(struct exchange, item));

    make_reply(exchange);
    atomic_store(&exchange->answered, true);
    MHD_resume_connection(exchange->mhd);
}

static void add_headers(struct exchange *exchange, struct MHD_Response *response)
{
    const struct reply *reply = &exchange->reply;
    bool cache_told = false;

    if (reply->type && reply->length)
        MHD_add_response_header(response, "Content-Type", reply->type);
    if (reply->etag) /* weak when packed: the same meaning in other bytes, RFC 9110 (2022), section 8.8.1 */
        MHD_add_response_header(response, "ETag", exchange->packed ? arena_format(&exchange->arena, "W/%s", reply->etag) : reply->etag);
    if (exchange->packable)
        MHD_add_response_header(response, "Vary", "Accept-Encoding");
    if (exchange->packed)
        MHD_add_response_header(response, "Content-Encoding", "gzip");
    for (size_t i = 0; i < reply->headers; i++) {
        MHD_add_response_header(response, reply->header[i].name, reply->header[i].value);
        cache_told |= strcasecmp(reply->header[i].name, "Cache-Control") == 0;
    }
    if (!cache_told)
        MHD_add_response_header(response, "Cache-Control", "no-store");
}

static enum MHD_Result send_reply(struct exchange *exchange, const char *method)
{
    struct reply *reply = &exchange->reply;
    unsigned status = reply->status ? reply->status : 200;
    struct MHD_Response *response =
        reply->file ? file_response(reply) : MHD_create_response_from_buffer(reply->length, reply->bytes, MHD_RESPMEM_MUST_FREE);

    log_answer(exchange, exchange->request.route, method, status);
    if (response) {
        reply->bytes = NULL; /* the response frees them */
        add_headers(exchange, response);
    }
    return send_off(exchange, status, response, reply->length);
}

/* What only reads is answered here. What may write waits for the disk, and with it would wait every other connection of this
 * thread: it is suspended, another thread waits in its place, and this function is called again when the answer is there. */
enum MHD_Result answer_api(struct exchange *exchange, const char *method)
{
    if (exchange->away)
        return atomic_load(&exchange->answered) ? send_reply(exchange, method) : MHD_YES;
    exchange->request = head_request(exchange, method, exchange->peer_text);
    exchange->file = NULL; /* the interface closes it */
    if (strcmp(exchange->request.method, "GET") == 0) {
        make_reply(exchange);
        return send_reply(exchange, method);
    }
    exchange->away = true;
    exchange->item.run = answer_away;
    MHD_suspend_connection(exchange->mhd); /* before anybody could resume it */
    if (!work_take(exchange->front->work, &exchange->item))
        answer_away(&exchange->item);
    return MHD_YES;
}
