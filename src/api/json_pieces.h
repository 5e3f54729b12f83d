/* json_pieces.h - a long document, piece by piece: {"name": value, "name": [value, value, ...], ...}.
 *
 * Each value of the outer object, or each item of an array that is one, is handed out by itself, so that a document of any length
 * takes the memory of its largest piece.
 */
#ifndef TIDEMARK_JSON_PIECES_H
#define TIDEMARK_JSON_PIECES_H

#include <jansson.h>
#include <stdint.h>
#include <stdio.h>

#include "calc/fault.h"

/* A photo in base64 is the largest piece there is. Ours. */
#define PIECE_MOST ((size_t)32 << 20)

struct json_pieces {
    FILE *from;
    char name[48];    /* of the member */
    int64_t index;    /* of the item; -1: the member is no array */
    int64_t read;     /* bytes so far */
    char *text;
    size_t length, room;
    int state;
};

void json_pieces_begin(struct json_pieces *pieces, FILE *from);
void json_pieces_end(struct json_pieces *pieces);

/* The next piece, owned by the caller: 1; 0 at the end of the document; -1 with a fault at "/name/index". */
int json_pieces_next(struct json_pieces *pieces, json_t **piece, struct fault *fault);

#endif
