/* Tables as they come: what our writer, and Python's, wrote is read back cell for cell; what is broken is told with its place. */
#include "format/csv_read.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "format/csv.h"
#include "runner.h"

static FILE *stream_of(const char *text, size_t length)
{
    FILE *stream = tmpfile();

    ck_assert_ptr_nonnull(stream);
    ck_assert_uint_eq(fwrite(text, 1, length, stream), length);
    rewind(stream);
    return stream;
}

/* Rows as "a|b|c/" to compare; a row that cannot be read as "!cell why/". */
static char *read_all(const char *text, size_t length, char separator)
{
    FILE *stream = stream_of(text, length), *out;
    struct csv_reader reader;
    size_t said_length;
    char *said = NULL;
    int more;

    out = open_memstream(&said, &said_length);
    csv_read_begin(&reader, stream, separator);
    while ((more = csv_read_row(&reader)) != 0) {
        if (more < 0)
            fprintf(out, "!%zu %s", reader.wrong_cell, reader.wrong);
        for (size_t i = 0; more > 0 && i < reader.cells; i++)
            fprintf(out, "%s%s", i ? "|" : "", csv_cell(&reader, i));
        fputc('/', out);
    }
    csv_read_end(&reader);
    fclose(stream);
    fclose(out);
    return said;
}

static const struct {
    const char *text;
    char separator;
    const char *read;
} tables[] = {
    {"aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", ',', "aaa|bbb|ccc/zzz|yyy|xxx/"}, /* RFC 4180 (2005), section 2, rule 1 */
    {"aaa,bbb,ccc\r\nzzz,yyy,xxx", ',', "aaa|bbb|ccc/zzz|yyy|xxx/"},     /* rule 2: no line break at the end */
    {"\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", ',', "aaa|bbb|ccc/zzz|yyy|xxx/"}, /* rule 5 */
    {"\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", ',', "aaa|b\r\nbb|ccc/zzz|yyy|xxx/"}, /* rule 6 */
    {"\"aaa\",\"b\"\"bb\",\"ccc\"", ',', "aaa|b\"bb|ccc/"},              /* rule 7 */
    {"\xef\xbb\xbf" "a;b\n1,5;2\n", ';', "a|b/1,5|2/"},
    {"a\tb\n\t\n", '\t', "a|b/|/"},
    {"a\rb,c\n", ',', "a\rb|c/"},
    {"\n\n", ',', "//"},
    {"", ',', ""},
    {"a,b\"c\nd,e\n", ',', "!1 a quote stands in the middle of a cell/d|e/"},
    {"\"a\"b,c\nd,e\n", ',', "!0 something stands behind the closing quote/d|e/"},
    {"a,\"b\nc", ',', "!1 a quote is opened and never closed/"},
    {"a,\xff\nd,e\n", ',', "!1 the text is not UTF-8; save the table as CSV with UTF-8/d|e/"},
    {"a,\xed\xa0\x80\n", ',', "!1 the text is not UTF-8; save the table as CSV with UTF-8/"}, /* a surrogate: RFC 3629 (2003), section 3 */
};

START_TEST(table_is_read_as_the_standard_says)
{
    char *said = read_all(tables[_i].text, strlen(tables[_i].text), tables[_i].separator);

    ck_assert_str_eq(said, tables[_i].read);
    free(said);
}
END_TEST

START_TEST(nul_and_endless_rows_are_refused)
{
    static char wide[CSV_CELLS_MOST + 8], longer[CSV_ROW_MOST + 100];
    char *said = read_all("a,b\0c\nd\n", 8, ',');

    ck_assert_str_eq(said, "!1 there is a NUL in the cell/d/");
    free(said);
    memset(wide, ',', sizeof wide - 2);
    said = read_all(wide, strlen(wide), ',');
    ck_assert_ptr_nonnull(strstr(said, "too many cells"));
    free(said);
    memset(longer, 'x', sizeof longer - 2);
    said = read_all(longer, strlen(longer), ',');
    ck_assert_ptr_nonnull(strstr(said, "too long"));
    free(said);
}
END_TEST

static unsigned next_random(unsigned *seed)
{
    *seed = *seed * 1103515245u + 12345u;
    return *seed >> 16;
}

/* Whatever text is written comes back, guard and all. */
START_TEST(written_text_comes_back)
{
    static const char letters[] = "=+-@\t\r\n'\",;a \xc3\xbc";
    unsigned seed = 7;

    for (int i = 0; i < 4000; i++) {
        char text[16] = "", *written;
        size_t length = next_random(&seed) % 8, at = 0, bytes;
        struct csv_table table;
        struct csv_reader reader;
        FILE *stream;

        while (at < length) {
            char c = letters[next_random(&seed) % (sizeof letters - 1)];

            if ((unsigned char)c >= 0x80) { /* both bytes of the umlaut */
                text[at++] = '\xc3';
                c = '\xbc';
            }
            text[at++] = c;
        }
        csv_begin(&table);
        csv_put_text(&table, "first");
        csv_put_text(&table, text);
        csv_end_row(&table);
        written = csv_end(&table, &bytes);
        stream = stream_of(written, bytes);
        csv_read_begin(&reader, stream, ',');
        ck_assert_msg(csv_read_row(&reader) == 1, "%s", written);
        ck_assert_uint_eq(reader.cells, 2);
        ck_assert_msg(strcmp(csv_unguard(csv_cell(&reader, 1)), text) == 0, "%s", written);
        ck_assert_int_eq(csv_read_row(&reader), 0);
        csv_read_end(&reader);
        fclose(stream);
        free(written);
    }
}
END_TEST

/* A table that Python's csv module wrote, in three dialects, is read as it meant it (tests/format/csv_write.py). */
START_TEST(outside_writer_is_read)
{
    static const char *const names[] = {"comma", "semicolon", "tab"};
    static const char marks[] = {',', ';', '\t'};
    char command[512], written[65536], wanted[65536], *said;
    size_t got, want;
    FILE *pipe;

    snprintf(command, sizeof command, "python3 %s %s", source_path("tests/format/csv_write.py"), names[_i]);
    pipe = popen(command, "r");
    got = fread(written, 1, sizeof written, pipe);
    ck_assert_int_eq(pclose(pipe), 0);
    snprintf(command, sizeof command, "python3 %s plain", source_path("tests/format/csv_write.py"));
    pipe = popen(command, "r");
    want = fread(wanted, 1, sizeof wanted - 1, pipe);
    wanted[want] = '\0';
    ck_assert_int_eq(pclose(pipe), 0);
    ck_assert_uint_gt(want, 5000);
    said = read_all(written, got, marks[_i]);
    ck_assert_str_eq(said, wanted);
    ck_assert_int_eq(csv_guess_separator("a;b,c\td", 7), ';');
    free(said);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("csv_read");
    TCase *tcase = tcase_create("csv_read");

    tcase_set_timeout(tcase, 60);
    tcase_add_loop_test(tcase, table_is_read_as_the_standard_says, 0, COUNT(tables));
    tcase_add_test(tcase, nul_and_endless_rows_are_refused);
    tcase_add_test(tcase, written_text_comes_back);
    if (system("command -v python3 >/dev/null") == 0)
        tcase_add_loop_test(tcase, outside_writer_is_read, 0, 3);
    else
        puts("skipped: no python3 here to write tables");
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
