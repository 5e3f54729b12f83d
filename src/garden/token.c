/* token.c - making and reading tokens. */
#include "garden/token.h"

#include <sodium.h>
#include <string.h>

#define TOKEN_BYTES 32

static void hash_token(const unsigned char bytes[TOKEN_BYTES], unsigned char hash[MEMBER_HASH])
{
    crypto_generichash(hash, MEMBER_HASH, bytes, TOKEN_BYTES, NULL, 0);
}

void token_make(char text[TOKEN_TEXT], unsigned char hash[MEMBER_HASH])
{
    unsigned char bytes[TOKEN_BYTES];

    randombytes_buf(bytes, sizeof bytes);
    hash_token(bytes, hash);
    sodium_bin2base64(text, TOKEN_TEXT, bytes, sizeof bytes, sodium_base64_VARIANT_URLSAFE_NO_PADDING);
    sodium_memzero(bytes, sizeof bytes);
}

bool token_read(const char *text, unsigned char hash[MEMBER_HASH])
{
    unsigned char bytes[TOKEN_BYTES];
    size_t length;

    if (strlen(text) != TOKEN_TEXT - 1 ||
        sodium_base642bin(bytes, sizeof bytes, text, TOKEN_TEXT - 1, NULL, &length, NULL,
                          sodium_base64_VARIANT_URLSAFE_NO_PADDING) ||
        length != TOKEN_BYTES)
        return false;
    hash_token(bytes, hash);
    sodium_memzero(bytes, sizeof bytes);
    return true;
}
