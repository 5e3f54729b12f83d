/* past_readings.c - readings from a table that was kept elsewhere. */
#include "garden/past_readings.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "calc/days.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- dates ---- */

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

/* One to `most` digits; moves on. */
static bool take_digits(const char **at, int least, int most, int *number)
{
    int count = 0;

    *number = 0;
    while (count < most && digit(**at)) {
        *number = 10 * *number + (*(*at)++ - '0');
        count++;
    }
    return count >= least && !digit(**at);
}

/* Three numbers with the same mark between them. */
static const char *take_date(const char **at, int format, int32_t *day)
{
    static const char wrong[] = "is no date of the chosen form";
    int first, second, third;
    const char *begin = *at;
    struct civil civil;
    char mark;

    if (!take_digits(at, 1, 4, &first))
        return wrong;
    mark = **at;
    if ((mark != '-' && mark != '.' && mark != '/') || (format == PAST_YMD) != (*at - begin == 4))
        return wrong;
    ++*at;
    if (!take_digits(at, 1, 2, &second) || **at != mark)
        return wrong;
    ++*at;
    begin = *at;
    if (!take_digits(at, format == PAST_YMD ? 1 : 2, format == PAST_YMD ? 2 : 4, &third) || (format != PAST_YMD && *at - begin == 3))
        return wrong;
    if (format != PAST_YMD && *at - begin == 2)
        third += 2000; /* the young do not keep tables of the last century */
    civil = format == PAST_YMD   ? (struct civil){first, second, third}
            : format == PAST_DMY ? (struct civil){third, second, first}
                                 : (struct civil){third, first, second};
    return days_from_civil(civil, day) ? NULL : "the calendar has no such day";
}

/* "7:30", "07:30:15", "07:30:15.250", "7:30 PM". */
static const char *take_time(const char **at, int32_t *second_of_day)
{
    static const char wrong[] = "is no time of day like 07:30";
    int hour, minute, second = 0;

    if (!take_digits(at, 1, 2, &hour) || **at != ':')
        return wrong;
    ++*at;
    if (!take_digits(at, 2, 2, &minute))
        return wrong;
    if (**at == ':') {
        ++*at;
        if (!take_digits(at, 2, 2, &second))
            return wrong;
        if (**at == '.' || **at == ',')
            for (++*at; digit(**at);)
                ++*at;
    }
    if (strncasecmp(*at, " am", 3) == 0 || strncasecmp(*at, " pm", 3) == 0) {
        if (hour < 1 || hour > 12)
            return wrong;
        hour = hour % 12 + (tolower((unsigned char)(*at)[1]) == 'p' ? 12 : 0);
        *at += 3;
    }
    if (hour > 23 || minute > 59 || second > 59)
        return wrong;
    *second_of_day = hour * 3600 + minute * 60 + second;
    return NULL;
}

static const char *take_offset(const char **at, struct past_moment *moment)
{
    int hour, minute, sign;

    if (**at == 'Z' || **at == 'z') {
        ++*at;
        moment->offset_known = true;
        return NULL;
    }
    if (**at != '+' && **at != '-')
        return NULL;
    sign = *(*at)++ == '-' ? -1 : 1;
    if (!digit((*at)[0]) || !digit((*at)[1]))
        return "is no offset like +02:00";
    hour = ((*at)[0] - '0') * 10 + (*at)[1] - '0';
    *at += 2;
    *at += **at == ':';
    if (!take_digits(at, 2, 2, &minute) || hour > 18 || minute > 59)
        return "is no offset like +02:00";
    moment->offset_known = true;
    moment->offset_s = sign * (hour * 3600 + minute * 60);
    return NULL;
}

static const char *rest_is_blank(const char *at)
{
    return at[strspn(at, " ")] ? "something stands behind the date and time" : NULL;
}

const char *past_moment(const char *date, const char *time, int format, struct past_moment *moment)
{
    const char *at = date + strspn(date, " "), *wrong;

    *moment = (struct past_moment){.second = 43200}; /* noon where no time is told: nearest to any */
    if (!*at)
        return "a date is missing";
    wrong = take_date(&at, format, &moment->day);
    if (wrong)
        return wrong;
    if (*at == 'T' || *at == 't' || *at == ' ' || *at == ',') {
        at += strspn(at, " ,Tt");
        if (*at) {
            wrong = take_time(&at, &moment->second);
            if (!wrong)
                wrong = take_offset(&at, moment);
            if (wrong)
                return wrong;
        }
    }
    wrong = rest_is_blank(at);
    if (wrong || !*(time += strspn(time, " ")))
        return wrong;
    wrong = take_time(&time, &moment->second);
    if (!wrong)
        wrong = take_offset(&time, moment);
    return wrong ? wrong : rest_is_blank(time);
}

/* ---- numbers ---- */

const char *past_number(const char *cell, bool decimal_comma, double *number)
{
    char text[48], *end;
    size_t length;
    char *mark;

    *number = NAN;
    cell += strspn(cell, " \xc2\xa0");
    length = strlen(cell);
    while (length && (cell[length - 1] == ' ' || (unsigned char)cell[length - 1] == 0xa0 || (unsigned char)cell[length - 1] == 0xc2))
        length--;
    if (!length)
        return NULL;
    if (length >= sizeof text)
        return "is no number";
    snprintf(text, sizeof text, "%.*s", (int)length, cell);
    if (strspn(text, "+-0123456789.,eE") != length)
        return "is no number";
    if (strchr(text, decimal_comma ? '.' : ','))
        return decimal_comma ? "has a point where the decimal mark is a comma" : "has a comma where the decimal mark is a point";
    mark = strchr(text, ',');
    if (mark)
        *mark = '.';
    *number = strtod(text, &end);
    if (*end || !isfinite(*number)) {
        *number = NAN;
        return "is no number";
    }
    return NULL;
}

const char *past_value(const struct past_columns *columns, enum past_quantity quantity, const char *cell, double *value)
{
    static const struct {
        double least, most;
        const char *outside;
    } bounds[] = {{0, 3000, "must lie from 0 to 3000 mm"}, {0, 20, "must lie from 0 to 20 mS/cm"}, {0, 14, "must lie from 0 to 14"}, {-5, 60, "must lie from -5 to 60 degrees C"}};
    const char *wrong = past_number(cell, columns->decimal_comma, value);

    if (wrong || isnan(*value))
        return wrong;
    if (quantity == PAST_WATERLINE)
        *value *= columns->length == PAST_CM ? 10 : columns->length == PAST_IN ? 25.4 : 1; /* the inch: exact, by definition */
    if (quantity == PAST_EC && columns->ec == PAST_US_CM)
        *value /= 1000;
    if (quantity == PAST_TEMPERATURE && columns->degrees == PAST_F)
        *value = (*value - 32) / 1.8;
    *value = round(*value * 1e6) / 1e6; /* what a change of unit left behind the sixth place is not measured */
    return *value >= bounds[quantity].least && *value <= bounds[quantity].most ? NULL : bounds[quantity].outside;
}

/* ---- proposals ---- */

/* Words in headings, small letters; the longer come first. Ours. */
static const struct {
    const char *word;
    enum past_kind kind;
} headings[] = {
    {"air gap", PAST_KIND_AIR_GAP}, {"air_gap", PAST_KIND_AIR_GAP}, {"luftspalt", PAST_KIND_AIR_GAP},
    {"waterline", PAST_KIND_WATERLINE}, {"water level", PAST_KIND_WATERLINE}, {"wasserstand", PAST_KIND_WATERLINE}, {"wasserlinie", PAST_KIND_WATERLINE},
    {"level", PAST_KIND_WATERLINE}, {"pegel", PAST_KIND_WATERLINE},
    {"temp", PAST_KIND_TEMPERATURE}, {"conductivity", PAST_KIND_EC}, {"leitf", PAST_KIND_EC}, {"ec", PAST_KIND_EC}, {"ph", PAST_KIND_PH},
    {"date", PAST_KIND_AT}, {"datum", PAST_KIND_AT}, {"moment", PAST_KIND_AT}, {"zeitpunkt", PAST_KIND_AT}, {"at", PAST_KIND_AT},
    {"time", PAST_KIND_TIME}, {"uhrzeit", PAST_KIND_TIME}, {"zeit", PAST_KIND_TIME},
    {"tank", PAST_KIND_TANK}, {"vessel", PAST_KIND_TANK}, {"tub", PAST_KIND_TANK}, {"beh\xc3\xa4lter", PAST_KIND_TANK}, {"wanne", PAST_KIND_TANK},
    {"note", PAST_KIND_NOTE}, {"remark", PAST_KIND_NOTE}, {"comment", PAST_KIND_NOTE}, {"notiz", PAST_KIND_NOTE}, {"bemerkung", PAST_KIND_NOTE}};

/* A short word only at the beginning of a word and up to its end: "ec" is not in "section". */
static bool has_word(const char *heading, const char *word)
{
    size_t length = strlen(word);

    for (const char *at = heading; (at = strstr(at, word)) != NULL; at++) {
        bool begins = at == heading || !isalpha((unsigned char)at[-1]), ends = !isalpha((unsigned char)at[length]);

        if (length > 3 || (begins && ends))
            return true;
    }
    return false;
}

enum past_kind past_guess_column(const char *heading)
{
    char small[128];
    size_t i = 0;

    for (; heading[i] && i + 1 < sizeof small; i++)
        small[i] = (char)tolower((unsigned char)heading[i]);
    small[i] = '\0';
    for (size_t h = 0; h < COUNT(headings); h++)
        if (has_word(small, headings[h].word))
            return headings[h].kind;
    return PAST_KIND_NONE;
}

int past_guess_date(const char *const *cells, size_t count, bool *sure)
{
    static const int order[] = {PAST_YMD, PAST_DMY, PAST_MDY};
    int fits = -1, how_many = 0;

    for (size_t f = 0; f < COUNT(order); f++) {
        size_t read = 0, seen = 0;

        for (size_t i = 0; i < count; i++) {
            struct past_moment moment;

            seen += *cells[i] != '\0';
            read += *cells[i] && !past_moment(cells[i], "", order[f], &moment);
        }
        if (!seen || read < seen)
            continue;
        if (fits < 0)
            fits = order[f];
        how_many++;
    }
    *sure = how_many == 1;
    return fits;
}

bool past_guess_comma(const char *const *cells, size_t count)
{
    size_t commas = 0, points = 0;

    for (size_t i = 0; i < count; i++) {
        double number;

        commas += strchr(cells[i], ',') && !past_number(cells[i], true, &number);
        points += strchr(cells[i], '.') && !past_number(cells[i], false, &number);
    }
    return commas > points;
}
