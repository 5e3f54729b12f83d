/* listen.h - the daemon's ear: libmicrohttpd with limits, TLS and the pages.
 *
 * Poll mode with a pool of threads (epoll stalls in the packaged version), each of which serves many connections. What may write
 * is answered by threads of its own (http/work.h): there it waits until it is on the disk, and writers that wait together share
 * a commit, so there are as many as should share.
 */
#ifndef TIDEMARK_LISTEN_H
#define TIDEMARK_LISTEN_H

#include <stdbool.h>
#include <stddef.h>

#include "calc/fault.h"

struct service;
struct listener;

#define HTTP_POOL 16
#define HTTP_WORK 16 /* measured by tests/bench/commits */

/* How long each part of a request may take, ms; ours. However slowly it goes on, it ends then: headers and body together
 * within 30 s. Large bodies and answers may go on while 5 kB a second get through (http/connections.h). */
struct listen_times {
    int head_ms; /* from the connection to the end of the headers */
    int idle_ms; /* from an answer to the end of the next headers */
    int body_ms;
    int send_ms;
};
#define LISTEN_TIMES ((struct listen_times){.head_ms = 10000, .idle_ms = 15000, .body_ms = 18000, .send_ms = 20000})

struct listen_options {
    const char *address;  /* "127.0.0.1:8080", "[::]:8080", ":8080" for every address; port 0: any free one */
    const char *www;      /* folder of the pages */
    const char *tls_cert, *tls_key; /* PEM files; both or neither */
    const char *public_url;
    const char *const *host; /* further names that are ours */
    size_t hosts;
    const char *const *trusted_proxy;
    size_t trusted_proxies;
    unsigned pool; /* threads; 0: HTTP_POOL */
    struct listen_times times; /* all 0: LISTEN_TIMES; tests have less patience */
};

/* Begins to answer. service and options->www must live until listen_stop. NULL with a fault. Block signals before: the threads inherit it. */
struct listener *listen_start(const struct listen_options *options, struct service *service, struct fault *fault);

/* The line of the log that says where. For when all that a caller may ask of this daemon is ready: others wait for the line. */
void listen_say(const struct listener *listener);

/* "http://127.0.0.1:8080", with the port that it really has. Lives as long as the listener. */
const char *listen_address(const struct listener *listener);
unsigned listen_port(const struct listener *listener);

/* The same as another machine would have it: where we listen at every address, with one of our addresses in the home network. */
const char *listen_reachable(const struct listener *listener);

/* What listen_reachable would say of a daemon started with this --listen. */
void listen_guess(const char *address, bool tls, char *text, size_t room);

/* How many connections are open. */
unsigned listen_connections(const struct listener *listener);

/* Takes no further requests, lets those under way finish (at most five seconds), frees everything. */
void listen_stop(struct listener *listener);

#endif
