/* stage.h - a garden that is put together beside the present one and takes its place at one stroke, or never.
 *
 * The rows of an import go into a file of their own. Only when all of them were found good is that file copied into the garden
 * file, page by page, as one durable transaction of the one writer: a kill at any moment leaves the old garden or the new.
 * A stage belongs to one thread.
 */
#ifndef TIDEMARK_STORE_STAGE_H
#define TIDEMARK_STORE_STAGE_H

#include "store/portable.h"

struct stage;

/* A new one; what an earlier run left there is removed. NULL with a fault. */
struct stage *stage_open(struct store *store, struct fault *fault);
/* Closes and removes it. */
void stage_end(struct stage *stage);
/* Removes what a process that was killed left beside the garden file. */
void stage_sweep(struct store *store);

/* For reading what was put in. */
struct db *stage_db(struct stage *stage);

/* One value in the order of a table's columns. Text and bytes are borrowed for the call. */
struct stage_value {
    enum { STAGE_NULL, STAGE_INTEGER, STAGE_REAL, STAGE_TEXT, STAGE_BYTES } type;
    int64_t integer;
    double real;
    const char *text; /* PORTABLE_REF: a uid */
    const void *bytes;
    size_t length;
};

/* Adds a row. FAULT_INPUT at "/NAME" for a reference to a row that is not there, at "" where the row is there already or a
 * rule of the file refuses it; other faults end the import. */
int stage_add(struct stage *stage, const struct portable_table *table, const struct stage_value *value, struct fault *fault);

/* Entries that amend or withdraw what is not there, is another tank's or of another kind; and what else names an entry
 * that is not there. Calls for each, at most `most` times. 0 or -1. */
typedef void stage_wrong(void *context, const char *table, const char *id, const char *what);
int stage_check(struct stage *stage, size_t most, stage_wrong *wrong, void *context, struct fault *fault);

/* Puts it in the place of the garden in store, whose members and devices come along: a member by the same id, or a keeper by the same
 * name who is a keeper there, is taken to be the same person; others are added. FAULT_CONFLICT when the garden is not empty
 * any more. */
int stage_adopt(struct stage *stage, struct store *store, struct fault *fault);

#endif
