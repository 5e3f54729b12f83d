/* head.c - the request line and the headers: who asks, for which host, how much is to come. */
#include <inttypes.h>
#include <string.h>
#include <strings.h>

#include "http/exchange.h"

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
enum refusal head_read_target(struct exchange *exchange, const char *target)
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

bool head_is_for_api(const char *path)
{
    return strncmp(path, "/api/", 5) == 0 || strcmp(path, "/plain") == 0 || strncmp(path, "/plain/", 7) == 0 ||
           strncmp(path, "/t/", 3) == 0 || strcmp(path, "/healthz") == 0 || strcmp(path, "/metrics") == 0;
}

struct request head_request(struct exchange *exchange, const char *method, char peer[ADDRESS_TEXT])
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
        .body_length = exchange->file ? 0 : exchange->length,
        .body_file = exchange->file,
        .arena = &exchange->arena,
    };
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
    exchange->from_loopback = address_is_loopback(&exchange->peer) && hosts_is_loopback(heard->host) && !by_proxy &&
                              !heard->forwarded && !heard->forwarded_for && !heard->forwarded_host;
    return REFUSE_NOTHING;
}

/* The body's length as told, before a byte of it is read. More than usual is a question to the interface. */
static enum refusal check_length(struct exchange *exchange, const char *method)
{
    const struct heard *heard = &exchange->heard;
    const char *told = heard->content_length;
    char peer[ADDRESS_TEXT];
    struct fault fault = {0};
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
    if (length > exchange->most && head_is_for_api(exchange->path)) {
        request = head_request(exchange, method, peer);
        exchange->most = api_body_most(&request);
        if (length <= exchange->most && exchange->most > API_BODY_MOST) {
            exchange->file = api_body_file(&request, &fault);
            if (fault.code)
                return REFUSE_FULL;
        }
    }
    return length > exchange->most ? REFUSE_BODY : REFUSE_NOTHING;
}

enum refusal head_check(struct exchange *exchange, const char *method)
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
    if (!head_is_for_api(exchange->path)) {
        if (strcmp(method, "GET") != 0 && strcmp(method, "HEAD") != 0)
            return REFUSE_METHOD;
        if (!files_find(exchange->front->files, exchange->path))
            return REFUSE_ABSENT;
    }
    return REFUSE_NOTHING;
}
