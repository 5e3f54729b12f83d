/* rows.h - the rows of a statement, read into an arena; for the files of the store only.
 *
 * A noun has one reader, which makes its struct of the columns of a row; these take a row through it, or all of them. A reader
 * cannot fail but by memory, and that is noted in the row: what it made is then thrown away.
 */
#ifndef TIDEMARK_ROWS_H
#define TIDEMARK_ROWS_H

#include <stdbool.h>

#include "store/arena.h"
#include "store/store.h"

struct row {
    sqlite3_stmt *stmt;
    struct arena *arena;
    bool failed;
};

/* A copy of a text column, NULL where it is NULL. */
const char *row_text(struct row *row, int column);

/* A column of 16 bytes as the text of a UUID, NULL where it is NULL. */
const char *row_uuid(struct row *row, int column);

/* Fills all of *into, which is a struct of the noun. */
typedef void row_reader(struct row *row, void *into);

/* The one row of a statement whose places are bound: 1, 0 when there is none, -1 with a fault. */
int rows_one(sqlite3_stmt *stmt, row_reader *read, void *into, struct arena *arena, struct fault *fault);

/* All of its rows, size bytes each: 0 or -1 with a fault. */
int rows_all(sqlite3_stmt *stmt, row_reader *read, size_t size, struct list *rows, struct arena *arena, struct fault *fault);

/* Adds to each of them what other tables hold of it. */
typedef int row_filler(struct db *db, void *row, struct arena *arena, struct fault *fault);
int rows_fill(struct db *db, row_filler *fill, size_t size, const struct list *rows, struct arena *arena, struct fault *fault);

#endif
