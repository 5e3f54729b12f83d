/* said.h - what the daemon itself says, in the language of who asks.
 *
 * Calculations and rules speak English, in finished sentences: the library below is pure and knows no catalogue. Here such a
 * sentence finds the pattern in www/words/de-said.json that it was made from, and is said again with the same values:
 * "must be from {1} to {2}, was {3}" -> "muss zwischen {1} und {2} liegen, war {3}". Numbers get their decimal comma, values that
 * are words of ours are said in turn. What no pattern fits stays as it is. tests/api/said.c reads the sentences out of the
 * sources and asks for each.
 */
#ifndef TIDEMARK_SAID_H
#define TIDEMARK_SAID_H

#include <jansson.h>

#include "api/request.h"
#include "api/shape.h"
#include "calc/fault.h"

struct said;

/* Reads the catalogue below the pages' folder; NULL with a fault. */
struct said *said_load(const char *www, struct fault *fault);
void said_free(struct said *said);

/* english in that language (0 en, 1 de), in the arena; english itself where there is no other, or said is NULL. */
const char *said_in(const struct said *said, int language, const char *english, struct arena *arena);

/* The language that a request asks for: the first of Accept-Language that we have, else English. Weights are not compared:
 * browsers send their list in order, and pages send one language. */
int said_language(const char *accept_language);

/* Says in the asker's language what a shape marks as FIELD_SAID, in the document of an answer. True when the shape has such a
 * field at all: the answer then differs by Accept-Language. */
bool said_document(const struct request *request, const struct shape *shape, json_t *document);

/* english for who asks. */
const char *said_to(const struct request *request, const char *english);

#endif
