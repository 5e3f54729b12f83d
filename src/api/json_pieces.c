/* json_pieces.c - a long document, piece by piece. */
#include "api/json_pieces.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#define DEPTH_MOST 32

enum { BEFORE, IN_OBJECT, IN_ARRAY, AFTER };

void json_pieces_begin(struct json_pieces *pieces, FILE *from)
{
    *pieces = (struct json_pieces){.from = from, .index = -1, .state = BEFORE};
}

void json_pieces_end(struct json_pieces *pieces)
{
    free(pieces->text);
    pieces->text = NULL;
}

static int next_char(struct json_pieces *pieces)
{
    int c = getc_unlocked(pieces->from);

    pieces->read += c != EOF;
    return c;
}

static void put_back(struct json_pieces *pieces, int c)
{
    if (c != EOF) {
        ungetc(c, pieces->from);
        pieces->read--;
    }
}

static int after_blanks(struct json_pieces *pieces)
{
    int c;

    do
        c = next_char(pieces);
    while (c == ' ' || c == '\n' || c == '\r' || c == '\t');
    return c;
}

static int wrong(struct json_pieces *pieces, const char *what, struct fault *fault)
{
    char at[80] = "";

    if (pieces->index >= 0)
        snprintf(at, sizeof at, "/%s/%lld", pieces->name, (long long)pieces->index);
    else if (*pieces->name)
        snprintf(at, sizeof at, "/%s", pieces->name);
    return fault_add(fault, FAULT_INPUT, at, "%s (at byte %lld)", what, (long long)pieces->read);
}

static int keep(struct json_pieces *pieces, int c, struct fault *fault)
{
    if (pieces->length == PIECE_MOST)
        return wrong(pieces, "is too long for one piece", fault);
    if (pieces->length + 1 >= pieces->room) {
        size_t room = pieces->room ? 2 * pieces->room : 4096;
        char *grown = realloc(pieces->text, room);

        if (!grown)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        pieces->text = grown;
        pieces->room = room;
    }
    pieces->text[pieces->length++] = (char)c;
    return 0;
}

/* The text of one value, by its brackets and quotes alone; whether it is JSON is for the parser to say. */
static int take_value(struct json_pieces *pieces, struct fault *fault)
{
    int depth = 0, c = after_blanks(pieces);
    bool text = false;

    pieces->length = 0;
    for (;; c = next_char(pieces)) {
        if (c == EOF)
            return wrong(pieces, "the document ends in the middle", fault);
        if (c == 0)
            return wrong(pieces, "there is a NUL in the document", fault);
        if (!text && depth == 0 && pieces->length && (c == ',' || c == ']' || c == '}')) {
            put_back(pieces, c);
            return 0;
        }
        if (keep(pieces, c, fault))
            return -1;
        if (text && c == '\\') {
            c = next_char(pieces);
            if (c == EOF || c == 0)
                return wrong(pieces, "the document ends in the middle", fault);
            if (keep(pieces, c, fault))
                return -1;
        } else if (c == '"') {
            text = !text;
        } else if (!text && (c == '{' || c == '[')) {
            if (++depth > DEPTH_MOST)
                return wrong(pieces, "is nested too deeply", fault);
        } else if (!text && (c == '}' || c == ']')) {
            if (--depth < 0)
                return wrong(pieces, "has a bracket that nothing opened", fault);
        }
        if (!text && depth == 0 && (c == '}' || c == ']' || c == '"'))
            return 0;
    }
}

static int parse(struct json_pieces *pieces, json_t **piece, struct fault *fault)
{
    json_error_t why;
    char what[128];

    *piece = json_loadb(pieces->text, pieces->length, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &why);
    if (*piece)
        return 1;
    snprintf(what, sizeof what, "is not JSON that can be used: %.80s", why.text);
    return wrong(pieces, what, fault);
}

static int take_name(struct json_pieces *pieces, struct fault *fault)
{
    size_t length = 0;
    int c;

    pieces->index = -1;
    *pieces->name = '\0';
    while ((c = next_char(pieces)) != '"') {
        if (c == EOF || c < 0x20 || c == '\\' || length + 1 == sizeof pieces->name)
            return wrong(pieces, "the document has a member with a name that cannot be used", fault);
        pieces->name[length++] = (char)c;
    }
    pieces->name[length] = '\0';
    return after_blanks(pieces) == ':' ? 0 : wrong(pieces, "a colon is missing", fault);
}

/* After a member's value, or before the first. 1: a member begins; 0: the object ended. */
static int step_in_object(struct json_pieces *pieces, bool first, struct fault *fault)
{
    int c = after_blanks(pieces);

    if (c == '}') {
        pieces->state = AFTER;
        c = after_blanks(pieces);
        return c == EOF ? 0 : wrong(pieces, "something stands behind the document", fault);
    }
    if (!first) {
        if (c != ',')
            return wrong(pieces, "a comma is missing", fault);
        c = after_blanks(pieces);
    }
    if (c != '"')
        return wrong(pieces, "a member must begin with its name", fault);
    return take_name(pieces, fault) ? -1 : 1;
}

/* In an array: 1 an item follows, 0 it ended. */
static int step_in_array(struct json_pieces *pieces, struct fault *fault)
{
    int c = after_blanks(pieces);

    if (c == ']' ) {
        pieces->state = IN_OBJECT;
        return 0;
    }
    if (pieces->index >= 0) {
        if (c != ',')
            return wrong(pieces, "a comma is missing", fault);
    } else {
        put_back(pieces, c);
    }
    pieces->index++;
    return 1;
}

int json_pieces_next(struct json_pieces *pieces, json_t **piece, struct fault *fault)
{
    bool first = pieces->state == BEFORE;
    int more, c;

    *piece = NULL;
    if (first) {
        if (after_blanks(pieces) != '{')
            return wrong(pieces, "the document must be an object", fault);
        pieces->state = IN_OBJECT;
    }
    for (;;) {
        if (pieces->state == AFTER)
            return 0;
        if (pieces->state == IN_ARRAY) {
            more = step_in_array(pieces, fault);
            if (more)
                return more < 0 || take_value(pieces, fault) ? -1 : parse(pieces, piece, fault);
            first = false;
            continue;
        }
        more = step_in_object(pieces, first, fault);
        if (more <= 0)
            return more;
        c = after_blanks(pieces);
        if (c != '[') {
            put_back(pieces, c);
            return take_value(pieces, fault) ? -1 : parse(pieces, piece, fault);
        }
        pieces->state = IN_ARRAY;
    }
}
