/* csv_read.c - tables row by row. */
#include "format/csv_read.h"

#include "format/csv.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

void csv_read_begin(struct csv_reader *reader, FILE *from, char separator)
{
    *reader = (struct csv_reader){.from = from, .separator = separator};
}

void csv_read_end(struct csv_reader *reader)
{
    free(reader->text);
    reader->text = NULL;
}

static int next_char(struct csv_reader *reader)
{
    int c = getc_unlocked(reader->from);

    reader->read += c != EOF;
    return c;
}

static int peek(struct csv_reader *reader)
{
    int c = getc_unlocked(reader->from);

    if (c != EOF)
        ungetc(c, reader->from);
    return c;
}

static void refuse(struct csv_reader *reader, const char *why)
{
    if (reader->wrong)
        return;
    reader->wrong = why;
    reader->wrong_cell = reader->cells ? reader->cells - 1 : 0;
}

/* What does not fit is dropped; the row is refused as a whole. */
static void keep(struct csv_reader *reader, int c)
{
    if (reader->length + 1 >= CSV_ROW_MOST) {
        refuse(reader, "the row is too long");
        return;
    }
    if (reader->length + 2 > reader->room) {
        size_t room = reader->room ? 2 * reader->room : 512;
        char *grown = realloc(reader->text, room);

        if (!grown) {
            refuse(reader, "out of memory");
            return;
        }
        reader->text = grown;
        reader->room = room;
    }
    reader->text[reader->length++] = (char)c;
}

static void begin_cell(struct csv_reader *reader)
{
    if (reader->cells == CSV_CELLS_MOST) {
        refuse(reader, "the row has too many cells");
        return;
    }
    reader->at[reader->cells++] = reader->length;
}

/* Behind the quote that ends a cell only a separator or the row's end may stand. */
static void take_quoted(struct csv_reader *reader)
{
    int c;

    for (;;) {
        c = next_char(reader);
        if (c == EOF) {
            refuse(reader, "a quote is opened and never closed");
            return;
        }
        if (c == '"') {
            if (peek(reader) != '"')
                break;
            next_char(reader);
        }
        keep(reader, c);
    }
    c = peek(reader);
    if (c != EOF && c != '\r' && c != '\n' && c != reader->separator)
        refuse(reader, "something stands behind the closing quote");
}

/* Source: RFC 3629 (2003), section 4. */
static bool is_utf8(const char *text, size_t length)
{
    const unsigned char *at = (const unsigned char *)text, *end = at + length;

    while (at < end) {
        unsigned char c = *at++;
        size_t more = c < 0x80 ? 0 : c >= 0xc2 && c < 0xe0 ? 1 : c >= 0xe0 && c < 0xf0 ? 2 : c >= 0xf0 && c < 0xf5 ? 3 : 4;

        if (more == 4 || (size_t)(end - at) < more)
            return false;
        if (more >= 2 && ((c == 0xe0 && *at < 0xa0) || (c == 0xed && *at > 0x9f) || (c == 0xf0 && *at < 0x90) || (c == 0xf4 && *at > 0x8f)))
            return false;
        for (; more; more--)
            if ((*at++ & 0xc0) != 0x80)
                return false;
    }
    return true;
}

static void check_text(struct csv_reader *reader)
{
    for (size_t i = 0; !reader->wrong && i < reader->cells; i++) {
        size_t end = (i + 1 < reader->cells ? reader->at[i + 1] : reader->length) - 1; /* each cell ends with its NUL */
        const char *cell = reader->text + reader->at[i];

        reader->wrong_cell = i;
        if (memchr(cell, '\0', end - reader->at[i]))
            reader->wrong = "there is a NUL in the cell";
        else if (!is_utf8(cell, end - reader->at[i]))
            reader->wrong = "the text is not UTF-8; save the table as CSV with UTF-8";
    }
}

static void skip_mark(struct csv_reader *reader)
{
    if (peek(reader) != 0xef)
        return;
    next_char(reader);
    if (next_char(reader) != 0xbb || next_char(reader) != 0xbf)
        refuse(reader, "the text is not UTF-8; save the table as CSV with UTF-8");
}

int csv_read_row(struct csv_reader *reader)
{
    int c;

    reader->length = reader->cells = 0;
    reader->wrong = NULL;
    if (reader->read == 0)
        skip_mark(reader);
    if (peek(reader) == EOF && !reader->wrong)
        return 0;
    reader->row++;
    begin_cell(reader);
    for (;;) {
        c = next_char(reader);
        if (c == '"' && reader->cells && reader->at[reader->cells - 1] == reader->length) {
            take_quoted(reader);
        } else if (c == reader->separator) {
            keep(reader, '\0');
            begin_cell(reader);
        } else if (c == EOF || c == '\n' || (c == '\r' && (peek(reader) == '\n' || peek(reader) == EOF))) {
            if (c == '\r')
                next_char(reader);
            break;
        } else if (c == '"') {
            refuse(reader, "a quote stands in the middle of a cell");
        } else {
            keep(reader, c);
        }
    }
    keep(reader, '\0');
    if (!reader->wrong)
        check_text(reader);
    return reader->wrong ? -1 : 1;
}

const char *csv_cell(const struct csv_reader *reader, size_t cell)
{
    return cell < reader->cells ? reader->text + reader->at[cell] : "";
}

const char *csv_unguard(const char *cell)
{
    return cell[0] == '\'' && csv_is_formula(cell) ? cell + 1 : cell;
}

char csv_guess_separator(const char *text, size_t length)
{
    static const char separators[] = {';', '\t', ','}; /* a semicolon beside decimal commas, so it comes first */
    size_t seen[3] = {0};
    bool quoted = false;

    for (size_t i = 0; i < length && (quoted || text[i] != '\n'); i++) {
        if (text[i] == '"')
            quoted = !quoted;
        for (size_t s = 0; !quoted && s < 3; s++)
            seen[s] += text[i] == separators[s];
    }
    for (size_t s = 0; s < 3; s++)
        if (seen[s])
            return separators[s];
    return ',';
}
