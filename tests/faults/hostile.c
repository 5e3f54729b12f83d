/* Two hundred idle, half-open, trickling, slow-body and slow-reading clients at once: a normal client is still served, and
 * all the others are gone within 30 s.
 *
 * In `make check` the listener has a fifth of its patience, so that this takes some seconds; with TIDEMARK_LONG=1 it has all
 * of it, and this takes three quarters of a minute. Loopback only; the 200 come from ten addresses.
 */
#include <fcntl.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "http/client.h"
#include "http/standin.h"
#include "runner.h"

#define HOSTILE 200
#define WANTED "GET /api/echo HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"

enum kind { IDLE, HALF_OPEN, TRICKLING, SLOW_BODY, SLOW_READING, KINDS };

static const char *const names[] = {"idle", "half-open", "trickling", "slow-body", "slow-reading"};

static const char *const opening[] = {
    [IDLE] = "",
    [HALF_OPEN] = "GET /api/ec",
    [TRICKLING] = "GET /api/echo HTTP/1.1\r\nHost: localhost\r\nX-Slow: ",
    [SLOW_BODY] = "POST /api/echo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 100000\r\n\r\n",
    [SLOW_READING] = "GET /api/large HTTP/1.1\r\nHost: localhost\r\n\r\n",
};

static unsigned port;
static int scale; /* 1: the real times; 5: a fifth of them */
static atomic_int asked, served;
static atomic_bool over;

static int64_t now_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void wait_ms(int ms)
{
    nanosleep(&(struct timespec){.tv_sec = ms / 1000, .tv_nsec = ms % 1000 * 1000000L}, NULL);
}

/* A household member: a new connection about twenty times a second. */
static void *ask_on(void *context)
{
    struct answer answer;

    (void)context;
    while (!over) {
        int fd = client_connect(port, 0);

        asked++;
        client_say(fd, WANTED, sizeof WANTED - 1);
        client_hear(fd, &answer);
        served += answer.status == 200;
        answer_free(&answer);
        close(fd);
        wait_ms(50);
    }
    return NULL;
}

static void open_all(int fd[HOSTILE])
{
    int small = 4096;

    for (int i = 0; i < HOSTILE; i++) {
        enum kind kind = (enum kind)(i % KINDS);

        fd[i] = client_connect(port, 10 + i % 10);
        if (kind == SLOW_READING)
            setsockopt(fd[i], SOL_SOCKET, SO_RCVBUF, &small, sizeof small);
        client_say(fd[i], opening[kind], strlen(opening[kind]));
        fcntl(fd[i], F_SETFL, O_NONBLOCK);
    }
}

/* A byte from each that sends, a sip by each that reads. The ends are noticed by the listener's own count: one that does not
 * read sees no end. */
static void go_on_slowly(const int fd[HOSTILE])
{
    char sip[16];

    for (int i = 0; i < HOSTILE; i++) {
        if (i % KINDS == TRICKLING || i % KINDS == SLOW_BODY)
            send(fd[i], "a", 1, MSG_NOSIGNAL);
        else if (i % KINDS == SLOW_READING)
            (void)!recv(fd[i], sip, sizeof sip, 0);
    }
}

/* Until only normal clients are left; when that was. */
static int64_t hold_on(const int fd[HOSTILE], int64_t most_ms)
{
    int64_t began = now_ms();
    unsigned most_seen = 0;

    while (now_ms() - began < most_ms) {
        unsigned open = listen_connections(standin);

        most_seen = open > most_seen ? open : most_seen;
        if (open <= 2 && most_seen > HOSTILE / 2)
            break;
        go_on_slowly(fd);
        wait_ms(1000 / scale);
    }
    ck_assert_msg(most_seen >= HOSTILE, "only %u were open at once", most_seen);
    return now_ms() - began;
}

static void check_ended(const int fd[HOSTILE])
{
    for (int i = 0; i < HOSTILE; i++) {
        fcntl(fd[i], F_SETFL, 0);
        if (i % KINDS != SLOW_READING)
            ck_assert_msg(client_ended(fd[i], 1000), "a %s client was not closed", names[i % KINDS]);
        close(fd[i]);
    }
}

START_TEST(others_are_served_while_two_hundred_dawdle)
{
    struct listen_times times = LISTEN_TIMES;
    pthread_t member;
    int fd[HOSTILE];
    int64_t took_ms;

    scale = getenv("TIDEMARK_LONG") ? 1 : 5;
    times = (struct listen_times){times.head_ms / scale, times.idle_ms / scale, times.body_ms / scale, times.send_ms / scale};
    port = standin_start(&(struct listen_options){.times = scale == 1 ? LISTEN_TIMES : times});
    ck_assert_int_eq(pthread_create(&member, NULL, ask_on, NULL), 0);
    open_all(fd);
    took_ms = hold_on(fd, 40000 / scale + 2000);
    wait_ms(500);
    over = true;
    pthread_join(member, NULL);
    printf("%d of %d normal requests served; the last of %d others was gone after %.1f s\n", served, asked, HOSTILE, (double)took_ms / 1000);
    ck_assert_int_ge(served * 100, asked * 99);
    ck_assert_int_gt(asked, 20);
    /* 30 s, and what the once-a-second look and a busy machine add */
    ck_assert_int_le(took_ms, 30000 / scale + 2500);
    check_ended(fd);
    standin_stop();
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("hostile clients");
    TCase *tcase = tcase_create("hostile clients");

    tcase_set_timeout(tcase, 20); /* times the multiplier of the tests' environment */
    tcase_add_test(tcase, others_are_served_while_two_hundred_dawdle);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
