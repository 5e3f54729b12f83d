/* csv.h - tables that a spreadsheet opens.
 *
 * Pure but for memory. Source: RFC 4180 (2005), Common Format for Comma-Separated Values Files: CR LF ends a row, quotes
 * stand around what holds a comma, a quote or a line break, and are doubled inside.
 */
#ifndef TIDEMARK_CSV_H
#define TIDEMARK_CSV_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct csv_table {
    FILE *stream; /* NULL after running out of memory: the functions then do nothing, and csv_end says so */
    char *text;
    size_t length;
    bool in_row;
};

void csv_begin(struct csv_table *table);

/* Whether a spreadsheet would take this text for a formula, or it is such a text behind apostrophes: it gets one more when it is
 * written, and loses one when it is read (csv_unguard), so that every text comes back as it was. */
bool csv_is_formula(const char *text);

/* The next cell of the row. A text that a spreadsheet would take for a formula (it begins with = + - @, a tab or a carriage
 * return) gets an apostrophe in front, which spreadsheets take as "this is text"; numbers stay bare. NULL and NAN are empty.
 */
void csv_put_text(struct csv_table *table, const char *text);
void csv_put_number(struct csv_table *table, double number);
void csv_end_row(struct csv_table *table); /* ends it */

/* The whole text, malloc'ed and the caller's, its length in *length; NULL when out of memory at any point. */
char *csv_end(struct csv_table *table, size_t *length);

#endif
