/* exchange.h - one request and its answer, from the library's callbacks. For the files of src/http only.
 *
 * head.c reads the request line and the headers and refuses what is not for us, exchange.c gathers the body, answer.c sends
 * what is to be sent.
 */
#ifndef TIDEMARK_EXCHANGE_H
#define TIDEMARK_EXCHANGE_H

#include <microhttpd.h>
#include <stdatomic.h>
#include <stdbool.h>

#include "api/request.h"
#include "http/address.h"
#include "http/connections.h"
#include "http/files.h"
#include "http/hosts.h"
#include "http/listen.h"
#include "http/work.h"

/* Limits; ours unless said. */
#define TARGET_MOST 2048                     /* bytes of path and query */
#define SWALLOW_MOST ((size_t)8 << 20)       /* a body too large is read to its end up to this, so that the answer is seen */
#define BODIES_MOST ((int64_t)48 << 20)      /* all bodies that are coming in at once; one of its own size always may */
#define CONNECTIONS_MOST 512
#define CONNECTIONS_FROM_ONE 64              /* an address; a browser opens six */

/* What every exchange needs. */
struct front {
    struct service *service;
    struct hosts hosts;
    struct proxies proxies;
    struct files *files;
    struct connections *connections;
    struct work *work; /* for what may write */
    struct listen_times times;
    bool tls;
    atomic_bool stopping;
    _Atomic int64_t bodies; /* bytes held by bodies that are coming in */
};

/* Headers that we read; each may come once. Two of a kind are how requests are smuggled past a proxy (CWE-444). */
struct heard {
    const char *host, *origin, *sec_fetch_site, *content_type, *cookie, *authorization, *if_none_match, *accept_language;
    const char *accept_encoding, *content_length, *transfer_encoding, *expect;
    const char *forwarded, *forwarded_for, *forwarded_proto, *forwarded_host;
    bool twice;
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
    REFUSE_FULL,
    REFUSE_METHOD,
    REFUSE_ABSENT
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
    FILE *file;   /* where the body of a route that spools goes */
    struct arena arena;
    /* What the interface is asked, and its answer; made by a thread of the work where it may write. */
    struct request request;
    struct reply reply;
    char peer_text[ADDRESS_TEXT];
    struct work_item item;
    bool away; /* with the work; the connection is suspended until answered */
    atomic_bool answered;
    bool packable, packed;
};

/* head.c: what the request says of itself. read_target comes first, check_head once the headers are there. */
enum refusal head_read_target(struct exchange *exchange, const char *target);
enum refusal head_check(struct exchange *exchange, const char *method);

/* The request as the interface sees it; peer is room for its text. */
struct request head_request(struct exchange *exchange, const char *method, char peer[ADDRESS_TEXT]);
bool head_is_for_api(const char *path);

/* answer.c: one of these ends each request. */
enum MHD_Result answer_refuse(struct exchange *exchange, enum refusal why);
enum MHD_Result answer_file(struct exchange *exchange);
enum MHD_Result answer_api(struct exchange *exchange, const char *method);

/* exchange.c: callbacks for MHD_start_daemon; cls is the front. */
enum MHD_Result front_accept(void *cls, const struct sockaddr *peer, socklen_t length);
void front_connection(void *cls, struct MHD_Connection *mhd, void **socket_context, enum MHD_ConnectionNotificationCode what);
void *exchange_begin(void *cls, const char *target, struct MHD_Connection *mhd);
enum MHD_Result exchange_go_on(void *cls, struct MHD_Connection *mhd, const char *url, const char *method, const char *version,
                               const char *upload, size_t *upload_size, void **context);
void exchange_end(void *cls, struct MHD_Connection *mhd, void **context, enum MHD_RequestTerminationCode why);

#endif
