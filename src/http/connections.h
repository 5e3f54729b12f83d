/* connections.h - every open connection, how long it may still take, and how many an address has.
 *
 * libmicrohttpd's own timeout is for silence: a client that sends a byte a second is never timed out by it.
 * So each phase of a request has an end by the clock, and a thread closes what is over it.
 */
#ifndef TIDEMARK_CONNECTIONS_H
#define TIDEMARK_CONNECTIONS_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "http/address.h"

struct connections;
struct exchange;

enum phase {
    PHASE_HEAD, /* the request line and the headers are to come */
    PHASE_IDLE, /* the same, on a connection that was answered before */
    PHASE_BODY,
    PHASE_WORK, /* ours: never cut off */
    PHASE_SEND
};

struct connection {
    struct connection *next, *previous;
    int fd;
    struct address peer, own;
    struct exchange *open; /* the request under way, of the thread that serves this connection */
    atomic_int phase;
    _Atomic int64_t until_ms; /* on the monotonic clock; INT64_MAX: no end */
    _Atomic int64_t window_ms; /* of a large body or answer: how long until the next look at what got through; 0: there is none */
    _Atomic uint64_t through;  /* bytes at the last look */
};

/* Starts the thread. NULL when out of memory or threads. */
struct connections *connections_start(void);
void connections_stop(struct connections *connections);

struct connection *connections_add(struct connections *connections, int fd);
void connections_remove(struct connections *connections, struct connection *connection);

unsigned connections_count(struct connections *connections);
unsigned connections_from(struct connections *connections, const struct address *peer);

/* A phase begins and may take this long. */
void connection_phase(struct connection *connection, enum phase phase, int64_t most_ms);

/* A body (PHASE_BODY) or an answer (PHASE_SEND) of so many bytes begins. Up to LARGE_BYTES it may take window_ms; a larger
 * one may go on as long as SLOWEST_BYTES_MS get through in each such window. */
#define LARGE_BYTES ((size_t)64 << 10)
#define SLOWEST_BYTES_MS 5 /* 5 kB a second; ours */
void connection_moves(struct connection *connection, enum phase phase, size_t length, int64_t window_ms);

/* Closes what waits for a request, at once. What is under way is left alone; returns how many those are. */
unsigned connections_hush(struct connections *connections);

#endif
