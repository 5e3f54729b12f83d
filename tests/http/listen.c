/* The listener: whom it answers, what it refuses before anyone looks at the meaning, which headers go with it. */
#include "http/listen.h"

#include <pthread.h>
#include <sched.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>
#include <zlib.h>

#include "http/client.h"
#include "http/standin.h"
#include "runner.h"

static unsigned port;

static void start(void)
{
    static const char *const proxies[] = {"127.0.0.9", "10.0.0.0/8"};
    static const char *const hosts[] = {"garden.example"};

    standin_page("index.html", "<!doctype html><title>first</title>");
    standin_page("today.html", "<!doctype html><title>today</title>");
    standin_page("today.html.gz", "not really packed");
    standin_page("js/draw.js", "export const a = 1;");
    standin_page(".hidden", "secret");
    port = standin_start(&(struct listen_options){.host = hosts,
                                                  .hosts = 1,
                                                  .trusted_proxy = proxies,
                                                  .trusted_proxies = 2,
                                                  .public_url = "https://tank.example"});
    standin_asked = 0;
}

static void get(struct answer *answer, const char *target, const char *more)
{
    client_ask(port, answer, "GET %s HTTP/1.1\r\nHost: localhost\r\n%s\r\n", target, more);
}

static const struct {
    const char *host;
    int status;
} hosts[] = {
    {"localhost", 200},
    {"LocalHost.", 200},
    {"localhost:8080", 200}, /* forwarded ports are common; see hosts.h */
    {"127.0.0.1", 200},
    {"127.0.0.1:1", 200},
    {"garden.example", 200},
    {"tank.example:443", 200},
    {"rebound.example", 421},
    {"localhost.rebound.example", 421},
    {"127.0.0.1.rebound.example", 421},
    {"127.0.0.2", 421}, /* an address, but not the one that the connection came to */
    {"[::1]", 421},
    {"192.168.1.9", 421},
    {"localhost:80x", 421},
    {"user@localhost", 421},
    {"", 400},
};

START_TEST(host_must_be_ours)
{
    struct answer answer;

    client_ask(port, &answer, "GET /api/echo HTTP/1.1\r\nHost: %s\r\n\r\n", hosts[_i].host);
    ck_assert_msg(answer.status == hosts[_i].status, "Host \"%s\": %d", hosts[_i].host, answer.status);
    ck_assert_int_eq(standin_asked, hosts[_i].status == 200);
    answer_free(&answer);

    /* Pages, too: a page of ours in a stranger's name could ask the interface as its own. */
    client_ask(port, &answer, "GET / HTTP/1.1\r\nHost: %s\r\n\r\n", hosts[_i].host);
    ck_assert_int_eq(answer.status, hosts[_i].status);
    answer_free(&answer);
}
END_TEST

START_TEST(host_must_be_told)
{
    struct answer answer;

    client_ask(port, &answer, "GET /api/echo HTTP/1.1\r\n\r\n");
    ck_assert_int_eq(answer.status, 400);
    ck_assert_int_eq(standin_asked, 0);
    answer_free(&answer);
}
END_TEST

static const struct {
    const char *request;
    int status;
} refused[] = {
    {"GET /api/tank/1%00 HTTP/1.1\r\nHost: localhost\r\n\r\n", 400},
    {"GET /api/tank/%00/../x HTTP/1.1\r\nHost: localhost\r\n\r\n", 400},
    {"GET /api/tank?code=1%00 HTTP/1.1\r\nHost: localhost\r\n\r\n", 400},
    {"GET /api/%2 HTTP/1.1\r\nHost: localhost\r\n\r\n", 400},
    {"GET /api/%zz HTTP/1.1\r\nHost: localhost\r\n\r\n", 400},
    {"GET /api/a%2Fb HTTP/1.1\r\nHost: localhost\r\n\r\n", 400},
    {"GET /api/%0d%0aSet-Cookie:x HTTP/1.1\r\nHost: localhost\r\n\r\n", 400},
    {"GET http://localhost/api/echo HTTP/1.1\r\nHost: localhost\r\n\r\n", 400},
    {"GET /api/echo HTTP/1.1\r\nHost: localhost\r\nHost: localhost\r\n\r\n", 400},
    {"GET /api/echo HTTP/1.1\r\nHost: localhost\r\nCookie: a=1\r\nCookie: b=2\r\n\r\n", 400},
    {"GET /api/echo HTTP/1.1\r\nHost: localhost\r\nAuthorization: a\r\nauthorization: b\r\n\r\n", 400},
    {"POST /api/echo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 2\r\nContent-Length: 3\r\n\r\nabc", 400},
    {"POST /api/echo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", 400},
    {"POST /api/echo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 262145\r\nExpect: 100-continue\r\n\r\n", 413},
    {"POST /api/echo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 99999999999\r\n\r\n", 413},
    {"POST /today.html HTTP/1.1\r\nHost: localhost\r\nContent-Length: 0\r\n\r\n", 405},
    {"GET /../../../etc/passwd HTTP/1.1\r\nHost: localhost\r\n\r\n", 404},
    {"GET /%2e%2e/%2e%2e/etc/passwd HTTP/1.1\r\nHost: localhost\r\n\r\n", 404},
    {"GET //etc/passwd HTTP/1.1\r\nHost: localhost\r\n\r\n", 404},
    {"GET /.hidden HTTP/1.1\r\nHost: localhost\r\n\r\n", 404},
    {"GET /today.html.gz HTTP/1.1\r\nHost: localhost\r\n\r\n", 404},
    {"GET /js HTTP/1.1\r\nHost: localhost\r\n\r\n", 404},
};

START_TEST(malformed_requests_reach_nobody)
{
    struct answer answer;

    client_ask_bytes(port, &answer, refused[_i].request, strlen(refused[_i].request));
    ck_assert_msg(answer.status == refused[_i].status, "%s: %d", refused[_i].request, answer.status);
    ck_assert_int_eq(standin_asked, 0);
    ck_assert_str_eq(answer_header(&answer, "Content-Type"), "application/problem+json");
    ck_assert_ptr_nonnull(strstr(answer.body, "\"status\":"));
    answer_free(&answer);
}
END_TEST

/* What the library itself refuses, it answers without our headers; then at least nothing of the request is in it. */
static const char *const broken[] = {
    "GET /api/echo HTTP/9.9\r\nHost: localhost\r\n\r\n",
    "POST /api/echo HTTP/1.1\r\nHost: localhost\r\nContent-Length: -5\r\n\r\n",
    "POST /api/echo HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\nzz<b>\r\n",
    "<script>\r\n\r\n",
    "GET /api/echo HTTP/1.1\r\nHost: localhost\r\nno colon <script>\r\n\r\n",
    "\r\n\r\n\r\n",
};

START_TEST(library_refusals_echo_nothing)
{
    struct answer answer;
    int fd = client_connect(port, 0);

    client_say(fd, broken[_i], strlen(broken[_i]));
    client_say(fd, "\r\n", 2);
    shutdown(fd, SHUT_WR);
    client_hear(fd, &answer);
    ck_assert_msg(answer.status == 0 || answer.status >= 400, "%s: %d", broken[_i], answer.status);
    if (answer.status)
        ck_assert_ptr_null(strstr(answer.body, "<script>"));
    ck_assert_int_eq(standin_asked, 0);
    answer_free(&answer);
    close(fd);

    get(&answer, "/api/echo", "");
    ck_assert_int_eq(answer.status, 200);
    answer_free(&answer);
}
END_TEST

START_TEST(long_targets_and_many_arguments)
{
    char target[8200] = "/api/";
    struct answer answer;

    memset(target + 5, 'a', 3000);
    get(&answer, target, "");
    ck_assert_int_eq(answer.status, 414);
    answer_free(&answer);

    strcpy(target, "/api/?");
    for (int i = 0; i < 1000; i++)
        strcat(target, "a=b&xy&");
    get(&answer, target, ""); /* outgrows the memory of one connection: the library closes it, or we refuse */
    ck_assert_msg(answer.status == 0 || answer.status == 414, "%d", answer.status);
    answer_free(&answer);
    ck_assert_int_eq(standin_asked, 0);

    get(&answer, "/api/echo", "");
    ck_assert_int_eq(answer.status, 200);
    answer_free(&answer);
}
END_TEST

START_TEST(headers_outgrow_their_room)
{
    static char text[70000];
    struct answer answer;

    strcpy(text, "GET /api/echo HTTP/1.1\r\nHost: localhost\r\nX-Filler: ");
    memset(text + strlen(text), 'a', 60000);
    strcat(text, "\r\n\r\n");
    client_ask_bytes(port, &answer, text, strlen(text));
    ck_assert_msg(answer.status == 0 || answer.status == 431 || answer.status == 413, "%d", answer.status);
    ck_assert_int_eq(standin_asked, 0);
    answer_free(&answer);
}
END_TEST

/* A body of so many bytes, told before or in chunks. */
static void post(struct answer *answer, size_t length, bool chunked)
{
    char *text = malloc(length + 400);
    int head = chunked ? sprintf(text, "POST /api/echo HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\n%zx\r\n", length)
                       : sprintf(text, "POST /api/echo HTTP/1.1\r\nHost: localhost\r\nContent-Length: %zu\r\n\r\n", length);

    memset(text + head, 'b', length);
    if (chunked)
        head += sprintf(text + head + length, "\r\n0\r\n\r\n");
    client_ask_bytes(port, answer, text, (size_t)head + length);
    free(text);
}

static const struct {
    size_t length;
    bool chunked;
    int status;
} bodies[] = {
    {0, false, 200},           {1, false, 200},          {262144, false, 200},       {262145, false, 413},
    {5000000, false, 413},     {1, true, 200},           {262144, true, 200},        {262145, true, 413},
    {5000000, true, 413},
};

START_TEST(bodies_are_bounded)
{
    struct answer answer;
    char wanted[40];

    post(&answer, bodies[_i].length, bodies[_i].chunked);
    ck_assert_msg(answer.status == bodies[_i].status, "%zu bytes: %d", bodies[_i].length, answer.status);
    ck_assert_int_eq(standin_asked, bodies[_i].status == 200);
    if (answer.status == 200) {
        snprintf(wanted, sizeof wanted, "body %zu ", bodies[_i].length);
        ck_assert_ptr_nonnull(strstr(answer.body, wanted));
        ck_assert_uint_gt(answer.length, bodies[_i].length);
    }
    answer_free(&answer);
}
END_TEST

START_TEST(more_where_the_route_takes_it)
{
    static char text[(1 << 20) + 400];
    const char *const cookie[] = {"Cookie: a=b\r\n", ""};

    for (int i = 0; i < 2; i++) {
        struct answer answer;
        int head = sprintf(text, "POST /api/import HTTP/1.1\r\nHost: localhost\r\n%sContent-Length: 1048576\r\n\r\n", cookie[i]);

        memset(text + head, 'b', 1 << 20);
        client_ask_bytes(port, &answer, text, (size_t)head + (1 << 20));
        ck_assert_int_eq(answer.status, i ? 413 : 200);
        answer_free(&answer);
    }
    ck_assert_int_eq(standin_asked, 1);
}
END_TEST

START_TEST(a_client_that_asks_first_is_told_to_go_on)
{
    struct answer answer;
    const char *head = "POST /api/echo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 3\r\nExpect: 100-continue\r\n\r\n";
    int fd = client_connect(port, 0);
    char first[64] = "";

    client_say(fd, head, strlen(head));
    ck_assert_int_gt((int)recv(fd, first, sizeof first - 1, 0), 0);
    ck_assert_ptr_nonnull(strstr(first, " 100 "));
    client_say(fd, "abc", 3);
    client_hear(fd, &answer);
    ck_assert_int_eq(answer.status, 200);
    ck_assert_ptr_nonnull(strstr(answer.body, "body 3 abc"));
    answer_free(&answer);
    close(fd);
}
END_TEST

static const char *const every_kind[] = {
    "GET / HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "HEAD /today.html HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n",
    "GET /absent HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "GET /api/echo HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "GET /api/headers HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "GET /api/echo HTTP/1.1\r\nHost: rebound.example\r\n\r\n",
    "GET /api/1%00 HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "POST / HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "POST /api/echo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 9999999\r\nExpect: 100-continue\r\n\r\n",
};

START_TEST(every_answer_carries_the_headers)
{
    struct answer answer;

    client_ask_bytes(port, &answer, every_kind[_i], strlen(every_kind[_i]));
    ck_assert_int_ne(answer.status, 0);
    ck_assert_ptr_nonnull(strstr(answer_header(&answer, "Content-Security-Policy"), "default-src 'none'"));
    ck_assert_ptr_nonnull(strstr(answer_header(&answer, "Content-Security-Policy"), "frame-ancestors 'none'"));
    ck_assert_ptr_null(strstr(answer_header(&answer, "Content-Security-Policy"), "unsafe"));
    ck_assert_ptr_null(strstr(answer_header(&answer, "Content-Security-Policy"), "upgrade-insecure-requests"));
    ck_assert_str_eq(answer_header(&answer, "X-Content-Type-Options"), "nosniff");
    ck_assert_str_eq(answer_header(&answer, "Referrer-Policy"), "same-origin");
    ck_assert_ptr_nonnull(answer_header(&answer, "Cache-Control"));
    ck_assert_ptr_null(strstr(answer.head, "Access-Control-"));
    ck_assert_ptr_null(answer_header(&answer, "Cross-Origin-Opener-Policy"));
    ck_assert_ptr_null(answer_header(&answer, "Strict-Transport-Security")); /* plain HTTP */
    answer_free(&answer);
}
END_TEST

/* zlib unpacks what was packed, and gets what goes out plain. */
START_TEST(long_answers_are_packed_for_who_accepts_it)
{
    char path[1700] = "/api/headers?q=", plain[16384], unpacked[16384];
    z_stream stream = {.next_out = (Bytef *)unpacked, .avail_out = sizeof unpacked - 1};
    struct answer answer;

    memset(path + 15, 'a', sizeof path - 16);
    get(&answer, path, "Accept-Encoding: br\r\n");
    ck_assert_ptr_null(answer_header(&answer, "Content-Encoding"));
    ck_assert_str_eq(answer_header(&answer, "Vary"), "Accept-Encoding");
    ck_assert_str_eq(answer_header(&answer, "ETag"), "\"one\"");
    snprintf(plain, sizeof plain, "%s", answer.body);
    ck_assert_uint_gt(strlen(plain), 1600);
    answer_free(&answer);

    get(&answer, path, "Accept-Encoding: gzip\r\n");
    ck_assert_str_eq(answer_header(&answer, "Content-Encoding"), "gzip");
    ck_assert_str_eq(answer_header(&answer, "Vary"), "Accept-Encoding");
    ck_assert_str_eq(answer_header(&answer, "ETag"), "W/\"one\"");
    ck_assert_uint_lt(answer.length, 400);
    stream.next_in = (Bytef *)answer.body;
    stream.avail_in = (uInt)answer.length;
    ck_assert_int_eq(inflateInit2(&stream, 15 + 16), Z_OK);
    ck_assert_int_eq(inflate(&stream, Z_FINISH), Z_STREAM_END);
    unpacked[stream.total_out] = '\0';
    inflateEnd(&stream);
    ck_assert_str_eq(unpacked, plain);
    answer_free(&answer);

    get(&answer, "/api/headers", "Accept-Encoding: gzip\r\n");
    ck_assert_ptr_null(answer_header(&answer, "Content-Encoding")); /* one packet as it is */
    answer_free(&answer);
}
END_TEST

START_TEST(answers_of_the_interface_come_through)
{
    struct answer answer;

    get(&answer, "/api/headers?a=b%20c", "Cookie: k=v\r\n");
    ck_assert_int_eq(answer.status, 201);
    ck_assert_str_eq(answer_header(&answer, "Set-Cookie"), "a=b");
    ck_assert_str_eq(answer_header(&answer, "Cache-Control"), "private");
    ck_assert_str_eq(answer_header(&answer, "ETag"), "\"one\"");
    ck_assert_str_eq(answer_header(&answer, "Content-Type"), "text/plain");
    ck_assert_ptr_nonnull(strstr(answer.body, "query a=b%20c\n"));
    ck_assert_ptr_nonnull(strstr(answer.body, "cookie k=v\n"));
    ck_assert_ptr_nonnull(strstr(answer.body, "loopback 1\n"));
    answer_free(&answer);

    get(&answer, "/api/%C3%BCber", "");
    ck_assert_ptr_nonnull(strstr(answer.body, "path /api/\xc3\xbc"
                                              "ber\n"));
    ck_assert_str_eq(answer_header(&answer, "Cache-Control"), "no-store");
    answer_free(&answer);
}
END_TEST

static const struct {
    int from; /* 127.0.0.FROM */
    const char *headers;
    int status;
    const char *told;
} forwarded[] = {
    {0, "", 200, "peer 127.0.0.1\nloopback 1\nsecure 0\n"},
    /* Nobody that we know as a proxy: not believed, and no guest at home either. */
    {0, "X-Forwarded-For: 192.168.1.9\r\n", 200, "peer 127.0.0.1\nloopback 0\nsecure 0\n"},
    {0, "Forwarded: for=192.168.1.9\r\n", 200, "peer 127.0.0.1\nloopback 0\nsecure 0\n"},
    {0, "X-Forwarded-Proto: https\r\n", 200, "peer 127.0.0.1\nloopback 1\nsecure 0\n"},
    {9, "X-Forwarded-For: 192.168.1.9\r\n", 200, "peer 192.168.1.9\nloopback 0\nsecure 0\n"},
    {9, "X-Forwarded-For: 192.168.1.9\r\nX-Forwarded-Proto: https\r\n", 200, "peer 192.168.1.9\nloopback 0\nsecure 1\n"},
    {9, "X-Forwarded-For: 127.0.0.1, 192.168.1.9\r\n", 200, "peer 192.168.1.9\nloopback 0\n"}, /* the first is the client's own word */
    {9, "X-Forwarded-For: 192.168.1.9, 10.1.2.3\r\n", 200, "peer 192.168.1.9\nloopback 0\n"},
    {9, "X-Forwarded-For: 2001:db8::7\r\n", 200, "peer 2001:db8::7\nloopback 0\n"},
    {9, "", 200, "peer 127.0.0.9\nloopback 0\n"}, /* it should have said for whom */
    {9, "X-Forwarded-For: 127.0.0.1\r\n", 200, "peer 127.0.0.1\nloopback 0\n"},
    {9, "X-Forwarded-For: somebody\r\n", 400, ""},
    {9, "X-Forwarded-For: 10.1.2.3\r\n", 400, ""},
    {9, "X-Forwarded-For: 192.168.1.9\r\nX-Forwarded-Host: tank.example\r\n", 200, "host tank.example\n"},
    {9, "X-Forwarded-For: 192.168.1.9\r\nX-Forwarded-Host: rebound.example\r\n", 421, ""},
};

START_TEST(only_trusted_proxies_speak_for_others)
{
    struct answer answer;
    char text[500];
    int fd = client_connect(port, forwarded[_i].from);

    snprintf(text, sizeof text, "GET /api/echo HTTP/1.1\r\nHost: localhost\r\n%s\r\n", forwarded[_i].headers);
    client_say(fd, text, strlen(text));
    client_hear(fd, &answer);
    close(fd);
    ck_assert_msg(answer.status == forwarded[_i].status, "%s: %d", forwarded[_i].headers, answer.status);
    ck_assert_msg(strstr(answer.body, forwarded[_i].told) != NULL, "%s: %s", forwarded[_i].headers, answer.body);
    answer_free(&answer);
}
END_TEST

/* A proxy here that was not told to us may hand on the public name without any header that gives it away. */
START_TEST(public_name_is_not_this_machine)
{
    struct answer answer;

    client_ask(port, &answer, "GET /api/echo HTTP/1.1\r\nHost: tank.example\r\n\r\n");
    ck_assert_ptr_nonnull(strstr(answer.body, "loopback 0\n"));
    answer_free(&answer);
}
END_TEST

START_TEST(pages_and_their_forms)
{
    struct answer answer;
    char tag[64], header[100];

    get(&answer, "/", "");
    ck_assert_int_eq(answer.status, 200);
    ck_assert_str_eq(answer_header(&answer, "Content-Type"), "text/html; charset=utf-8");
    ck_assert_str_eq(answer_header(&answer, "Cache-Control"), "no-cache");
    ck_assert_ptr_null(answer_header(&answer, "Vary"));
    ck_assert_str_eq(answer.body, "<!doctype html><title>first</title>");
    answer_free(&answer);

    get(&answer, "/js/draw.js?version=2", "");
    ck_assert_str_eq(answer_header(&answer, "Content-Type"), "text/javascript; charset=utf-8");
    answer_free(&answer);

    get(&answer, "/today.html", "");
    ck_assert_ptr_null(answer_header(&answer, "Content-Encoding"));
    ck_assert_str_eq(answer_header(&answer, "Vary"), "Accept-Encoding");
    snprintf(tag, sizeof tag, "%s", answer_header(&answer, "ETag"));
    answer_free(&answer);

    get(&answer, "/today.html", "Accept-Encoding: gzip, deflate\r\n");
    ck_assert_str_eq(answer_header(&answer, "Content-Encoding"), "gzip");
    ck_assert_str_eq(answer_header(&answer, "Vary"), "Accept-Encoding");
    ck_assert_str_eq(answer_header(&answer, "Content-Type"), "text/html; charset=utf-8");
    ck_assert_str_ne(answer_header(&answer, "ETag"), tag);
    ck_assert_str_eq(answer.body, "not really packed");
    answer_free(&answer);

    snprintf(header, sizeof header, "If-None-Match: W/%s, \"other\"\r\n", tag);
    get(&answer, "/today.html", header);
    ck_assert_int_eq(answer.status, 304);
    ck_assert_uint_eq(answer.length, 0);
    ck_assert_str_eq(answer_header(&answer, "ETag"), tag);
    ck_assert_str_eq(answer_header(&answer, "Vary"), "Accept-Encoding");
    answer_free(&answer);
}
END_TEST

static const struct {
    const char *accepted;
    bool packed;
} codings[] = {
    {"gzip", true},       {"br, gzip", true},    {"gzip;q=0.5", true}, {"gzip; q=0", false}, {"gzip;q=0.0", false},
    {"x-gzipped", false}, {"identity", false},   {"br,gzip;q=1", true},
};

START_TEST(packed_only_where_accepted)
{
    struct answer answer;
    char header[100];

    snprintf(header, sizeof header, "Accept-Encoding: %s\r\n", codings[_i].accepted);
    get(&answer, "/today.html", header);
    ck_assert_msg((answer_header(&answer, "Content-Encoding") != NULL) == codings[_i].packed, "%s", codings[_i].accepted);
    answer_free(&answer);
}
END_TEST

START_TEST(head_has_no_body)
{
    struct answer answer;

    client_ask(port, &answer, "HEAD /today.html HTTP/1.0\r\nHost: localhost\r\n\r\n");
    ck_assert_int_eq(answer.status, 200);
    ck_assert_uint_eq(answer.length, 0);
    ck_assert_int_gt(atoi(answer_header(&answer, "Content-Length")), 10);
    answer_free(&answer);
    client_ask(port, &answer, "HEAD /api/echo HTTP/1.0\r\nHost: localhost\r\n\r\n");
    ck_assert_int_eq(answer.status, 200);
    ck_assert_uint_eq(answer.length, 0);
    answer_free(&answer);
}
END_TEST

START_TEST(too_many_from_one_address)
{
    struct answer answer;
    int fd[64];

    for (int i = 0; i < 64; i++)
        fd[i] = client_connect(port, 3);
    for (int i = 0; i < 64; i++) { /* each is known once it was answered */
        client_say(fd[i], "GET /api/echo HTTP/1.1\r\nHost: localhost\r\n\r\n", 44);
        client_hear(fd[i], &answer);
        ck_assert_int_eq(answer.status, 200);
        answer_free(&answer);
    }
    ck_assert(client_ended(client_connect(port, 3), 5000));
    get(&answer, "/api/echo", ""); /* others are served */
    ck_assert_int_eq(answer.status, 200);
    answer_free(&answer);
    for (int i = 0; i < 64; i++)
        close(fd[i]);
}
END_TEST

/* A burst of exactly this many ready connections is where the library's epoll mode of this version stalls. */
#define BURST 128

START_TEST(a_burst_is_answered_whole)
{
    static const char request[] = "GET /api/echo HTTP/1.1\r\nHost: localhost\r\n\r\n";
    struct answer answer;
    int fd[BURST];

    for (int turn = 0; turn < 3; turn++) {
        for (int i = 0; i < BURST; i++)
            fd[i] = client_connect(port, 4 + i % 4);
        for (int i = 0; i < BURST; i++)
            client_say(fd[i], request, sizeof request - 1);
        for (int i = 0; i < BURST; i++) {
            client_hear(fd[i], &answer);
            ck_assert_int_eq(answer.status, 200);
            answer_free(&answer);
            close(fd[i]);
        }
    }
    ck_assert_int_eq(standin_asked, 3 * BURST);
}
END_TEST

static void *ask_slowly(void *context)
{
    get(context, "/api/slow", "");
    return NULL;
}

START_TEST(stop_lets_running_requests_finish)
{
    struct answer answer;
    pthread_t thread;
    int idle = client_connect(port, 0);

    pthread_create(&thread, NULL, ask_slowly, &answer);
    while (!standin_asked)
        sched_yield();
    standin_stop();
    pthread_join(thread, NULL);
    ck_assert_int_eq(answer.status, 200);
    ck_assert(client_ended(idle, 0));
    answer_free(&answer);
    close(idle);
    start(); /* the fixture stops it again */
}
END_TEST

START_TEST(what_cannot_be_started_says_why)
{
    static const char *const wide[] = {"10.0.0.0/99"}, *const odd[] = {"a/b"};
    static const struct {
        struct listen_options options;
        const char *told;
    } impossible[] = {
        {{.address = "localhost"}, "ADDRESS:PORT"},
        {{.address = "127.0.0.1:http"}, "ADDRESS:PORT"},
        {{.address = "192.0.2.1:0"}, "cannot listen"},
        {{.address = "127.0.0.1:0", .www = "/nowhere/at/all"}, "/nowhere/at/all"},
        {{.address = "127.0.0.1:0", .tls_cert = "x"}, "both a certificate and its key"},
        {{.address = "127.0.0.1:0", .tls_cert = "/dev/null", .tls_key = "/dev/null"}, "PEM"},
        {{.address = "127.0.0.1:0", .public_url = "tank.example"}, "http:// or https://"},
        {{.address = "127.0.0.1:0", .trusted_proxy = wide, .trusted_proxies = 1}, "0 to 32"},
        {{.address = "127.0.0.1:0", .host = odd, .hosts = 1}, "a host is a name"},
    };

    for (size_t i = 0; i < COUNT(impossible); i++) {
        struct listen_options options = impossible[i].options;
        struct fault fault = {0};

        options.www = options.www ? options.www : source_path("www"); /* not ".": a build folder outgrows what is taken */
        ck_assert_ptr_null(listen_start(&options, NULL, &fault));
        ck_assert_msg(strstr(fault.item[0].detail, impossible[i].told) != NULL, "%s", fault.item[0].detail);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("the listener");
    TCase *requests = tcase_create("requests"), *alone = tcase_create("start");

    tcase_add_checked_fixture(requests, start, standin_stop);
    tcase_add_loop_test(requests, host_must_be_ours, 0, COUNT(hosts));
    tcase_add_test(requests, host_must_be_told);
    tcase_add_test(requests, long_answers_are_packed_for_who_accepts_it);
    tcase_add_loop_test(requests, malformed_requests_reach_nobody, 0, COUNT(refused));
    tcase_add_loop_test(requests, library_refusals_echo_nothing, 0, COUNT(broken));
    tcase_add_test(requests, long_targets_and_many_arguments);
    tcase_add_test(requests, headers_outgrow_their_room);
    tcase_add_loop_test(requests, bodies_are_bounded, 0, COUNT(bodies));
    tcase_add_test(requests, more_where_the_route_takes_it);
    tcase_add_test(requests, a_client_that_asks_first_is_told_to_go_on);
    tcase_add_loop_test(requests, every_answer_carries_the_headers, 0, COUNT(every_kind));
    tcase_add_test(requests, answers_of_the_interface_come_through);
    tcase_add_loop_test(requests, only_trusted_proxies_speak_for_others, 0, COUNT(forwarded));
    tcase_add_test(requests, public_name_is_not_this_machine);
    tcase_add_test(requests, pages_and_their_forms);
    tcase_add_loop_test(requests, packed_only_where_accepted, 0, COUNT(codings));
    tcase_add_test(requests, head_has_no_body);
    tcase_add_test(requests, too_many_from_one_address);
    tcase_add_test(requests, a_burst_is_answered_whole);
    tcase_add_test(requests, stop_lets_running_requests_finish);
    suite_add_tcase(suite, requests);
    tcase_add_test(alone, what_cannot_be_started_says_why);
    suite_add_tcase(suite, alone);
    return run_suite(suite);
}
