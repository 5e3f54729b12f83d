/* shape.h - documents described by tables: one table reads a body into a struct, writes a struct
 * as an answer, and becomes the schema in openapi.json. So the three cannot drift apart.
 */
#ifndef TIDEMARK_SHAPE_H
#define TIDEMARK_SHAPE_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "calc/fault.h"
#include "store/arena.h"

enum field_kind {
    /* what JSON says        what stands in the struct            when absent or null       */
    FIELD_NUMBER,  /* number            double, finite                       `standard` (NAN: none)    */
    FIELD_INTEGER, /* whole number      int64_t                              `standard`                */
    FIELD_BOOL,    /* true, false       bool                                 `standard` != 0           */
    FIELD_TEXT,    /* string            const char *, UTF-8, in the arena    NULL                      */
    FIELD_CHOICE,  /* one of words      int, its index                       `standard`, -1 for none   */
    FIELD_DATE,    /* "2026-05-01"      int32_t, days since 1970-01-01       FIELD_NO_DATE             */
    FIELD_INSTANT, /* RFC 3339 UTC      int64_t, milliseconds since 1970     FIELD_NO_INSTANT          */
    FIELD_OBJECT,  /* object            the nested struct itself             see `given` below         */
    FIELD_LIST,    /* array             struct list                          {NULL, 0}                 */
    FIELD_MAP,     /* object of numbers double[number of words]              NAN each                  */
    FIELD_ONE_OF,  /* object            the nested struct of shape->variants[i], see below             */
    FIELD_JSON     /* anything          json_t *, borrowed from the body     NULL                      */
};

#define FIELD_NO_DATE INT32_MIN
#define FIELD_NO_INSTANT INT64_MIN

enum field_flags {
    FIELD_REQUIRED = 1,
    FIELD_NULLABLE = 2, /* null may stand there: as if absent when read, written as null when absent */
    FIELD_ANSWER_ONLY = 4, /* written, but refused in a body */
    FIELD_BODY_ONLY = 8,   /* read, never written */
    FIELD_SAID = 16        /* a sentence of the daemon's own: answered in the language that was asked for (said.h) */
};

struct shape;

struct field {
    const char *name; /* the member's name; NULL in the one field of a shape that is a bare list item */
    enum field_kind kind;
    unsigned flags;
    size_t offset;
    double least, most;        /* number, integer: the range; text: bytes; list: items. Both 0: none (numbers), 500 bytes, 500 items */
    const struct shape *shape; /* OBJECT, ONE_OF; LIST: of its items */
    const char *const *words;  /* CHOICE, MAP: ended by NULL */
    double standard;
    const char *about;         /* one sentence with the unit, for the OpenAPI document */
    size_t given;              /* OBJECT, ONE_OF: offset of a bool that tells whether it was there; 0: not asked for */
};

/* Items of a struct list (store/arena.h) lie one after the other, each of shape->size bytes. For a list of
 * plain numbers, texts or pairs the item's shape has one field without a name.
 */

struct shape {
    const char *name;  /* its name in openapi.json, one of a kind; NULL: written in place */
    size_t size;       /* sizeof the struct */
    const struct field *field;
    size_t count;
    /* After the fields were read without a fault: rules between fields ("one of these two"). May be NULL. */
    int (*rule)(const void *read, struct fault *fault);
    /* ONE_OF: the field `tag` (a text member that each variant has) chooses; or tag NULL: the first variant all of whose
     * required members are there. The struct begins with an int `which`, then a union. */
    const struct shape *const *variants;
    const char *const *tag_values;
    const char *tag;
    /* Whether an array of fixed length stands for it ([l, w]): field[i] are its items in order. */
    bool tuple;
    const char *about;
};

/* Reads one document. Gathers every fault with a JSON Pointer instead of stopping at the first, refuses names it does
 * not know, wrong types, non-finite and out-of-range numbers, control characters in text. into is zeroed first.
 * Returns 0, or -1 with FAULT_INPUT (or FAULT_MEMORY).
 */
int shape_read(const struct shape *shape, const json_t *document, void *into, struct arena *arena, struct fault *fault);

/* Puts the members that patch names in the place of those of *current (a struct of this shape, without what only an
 * answer has), null taking one away, and reads the whole again: the same checks as for a new document. On a fault *current
 * is untouched. */
int shape_patch(const struct shape *shape, void *current, const json_t *patch, struct arena *arena, struct fault *fault);

/* The document of a struct, or NULL when out of memory. The caller owns it. */
json_t *shape_write(const struct shape *shape, const void *from);

/* Holds an answer against its shape: what tests call on every answer. Returns 0 or -1. */
int shape_check(const struct shape *shape, const json_t *document, struct fault *fault);

/* The JSON Schema (2020-12) of a shape; named shapes below it are put into `named` ("#/components/schemas/..."). */
json_t *shape_schema(const struct shape *shape, json_t *named, bool answer);

/* Text of one field kind, used by the readers of query strings and forms, too: "1,5" is not accepted here. */
int shape_read_instant(const char *text, int64_t *ms);
int shape_read_date(const char *text, int32_t *day);
char *shape_instant(char text[32], int64_t ms); /* "2026-05-01T07:30:00Z", with .mmm when there are milliseconds */
char *shape_date(char text[16], int32_t day);

#endif
