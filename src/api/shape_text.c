/* shape_text.c - moments and days as documents write them (RFC 3339, 2002). */
#include <stdio.h>
#include <string.h>

#include "api/shape.h"
#include "calc/days.h"

static bool digits(const char *text, int count, int *value)
{
    *value = 0;
    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return false;
        *value = *value * 10 + (text[i] - '0');
    }
    return true;
}

int shape_read_date(const char *text, int32_t *day)
{
    struct civil civil;

    if (strlen(text) != 10 || text[4] != '-' || text[7] != '-' || !digits(text, 4, &civil.year) ||
        !digits(text + 5, 2, &civil.month) || !digits(text + 8, 2, &civil.day))
        return -1;
    return days_from_civil(civil, day) ? 0 : -1;
}

/* ".123" to milliseconds; finer digits are cut off. Returns what follows, or NULL. */
static const char *read_fraction(const char *text, int *ms)
{
    int scale = 100;

    *ms = 0;
    if (*text != '.')
        return text;
    if (text[1] < '0' || text[1] > '9')
        return NULL;
    for (text++; *text >= '0' && *text <= '9'; text++, scale /= 10)
        *ms += (*text - '0') * scale;
    return text;
}

/* "Z", "+02:00", "-00:30" to minutes. */
static bool read_offset(const char *text, int *minutes)
{
    int hours, rest;

    *minutes = 0;
    if (strcmp(text, "Z") == 0 || strcmp(text, "z") == 0)
        return true;
    if ((*text != '+' && *text != '-') || strlen(text) != 6 || text[3] != ':' || !digits(text + 1, 2, &hours) ||
        !digits(text + 4, 2, &rest) || hours > 23 || rest > 59)
        return false;
    *minutes = (hours * 60 + rest) * (*text == '-' ? -1 : 1);
    return true;
}

int shape_read_instant(const char *text, int64_t *ms)
{
    char date[11];
    int32_t day;
    int hour, minute, second, fraction, offset;
    const char *rest;

    if (strlen(text) < 20 || (text[10] != 'T' && text[10] != 't'))
        return -1;
    memcpy(date, text, 10);
    date[10] = '\0';
    if (shape_read_date(date, &day) || text[13] != ':' || text[16] != ':' || !digits(text + 11, 2, &hour) ||
        !digits(text + 14, 2, &minute) || !digits(text + 17, 2, &second) || hour > 23 || minute > 59 || second > 59)
        return -1;
    rest = read_fraction(text + 19, &fraction);
    if (!rest || !read_offset(rest, &offset))
        return -1;
    *ms = (int64_t)day * DAYS_MS + (((int64_t)hour * 60 + minute - offset) * 60 + second) * 1000 + fraction;
    return 0;
}

char *shape_date(char text[16], int32_t day)
{
    struct civil civil = days_to_civil(day);

    snprintf(text, 16, "%04u-%02u-%02u", (unsigned)civil.year % 10000u, (unsigned)civil.month % 100u, (unsigned)civil.day % 100u);
    return text;
}

char *shape_instant(char text[32], int64_t ms)
{
    char date[16];
    int32_t day = days_of_instant(ms);
    unsigned rest = (unsigned)(ms - (int64_t)day * DAYS_MS), s = rest / 1000;

    snprintf(text, 32, "%s%c%02u:%02u:%02u", shape_date(date, day), 'T', s / 3600, s / 60 % 60, s % 60);
    if (rest % 1000)
        snprintf(text + strlen(text), 8, ".%03u", rest % 1000);
    strcat(text, "Z");
    return text;
}
