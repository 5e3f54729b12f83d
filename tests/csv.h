/* csv.h - reads a table of published values (RFC 4180) whole into memory. */
#ifndef TIDEMARK_TESTS_CSV_H
#define TIDEMARK_TESTS_CSV_H

#include <stddef.h>

struct csv {
    size_t rows, columns; /* rows without the header */
    char **cell;          /* (rows + 1) x columns, the header first */
    char *text;
};

/* Reads a file; ends the test with a message where it cannot. Freed by csv_free. */
struct csv csv_read(const char *path);
void csv_free(struct csv *csv);

/* The column of this name, or the test ends. */
size_t csv_column(const struct csv *csv, const char *name);

/* A cell as text ("" where empty), or as a number (NAN where empty, the test ends where it is no number). */
const char *csv_text(const struct csv *csv, size_t row, size_t column);
double csv_number(const struct csv *csv, size_t row, size_t column);

#endif
