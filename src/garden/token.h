/* token.h - what a device, an invite, a sensor or a calendar shows instead of a password: 256 bits of the kernel's
 * randomness. The garden file has the hashes only. */
#ifndef TIDEMARK_TOKEN_H
#define TIDEMARK_TOKEN_H

#include <stdbool.h>

#include "store/members.h"

/* base64url without padding, and the NUL. */
#define TOKEN_TEXT 44

/* A new one, and what the file keeps of it. */
void token_make(char text[TOKEN_TEXT], unsigned char hash[MEMBER_HASH]);

/* The hash of one that was shown; false when text is no token at all. */
bool token_read(const char *text, unsigned char hash[MEMBER_HASH]);

#endif
