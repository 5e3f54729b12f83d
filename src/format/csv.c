/* csv.c - tables as text. */
#include "format/csv.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void csv_begin(struct csv_table *table)
{
    *table = (struct csv_table){.stream = NULL};
    table->stream = open_memstream(&table->text, &table->length);
}

static bool next_cell(struct csv_table *table)
{
    if (table->stream && table->in_row)
        fputc(',', table->stream);
    table->in_row = true;
    return table->stream != NULL;
}

bool csv_is_formula(const char *text)
{
    text += strspn(text, "'");
    return *text && strchr("=+-@\t\r", *text);
}

void csv_put_text(struct csv_table *table, const char *text)
{
    bool formula;

    if (!next_cell(table) || !text)
        return;
    formula = csv_is_formula(text);
    if (!formula && !strpbrk(text, ",\"\r\n")) {
        fputs(text, table->stream);
        return;
    }
    fputc('"', table->stream);
    if (formula)
        fputc('\'', table->stream);
    for (; *text; text++) {
        if (*text == '"')
            fputc('"', table->stream);
        fputc(*text, table->stream);
    }
    fputc('"', table->stream);
}

void csv_put_number(struct csv_table *table, double number)
{
    if (next_cell(table) && isfinite(number))
        fprintf(table->stream, "%.12g", number);
}

void csv_end_row(struct csv_table *table)
{
    if (table->stream)
        fputs("\r\n", table->stream);
    table->in_row = false;
}

char *csv_end(struct csv_table *table, size_t *length)
{
    bool failed;

    if (!table->stream)
        return NULL;
    failed = ferror(table->stream) != 0;
    if (fclose(table->stream) || failed) {
        free(table->text);
        return NULL;
    }
    *length = table->length;
    return table->text;
}
