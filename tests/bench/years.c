/* A garden over the years: what is asked most, after each year of a large garden's life.
 *
 *     tests/bench/years [TANKS [YEARS [SENSED_TANKS [FILE]]]]      1000, 3 and 33 when left out; 10000 5 370 is a city's roof
 *
 * The garden is invented, by a seeded generator through the store: a tenth as many members as tanks, fills of 48 days with four salts,
 * a planting, six readings by people, a top-up, a harvest and a clean-out; some tanks have a sensor that reads each hour.
 * Each year is added, then a process of its own opens the file and measures: a start, Today, one tank's page over HTTP at 50
 * requests a second while ten people log, needs, a round over all tanks, a page of harvests and of fills, and its memory. Budgets (issue's own): Today 50 ms, a page 10 ms at the
 * 99th percentile, 128 MB, 60 bytes a sensor's reading, a start 200 ms.
 */
#include <jansson.h>
#include <math.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <pthread.h>
#include <signal.h>
#include <sodium.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "api/answers.h"
#include "api/request.h"
#include "garden/clock.h"
#include "garden/garden.h"
#include "garden/people.h"
#include "garden/standing_keeper.h"
#include "http/listen.h"
#include "store/entries.h"
#include "store/sensed.h"

#define HOUR_MS ((int64_t)3600000)
#define YEAR_MS (365 * DAY_MS)
#define FILL_MS (48 * DAY_MS)
#define ASKED_A_S 50
#define ASKED 1000 /* requests for a percentile */
#define WRITERS 10
#define WRITER_PAUSE_MS 100

static double seconds(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static void pause_s(double s)
{
    if (s > 0)
        nanosleep(&(struct timespec){(time_t)s, (long)((s - (double)(time_t)s) * 1e9)}, NULL);
}

static _Noreturn void give_up(const char *doing, const struct fault *fault)
{
    printf("years: %s: %s\n", doing, fault && fault->count ? fault->item[0].detail : "");
    exit(1);
}

static uint64_t draw_state = 20260501;

static double draw(void)
{
    draw_state = draw_state * 6364136223846793005u + 1442695040888963407u;
    return (double)(draw_state >> 11) / 9007199254740992.0;
}

static int by_size(const void *a, const void *b)
{
    double first = *(const double *)a, second = *(const double *)b;

    return (first > second) - (first < second);
}

static double at_share(double *value, size_t count, double share)
{
    qsort(value, count, sizeof *value, by_size);
    return value[(size_t)((double)(count - 1) * share)];
}

/* ---- making ---- */

struct making {
    int tanks, sensed;   /* how many in all, and how many have a sensor */
    int from, to;        /* of this job */
    int64_t vessel_key, sensor_key, from_ms, to_ms;
    size_t entries, readings;
};

static int add(struct db *db, struct making *making, struct entry *entry, int64_t tank_key, int kind, int64_t at_ms, struct fault *fault)
{
    char id[37];

    clock_uuid(id);
    entry->id = id;
    entry->tank_key = tank_key;
    entry->kind = kind;
    entry->at_ms = at_ms;
    entry->received_ms = at_ms + 1000;
    entry->member_key = 1 + (int64_t)(draw() * making->tanks / 10);
    making->entries++;
    return entries_add(db, entry, fault);
}

static int add_fill(struct db *db, struct making *making, int64_t key, int64_t at_ms, struct fault *fault)
{
    static struct entry_salt salts[] = {{"calcium-nitrate-double", 52.1}, {"epsom-salt", 21.4}, {"potassium-nitrate", 30.2}, {"monopotassium-phosphate", 11.7}};
    struct entry fill = entry_blank(), planting = entry_blank(), top_up = entry_blank(), harvest = entry_blank(), out = entry_blank();
    double level_mm = 260;

    fill.waterline_mm = level_mm;
    fill.weighed = (struct list){salts, 4};
    planting.crop = "lettuce-leaf";
    planting.count = 6;
    top_up.volume_l = 8;
    harvest.how = HOW_WHOLE;
    harvest.weight_g = 900 + 400 * draw();
    if (add(db, making, &fill, key, ENTRY_FILL, at_ms, fault) || add(db, making, &planting, key, ENTRY_PLANTING, at_ms + HOUR_MS, fault))
        return -1;
    for (int visit = 1; visit <= 6 && at_ms + visit * 7 * DAY_MS < making->to_ms; visit++) {
        struct entry reading = entry_blank();

        level_mm -= 4 + visit * 4.4 * draw();
        reading.waterline_mm = round(fmax(level_mm, 5));
        reading.ec_ms_cm = 1.2 + 0.2 * draw();
        if (add(db, making, &reading, key, ENTRY_READING, at_ms + visit * 7 * DAY_MS, fault))
            return -1;
    }
    if (at_ms + 30 * DAY_MS < making->to_ms && add(db, making, &top_up, key, ENTRY_TOP_UP, at_ms + 30 * DAY_MS, fault))
        return -1;
    if (at_ms + 45 * DAY_MS < making->to_ms && (add(db, making, &harvest, key, ENTRY_HARVEST, at_ms + 44 * DAY_MS, fault) ||
                                                add(db, making, &out, key, ENTRY_CLEAN_OUT, at_ms + 45 * DAY_MS, fault)))
        return -1;
    return 0;
}

/* Where the fills of a tank begin: not all on one day. */
static int64_t shift_ms(int64_t key)
{
    return (int64_t)((uint64_t)key * 2654435761u % 48) * DAY_MS;
}

static int add_log(struct db *db, struct making *making, int64_t key, struct fault *fault)
{
    int64_t first = making->from_ms - making->from_ms % FILL_MS + shift_ms(key);

    for (int64_t at_ms = first - FILL_MS; at_ms < making->to_ms; at_ms += FILL_MS)
        if (at_ms >= making->from_ms && add_fill(db, making, key, at_ms, fault))
            return -1;
    return 0;
}

static int add_readings(struct db *db, struct making *making, int64_t key, struct fault *fault)
{
    for (int64_t at_ms = making->from_ms - making->from_ms % HOUR_MS + HOUR_MS + key; at_ms < making->to_ms; at_ms += HOUR_MS) {
        int64_t since = (at_ms - shift_ms(key)) % FILL_MS;
        double days = (double)since / (double)DAY_MS;
        struct sensed reading = {.tank_key = key, .sensor_key = making->sensor_key, .at_ms = at_ms, .received_ms = at_ms + 2000,
                                 .waterline_mm = round((260 - days - days * days * 0.09 + draw()) * 10) / 10, .ec_ms_cm = 1.2 + 0.2 * draw(),
                                 .ph = NAN, .temperature_c = 18 + 4 * draw()};

        sensed_round(&reading);
        if (sensed_add(db, &reading, fault))
            return -1;
        making->readings++;
    }
    return 0;
}

static int make_year(struct db *db, void *context, struct fault *fault)
{
    struct making *making = context;

    for (int i = making->from; i < making->to; i++)
        if (add_log(db, making, i + 1, fault) || (i < making->sensed && add_readings(db, making, i + 1, fault)) || tanks_touch(db, i + 1, fault))
            return -1;
    return 0;
}

static int make_nouns(struct db *db, void *context, struct fault *fault)
{
    struct making *making = context;
    struct sensor_row sensor = {.id = "0190a000-0000-7000-8000-0000000000f0", .name = "Floats", .made_ms = 1};
    char id[37], name[32], code[16];

    if (sensors_add(db, &sensor, fault))
        return -1;
    making->sensor_key = sensor.key;
    for (int i = 0; i < making->tanks / 10 + 1; i++) {
        struct member_row member = {.id = id, .name = name, .role = ROLE_GROWER, .joined_ms = 1, .removed_ms = STORE_NO_INT};

        clock_uuid(id);
        snprintf(name, sizeof name, "Member %d", i + 1);
        if (members_add(db, &member, fault))
            return -1;
    }
    for (int i = 0; i < making->tanks; i++) {
        struct tank_row tank = {.id = id, .code = code, .name = name, .area_key = STORE_NO_INT, .vessel_key = making->vessel_key};

        clock_uuid(id);
        snprintf(code, sizeof code, "Y%05d", i);
        snprintf(name, sizeof name, "Tank %d", i + 1);
        if (tanks_add(db, &tank, fault))
            return -1;
    }
    return 0;
}

static void make_garden(struct garden *garden, struct making *making)
{
    struct fault fault = {0};
    ARENA_HELD arena = {0};
    struct lid_cup cups[6] = {{100, 100}, {250, 100}, {400, 100}, {100, 250}, {250, 250}, {400, 250}};
    struct vessel_row vessel = {.name = "tote", .shape = VESSEL_BOX, .floor_l_mm = 510, .floor_w_mm = 330, .rim_l_mm = 560,
                                .rim_w_mm = 380, .height_mm = 300, .corner_mm = 40, .lid_l_mm = NAN, .pattern = -1,
                                .cups = {cups, 6}, .cup_height_mm = 76, .cup_top_mm = 76, .cup_bottom_mm = 50,
                                .cup_medium_fraction = 0.2, .start_mm = NAN, .low_mm = NAN};
    struct garden_row row;
    bool made;

    if (garden_settings(garden, &row, &arena, &fault))
        give_up("garden", &fault);
    row.latitude_deg = 45;
    if (garden_settings_write(garden, &row, &fault) || garden_vessel_add(garden, &vessel, &made, &arena, &fault))
        give_up("garden", &fault);
    making->vessel_key = vessel.key;
    if (store_write(garden->store, make_nouns, making, &fault))
        give_up("nouns", &fault);
}

static void add_year(const char *path, struct making *making, int year, int years, int64_t now_ms)
{
    struct fault fault = {0};
    struct garden *garden = garden_open(path, &fault);

    if (!garden)
        give_up("open", &fault);
    if (year == 0)
        make_garden(garden, making);
    making->from_ms = now_ms - (years - year) * YEAR_MS;
    making->to_ms = making->from_ms + YEAR_MS;
    for (making->from = 0; making->from < making->tanks; making->from = making->to) {
        making->to = making->from + 100 < making->tanks ? making->from + 100 : making->tanks;
        if (store_write(garden->store, make_year, making, &fault))
            give_up("a year", &fault);
    }
    garden_close(garden);
}

/* ---- asking over HTTP ---- */

static atomic_bool over;
static unsigned port;
static int tanks;

static int connect_to_us(void)
{
    struct sockaddr_in there = {.sin_family = AF_INET, .sin_port = htons((unsigned short)port), .sin_addr = {htonl(INADDR_LOOPBACK)}};
    int fd = socket(AF_INET, SOCK_STREAM, 0), on = 1;

    setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    if (connect(fd, (struct sockaddr *)&there, sizeof there))
        give_up("connect", NULL);
    return fd;
}

static int ask(int fd, const char *request, char *buffer, size_t room)
{
    size_t have = 0, whole = 0;

    if (send(fd, request, strlen(request), MSG_NOSIGNAL) < 0)
        give_up("send", NULL);
    while (!whole || have < whole) {
        ssize_t more = recv(fd, buffer + have, room - have - 1, 0);
        char *end;

        if (more <= 0)
            give_up("answer", NULL);
        have += (size_t)more;
        buffer[have] = '\0';
        end = strstr(buffer, "\r\n\r\n");
        if (end && !whole)
            whole = (size_t)(end + 4 - buffer) + strtoul(strcasestr(buffer, "content-length:") + 15, NULL, 10);
    }
    return atoi(buffer + 9);
}

struct asking {
    pthread_t thread;
    int number;
    size_t count;
    double *took_ms;
};

static void *write_on(void *context)
{
    struct asking *asking = context;
    char *buffer = malloc(1 << 16), body[400], request[800], id[37];
    int fd = connect_to_us();
    unsigned tank = (unsigned)asking->number * 7919u + 1;

    while (!atomic_load(&over)) {
        clock_uuid(id);
        tank = (tank * 1103515245u + 12345u) & 0x7fffffff;
        snprintf(body, sizeof body, "{\"id\":\"%s\",\"tank\":\"Y%05u\",\"kind\":\"note\",\"at\":\"2026-05-01T08:00:00Z\",\"note\":\"looked in\"}", id,
                 tank / 65536u % (unsigned)tanks);
        snprintf(request, sizeof request, "POST /api/v1/entries HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: %zu\r\n\r\n%s",
                 strlen(body), body);
        if (ask(fd, request, buffer, 1 << 16) != 201)
            give_up(buffer, NULL);
        asking->count++;
        pause_s(WRITER_PAUSE_MS / 1000.0);
    }
    close(fd);
    free(buffer);
    return NULL;
}

/* At its own pace, whatever the answers do: a slow answer makes the next ones late, and that counts as theirs. */
static void *read_on(void *context)
{
    struct asking *asking = context;
    char *buffer = malloc(1 << 20), request[200];
    int fd = connect_to_us();
    unsigned tank = (unsigned)asking->number * 7919u + 7;
    double began = seconds();

    for (size_t i = 0; i < asking->count; i++) {
        double due = began + (double)i * 4 / ASKED_A_S + asking->number / (double)ASKED_A_S;

        pause_s(due - seconds());
        tank = (tank * 1103515245u + 12345u) & 0x7fffffff;
        snprintf(request, sizeof request, "GET /api/v1/tanks/Y%05u HTTP/1.1\r\nHost: localhost\r\n\r\n", tank / 65536u % (unsigned)tanks);
        if (ask(fd, request, buffer, 1 << 20) != 200)
            give_up(buffer, NULL);
        asking->took_ms[i] = (seconds() - due) * 1000;
    }
    close(fd);
    free(buffer);
    return NULL;
}

/* ---- measuring ---- */

static double ask_inside(struct service *service, const char *path, const char *query, const char *body)
{
    ARENA_HELD arena = {0};
    struct request request = {.service = service, .method = body ? "POST" : "GET", .path = path, .query = query, .arena = &arena, .from_loopback = true,
                              .host = "localhost", .content_type = "application/json", .body = body, .body_length = body ? strlen(body) : 0};
    struct reply reply;
    double began = seconds(), took;

    api_answer(&request, &reply);
    took = seconds() - began;
    if (reply.status > 299)
        give_up(reply.bytes, NULL);
    reply_end(&reply);
    return took * 1000;
}

/* A round over the whole garden is made; it is ended at once, since one is made at a time. */
static double walk_round(struct service *service)
{
    char id[37], act[37], path[80], body[120];
    double took;

    clock_uuid(id);
    clock_uuid(act);
    snprintf(body, sizeof body, "{\"id\":\"%s\"}", id);
    took = ask_inside(service, "/api/v1/rounds", "", body);
    snprintf(path, sizeof path, "/api/v1/rounds/%s/acts", id);
    snprintf(body, sizeof body, "{\"id\":\"%s\",\"what\":\"end\"}", act);
    ask_inside(service, path, "", body);
    return took;
}

static int touch_one(struct db *db, void *context, struct fault *fault)
{
    return tanks_touch(db, *(int64_t *)context, fault);
}

static void with_writers(double *p50, double *p99, double *written_a_s)
{
    static double took[ASKED];
    struct asking reader[4], writer[WRITERS];
    double began = seconds();
    size_t written = 0;

    atomic_store(&over, false);
    for (int i = 0; i < WRITERS; i++) {
        writer[i] = (struct asking){.number = i};
        pthread_create(&writer[i].thread, NULL, write_on, &writer[i]);
    }
    for (int i = 0; i < 4; i++) {
        reader[i] = (struct asking){.number = i, .count = ASKED / 4, .took_ms = took + i * (ASKED / 4)};
        pthread_create(&reader[i].thread, NULL, read_on, &reader[i]);
    }
    for (int i = 0; i < 4; i++)
        pthread_join(reader[i].thread, NULL);
    atomic_store(&over, true);
    for (int i = 0; i < WRITERS; i++) {
        pthread_join(writer[i].thread, NULL);
        written += writer[i].count;
    }
    *written_a_s = (double)written / (seconds() - began);
    *p50 = at_share(took, ASKED, 0.5);
    *p99 = at_share(took, ASKED, 0.99);
}

static double peak_mb(void)
{
    struct rusage usage;

    getrusage(RUSAGE_SELF, &usage);
    return (double)usage.ru_maxrss / 1024;
}

/* first: the standings are not in the file yet, and are worked out and put there; measured is the start after that. */
static void prepare(const char *path)
{
    struct fault fault = {0};
    struct garden *garden = garden_open(path, &fault);
    double began = seconds();

    if (!garden || standing_keeper_start(garden, &fault))
        give_up("open", &fault);
    standing_keeper_settle(garden->keeper);
    printf("  all tanks worked out beforehand in %.1f s\n", seconds() - began);
    fflush(stdout);
    garden_close(garden);
}

static void measure(const char *path, int year)
{
    struct fault fault = {0};
    double began = seconds(), started, first, again[21], p50, p99, written, needs, round, harvests, fills;
    char span[40];
    time_t from = time(NULL) - 90 * 24 * 3600;
    struct garden *garden = garden_open(path, &fault);
    struct service service = {.garden = garden, .www = "site", .answers = answers_new((size_t)24 << 20), .loopback_is_keeper = true};
    struct listen_options options = {.address = "127.0.0.1:0", .www = "site"};
    struct listener *listener;
    struct stat file;

    if (!garden || standing_keeper_start(garden, &fault) || !(listener = listen_start(&options, &service, &fault)))
        give_up("open", &fault);
    started = (seconds() - began) * 1000;
    port = listen_port(listener);
    round = walk_round(&service);
    first = ask_inside(&service, "/api/v1/today", "", NULL);
    for (int i = 0; i < 21; i++) {
        int64_t key = 1 + (int64_t)(draw() * tanks);

        if (store_write(garden->store, touch_one, &key, &fault))
            give_up("touch", &fault);
        again[i] = ask_inside(&service, "/api/v1/today", "", NULL);
    }
    with_writers(&p50, &p99, &written);
    needs = ask_inside(&service, "/api/v1/needs", "", NULL);
    strftime(span, sizeof span, "from=%Y-%m-%d", gmtime(&from));
    harvests = ask_inside(&service, "/api/v1/harvests", span, NULL);
    fills = ask_inside(&service, "/api/v1/fills", span, NULL);
    stat(path, &file);
    printf("| %d | %.0f MB | %.0f ms | %.1f ms | %.1f ms | %.1f ms | %.1f ms | %.0f/s | %.0f ms | %.0f ms | %.0f ms | %.0f ms | %.0f MB |\n", year, (double)file.st_size / 1e6, started, first,
           at_share(again, 21, 0.5), p50, p99, written, needs, round, harvests, fills, peak_mb());
    harvests = ask_inside(&service, "/api/v1/harvests/summary", span, NULL);
    printf("  those harvests summed up by tank, crop and season: %.1f s, %.0f MB\n", harvests / 1000, peak_mb());
    fflush(stdout);
    listen_stop(listener);
    answers_free(service.answers);
    garden_close(garden);
}

/* In a process of its own: its memory is its own. */
static void run_self(const char *self, const char *what, const char *path, int year)
{
    char count[16], number[16];
    int status;
    pid_t child;

    snprintf(count, sizeof count, "%d", tanks);
    snprintf(number, sizeof number, "%d", year);
    child = fork();
    if (child == 0) {
        execl(self, self, what, path, count, number, (char *)NULL);
        _exit(127);
    }
    if (child < 0 || waitpid(child, &status, 0) < 0 || status)
        give_up(what, NULL);
}

static int64_t ask_number(const char *path, const char *sql)
{
    sqlite3 *sqlite;
    sqlite3_stmt *stmt;
    int64_t number = 0;

    if (sqlite3_open_v2(path, &sqlite, SQLITE_OPEN_READONLY, NULL) == SQLITE_OK && sqlite3_prepare_v2(sqlite, sql, -1, &stmt, NULL) == SQLITE_OK &&
        sqlite3_step(stmt) == SQLITE_ROW)
        number = sqlite3_column_int64(stmt, 0);
    else
        fprintf(stderr, "years: %s\n", sqlite3_errmsg(sqlite));
    sqlite3_finalize(stmt);
    sqlite3_close(sqlite);
    return number;
}

static void remove_file(const char *path)
{
    static const char *const endings[] = {"", "-wal", "-shm"};
    char name[300];

    for (size_t i = 0; i < 3; i++) {
        snprintf(name, sizeof name, "%s%s", path, endings[i]);
        unlink(name);
    }
}

int main(int argc, char **argv)
{
    char path[256];
    struct making making = {.tanks = argc > 1 ? atoi(argv[1]) : 1000};
    int years = argc > 2 ? atoi(argv[2]) : 3;
    int64_t now_ms = clock_now_ms();
    double sensed_bytes;

    if (sodium_init() < 0)
        return 1;
    signal(SIGPIPE, SIG_IGN);
    if (argc == 5 && strcmp(argv[1], "--measure") == 0) {
        if (!freopen("/dev/null", "w", stderr))
            return 1;
        tanks = atoi(argv[3]);
        measure(argv[2], atoi(argv[4]));
        return 0;
    }
    if (argc == 5 && strcmp(argv[1], "--prepare") == 0) {
        prepare(argv[2]);
        return 0;
    }
    setvbuf(stdout, NULL, _IOLBF, 0); /* in order with what the measuring processes print */
    making.sensed = argc > 3 ? atoi(argv[3]) : 33;
    tanks = making.tanks;
    snprintf(path, sizeof path, "%s", argc > 4 ? argv[4] : "bench-years.garden");
    remove_file(path);
    for (int year = 0; year < years; year++) {
        double began = seconds();

        add_year(path, &making, year, years, now_ms);
        printf("year %d: %zu entries and %zu sensors' readings so far, made in %.0f s\n", year + 1, making.entries, making.readings, seconds() - began);
        run_self(argv[0], "--prepare", path, year + 1);
        if (year == 0)
            printf("| year | file | start | Today, first | Today, after a write | page p50 | page p99 | logged meanwhile | needs | round | harvests | fills | memory |\n"
                   "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
        run_self(argv[0], "--measure", path, year + 1);
    }
    sensed_bytes = (double)ask_number(path, "SELECT sum(pgsize) FROM dbstat WHERE name = 'sensed'");
    printf("a sensor's reading takes %.1f bytes on disk, indexes included; a person's entry with all of its own %.0f\n", sensed_bytes / (double)making.readings,
           (double)ask_number(path, "SELECT sum(pgsize) FROM dbstat WHERE name GLOB 'entry*'") / (double)making.entries);
    if (argc <= 4)
        remove_file(path);
    return 0;
}
