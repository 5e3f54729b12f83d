/* limits.h - at most so many requests a second, by device and by address. */
#ifndef TIDEMARK_LIMITS_H
#define TIDEMARK_LIMITS_H

#include <stdint.h>

#include "api/request.h"

/* Ours. A page asks a handful at once and then every few seconds; a sensor once a minute. */
#define LIMIT_DEVICE_BURST 200
#define LIMIT_DEVICE_A_S 50.0

/* Pairing takes one attempt; the tokens are too long to guess, this only keeps the log and the disk quiet. */
#define LIMIT_PAIR_BURST 10
#define LIMIT_PAIR_A_S 0.2

/* Whether this request may go on; if not, *wait_s is when to try again. Who asks must be known. */
bool limits_allow(const struct request *request, int *wait_s);

#endif
