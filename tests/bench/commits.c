/* Durable log writes against SQLite's own.
 *
 * The peer: one connection, WAL, synchronous=FULL, a prepared INSERT of one row in a table of the same kind without
 * further indexes, each its own commit. Ours: POST /api/v1/entries over HTTP on kept-alive connections, through
 * every check, into the real log with its five indexes, answered when on the disk. Pairs of runs, one after the other, on
 * the same disk; the median of their ratios. Concurrent writers share commits: so 8 writers may beat the peer.
 */
#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <pthread.h>
#include <sodium.h>
#include <sqlite3.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "api/request.h"
#include "garden/clock.h"
#include "http/listen.h"

#define PAIRS 25
#define RUN_S 0.15
#define WRITERS_MOST 16

static char folder[256], our_file[300], peer_file[300];
static atomic_bool over;
static unsigned port;
static struct store *store;
static uint64_t entries_made, commits_made; /* ours, of one comparison */
static char tank[WRITERS_MOST][40];

static double now_s(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static void wait_s(double seconds)
{
    nanosleep(&(struct timespec){(time_t)seconds, (long)((seconds - (double)(time_t)seconds) * 1e9)}, NULL);
}

static _Noreturn void give_up(const char *why)
{
    printf("commits: %s\n", why);
    exit(EXIT_FAILURE);
}

/* ---- the peer ---- */

static sqlite3 *peer;
static sqlite3_stmt *peer_add;

/* Open all the time, as ours is: a log file that must grow first is slower. */
static void open_peer(void)
{
    if (sqlite3_open(peer_file, &peer) != SQLITE_OK ||
        sqlite3_exec(peer,
                     "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;"
                     "CREATE TABLE reading (id BLOB PRIMARY KEY, tank INTEGER, at_ms INTEGER, waterline_mm REAL) STRICT, WITHOUT ROWID",
                     NULL, NULL, NULL) != SQLITE_OK ||
        sqlite3_prepare_v2(peer, "INSERT INTO reading VALUES (?1, ?2, ?3, 120.5)", -1, &peer_add, NULL) != SQLITE_OK)
        give_up("SQLite's own does not start");
}

static void close_peer(void)
{
    sqlite3_finalize(peer_add);
    sqlite3_close(peer);
}

static double peer_commits_a_s(void)
{
    static int64_t number;
    double began = now_s();
    int done = 0;

    while (now_s() - began < RUN_S) {
        unsigned char id[16] = {0};

        number++;
        for (int i = 0; i < 8; i++)
            id[7 - i] = (unsigned char)(number >> 8 * i);
        sqlite3_bind_blob(peer_add, 1, id, sizeof id, SQLITE_TRANSIENT);
        sqlite3_bind_int64(peer_add, 2, number % 8);
        sqlite3_bind_int64(peer_add, 3, number);
        if (sqlite3_step(peer_add) != SQLITE_DONE)
            give_up("SQLite's own does not commit");
        sqlite3_reset(peer_add);
        done++;
    }
    return done / (now_s() - began);
}

/* ---- ours ---- */

static int connect_to_us(void)
{
    struct sockaddr_in there = {.sin_family = AF_INET, .sin_port = htons((unsigned short)port), .sin_addr = {htonl(INADDR_LOOPBACK)}};
    int fd = socket(AF_INET, SOCK_STREAM, 0), on = 1;

    setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    if (connect(fd, (struct sockaddr *)&there, sizeof there))
        give_up("no connection");
    return fd;
}

/* Sends one request, reads one answer; its status, the body in answer. */
static int ask(int fd, const char *path, const char *body, char *answer, size_t room)
{
    char request[1024];
    int length = snprintf(request, sizeof request,
                          "POST %s HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: %zu\r\n\r\n%s", path,
                          strlen(body), body);
    size_t got = 0, whole = 0;

    if (send(fd, request, (size_t)length, MSG_NOSIGNAL) != length)
        give_up("a request was not taken");
    while (!whole || got < whole) {
        ssize_t some = recv(fd, answer + got, room - 1 - got, 0);
        const char *end;

        if (some <= 0)
            give_up("no answer");
        got += (size_t)some;
        answer[got] = '\0';
        end = strstr(answer, "\r\n\r\n");
        if (!whole && end)
            whole = (size_t)(end + 4 - answer) + strtoul(strstr(answer, "Content-Length: ") + 16, NULL, 10);
    }
    return atoi(answer + 9);
}

static void id_in(const char *answer, char id[40])
{
    const char *at = strstr(answer, "\"id\":\"");

    if (!at)
        give_up("no id in an answer");
    snprintf(id, 40, "%.36s", at + 6);
}

static void add_tanks(void)
{
    char answer[65536], body[300], vessel[40];
    int fd = connect_to_us();

    if (ask(fd, "/api/v1/vessels",
            "{\"name\":\"tub\",\"shape\":{\"shape\":\"round\",\"floor_mm\":300,\"rim_mm\":340,\"height_mm\":400},\"start_mm\":300,\"low_mm\":60}",
            answer, sizeof answer) != 201)
        give_up(answer);
    id_in(answer, vessel);
    for (int i = 0; i < WRITERS_MOST; i++) {
        snprintf(body, sizeof body, "{\"name\":\"tank %d\",\"vessel\":\"%s\"}", i, vessel);
        if (ask(fd, "/api/v1/tanks", body, answer, sizeof answer) != 201)
            give_up(answer);
        id_in(answer, tank[i]);
    }
    close(fd);
}

struct writer {
    pthread_t thread;
    int number, done;
};

static void *write_on(void *context)
{
    struct writer *writer = context;
    char answer[65536], body[400], id[37];
    int fd = connect_to_us();

    while (!over) {
        clock_uuid(id);
        snprintf(body, sizeof body, "{\"id\":\"%s\",\"tank\":\"%s\",\"kind\":\"reading\",\"at\":\"2026-05-01T07:30:00Z\",\"waterline_mm\":120.5}", id,
                 tank[writer->number]);
        if (ask(fd, "/api/v1/entries", body, answer, sizeof answer) != 201)
            give_up(answer);
        writer->done++;
    }
    close(fd);
    return NULL;
}

static double our_writes_a_s(int writers)
{
    struct writer writer[WRITERS_MOST] = {{0}};
    double began = now_s();
    uint64_t before = store_version(store);
    int done = 0;

    over = false;
    for (int i = 0; i < writers; i++) {
        writer[i].number = i;
        pthread_create(&writer[i].thread, NULL, write_on, &writer[i]);
    }
    wait_s(RUN_S);
    over = true;
    for (int i = 0; i < writers; i++) {
        pthread_join(writer[i].thread, NULL);
        done += writer[i].done;
    }
    entries_made += (uint64_t)done;
    commits_made += store_version(store) - before;
    return done / (now_s() - began);
}

/* ---- pairs ---- */

static int by_size(const void *a, const void *b)
{
    double one = *(const double *)a, other = *(const double *)b;

    return (one > other) - (one < other);
}

static double median(double *values)
{
    qsort(values, PAIRS, sizeof *values, by_size);
    return values[PAIRS / 2];
}

static double compare(int writers, unsigned pool)
{
    double theirs[PAIRS], ours[PAIRS], ratio[PAIRS], middle;

    entries_made = commits_made = 0;
    for (int i = 0; i < PAIRS; i++) {
        theirs[i] = peer_commits_a_s();
        ours[i] = our_writes_a_s(writers);
        ratio[i] = ours[i] / theirs[i];
    }
    middle = median(ratio); /* sorts it */
    printf("commits: %2d writers, pool of %2u: %5.0f entries/s; SQLite's own single-row commits %5.0f/s; ratio %.2f (%.2f to %.2f); %.1f entries a commit\n", writers, pool,
           median(ours), median(theirs), middle, ratio[0], ratio[PAIRS - 1],
           (double)entries_made / (double)(commits_made ? commits_made : 1));
    fflush(stdout);
    return middle;
}

static double with_pool(unsigned pool, const int *writers, size_t count)
{
    struct service service = {.loopback_is_keeper = true};
    struct listen_options options = {.address = "127.0.0.1:0", .www = folder, .pool = pool};
    struct fault fault = {0};
    struct listener *listener;
    double last = 0;

    service.garden = garden_open(our_file, &fault);
    listener = service.garden ? listen_start(&options, &service, &fault) : NULL;
    if (!listener)
        give_up(fault.item[0].detail);
    port = listen_port(listener);
    store = service.garden->store;
    add_tanks();
    for (size_t i = 0; i < count; i++)
        last = compare(writers[i], pool);
    listen_stop(listener);
    garden_close(service.garden);
    unlink(our_file);
    return last;
}

int main(void)
{
    static const int both[] = {1, 8}, eight[] = {8};
    const char *top = getenv("TIDEMARK_BUILDDIR");
    char command[300];
    double ratio;

    snprintf(folder, sizeof folder, "%s/bench-commits-XXXXXX", top ? top : ".");
    if (sodium_init() < 0 || !mkdtemp(folder))
        give_up("no folder to work in");
    snprintf(our_file, sizeof our_file, "%s/our.garden", folder);
    snprintf(peer_file, sizeof peer_file, "%s/peer.db", folder);
    if (!freopen("/dev/null", "w", stderr)) /* the daemon's log goes elsewhere, too */
        give_up("no /dev/null");
    open_peer();
    with_pool(2, eight, 1);
    with_pool(4, eight, 1);
    with_pool(8, eight, 1);
    ratio = with_pool(HTTP_POOL, both, 2);
    close_peer();
    printf("commits: budget 1.00 for 8 writers: %s\n", ratio >= 1 ? "met" : "MISSED");
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    return system(command) || ratio < 1 ? EXIT_FAILURE : EXIT_SUCCESS;
}
