/* words.h - the texts that people read, from the same files as the pages' own: www/words/en.json and so on. */
#ifndef TIDEMARK_WORDS_H
#define TIDEMARK_WORDS_H

#include "calc/fault.h"
#include "store/arena.h"

struct words;

/* Reads all languages below the pages' folder. NULL with a fault when one is missing or is no flat list of texts. */
struct words *words_load(const char *www, struct fault *fault);
void words_free(struct words *words);

/* What translates the daemon's own sentences (said.h); words may be NULL. */
struct said;
const struct said *words_said(const struct words *words);

/* What stands in the place of {name} in a text. */
struct word_value {
    const char *name, *value;
};

/* A text in a language (as the garden's setting counts them: 0 en, 1 de), its places filled in. English stands in for
 * what is missing, the key itself for what is missing there, too. Values end with a NULL name; values may be NULL.
 */
const char *words_say(const struct words *words, int language, const char *key, const struct word_value *values, struct arena *arena);

/* Whether there is such a text, and values for all its places. */
bool words_can_say(const struct words *words, int language, const char *key, const struct word_value *values);

#endif
