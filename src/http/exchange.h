/* exchange.h - one request and its answer, from the library's callbacks. For the files of src/http only. */
#ifndef TIDEMARK_EXCHANGE_H
#define TIDEMARK_EXCHANGE_H

#include <microhttpd.h>
#include <stdatomic.h>
#include <stdbool.h>

#include "http/address.h"
#include "http/connections.h"
#include "http/files.h"
#include "http/hosts.h"
#include "http/listen.h"

struct service;

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
    struct listen_times times;
    bool tls;
    atomic_bool stopping;
    _Atomic int64_t bodies; /* bytes held by bodies that are coming in */
};

/* Callbacks for MHD_start_daemon; cls is the front. */
enum MHD_Result front_accept(void *cls, const struct sockaddr *peer, socklen_t length);
void front_connection(void *cls, struct MHD_Connection *mhd, void **socket_context, enum MHD_ConnectionNotificationCode what);
void *exchange_begin(void *cls, const char *target, struct MHD_Connection *mhd);
enum MHD_Result exchange_go_on(void *cls, struct MHD_Connection *mhd, const char *url, const char *method, const char *version,
                               const char *upload, size_t *upload_size, void **context);
void exchange_end(void *cls, struct MHD_Connection *mhd, void **context, enum MHD_RequestTerminationCode why);

#endif
