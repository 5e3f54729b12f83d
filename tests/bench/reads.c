/* Reads: one tank with its outlook over HTTP beside a bare endpoint of the same libraries, and Today over many tanks.
 *
 *     tests/bench/reads [TANKS_READ [TANKS_TODAY]]      1000 and 10000 when left out
 *
 * The bare endpoint is libmicrohttpd with the same threads, one prepared SELECT by key and a Jansson answer of six members,
 * measured in turn with ours in the same run. The gardens are made by a seeded generator, invented.
 */
#include <jansson.h>
#include <math.h>
#include <microhttpd.h>
#include <netinet/in.h>
#include <pthread.h>
#include <signal.h>
#include <sodium.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "api/answers.h"
#include "api/request.h"
#include "garden/clock.h"
#include "garden/garden.h"
#include "http/listen.h"
#include "store/entries.h"

#define CLIENTS 4
#define ROUNDS 3
#define SECONDS 2.0
#define YEARS_MS (730 * DAY_MS)

static double seconds(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static _Noreturn void give_up(const char *doing, const struct fault *fault)
{
    fprintf(stderr, "%s: %s\n", doing, fault && fault->count ? fault->item[0].detail : "");
    exit(1);
}

/* ---- a garden of many tanks ---- */

struct making {
    int first, count;
    int64_t vessel_key, now_ms;
};

static uint64_t draw_state = 20260501;

static double draw(void)
{
    draw_state = draw_state * 6364136223846793005u + 1442695040888963407u;
    return (double)(draw_state >> 11) / 9007199254740992.0;
}

static int add(struct db *db, struct entry *entry, int64_t tank_key, int kind, int64_t at_ms, struct fault *fault)
{
    char id[37];

    clock_uuid(id);
    entry->id = id;
    entry->tank_key = tank_key;
    entry->kind = kind;
    entry->at_ms = at_ms;
    entry->received_ms = at_ms + 1000;
    return entries_add(db, entry, fault);
}

/* Fills of 45 days, read twice a week, one after the other for two years. */
static int log_tank(struct db *db, int64_t tank_key, int64_t now_ms, struct fault *fault)
{
    int64_t at_ms = now_ms - YEARS_MS;

    while (at_ms < now_ms) {
        struct entry fill = entry_blank(), planting = entry_blank(), harvest = entry_blank(), out = entry_blank();
        double level_mm = 260;

        fill.waterline_mm = level_mm;
        planting.crop = "lettuce-leaf";
        planting.count = 6;
        harvest.how = HOW_WHOLE;
        harvest.weight_g = 900 + 400 * draw();
        if (add(db, &fill, tank_key, ENTRY_FILL, at_ms, fault) || add(db, &planting, tank_key, ENTRY_PLANTING, at_ms + 3600000, fault))
            return -1;
        for (int visit = 1; visit <= 12 && at_ms + visit * 84 * 3600000LL < now_ms; visit++) {
            struct entry reading = entry_blank();

            level_mm -= 2 + visit * 2.2 * draw();
            reading.waterline_mm = round(fmax(level_mm, 5));
            reading.ec_ms_cm = 1.2 + 0.2 * draw();
            if (add(db, &reading, tank_key, ENTRY_READING, at_ms + visit * 84 * 3600000LL, fault))
                return -1;
        }
        at_ms += 44 * DAY_MS;
        if (at_ms < now_ms &&
            (add(db, &harvest, tank_key, ENTRY_HARVEST, at_ms, fault) || add(db, &out, tank_key, ENTRY_CLEAN_OUT, at_ms + 7200000, fault)))
            return -1;
        at_ms += 3 * DAY_MS;
    }
    return 0;
}

static int make_tanks(struct db *db, void *context, struct fault *fault)
{
    struct making *making = context;

    for (int i = making->first; i < making->first + making->count; i++) {
        char id[37], code[16], name[32];
        struct tank_row tank = {.id = id, .code = code, .name = name, .area_key = STORE_NO_INT, .vessel_key = making->vessel_key};

        clock_uuid(id);
        snprintf(code, sizeof code, "B%05d", i);
        snprintf(name, sizeof name, "Tank %d", i);
        if (tanks_add(db, &tank, fault) || log_tank(db, tank.key, making->now_ms - (int64_t)(draw() * 40 * (double)DAY_MS), fault))
            return -1;
    }
    return 0;
}

static struct garden *make_garden(const char *path, int tanks)
{
    struct fault fault = {0};
    ARENA_HELD arena = {0};
    struct garden *garden = garden_open(path, &fault);
    struct lid_cup cups[6] = {{100, 100}, {250, 100}, {400, 100}, {100, 250}, {250, 250}, {400, 250}};
    struct vessel_row vessel = {.name = "tote", .shape = VESSEL_BOX, .floor_l_mm = 510, .floor_w_mm = 330, .rim_l_mm = 560,
                                .rim_w_mm = 380, .height_mm = 300, .corner_mm = 40, .lid_l_mm = NAN, .pattern = -1,
                                .cups = {cups, 6}, .cup_height_mm = 76, .cup_top_mm = 76, .cup_bottom_mm = 50,
                                .cup_medium_fraction = 0.2, .start_mm = NAN, .low_mm = NAN};
    struct garden_row row;
    struct making making = {.now_ms = clock_now_ms()};
    bool made;

    if (!garden || garden_settings(garden, &row, &arena, &fault))
        give_up("garden", &fault);
    row.latitude_deg = 45;
    if (garden_settings_write(garden, &row, &fault) || garden_vessel_add(garden, &vessel, &made, &arena, &fault))
        give_up("garden", &fault);
    making.vessel_key = vessel.key;
    for (making.first = 0; making.first < tanks; making.first += making.count) {
        making.count = tanks - making.first < 50 ? tanks - making.first : 50;
        if (store_write(garden->store, make_tanks, &making, &fault))
            give_up("tanks", &fault);
    }
    return garden;
}

/* ---- the bare endpoint ---- */

struct bare {
    const char *path;
    pthread_mutex_t lock;
    sqlite3 *sqlite[64];
    sqlite3_stmt *stmt[64];
    pthread_t thread[64];
    int threads;
};

static int of_thread(struct bare *bare)
{
    int found;

    pthread_mutex_lock(&bare->lock);
    for (found = 0; found < bare->threads; found++)
        if (pthread_equal(bare->thread[found], pthread_self()))
            break;
    if (found == bare->threads) {
        bare->thread[bare->threads++] = pthread_self();
        sqlite3_open_v2(bare->path, &bare->sqlite[found], SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, NULL);
        sqlite3_prepare_v2(bare->sqlite[found], "SELECT uid, code, name, vessel, walk_order, changed FROM tank WHERE code = ?", -1,
                           &bare->stmt[found], NULL);
    }
    pthread_mutex_unlock(&bare->lock);
    return found;
}

static enum MHD_Result bare_answer(void *context, struct MHD_Connection *connection, const char *url, const char *method,
                                   const char *version, const char *data, size_t *size, void **state)
{
    struct bare *bare = context;
    static int begun;
    sqlite3_stmt *stmt;
    struct MHD_Response *response;
    enum MHD_Result result;
    json_t *document;
    char *text;

    (void)method, (void)version, (void)data, (void)size;
    if (!*state) { /* an answer in the first call would end the connection */
        *state = &begun;
        return MHD_YES;
    }
    stmt = bare->stmt[of_thread(bare)];
    sqlite3_bind_text(stmt, 1, strrchr(url, '/') + 1, -1, SQLITE_TRANSIENT);
    sqlite3_step(stmt);
    document = json_pack("{s:s,s:s,s:s,s:I,s:f,s:I}", "id", sqlite3_column_text(stmt, 0), "code", sqlite3_column_text(stmt, 1), "name",
                         sqlite3_column_text(stmt, 2), "vessel", (json_int_t)sqlite3_column_int64(stmt, 3), "walk_order",
                         sqlite3_column_double(stmt, 4), "changed", (json_int_t)sqlite3_column_int64(stmt, 5));
    sqlite3_reset(stmt);
    text = json_dumps(document, JSON_COMPACT);
    json_decref(document);
    response = MHD_create_response_from_buffer(strlen(text), text, MHD_RESPMEM_MUST_FREE);
    result = MHD_queue_response(connection, 200, response);
    MHD_destroy_response(response);
    return result;
}

/* ---- clients ---- */

static atomic_bool stop;

struct client {
    pthread_t thread;
    unsigned port;
    const char *prefix;
    int tanks, number;
    long answers;
    size_t bytes;
};

static int connect_to(unsigned port)
{
    struct sockaddr_in address = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port), .sin_addr = {htonl(INADDR_LOOPBACK)}};
    int fd = socket(AF_INET, SOCK_STREAM, 0);

    if (connect(fd, (struct sockaddr *)&address, sizeof address))
        give_up("connect", NULL);
    return fd;
}

/* Reads one answer with a Content-Length, from a buffer large enough for it. */
static size_t read_answer(int fd, char *buffer, size_t room)
{
    size_t have = 0, whole = 0;

    while (!whole || have < whole) {
        ssize_t more = recv(fd, buffer + have, room - have - 1, 0);
        char *end;

        if (more <= 0)
            give_up("answer", NULL);
        have += (size_t)more;
        buffer[have] = '\0';
        end = strstr(buffer, "\r\n\r\n");
        if (end && !whole) {
            const char *length = strcasestr(buffer, "content-length:");

            whole = (size_t)(end + 4 - buffer) + strtoul(length + 15, NULL, 10);
        }
    }
    return whole;
}

static void *ask_on(void *context)
{
    struct client *client = context;
    char *buffer = malloc(1 << 20), request[160];
    int fd = connect_to(client->port);
    unsigned tank = (unsigned)client->number * 7919u;

    while (!atomic_load(&stop)) {
        int length;

        tank = (tank * 1103515245u + 12345u) & 0x7fffffff;
        length = snprintf(request, sizeof request, "GET %sB%05u HTTP/1.1\r\nHost: 127.0.0.1:%u\r\n\r\n", client->prefix,
                          tank / 65536u % (unsigned)client->tanks, client->port);
        if (send(fd, request, (size_t)length, MSG_NOSIGNAL) != length)
            give_up("send", NULL);
        client->bytes = read_answer(fd, buffer, 1 << 20);
        if (strncmp(buffer, "HTTP/1.1 200", 12) != 0)
            give_up(buffer, NULL);
        client->answers++;
    }
    close(fd);
    free(buffer);
    return NULL;
}

static double rate(unsigned port, const char *prefix, int tanks, size_t *bytes)
{
    struct client client[CLIENTS];
    struct timespec rest = {(time_t)SECONDS, 0};
    double began = seconds();
    long answers = 0;

    atomic_store(&stop, false);
    for (int i = 0; i < CLIENTS; i++) {
        client[i] = (struct client){.port = port, .prefix = prefix, .tanks = tanks, .number = i + 1};
        pthread_create(&client[i].thread, NULL, ask_on, &client[i]);
    }
    nanosleep(&rest, NULL);
    atomic_store(&stop, true);
    for (int i = 0; i < CLIENTS; i++) {
        pthread_join(client[i].thread, NULL);
        answers += client[i].answers;
        *bytes = client[i].bytes;
    }
    return (double)answers / (seconds() - began);
}

static int by_size(const void *a, const void *b)
{
    double first = *(const double *)a, second = *(const double *)b;

    return (first > second) - (first < second);
}

static double median(double *value, int count)
{
    qsort(value, (size_t)count, sizeof *value, by_size);
    return value[count / 2];
}

/* ---- what is measured ---- */

static void remove_file(const char *path)
{
    char name[300];

    snprintf(name, sizeof name, "%s-wal", path);
    unlink(name);
    snprintf(name, sizeof name, "%s-shm", path);
    unlink(name);
    unlink(path);
}

static void bench_tank(const char *path, int tanks)
{
    struct fault fault = {0};
    struct garden *garden = make_garden(path, tanks);
    struct service service = {.garden = garden, .www = "site", .answers = answers_new((size_t)24 << 20), .loopback_is_keeper = true};
    struct listen_options options = {.address = "127.0.0.1:0", .www = "site"};
    struct listener *listener = listen_start(&options, &service, &fault);
    struct bare bare = {.path = path, .lock = PTHREAD_MUTEX_INITIALIZER};
    struct MHD_Daemon *peer = MHD_start_daemon(MHD_USE_POLL_INTERNAL_THREAD, 0, NULL, NULL, bare_answer, &bare,
                                               MHD_OPTION_THREAD_POOL_SIZE, (unsigned)HTTP_POOL, MHD_OPTION_END);
    double ours[ROUNDS], theirs[ROUNDS], ratio[ROUNDS], cold;
    size_t our_bytes = 0, their_bytes = 0;

    if (!listener || !peer)
        give_up("listen", &fault);
    cold = rate(listen_port(listener), "/api/v1/tanks/", tanks, &our_bytes);
    for (int i = 0; i < ROUNDS; i++) {
        ours[i] = rate(listen_port(listener), "/api/v1/tanks/", tanks, &our_bytes);
        theirs[i] = rate(MHD_get_daemon_info(peer, MHD_DAEMON_INFO_BIND_PORT)->port, "/", tanks, &their_bytes);
        ratio[i] = ours[i] / theirs[i];
    }
    printf("one tank with its outlook, %d tanks x 2 years: %.0f answers/s of %zu bytes; bare endpoint %.0f/s of %zu bytes; ratio %.2f "
           "(median of %d pairs); %.0f/s in the first %g s, when most are still to be worked out\n",
           tanks, median(ours, ROUNDS), our_bytes, median(theirs, ROUNDS), their_bytes, median(ratio, ROUNDS), ROUNDS, cold, SECONDS);
    MHD_stop_daemon(peer);
    listen_stop(listener);
    for (int i = 0; i < bare.threads; i++) {
        sqlite3_finalize(bare.stmt[i]);
        sqlite3_close(bare.sqlite[i]);
    }
    answers_free(service.answers);
    garden_close(garden);
    remove_file(path);
}

static double ask_today(struct service *service)
{
    ARENA_HELD arena = {0};
    struct request request = {.service = service, .method = "GET", .path = "/api/v1/today", .query = "", .arena = &arena,
                              .from_loopback = true};
    struct reply reply;
    double began = seconds(), took;

    api_answer(&request, &reply);
    took = seconds() - began;
    if (reply.status > 299)
        give_up(reply.bytes, NULL);
    reply_end(&reply);
    return took * 1000;
}

/* After each write of one tank, as on a busy day: that one is worked out again, the others are not. */
static int touch_one(struct db *db, void *context, struct fault *fault)
{
    return tanks_touch(db, *(int64_t *)context, fault);
}

static void bench_today(const char *path, int tanks)
{
    struct fault fault = {0};
    struct garden *garden = make_garden(path, tanks);
    struct service service = {.garden = garden, .answers = answers_new((size_t)24 << 20), .loopback_is_keeper = true};
    double first = ask_today(&service), written[21], same[21], opened;
    struct rusage usage;

    for (int i = 0; i < 21; i++) {
        int64_t key = 1 + (int64_t)(draw() * tanks);

        if (store_write(garden->store, touch_one, &key, &fault))
            give_up("touch", &fault);
        written[i] = ask_today(&service);
        same[i] = ask_today(&service);
    }
    getrusage(RUSAGE_SELF, &usage);
    printf("Today over %d tanks: %.1f ms after a write (median of 21), %.2f ms when nothing was written, %.0f ms for the first "
           "after a start; memory of this process %ld MB\n",
           tanks, median(written, 21), median(same, 21), first, usage.ru_maxrss / 1024);
    answers_free(service.answers);
    garden_close(garden);
    opened = seconds();
    garden = garden_open(path, &fault);
    printf("opening that garden file: %.1f ms\n", (seconds() - opened) * 1000);
    garden_close(garden);
    remove_file(path);
}

int main(int argc, char **argv)
{
    char path[64];

    if (sodium_init() < 0)
        return 1;
    signal(SIGPIPE, SIG_IGN);
    snprintf(path, sizeof path, "bench-reads-%ld.garden", (long)getpid());
    bench_tank(path, argc > 1 ? atoi(argv[1]) : 1000);
    bench_today(path, argc > 2 ? atoi(argv[2]) : 10000);
    return 0;
}
