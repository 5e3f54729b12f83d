/* Calendars: read back by a library that is not ours, and held against what RFC 5545 says of lines. */
#include "format/ical.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "calc/days.h"
#include "runner.h"

#define LONG "a name that goes on and on, over the edge of a line, until the seventy-five octets of the standard are long gone; "

/* Commas, semicolons, backslashes and line breaks have a meaning in the format; others are longer than their letters. */
static const struct {
    struct civil first, last;
    const char *uid, *summary, *description, *url;
    const char *start, *end; /* as the library must read them: the end is the first day after it */
} events[] = {
    {{2026, 5, 20}, {2026, 5, 20}, "a-low@garden", "Roof 1 runs low", "Most likely 2026-05-20.", "http://garden.local/t/AB12CD", "2026-05-20", "2026-05-21"},
    {{2026, 12, 31}, {2027, 1, 2}, "b@garden", "salt; sour, \\sweet", "one\ntwo", NULL, "2026-12-31", "2027-01-03"},
    {{2028, 2, 29}, {2028, 2, 29}, "c@garden", "Gem\xc3\xbcse \xe2\x80\x93 reif \xf0\x9f\x8c\xb1", NULL, NULL, "2028-02-29", "2028-03-01"},
    {{2026, 6, 1}, {2026, 6, 1}, "d@garden", LONG LONG, LONG LONG LONG, NULL, "2026-06-01", "2026-06-02"},
    {{2026, 6, 1}, {2026, 6, 1}, "e@garden", "BEGIN:VEVENT", "x\nEND:VCALENDAR\nX", NULL, "2026-06-01", "2026-06-02"},
};

static int32_t day_number(struct civil civil)
{
    int32_t day;

    ck_assert(days_from_civil(civil, &day));
    return day;
}

static char *write_all(void)
{
    struct ical_event given[COUNT(events)];
    struct fault fault = {0};
    char *text;

    for (size_t i = 0; i < COUNT(events); i++)
        given[i] = (struct ical_event){events[i].uid, day_number(events[i].first), day_number(events[i].last), events[i].summary,
                                       events[i].description, events[i].url, i ? 0 : -6 * 3600};
    text = ical_write("Terrace, north; all", given, COUNT(given), day_number((struct civil){2026, 5, 1}) * DAYS_MS, &fault);
    ck_assert_ptr_nonnull(text);
    return text;
}

/* RFC 5545, 3.1: lines end with CR LF and are at most 75 octets long without it; no letter is cut in two there. */
START_TEST(lines_are_short_and_end_as_they_must)
{
    char *text = write_all();

    for (const char *line = text; *line;) {
        const char *end = strstr(line, "\r\n");

        ck_assert_ptr_nonnull(end);
        ck_assert_msg(end - line <= 75, "%.*s", (int)(end - line), line);
        ck_assert_ptr_null(memchr(line, '\n', (size_t)(end - line)));
        ck_assert_msg(((unsigned char)line[0] & 0xc0) != 0x80 && !(line[0] == ' ' && ((unsigned char)line[1] & 0xc0) == 0x80), "a letter is cut: %s", line);
        line = end + 2;
    }
    free(text);
}
END_TEST

static const char *next_part(char **line)
{
    char *part = *line, *end = strpbrk(part, "\x1f\n");

    ck_assert_ptr_nonnull(end);
    *line = end + 1;
    *end = '\0';
    for (char *c = part; *c; c++)
        if (*c == '\x1e')
            *c = '\n';
    return part;
}

START_TEST(alarm_stands_inside_its_event)
{
    char *text = write_all(), *alarm = strstr(text, "BEGIN:VALARM\r\n");

    ck_assert_ptr_nonnull(alarm);
    ck_assert_ptr_nonnull(strstr(alarm, "TRIGGER:-PT6H\r\n"));
    ck_assert_ptr_nonnull(strstr(alarm, "ACTION:DISPLAY\r\n"));
    ck_assert_ptr_null(strstr(alarm + 1, "BEGIN:VALARM")); /* the others have none */
    ck_assert(strstr(alarm, "END:VALARM") < strstr(text, "END:VEVENT"));
    free(text);
}
END_TEST

START_TEST(outside_library_reads_what_was_written)
{
    char name[64], command[512], read[16384], *line = read, *text = write_all();
    FILE *file, *reader;
    size_t got;

    snprintf(name, sizeof name, "test-ical-%ld.ics", (long)getpid());
    file = fopen(name, "w");
    ck_assert_ptr_nonnull(file);
    fputs(text, file);
    fclose(file);
    free(text);
    snprintf(command, sizeof command, "/usr/bin/python3 %s %s", source_path("tests/format/ical_read.py"), name);
    reader = popen(command, "r");
    ck_assert_ptr_nonnull(reader);
    got = fread(read, 1, sizeof read - 1, reader);
    read[got] = '\0';
    ck_assert_int_eq(pclose(reader), 0);
    unlink(name);
    ck_assert_str_eq(next_part(&line), "2.0");
    ck_assert_str_eq(next_part(&line), "Terrace, north; all");
    ck_assert_str_eq(next_part(&line), "Terrace, north; all");
    ck_assert_str_eq(next_part(&line), "prodid");
    for (size_t i = 0; i < COUNT(events); i++) {
        ck_assert_str_eq(next_part(&line), events[i].uid);
        ck_assert_str_eq(next_part(&line), events[i].start);
        ck_assert_str_eq(next_part(&line), events[i].end);
        ck_assert_str_eq(next_part(&line), "2026-05-01T00:00:00+00:00");
        ck_assert_str_eq(next_part(&line), events[i].summary);
        ck_assert_str_eq(next_part(&line), events[i].description ? events[i].description : "");
        ck_assert_str_eq(next_part(&line), events[i].url ? events[i].url : "");
        ck_assert_str_eq(next_part(&line), "TRANSPARENT");
    }
    ck_assert_str_eq(line, "");
}
END_TEST

START_TEST(empty_calendar_is_one)
{
    struct fault fault = {0};
    char *text = ical_write("empty", NULL, 0, 0, &fault);

    ck_assert_ptr_nonnull(text);
    ck_assert_int_eq(strncmp(text, "BEGIN:VCALENDAR\r\n", 17), 0);
    ck_assert_ptr_nonnull(strstr(text, "END:VCALENDAR\r\n"));
    free(text);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("ical");
    TCase *tcase = tcase_create("ical");

    tcase_add_test(tcase, alarm_stands_inside_its_event);
    tcase_add_test(tcase, lines_are_short_and_end_as_they_must);
    tcase_add_test(tcase, empty_calendar_is_one);
    if (system("/usr/bin/python3 -c 'import icalendar' 2>/dev/null") == 0)
        tcase_add_test(tcase, outside_library_reads_what_was_written);
    else
        puts("skipped: no python3-icalendar here to read calendars back");
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
