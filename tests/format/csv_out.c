/* Tables: what RFC 4180 asks, what a spreadsheet must not run, and what a reader that is not ours reads. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "format/csv.h"
#include "runner.h"

static const struct {
    const char *text, *written, *read; /* as a reader must see it */
} cells[] = {
    {"plain", "plain", "plain"},
    {"", "", ""},
    {NULL, "", ""},
    {"a,b", "\"a,b\"", "a,b"},
    {"say \"so\"", "\"say \"\"so\"\"\"", "say \"so\""}, /* RFC 4180, section 2, rule 7 */
    {"two\nlines", "\"two\nlines\"", "two\nlines"},    /* rule 6 */
    {"two\r\nlines", "\"two\r\nlines\"", "two\r\nlines"},
    {"Gem\xc3\xbcse", "Gem\xc3\xbcse", "Gem\xc3\xbcse"},
    /* OWASP Application Security Verification Standard 5.0.0 (2025), 1.2.10: formulas are not run */
    {"=1+1", "\"'=1+1\"", "'=1+1"},
    {"+49 30", "\"'+49 30\"", "'+49 30"},
    {"-5", "\"'-5\"", "'-5"},
    {"@SUM(A1)", "\"'@SUM(A1)\"", "'@SUM(A1)"},
    {"\t=1", "\"'\t=1\"", "'\t=1"},
    {"\r=1", "\"'\r=1\"", "'\r=1"},
    {"a=1", "a=1", "a=1"},
    {"'=1", "\"''=1\"", "''=1"}, /* ours: so that it can be undone */
    {"'tis", "'tis", "'tis"},
};

START_TEST(cell_is_written_as_the_standard_says)
{
    struct csv_table table;
    char expected[128], *text;
    size_t length;

    csv_begin(&table);
    csv_put_text(&table, "x");
    csv_put_text(&table, cells[_i].text);
    csv_end_row(&table);
    text = csv_end(&table, &length);
    snprintf(expected, sizeof expected, "x,%s\r\n", cells[_i].written);
    ck_assert_ptr_nonnull(text);
    ck_assert_str_eq(text, expected);
    ck_assert_uint_eq(length, strlen(expected));
    free(text);
}
END_TEST

START_TEST(numbers_stay_bare_and_keep_their_digits)
{
    struct csv_table table;
    size_t length;
    char *text;

    csv_begin(&table);
    csv_put_number(&table, -12.5);
    csv_put_number(&table, NAN);
    csv_put_number(&table, 0.1);
    csv_put_number(&table, 123456789.123);
    csv_end_row(&table);
    text = csv_end(&table, &length);
    ck_assert_str_eq(text, "-12.5,,0.1,123456789.123\r\n");
    free(text);
}
END_TEST

START_TEST(outside_reader_reads_every_cell)
{
    char name[64], command[256], read[4096], *at = read, *text;
    struct csv_table table;
    size_t length, got;
    FILE *file, *reader;

    csv_begin(&table);
    for (size_t i = 0; i < COUNT(cells); i++)
        csv_put_text(&table, cells[i].text);
    csv_end_row(&table);
    csv_put_text(&table, "end");
    csv_end_row(&table);
    text = csv_end(&table, &length);
    snprintf(name, sizeof name, "test-csv-%ld.csv", (long)getpid());
    file = fopen(name, "wb");
    ck_assert_ptr_nonnull(file);
    ck_assert_uint_eq(fwrite(text, 1, length, file), length);
    fclose(file);
    free(text);
    snprintf(command, sizeof command, "python3 %s %s", source_path("tests/format/csv_read.py"), name);
    reader = popen(command, "r");
    ck_assert_ptr_nonnull(reader);
    got = fread(read, 1, sizeof read - 1, reader);
    read[got] = '\0';
    ck_assert_int_eq(pclose(reader), 0);
    unlink(name);
    for (size_t i = 0; i < COUNT(cells); i++) {
        size_t here = strcspn(at, "\x1f\x1d");

        ck_assert_msg(here == strlen(cells[i].read) && strncmp(at, cells[i].read, here) == 0, "cell %zu: %.*s", i, (int)here, at);
        ck_assert_int_eq(at[here], i + 1 < COUNT(cells) ? '\x1f' : '\x1d');
        at += here + 1;
    }
    ck_assert_str_eq(at, "end\x1d");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("csv");
    TCase *tcase = tcase_create("csv");

    tcase_add_loop_test(tcase, cell_is_written_as_the_standard_says, 0, COUNT(cells));
    tcase_add_test(tcase, numbers_stay_bare_and_keep_their_digits);
    if (system("command -v python3 >/dev/null") == 0)
        tcase_add_test(tcase, outside_reader_reads_every_cell);
    else
        puts("skipped: no python3 here to read tables back");
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
