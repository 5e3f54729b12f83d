/* fault.h - the one error type, from the calculations up to the HTTP answer.
 *
 * Lower layers fill it in; only api/problem.c knows what it means in HTTP.
 * A request that cannot be used is a fault; a broken promise between our own
 * functions is an assert.
 */
#ifndef TIDEMARK_FAULT_H
#define TIDEMARK_FAULT_H

#include <stdbool.h>
#include <stddef.h>

enum fault_code {
    FAULT_NONE,
    FAULT_INPUT,    /* what was given cannot be used */
    FAULT_ABSENT,   /* there is no such thing */
    FAULT_CONFLICT, /* it is there already, with other content */
    FAULT_DENIED,   /* this member may not do that */
    FAULT_STORE,    /* the garden file could not be read or written */
    FAULT_FULL,     /* no room left on the disk */
    FAULT_MEMORY    /* out of memory */
};
#define FAULT_CODES (FAULT_MEMORY + 1)

#define FAULT_ITEMS 16

struct fault {
    enum fault_code code; /* that of the first fault; later ones only add items */
    size_t count;         /* items kept, at most FAULT_ITEMS */
    size_t more;          /* items that found no room */
    struct fault_item {
        char at[64];      /* JSON Pointer into what was given, "" for the whole */
        char detail[192]; /* one sentence for a person */
    } item[FAULT_ITEMS];
};

/* Adds one item; fault may be NULL (the caller does not want the reason).
 * Returns -1, so that a check can end with `return fault_add(...)`.
 */
int fault_add(struct fault *fault, enum fault_code code, const char *at, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Copies the items of inner into fault with `under` put before each pointer:
 * a calculation that knows "/height_mm" was given at "/vessel". Returns -1.
 */
int fault_under(struct fault *fault, const char *under, const struct fault *inner);

#endif
