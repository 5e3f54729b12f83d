/* hosts.h - the names that this daemon answers to.
 *
 * A web page elsewhere can let its own name point at an address in the home network and then read whatever the
 * daemon there answers (DNS rebinding). Its name stands in the Host header, so a list of our names ends it.
 * An address in digits cannot be pointed elsewhere; it must be the one that the connection came to.
 * The port is not compared: whoever forwards one has another there, and it proves nothing.
 */
#ifndef TIDEMARK_HOSTS_H
#define TIDEMARK_HOSTS_H

#include <stdbool.h>
#include <stddef.h>

#include "calc/fault.h"
#include "http/address.h"

#define HOSTS_MOST 24

struct hosts {
    char name[HOSTS_MOST][256]; /* lower case, without port */
    size_t count;
    const char *public_host; /* one of the names, or NULL */
};

/* localhost, this machine's name, and that name with .local. */
void hosts_start(struct hosts *hosts);

/* A name by option, "garden.example" or an address; -1 with FAULT_INPUT. */
int hosts_add(struct hosts *hosts, const char *name, struct fault *fault);

/* The host of an address like "https://garden.example/"; -1 with FAULT_INPUT. */
int hosts_add_public(struct hosts *hosts, const char *url, struct fault *fault);

/* Whether a request with this Host, on a connection to our address own, is meant for us. */
bool hosts_know(const struct hosts *hosts, const char *host, const struct address *own);

/* Whether this Host means the machine itself: localhost or a loopback address. */
bool hosts_is_loopback(const char *host);

/* Whether this Host is the one of the public address. */
bool hosts_is_public(const struct hosts *hosts, const char *host);

#endif
