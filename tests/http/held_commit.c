/* While a commit waits for the disk, whoever reads is answered, and whoever wrote is not: the whole daemon in this process, on a disk
 * that takes as long as a test likes. Nothing here looks at a clock. Figures are invented. */
#include <check.h>
#include <jansson.h>
#include <poll.h>
#include <pthread.h>
#include <sodium.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "api/request.h"
#include "garden/clock.h"
#include "garden_file.h"
#include "http/client.h"
#include "http/held_disk.h"
#include "http/listen.h"
#include "store/entries.h"
#include "runner.h"

#define TANK "01900000-0000-7000-8000-000000000101"
#define VESSEL "01900000-0000-7000-8000-0000000000f1"
#define POOL 2      /* threads: readers meet writers on each */
#define WRITERS 40  /* more than there are threads that wait */
#define READERS 12

static struct service service;
static struct listener *listener;
static const char *path;
static unsigned port;

static void post(const char *where, const char *body)
{
    struct answer answer;

    client_ask(port, &answer, "POST %s HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: %zu\r\n\r\n%s", where,
               strlen(body), body);
    ck_assert_msg(answer.status == 201, "%s: %d %s", where, answer.status, answer.body);
    answer_free(&answer);
}

static void open_new(void)
{
    struct listen_options options = {.address = "127.0.0.1:0", .www = source_path("tests/http"), .pool = POOL};
    struct fault fault = {0};

    ck_assert_int_ge(sodium_init(), 0);
    held_disk_install();
    path = garden_file_new("held-commit");
    service = (struct service){.garden = garden_open(path, &fault), .loopback_is_keeper = true};
    ck_assert_msg(service.garden != NULL, "%s", fault.item[0].detail);
    listener = listen_start(&options, &service, &fault);
    ck_assert_msg(listener != NULL, "%s", fault.item[0].detail);
    port = listen_port(listener);
    post("/api/v1/vessels", "{\"id\":\"" VESSEL "\",\"name\":\"tub\",\"shape\":{\"shape\":\"round\",\"floor_mm\":300,\"rim_mm\":340,\"height_mm\":400},\"start_mm\":300,\"low_mm\":60}");
    post("/api/v1/tanks", "{\"id\":\"" TANK "\",\"name\":\"one\",\"vessel\":\"" VESSEL "\"}");
}

static void close_it(void)
{
    held_disk_let_go();
    listen_stop(listener);
    garden_close(service.garden);
    garden_file_remove(path);
}

/* ---- asking ---- */

/* Says that something was seen; hears nothing yet. */
static void say_note(int fd)
{
    char body[300], request[600], id[37];

    clock_uuid(id);
    snprintf(body, sizeof body, "{\"id\":\"%s\",\"tank\":\"" TANK "\",\"kind\":\"note\",\"at\":\"2026-05-01T08:00:00Z\",\"note\":\"seen\"}", id);
    snprintf(request, sizeof request, "POST /api/v1/entries HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: %zu\r\n\r\n%s",
             strlen(body), body);
    client_say(fd, request, strlen(request));
}

static void say_read(int fd)
{
    static const char request[] = "GET /api/v1/entries?tank=" TANK " HTTP/1.1\r\nHost: localhost\r\n\r\n";

    client_say(fd, request, strlen(request));
}

static void hear(int fd, int status)
{
    struct answer answer;

    client_hear(fd, &answer);
    ck_assert_msg(answer.status == status, "%d, not %d: %s", answer.status, status, answer.body ? answer.body : "no answer");
    answer_free(&answer);
}

/* The answer to say_read: how many entries it shows. */
static size_t hear_entries(int fd)
{
    struct answer answer;
    json_t *document;
    size_t count;

    client_hear(fd, &answer);
    ck_assert_msg(answer.status == 200, "%d: %s", answer.status, answer.body ? answer.body : "no answer");
    document = json_loads(answer.body, 0, NULL);
    count = json_array_size(json_object_get(document, "items"));
    json_decref(document);
    answer_free(&answer);
    return count;
}

static size_t entries_now(void)
{
    int fd = client_connect(port, 0);
    size_t count;

    say_read(fd);
    count = hear_entries(fd);
    close(fd);
    return count;
}

/* Answers that come one behind the other: their statuses. */
static void hear_statuses(int fd, const char *wanted)
{
    static char bytes[1 << 16];
    size_t have = 0, at = 0;
    char told[100] = "";

    while (strlen(told) < strlen(wanted)) {
        const char *end = at < have ? strstr(bytes + at, "\r\n\r\n") : NULL;
        size_t whole = end ? (size_t)(end + 4 - bytes) + strtoul(strstr(bytes + at, "Content-Length: ") + 16, NULL, 10) : SIZE_MAX;
        ssize_t more;

        if (whole <= have) {
            snprintf(told + strlen(told), sizeof told - strlen(told), "%.4s", bytes + at + strlen("HTTP/1.1 "));
            at = whole;
            continue;
        }
        more = recv(fd, bytes + have, sizeof bytes - have - 1, 0);
        ck_assert_msg(more > 0, "ended after %s", told);
        have += (size_t)more;
        bytes[have] = '\0';
    }
    ck_assert_str_eq(told, wanted);
}

static bool heard_anything(int fd)
{
    struct pollfd ready = {.fd = fd, .events = POLLIN};

    return poll(&ready, 1, 0) != 0;
}

/* ---- tests ---- */

/* Goal: a slow disk holds up nobody but who wrote to it, and nobody is told or shown what is not on it. */
START_TEST(readers_are_answered_while_a_commit_waits)
{
    int writer[WRITERS];

    held_disk_hold();
    for (size_t i = 0; i < WRITERS; i++) {
        writer[i] = client_connect(port, 0);
        say_note(writer[i]);
    }
    held_disk_await();
    for (size_t i = 0; i < READERS; i++)
        ck_assert_uint_eq(entries_now(), 0);
    for (size_t i = 0; i < WRITERS; i++)
        ck_assert_msg(!heard_anything(writer[i]), "writer %zu was answered before anything was on the disk", i);
    held_disk_let_go();
    for (size_t i = 0; i < WRITERS; i++) {
        hear(writer[i], 201);
        close(writer[i]);
    }
    ck_assert_uint_eq(entries_now(), WRITERS);
}
END_TEST

/* Goal: a connection whose request waited goes on as any other, with what it said meanwhile. */
START_TEST(answers_come_in_the_order_of_asking)
{
    int fd = client_connect(port, 0);

    held_disk_hold();
    say_note(fd);
    say_read(fd);
    say_note(fd);
    say_read(fd);
    held_disk_await();
    ck_assert(!heard_anything(fd));
    held_disk_let_go();
    hear_statuses(fd, "201 200 201 200 ");
    close(fd);
}
END_TEST

/* Goal: what was said whole is kept, though nobody waits for the answer any more. */
START_TEST(who_leaves_before_the_answer_has_written)
{
    int fd[WRITERS];

    held_disk_hold();
    for (size_t i = 0; i < WRITERS; i++) {
        fd[i] = client_connect(port, 0);
        say_note(fd[i]);
    }
    held_disk_await();
    for (size_t i = 0; i < WRITERS; i++)
        close(fd[i]);
    ck_assert_uint_eq(entries_now(), 0);
    held_disk_let_go();
    listen_stop(listener); /* waits for all that was taken */
    listener = NULL;
    {
        struct fault fault = {0};
        struct db *db = store_read(service.garden->store, &fault);
        struct list entries;
        struct arena arena = {0};

        ck_assert_int_eq(entries_of_tank(db, 1, &entries, &arena, &fault), 0);
        ck_assert_uint_ge(entries.count, 1);
        ck_assert_uint_le(entries.count, WRITERS); /* those whose request had not been read when they left have not */
        store_done(service.garden->store, db);
        arena_end(&arena);
    }
}
END_TEST

static void *stop(void *context)
{
    (void)context;
    listen_stop(listener);
    listener = NULL;
    return NULL;
}

/* Goal: a daemon that is told to stop lets a commit end and says so. */
START_TEST(stopping_waits_for_the_disk)
{
    const struct timespec moment = {.tv_nsec = 200000000};
    pthread_t stopping;
    int fd = client_connect(port, 0);

    held_disk_hold();
    say_note(fd);
    held_disk_await();
    pthread_create(&stopping, NULL, stop, NULL);
    nanosleep(&moment, NULL); /* so that it has begun to, as a rule */
    ck_assert(!heard_anything(fd));
    held_disk_let_go();
    hear(fd, 201);
    pthread_join(stopping, NULL);
    close(fd);
}
END_TEST

/* Goal: writers that wait together share a commit. */
START_TEST(waiting_writers_share_a_commit)
{
    int writer[9];
    unsigned before, waited = 0;

    held_disk_hold();
    for (size_t i = 0; i < COUNT(writer); i++) {
        writer[i] = client_connect(port, 0);
        say_note(writer[i]);
        if (i == 0)
            held_disk_await();
    }
    for (; store_waiting(service.garden->store) < COUNT(writer) - 1; waited++) {
        ck_assert_msg(waited < 10000, "only %zu of the others wait for the writer", store_waiting(service.garden->store));
        nanosleep(&(struct timespec){.tv_nsec = 1000000}, NULL);
    }
    before = held_disk_flushes();
    held_disk_let_go();
    for (size_t i = 0; i < COUNT(writer); i++) {
        hear(writer[i], 201);
        close(writer[i]);
    }
    ck_assert_uint_eq(held_disk_flushes() - before, 1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("http/held_commit");
    TCase *tests = tcase_create("held commit");

    tcase_add_checked_fixture(tests, open_new, close_it);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, readers_are_answered_while_a_commit_waits);
    tcase_add_test(tests, answers_come_in_the_order_of_asking);
    tcase_add_test(tests, who_leaves_before_the_answer_has_written);
    tcase_add_test(tests, stopping_waits_for_the_disk);
    tcase_add_test(tests, waiting_writers_share_a_commit);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
