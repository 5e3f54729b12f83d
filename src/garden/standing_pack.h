/* standing_pack.h - a short standing as bytes, the same on every machine. */
#ifndef TIDEMARK_STANDING_PACK_H
#define TIDEMARK_STANDING_PACK_H

#include "garden/standing.h"

/* The bytes, malloc'ed; NULL when out of memory. key, changed and day are not among them. */
void *standing_pack(const struct standing_short *brief, size_t *length);

/* Back into one block of memory, malloc'ed, of *size bytes; NULL for bytes of another version, or when out of memory. */
struct standing_short *standing_unpack(const void *bytes, size_t length, size_t *size);

#endif
