/* client.h - a client that says exactly what a test wants said. */
#ifndef TIDEMARK_TESTS_CLIENT_H
#define TIDEMARK_TESTS_CLIENT_H

#include <stdbool.h>
#include <stddef.h>

struct answer {
    int status;          /* 0: the connection ended without an answer */
    char head[4096];
    char *body;          /* a NUL behind it */
    size_t length;
};

/* A connection to 127.0.0.1, from 127.0.0.FROM (0: as the system likes). Ends the test when there is none. */
int client_connect(unsigned port, int from);
void client_say(int fd, const void *bytes, size_t length);

/* Waits at most ten seconds for one answer. */
void client_hear(int fd, struct answer *answer);

/* Says a whole request on a connection of its own. */
void client_ask(unsigned port, struct answer *answer, const char *format, ...) __attribute__((format(printf, 3, 4)));
void client_ask_bytes(unsigned port, struct answer *answer, const void *bytes, size_t length);

/* A header of the answer, or NULL; a static buffer. */
const char *answer_header(const struct answer *answer, const char *name);
void answer_free(struct answer *answer);

/* Whether the other side has ended the connection; waits at most so long. */
bool client_ended(int fd, int most_ms);

#endif
