/* client.c - a client that says exactly what a test wants said. */
#include "http/client.h"

#include <arpa/inet.h>
#include <check.h>
#include <netinet/in.h>
#include <poll.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <unistd.h>

#define PATIENCE_MS 10000

int client_connect(unsigned port, int from)
{
    struct sockaddr_in there = {.sin_family = AF_INET, .sin_port = htons((unsigned short)port)};
    struct sockaddr_in here = {.sin_family = AF_INET};
    int fd = socket(AF_INET, SOCK_STREAM, 0);

    ck_assert_int_ge(fd, 0);
    there.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    here.sin_addr.s_addr = htonl((INADDR_LOOPBACK & ~0xffu) | (unsigned)from);
    if (from)
        ck_assert_int_eq(bind(fd, (struct sockaddr *)&here, sizeof here), 0);
    ck_assert_int_eq(connect(fd, (struct sockaddr *)&there, sizeof there), 0);
    return fd;
}

/* The other side may have heard enough and closed: that is for the answer to tell. */
void client_say(int fd, const void *bytes, size_t length)
{
    const char *at = bytes;

    while (length > 0) {
        ssize_t done = send(fd, at, length, MSG_NOSIGNAL);

        if (done <= 0)
            return;
        at += done;
        length -= (size_t)done;
    }
}

static size_t hear_some(int fd, char *to, size_t room)
{
    struct pollfd ready = {.fd = fd, .events = POLLIN};
    ssize_t got;

    if (poll(&ready, 1, PATIENCE_MS) != 1)
        return 0;
    got = recv(fd, to, room, 0);
    return got > 0 ? (size_t)got : 0;
}

/* The bytes of the first answer in all, its head copied; 0 while they are not known. */
static size_t read_head(struct answer *answer, const char *all)
{
    const char *end = strstr(all, "\r\n\r\n");
    const char *told;
    size_t head;

    if (!end)
        return 0;
    head = (size_t)(end + 4 - all);
    ck_assert_uint_lt(head, sizeof answer->head);
    memcpy(answer->head, all, head);
    answer->head[head] = '\0';
    answer->status = atoi(all + strlen("HTTP/1.1 "));
    told = answer->status == 304 ? NULL : answer_header(answer, "Content-Length");
    return head + (told ? strtoul(told, NULL, 10) : 0);
}

void client_hear(int fd, struct answer *answer)
{
    static char all[8 << 20];
    size_t length = 0, got, whole = 0;

    *answer = (struct answer){.status = 0};
    while ((got = hear_some(fd, all + length, sizeof all - 1 - length)) > 0) {
        length += got;
        all[length] = '\0';
        whole = whole ? whole : read_head(answer, all);
        if (answer->status == 100) { /* "go on": the real one follows */
            length -= whole;
            memmove(all, all + whole, length + 1);
            answer->status = 0;
            whole = length ? read_head(answer, all) : 0;
        }
        if (whole && length >= whole)
            break;
    }
    if (!whole) {
        answer->status = 0;
        return;
    }
    answer->length = length - strlen(answer->head);
    answer->body = malloc(answer->length + 1);
    ck_assert_ptr_nonnull(answer->body);
    memcpy(answer->body, all + strlen(answer->head), answer->length);
    answer->body[answer->length] = '\0';
}

void client_ask_bytes(unsigned port, struct answer *answer, const void *bytes, size_t length)
{
    int fd = client_connect(port, 0);

    client_say(fd, bytes, length);
    client_hear(fd, answer);
    close(fd);
}

void client_ask(unsigned port, struct answer *answer, const char *format, ...)
{
    char text[16384];
    va_list arguments;
    int length;

    va_start(arguments, format);
    length = vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    ck_assert_int_lt(length, (int)sizeof text);
    client_ask_bytes(port, answer, text, (size_t)length);
}

const char *answer_header(const struct answer *answer, const char *name)
{
    static char value[1024];
    size_t length = strlen(name);

    for (const char *line = strstr(answer->head, "\r\n"); line && line[2]; line = strstr(line + 2, "\r\n"))
        if (strncasecmp(line + 2, name, length) == 0 && line[2 + length] == ':') {
            const char *from = line + 3 + length;

            from += strspn(from, " ");
            snprintf(value, sizeof value, "%.*s", (int)strcspn(from, "\r"), from);
            return value;
        }
    return NULL;
}

void answer_free(struct answer *answer)
{
    free(answer->body);
    answer->body = NULL;
}

bool client_ended(int fd, int most_ms)
{
    struct pollfd ready = {.fd = fd, .events = POLLIN};
    char buffer[4096];

    while (poll(&ready, 1, most_ms) == 1)
        if (recv(fd, buffer, sizeof buffer, 0) <= 0)
            return true;
    return false;
}
