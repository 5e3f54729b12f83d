/* QR codes: a reader that is not ours must read what we draw; the standard's fixed patterns stand where it says. */
#include "format/qr.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "runner.h"

static const char *const texts[] = {
    "http://garden.local:8080/t/AB12CD",
    "https://example.org/pair.html#3q2-7wAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA",
    "http://[fd00::1]:8080/t/Z9?x=1&y=2",
    "1",
};

static char *longest(void)
{
    static char text[QR_TEXT_MOST + 2];

    for (int i = 0; i < QR_TEXT_MOST; i++)
        text[i] = (char)('!' + i % 90);
    text[QR_TEXT_MOST] = '\0';
    return text;
}

/* Fills side x side cells from the path's own words, so that the picture is tested and not the modules behind it. */
static void draw_path(const char *path, char *cell, int side)
{
    int x, y, run, back, length = 0;

    while (*path) {
        ck_assert_int_eq(sscanf(path, "M%d %dh%dv1h-%dz%n", &x, &y, &run, &back, &length), 4);
        ck_assert_int_eq(run, back);
        ck_assert(x >= QR_QUIET && y >= QR_QUIET && x + run <= side - QR_QUIET && y < side - QR_QUIET);
        memset(cell + y * side + x, 1, (size_t)run);
        path += length;
    }
}

/* A plain bitmap (PBM), eight dots a module. */
static void write_bitmap(const char *name, const char *cell, int side)
{
    FILE *file = fopen(name, "w");

    ck_assert_ptr_nonnull(file);
    fprintf(file, "P1\n%d %d\n", side * 8, side * 8);
    for (int y = 0; y < side * 8; y++) {
        for (int x = 0; x < side * 8; x++)
            fprintf(file, "%d%s", cell[y / 8 * side + x / 8], x % 32 == 31 ? "\n" : " ");
        fputc('\n', file);
    }
    ck_assert_int_eq(fclose(file), 0);
}

static void read_back(const char *text)
{
    struct fault fault = {0};
    struct qr qr;
    char name[64], command[160], found[QR_TEXT_MOST + 8] = "", *path, *cell;
    int side;
    size_t got;
    FILE *reader;

    ck_assert_int_eq(qr_make(text, &qr, &fault), 0);
    side = qr.width + 2 * QR_QUIET;
    cell = calloc((size_t)(side * side), 1);
    path = qr_path(&qr);
    ck_assert(cell && path);
    draw_path(path, cell, side);
    snprintf(name, sizeof name, "test-qr-%ld.pbm", (long)getpid());
    write_bitmap(name, cell, side);
    snprintf(command, sizeof command, "zbarimg --quiet --nodbus --raw --oneshot -Sdisable -Sqrcode.enable %s", name);
    reader = popen(command, "r");
    ck_assert_ptr_nonnull(reader);
    got = fread(found, 1, sizeof found - 1, reader);
    ck_assert_int_eq(pclose(reader), 0);
    unlink(name);
    if (got && found[got - 1] == '\n')
        found[got - 1] = '\0';
    ck_assert_str_eq(found, text);
    free(cell);
    free(path);
}

START_TEST(outside_reader_reads_it)
{
    read_back(texts[_i]);
}
END_TEST

START_TEST(outside_reader_reads_the_longest)
{
    read_back(longest());
}
END_TEST

/* ISO/IEC 18004:2015, 6.3.3: the finder pattern, concentric squares of 7, 5 and 3 modules; 6.3.5: row and column 6
 * alternate between the finders, dark first; 6.9.1: the module beside the lower left finder is always dark. */
START_TEST(fixed_patterns_stand_where_the_standard_says)
{
    static const char *const finder[] = {"#######", "#.....#", "#.###.#", "#.###.#", "#.###.#", "#.....#", "#######"};
    struct fault fault = {0};
    struct qr qr;
    int far;

    ck_assert_int_eq(qr_make(texts[0], &qr, &fault), 0);
    ck_assert_int_eq((qr.width - 17) % 4, 0);
    far = qr.width - 7;
    for (int y = 0; y < 7; y++)
        for (int x = 0; x < 7; x++) {
            ck_assert_int_eq(qr_dark(&qr, x, y), finder[y][x] == '#');
            ck_assert_int_eq(qr_dark(&qr, far + x, y), finder[y][x] == '#');
            ck_assert_int_eq(qr_dark(&qr, x, far + y), finder[y][x] == '#');
        }
    for (int i = 8; i < far - 1; i++) {
        ck_assert_int_eq(qr_dark(&qr, i, 6), i % 2 == 0);
        ck_assert_int_eq(qr_dark(&qr, 6, i), i % 2 == 0);
    }
    ck_assert(qr_dark(&qr, 8, qr.width - 8));
}
END_TEST

START_TEST(svg_and_terminal_hold_the_same_symbol)
{
    struct fault fault = {0};
    struct qr qr;
    char *path, *svg, *lines;
    int count = 0;

    ck_assert_int_eq(qr_make(texts[2], &qr, &fault), 0);
    path = qr_path(&qr);
    svg = qr_svg(&qr, "to <tank> \"A&B\"");
    lines = qr_terminal(&qr);
    ck_assert(path && svg && lines);
    ck_assert_ptr_nonnull(strstr(svg, path));
    ck_assert_ptr_nonnull(strstr(svg, "<title>to &lt;tank&gt; &quot;A&amp;B&quot;</title>"));
    for (const char *line = lines; *line; line = strchr(line, '\n') + 1)
        count++;
    ck_assert_int_eq(count, (qr.width + 2 * QR_QUIET + 1) / 2);
    free(path);
    free(svg);
    free(lines);
}
END_TEST

START_TEST(nothing_and_too_much_are_refused)
{
    struct fault empty = {0}, full = {0}, foreign = {0};
    char *text = longest();
    struct qr qr;

    ck_assert_int_eq(qr_make("", &qr, &empty), -1);
    ck_assert_int_eq(empty.code, FAULT_INPUT);
    ck_assert_int_eq(qr_make("caf\xc3\xa9", &qr, &foreign), -1);
    ck_assert_int_eq(foreign.code, FAULT_INPUT);
    strcat(text, "!");
    ck_assert_int_eq(qr_make(text, &qr, &full), -1);
    ck_assert_int_eq(full.code, FAULT_INPUT);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("qr");
    TCase *tcase = tcase_create("qr");

    tcase_add_test(tcase, fixed_patterns_stand_where_the_standard_says);
    tcase_add_test(tcase, svg_and_terminal_hold_the_same_symbol);
    tcase_add_test(tcase, nothing_and_too_much_are_refused);
    suite_add_tcase(suite, tcase);
    if (system("command -v zbarimg >/dev/null") == 0) {
        TCase *outside = tcase_create("outside reader");

        tcase_add_loop_test(outside, outside_reader_reads_it, 0, COUNT(texts));
        tcase_add_test(outside, outside_reader_reads_the_longest);
        suite_add_tcase(suite, outside);
    } else
        puts("skipped: no zbarimg here (Debian's zbar-tools) to read QR codes back");
    return run_suite(suite);
}
