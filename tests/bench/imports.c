/* How long a single entry waits while a large table is brought in.
 *
 *     tests/bench/imports [ROWS]      1,000,000 when left out
 *
 * One phone logs a reading each twentieth of a second through the whole API, in this process, while a table is brought in: a logger's
 * readings over ten tanks; the same again; 20,000 readings of people; a table of 20,000 entries as it was exported. For each: how long the
 * import took, and of the phone's waits the longest and the one that one in a hundred exceeds. The tables are invented.
 */
#include <jansson.h>
#include <math.h>
#include <pthread.h>
#include <sodium.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#include "api/request.h"
#include "garden/clock.h"
#include "garden/garden.h"
#include "garden/people.h"

#define TANKS 10
#define WAITS_MOST 100000
#define PAUSE_S 0.05
#define LOG_ROWS 20000

static struct service service = {.loopback_is_keeper = true};
static char tank[TANKS][40];
static atomic_bool over;
static double wait_s[WAITS_MOST];
static size_t waits;

static double seconds(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static void pause_s(double s)
{
    nanosleep(&(struct timespec){(time_t)s, (long)((s - (double)(time_t)s) * 1e9)}, NULL);
}

static _Noreturn void give_up(const char *doing, const char *why)
{
    fprintf(stderr, "imports: %s: %s\n", doing, why);
    exit(1);
}

/* Asks as a keeper at this machine; the answer's document is the caller's. */
static json_t *ask(unsigned wanted, const char *method, const char *path, const char *body, FILE *file)
{
    char plain[256];
    struct arena arena = {0};
    size_t length = strcspn(path, "?");
    struct request request = {.service = &service, .method = method, .path = plain, .query = path[length] ? path + length + 1 : "", .host = "localhost",
                              .peer = "127.0.0.1", .from_loopback = true, .content_type = file ? "text/csv" : "application/json", .arena = &arena,
                              .body = body, .body_length = body ? strlen(body) : 0, .body_file = file, .now_ms = clock_now_ms()};
    struct reply reply;
    json_t *answer;

    snprintf(plain, sizeof plain, "%.*s", (int)length, path);
    api_answer(&request, &reply);
    if ((reply.status ? reply.status : 200) != wanted)
        give_up(path, reply.bytes ? reply.bytes : "no answer");
    answer = reply.bytes ? json_loadb(reply.bytes, reply.length, 0, NULL) : NULL;
    reply_end(&reply);
    arena_end(&arena);
    return answer;
}

static void make_garden(void)
{
    json_t *vessel = ask(201, "POST", "/api/v1/vessels", "{\"name\":\"tub\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[500,300],\"rim_mm\":[500,300],\"height_mm\":300},\"start_mm\":250}", NULL);

    for (int i = 0; i < TANKS; i++) {
        char body[160];
        json_t *made;

        snprintf(body, sizeof body, "{\"name\":\"Tank %d\",\"vessel\":\"%s\"}", i, json_string_value(json_object_get(vessel, "id")));
        made = ask(201, "POST", "/api/v1/tanks", body, NULL);
        snprintf(tank[i], sizeof tank[i], "%s", json_string_value(json_object_get(made, "id")));
        json_decref(made);
    }
    json_decref(vessel);
}

/* ---- the phone ---- */

static void *log_on(void *nothing)
{
    char id[37], body[256];

    (void)nothing;
    while (!atomic_load(&over)) {
        double began = seconds();

        clock_uuid(id);
        snprintf(body, sizeof body, "{\"id\":\"%s\",\"tank\":\"%s\",\"kind\":\"reading\",\"at\":\"2026-01-01T00:00:00Z\",\"ph\":6}", id, tank[waits % TANKS]);
        json_decref(ask(201, "POST", "/api/v1/entries", body, NULL));
        if (waits < WAITS_MOST)
            wait_s[waits++] = seconds() - began;
        pause_s(PAUSE_S);
    }
    return NULL;
}

static int by_size(const void *a, const void *b)
{
    double first = *(const double *)a, second = *(const double *)b;

    return (first > second) - (first < second);
}

/* Brings it in while the phone logs. Takes table over. */
static void bring_in(const char *what, const char *path, FILE *table)
{
    double began = seconds(), took;
    struct rusage used;
    pthread_t phone;
    json_t *job;
    char at[128];

    rewind(table);
    waits = 0;
    atomic_store(&over, false);
    if (pthread_create(&phone, NULL, log_on, NULL))
        give_up(what, "no thread");
    job = ask(202, "POST", path, NULL, table);
    snprintf(at, sizeof at, "/api/v1/imports/%s", json_string_value(json_object_get(job, "id")));
    while (strcmp(json_string_value(json_object_get(job, "state")), "running") == 0) {
        json_decref(job);
        pause_s(0.02);
        job = ask(200, "GET", at, NULL, NULL);
    }
    took = seconds() - began;
    atomic_store(&over, true);
    pthread_join(phone, NULL);
    if (strcmp(json_string_value(json_object_get(job, "state")), "done") != 0)
        give_up(what, json_dumps(job, 0));
    qsort(wait_s, waits, sizeof *wait_s, by_size);
    getrusage(RUSAGE_SELF, &used);
    printf("%s: %.1f s, %lld new; %zu entries meanwhile waited %.0f ms at most, one in a hundred more than %.0f ms; %ld MB\n", what, took,
           (long long)json_integer_value(json_object_get(job, "kept")), waits, 1000 * wait_s[waits - 1], 1000 * wait_s[(waits - 1) * 99 / 100], used.ru_maxrss / 1024);
    fflush(stdout);
    json_decref(job);
}

/* ---- the tables ---- */

/* Ten tanks read each minute, day after day, the water falling by half a millimetre an hour and filled again. */
static FILE *readings(long rows)
{
    FILE *table = tmpfile();

    if (!table)
        give_up("the table", "no file");
    fputs("at,tank,level,ec,temperature\n", table);
    for (long i = 0; i < rows; i++) {
        long minute = i / TANKS;
        time_t at = 1704067200 + 60 * (time_t)minute; /* 2024 */
        struct tm t;

        gmtime_r(&at, &t);
        fprintf(table, "%04d-%02d-%02dT%02d:%02d:00Z,%s,%.1f,%.3f,%.2f\n", t.tm_year + 1900, t.tm_mon + 1, t.tm_mday, t.tm_hour, t.tm_min, tank[i % TANKS],
                250 - (double)(minute % 20000) / 120, 1.2 + (double)(minute % 300) / 1000, 20 + 3 * sin((double)minute / 229));
    }
    return table;
}

static FILE *entries(void)
{
    FILE *table = tmpfile();

    if (!table)
        give_up("the table", "no file");
    fputs("id,tank,kind,at,waterline_mm,ph\n", table);
    for (int i = 0; i < LOG_ROWS; i++) {
        char id[37];

        clock_uuid(id);
        fprintf(table, "%s,%s,reading,2025-%02d-%02dT%02d:%02d:00Z,%.1f,6.1\n", id, tank[i % TANKS], 1 + i / 2000, 1 + i / 80 % 25, i / 4 % 20, i % 60, 250 - (double)(i % 2000) / 10);
    }
    return table;
}

int main(int count, char **argument)
{
    long rows = count > 1 ? atol(argument[1]) : 1000000;
    char path[64];
    struct fault fault = {0};
    static const char *const endings[] = {"", "-wal", "-shm"};

    if (sodium_init() < 0 || rows < 1)
        return 1;
    snprintf(path, sizeof path, "bench-imports-%ld.garden", (long)getpid());
    service.garden = garden_open(path, &fault);
    if (!service.garden)
        give_up("the garden", fault.item[0].detail);
    make_garden();
    bring_in("a logger's readings", "/api/v1/imports/readings?at_column=1&tank_column=2&waterline_column=3&ec_column=4&temperature_column=5&as=sensor&sensor=logger", readings(rows));
    bring_in("the same again", "/api/v1/imports/readings?at_column=1&tank_column=2&waterline_column=3&ec_column=4&temperature_column=5&as=sensor&sensor=logger", readings(rows));
    bring_in("readings of people", "/api/v1/imports/readings?at_column=1&tank_column=2&waterline_column=3&ec_column=4&temperature_column=5", readings(rows < LOG_ROWS ? rows : LOG_ROWS));
    bring_in("a table of entries", "/api/v1/imports/tables/entries", entries());
    garden_close(service.garden);
    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++) {
        char name[80];

        snprintf(name, sizeof name, "%s%s", path, endings[i]);
        unlink(name);
    }
    return 0;
}
