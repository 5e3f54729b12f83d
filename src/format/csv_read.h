/* csv_read.h - tables row by row, as spreadsheets write them: RFC 4180 (2005), with a comma, a semicolon or a tab between cells, CR LF or LF
 * after a row, with or without a byte order mark.
 *
 * One row is in memory at a time. Text must be UTF-8. What a cell that csv.h guarded for spreadsheets says is given back by
 * csv_unguard.
 */
#ifndef TIDEMARK_CSV_READ_H
#define TIDEMARK_CSV_READ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#define CSV_CELLS_MOST 512
#define CSV_ROW_MOST ((size_t)256 << 10) /* bytes; ours */

struct csv_reader {
    FILE *from;
    char separator;
    int64_t row;  /* of the last one read, from 1 */
    int64_t read; /* bytes so far */
    char *text;
    size_t length, room;
    size_t at[CSV_CELLS_MOST]; /* where each cell begins in text */
    size_t cells;
    const char *wrong; /* why a row cannot be read, and in which cell */
    size_t wrong_cell;
};

void csv_read_begin(struct csv_reader *reader, FILE *from, char separator);
void csv_read_end(struct csv_reader *reader);

/* 1: a row was read; 0: the end; -1: it cannot be read, see `wrong` (then the next call goes on behind it, where there is more). */
int csv_read_row(struct csv_reader *reader);

/* The cell of a row that was read, "" behind its last. Lives until the next row. */
const char *csv_cell(const struct csv_reader *reader, size_t cell);

/* The text without the apostrophe that guards it from being taken as a formula. */
const char *csv_unguard(const char *cell);

/* The separator that a table seems to have, by its first bytes: ',', ';' or '\t'. */
char csv_guess_separator(const char *text, size_t length);

#endif
