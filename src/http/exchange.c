/* exchange.c - connections come and go; a request begins, its body comes in, it is answered, it ends. */
#include "http/exchange.h"

#include <stdlib.h>
#include <string.h>

#include "http/log.h"

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

/* --- one request ------------------------------------------------------------------------------ */

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
    exchange->refused = target ? head_read_target(exchange, target) : REFUSE_TARGET;
    return exchange;
}

static void forget_body(struct exchange *exchange)
{
    atomic_fetch_sub(&exchange->front->bodies, (int64_t)exchange->room);
    free(exchange->body);
    exchange->body = NULL;
    exchange->length = exchange->room = 0;
    if (exchange->file)
        fclose(exchange->file);
    exchange->file = NULL;
}

/* Keeps what came; a NUL is put behind it. */
static enum refusal take_body(struct exchange *exchange, const char *bytes, size_t length)
{
    struct front *front = exchange->front;
    size_t needed = exchange->length + length + 1, room = exchange->room;
    char *grown;

    if (exchange->length + length > exchange->most)
        return REFUSE_BODY;
    if (exchange->file) {
        exchange->length += length;
        return fwrite(bytes, 1, length, exchange->file) == length ? REFUSE_NOTHING : REFUSE_FULL;
    }
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
    if (exchange->away) /* resumed */
        return answer_api(exchange, method);
    if (!exchange->headers_seen) {
        exchange->headers_seen = true;
        exchange->refused = head_check(exchange, method);
        if (exchange->refused && !should_swallow(&exchange->heard))
            return answer_refuse(exchange, exchange->refused);
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
        return answer_refuse(exchange, exchange->refused);
    if (exchange->file && (fflush(exchange->file) || fseek(exchange->file, 0, SEEK_SET)))
        return answer_refuse(exchange, REFUSE_FULL);
    connection_phase(exchange->connection, PHASE_WORK, 0);
    return head_is_for_api(exchange->path) ? answer_api(exchange, method) : answer_file(exchange);
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
    reply_end(&exchange->reply);
    arena_end(&exchange->arena);
    free(exchange);
    *context = NULL;
}
