/* sheet.h - rows of a table that is being brought in, put in order on the disk: by tank, then by moment.
 *
 * A file of its own beside the garden file, never flushed, gone when it is closed. Belongs to one thread, but may be handed on.
 */
#ifndef TIDEMARK_STORE_SHEET_H
#define TIDEMARK_STORE_SHEET_H

#include "store/store.h"

struct sheet;

struct sheet_row {
    int64_t tank_key, at_ms, row;
    double value[4];  /* NAN: not told */
    const char *note; /* NULL: none; borrowed, read: until the next row */
};

struct sheet *sheet_open(struct store *store, struct fault *fault);
void sheet_end(struct sheet *sheet);
int sheet_add(struct sheet *sheet, const struct sheet_row *row, struct fault *fault);

/* After the last was added. 1, 0 at the end, -1. */
int sheet_next(struct sheet *sheet, struct sheet_row *row, struct fault *fault);
/* Begin again. */
void sheet_rewind(struct sheet *sheet);

#endif
