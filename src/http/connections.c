/* connections.c - every open connection, and the thread that ends those that take too long. */
#include "http/connections.h"

#include <linux/tcp.h>
#include <netinet/in.h>
#include <pthread.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>

#include "http/log.h"

struct connections {
    pthread_mutex_t lock; /* all below */
    pthread_cond_t wake;
    pthread_t thread;
    struct connection *first;
    unsigned count;
    bool stopping;
};

static int64_t now_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

/* Shut down, not closed: the library still owns the socket, and sees its end. While the lock is held no
 * connection leaves the list, so the number cannot have become another's. */
static void end(struct connection *connection)
{
    atomic_store(&connection->until_ms, INT64_MAX);
    shutdown(connection->fd, SHUT_RDWR);
}

/* What the other side has taken, or given, by the kernel's account. */
static uint64_t bytes_through(const struct connection *connection)
{
    struct tcp_info info = {0};
    socklen_t size = sizeof info;

    if (getsockopt(connection->fd, IPPROTO_TCP, TCP_INFO, &info, &size))
        return 0;
    return atomic_load(&connection->phase) == PHASE_BODY ? info.tcpi_bytes_received : info.tcpi_bytes_acked;
}

/* A large body or answer that gets through fast enough has another window. */
static bool goes_on(struct connection *connection, int64_t now)
{
    int64_t window_ms = atomic_load(&connection->window_ms);
    uint64_t through;

    if (!window_ms)
        return false;
    through = bytes_through(connection);
    if (through - atomic_load(&connection->through) < (uint64_t)(window_ms * SLOWEST_BYTES_MS))
        return false;
    atomic_store(&connection->through, through);
    atomic_store(&connection->until_ms, now + window_ms);
    return true;
}

static void end_overdue(struct connections *connections)
{
    static const char *const names[] = {
        [PHASE_HEAD] = "request line and headers", [PHASE_IDLE] = "idle", [PHASE_BODY] = "body",
        [PHASE_WORK] = "work", [PHASE_SEND] = "taking the answer"};
    int64_t now = now_ms();

    for (struct connection *connection = connections->first; connection; connection = connection->next)
        if (atomic_load(&connection->until_ms) < now && !goes_on(connection, now)) {
            int phase = atomic_load(&connection->phase);
            char peer[ADDRESS_TEXT];

            if (phase != PHASE_IDLE)
                log_event("overdue", "%s: %s", address_text(&connection->peer, peer), names[phase]);
            end(connection);
        }
}

static void *sweep(void *context)
{
    struct connections *connections = context;

    pthread_mutex_lock(&connections->lock);
    while (!connections->stopping) {
        struct timespec until;

        clock_gettime(CLOCK_MONOTONIC, &until);
        until.tv_sec += 1;
        pthread_cond_timedwait(&connections->wake, &connections->lock, &until);
        end_overdue(connections);
    }
    pthread_mutex_unlock(&connections->lock);
    return NULL;
}

struct connections *connections_start(void)
{
    struct connections *connections = calloc(1, sizeof *connections);
    pthread_condattr_t steady;

    if (!connections)
        return NULL;
    pthread_mutex_init(&connections->lock, NULL);
    pthread_condattr_init(&steady);
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
    pthread_cond_init(&connections->wake, &steady);
    pthread_condattr_destroy(&steady);
    if (pthread_create(&connections->thread, NULL, sweep, connections)) {
        free(connections);
        return NULL;
    }
    return connections;
}

void connections_stop(struct connections *connections)
{
    if (!connections)
        return;
    pthread_mutex_lock(&connections->lock);
    connections->stopping = true;
    pthread_cond_signal(&connections->wake);
    pthread_mutex_unlock(&connections->lock);
    pthread_join(connections->thread, NULL);
    pthread_cond_destroy(&connections->wake);
    pthread_mutex_destroy(&connections->lock);
    free(connections);
}

static void read_ends(struct connection *connection)
{
    struct sockaddr_storage at;
    socklen_t size = sizeof at;

    if (getpeername(connection->fd, (struct sockaddr *)&at, &size) == 0)
        address_of(&connection->peer, (struct sockaddr *)&at);
    size = sizeof at;
    if (getsockname(connection->fd, (struct sockaddr *)&at, &size) == 0)
        address_of(&connection->own, (struct sockaddr *)&at);
}

struct connection *connections_add(struct connections *connections, int fd)
{
    struct connection *connection = calloc(1, sizeof *connection);

    if (!connection)
        return NULL;
    connection->fd = fd;
    atomic_init(&connection->until_ms, INT64_MAX);
    read_ends(connection);
    pthread_mutex_lock(&connections->lock);
    connection->next = connections->first;
    if (connection->next)
        connection->next->previous = connection;
    connections->first = connection;
    connections->count++;
    pthread_mutex_unlock(&connections->lock);
    return connection;
}

void connections_remove(struct connections *connections, struct connection *connection)
{
    if (!connection)
        return;
    pthread_mutex_lock(&connections->lock);
    if (connection->next)
        connection->next->previous = connection->previous;
    if (connection->previous)
        connection->previous->next = connection->next;
    else
        connections->first = connection->next;
    connections->count--;
    pthread_mutex_unlock(&connections->lock);
    free(connection);
}

unsigned connections_count(struct connections *connections)
{
    unsigned count;

    pthread_mutex_lock(&connections->lock);
    count = connections->count;
    pthread_mutex_unlock(&connections->lock);
    return count;
}

unsigned connections_from(struct connections *connections, const struct address *peer)
{
    unsigned count = 0;

    pthread_mutex_lock(&connections->lock);
    for (struct connection *connection = connections->first; connection; connection = connection->next)
        count += address_same(&connection->peer, peer);
    pthread_mutex_unlock(&connections->lock);
    return count;
}

void connection_phase(struct connection *connection, enum phase phase, int64_t most_ms)
{
    atomic_store(&connection->window_ms, 0);
    atomic_store(&connection->phase, phase);
    atomic_store(&connection->until_ms, phase == PHASE_WORK ? INT64_MAX : now_ms() + most_ms);
}

void connection_moves(struct connection *connection, enum phase phase, size_t length, int64_t window_ms)
{
    connection_phase(connection, phase, window_ms);
    if (length <= LARGE_BYTES)
        return;
    atomic_store(&connection->through, bytes_through(connection));
    atomic_store(&connection->window_ms, window_ms);
}

unsigned connections_hush(struct connections *connections)
{
    unsigned busy = 0;

    pthread_mutex_lock(&connections->lock);
    for (struct connection *connection = connections->first; connection; connection = connection->next)
        if (atomic_load(&connection->phase) <= PHASE_IDLE)
            end(connection);
        else
            busy++;
    pthread_mutex_unlock(&connections->lock);
    return busy;
}
