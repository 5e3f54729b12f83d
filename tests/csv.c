/* csv.c - a small reader for the tables in fixtures. */
#include "csv.h"

#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char *read_whole(const char *path)
{
    FILE *file = fopen(path, "rb");
    long size;
    char *text;

    ck_assert_msg(file != NULL, "cannot open %s", path);
    fseek(file, 0, SEEK_END);
    size = ftell(file);
    rewind(file);
    text = malloc((size_t)size + 1);
    ck_assert_uint_eq(fread(text, 1, (size_t)size, file), (size_t)size);
    text[size] = '\0';
    fclose(file);
    return text;
}

/* Ends one cell in place, unquoted, and returns where the next begins; *last tells that the line ends. */
static char *cut_cell(char *from, char **cell, int *last)
{
    char *to = from;

    *cell = from;
    if (*from == '"') {
        from++;
        while (*from && !(from[0] == '"' && from[1] != '"')) {
            from += from[0] == '"';
            *to++ = *from++;
        }
        from += *from == '"';
    } else {
        while (*from && *from != ',' && *from != '\n' && *from != '\r')
            *to++ = *from++;
    }
    *last = *from != ',';
    if (*from == ',')
        from++;
    else {
        from += *from == '\r';
        from += *from == '\n';
    }
    *to = '\0';
    return from;
}

struct csv csv_read(const char *path)
{
    struct csv csv = {.text = read_whole(path)};
    size_t room = 0, used = 0;
    char *at = csv.text;

    while (*at) {
        size_t in_row = 0;
        int last = 0;

        while (!last) {
            if (used == room) {
                room = room ? room * 2 : 1024;
                csv.cell = realloc(csv.cell, room * sizeof *csv.cell);
                ck_assert_ptr_nonnull(csv.cell);
            }
            at = cut_cell(at, &csv.cell[used++], &last);
            in_row++;
        }
        if (!csv.columns)
            csv.columns = in_row;
        ck_assert_msg(in_row == csv.columns, "%s: a row has %zu cells, not %zu", path, in_row, csv.columns);
    }
    csv.rows = csv.columns ? used / csv.columns - 1 : 0;
    return csv;
}

void csv_free(struct csv *csv)
{
    free(csv->cell);
    free(csv->text);
}

size_t csv_column(const struct csv *csv, const char *name)
{
    for (size_t i = 0; i < csv->columns; i++)
        if (strcmp(csv->cell[i], name) == 0)
            return i;
    ck_abort_msg("no column %s", name);
    return 0;
}

const char *csv_text(const struct csv *csv, size_t row, size_t column)
{
    ck_assert_uint_lt(row, csv->rows);
    return csv->cell[(row + 1) * csv->columns + column];
}

double csv_number(const struct csv *csv, size_t row, size_t column)
{
    const char *text = csv_text(csv, row, column);
    char *end;
    double value;

    if (!*text)
        return NAN;
    value = strtod(text, &end);
    ck_assert_msg(*end == '\0', "row %zu: %s is no number", row, text);
    return value;
}
