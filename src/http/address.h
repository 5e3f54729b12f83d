/* address.h - addresses of peers, and which of them are proxies that we believe. */
#ifndef TIDEMARK_ADDRESS_H
#define TIDEMARK_ADDRESS_H

#include <stdbool.h>
#include <stddef.h>

#include "calc/fault.h"

struct sockaddr;

/* An IPv6 address; IPv4 stands in its mapped form, so that there is one kind to compare. */
struct address {
    unsigned char byte[16];
};

#define ADDRESS_TEXT 46

/* From a socket address; false when it is of no internet family. */
bool address_of(struct address *address, const struct sockaddr *from);

/* From digits, "192.168.1.9", "fe80::1", "[fe80::1]"; false when it is none. */
bool address_read(struct address *address, const char *text, size_t length);

/* Back to text, IPv4 in its own form. Returns text. */
char *address_text(const struct address *address, char text[ADDRESS_TEXT]);

bool address_same(const struct address *a, const struct address *b);
bool address_is_loopback(const struct address *address);

/* Networks whose word is taken on whom they speak for. */
#define PROXIES_MOST 16

struct proxies {
    struct network {
        struct address address;
        unsigned bits; /* of the 128 */
    } network[PROXIES_MOST];
    size_t count;
};

/* Adds "192.168.1.2" or "10.0.0.0/8"; -1 with FAULT_INPUT. */
int proxies_add(struct proxies *proxies, const char *text, struct fault *fault);
bool proxies_trust(const struct proxies *proxies, const struct address *address);

/* Who asked, by an X-Forwarded-For list from a trusted proxy: the last one in it that is no trusted proxy.
 * False when the list is broken before one was found. */
bool proxies_client(const struct proxies *proxies, const char *forwarded_for, struct address *client);

#endif
