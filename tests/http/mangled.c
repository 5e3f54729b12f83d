/* Three thousand requests with bytes changed, put in, taken out and cut off, always the same ones: whatever comes, the answer is
 * a status or an end, nothing of it reaches the interface under another name, and the next good request is served. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "http/client.h"
#include "http/standin.h"
#include "runner.h"

#define TURNS 3000
#define GOOD "GET /api/echo HTTP/1.1\r\nHost: localhost\r\n\r\n"

static const char *const originals[] = {
    GOOD,
    "POST /api/echo?a=b%20c HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 7\r\nCookie: tidemark=x\r\n\r\n{\"a\":1}",
    "POST /api/echo HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\n3\r\nabc\r\n4;x=y\r\ndefg\r\n0\r\n\r\n",
    "GET /index.html HTTP/1.1\r\nHost: 127.0.0.1\r\nAccept-Encoding: gzip;q=0.5, br\r\nIf-None-Match: \"a\", W/\"b\"\r\n\r\n",
    "HEAD /%61pi/echo HTTP/1.0\r\nHost: [::1]:80\r\nX-Forwarded-For: 1.2.3.4, ::1\r\nForwarded: for=x\r\n\r\n",
    "PUT /api/echo HTTP/1.1\r\nHost: localhost\r\nExpect: 100-continue\r\nContent-Length: 3\r\n\r\nabc",
};

/* xorshift64 ("Xorshift RNGs", Journal of Statistical Software, 2003). */
static uint64_t next(void)
{
    static uint64_t state = 20260501;

    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return state;
}

static size_t below(size_t bound)
{
    return (size_t)(next() % bound);
}

static size_t mangle(char *text, size_t length)
{
    static const char odd[] = "\0\r\n \t:/%?#;,\"\\<>[]{}\x7f\x80\xff" "0aZ-";

    for (size_t i = 1 + below(4); i > 0 && length > 2; i--) {
        size_t at = below(length);

        switch (below(5)) {
        case 0: text[at] = odd[below(sizeof odd)]; break;
        case 1: text[at] = (char)next(); break;
        case 2:
            memmove(text + at + 1, text + at, length - at);
            text[at] = odd[below(sizeof odd)];
            length++;
            break;
        case 3:
            memmove(text + at, text + at + 1, length - at - 1);
            length--;
            break;
        default: length -= below(length / 2); break;
        }
    }
    return length;
}

START_TEST(mangled_requests_do_no_harm)
{
    int kinds[600] = {0};
    unsigned port;

    standin_page("index.html", "<!doctype html><title>first</title>");
    port = standin_start(NULL);
    for (int turn = 0; turn < TURNS; turn++) {
        const char *original = originals[below(COUNT(originals))];
        char text[1024];
        struct answer answer;
        int fd = client_connect(port, 1 + turn % 250);

        memcpy(text, original, strlen(original));
        client_say(fd, text, mangle(text, strlen(original)));
        shutdown(fd, SHUT_WR);
        client_hear(fd, &answer);
        ck_assert_msg(answer.status == 0 || (answer.status >= 200 && answer.status < 600), "turn %d: %d", turn, answer.status);
        kinds[answer.status]++;
        answer_free(&answer);
        close(fd);
        if (turn % 100 == 0) {
            client_ask_bytes(port, &answer, GOOD, strlen(GOOD));
            ck_assert_int_eq(answer.status, 200);
            answer_free(&answer);
        }
    }
    ck_assert_int_gt(kinds[200], 0); /* some changes do not matter, some are refused */
    ck_assert_int_gt(kinds[400], 0);
    standin_stop();
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("mangled requests");
    TCase *tcase = tcase_create("mangled requests");

    tcase_add_test(tcase, mangled_requests_do_no_harm);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
