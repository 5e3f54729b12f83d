/* days.c - the calendar as arithmetic: years that begin in March, eras of 400 years. */
#include "calc/days.h"

#define ERA_DAYS 146097 /* days in 400 Gregorian years */
#define EPOCH_FROM_MARCH_0000 719468 /* days from 0000-03-01 to 1970-01-01 */

/* With March as the first month the leap day is the last of the year, and the month lengths follow
 * 31 30 31 30 31 | 31 30 31 30 31 | 31 28: 153 days in five months.
 */
static int32_t from_civil(int year, int month, int day)
{
    int since_march = (month + 9) % 12;
    int march_year = month <= 2 ? year - 1 : year;
    int era = (march_year >= 0 ? march_year : march_year - 399) / 400;
    int year_of_era = march_year - era * 400;
    int day_of_year = (153 * since_march + 2) / 5 + day - 1;
    int day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;

    return era * ERA_DAYS + day_of_era - EPOCH_FROM_MARCH_0000;
}

static bool leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

bool days_from_civil(struct civil civil, int32_t *day)
{
    static const int lengths[12] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int length;

    if (civil.year < 1 || civil.year > 9999 || civil.month < 1 || civil.month > 12)
        return false;
    length = lengths[civil.month - 1] + (civil.month == 2 && leap(civil.year));
    if (civil.day < 1 || civil.day > length)
        return false;
    *day = from_civil(civil.year, civil.month, civil.day);
    return true;
}

struct civil days_to_civil(int32_t day)
{
    const int32_t least = from_civil(1, 1, 1), most = from_civil(9999, 12, 31);
    int32_t shifted = (day < least ? least : day > most ? most : day) + EPOCH_FROM_MARCH_0000;
    int era = shifted / ERA_DAYS; /* never negative from year 1 on */
    int day_of_era = shifted - era * ERA_DAYS;
    /* Take out the leap days before dividing by 365. */
    int year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    int day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    int since_march = (5 * day_of_year + 2) / 153;
    int month = since_march < 10 ? since_march + 3 : since_march - 9;

    return (struct civil){.year = era * 400 + year_of_era + (month <= 2),
                          .month = month,
                          .day = day_of_year - (153 * since_march + 2) / 5 + 1};
}

int days_of_year(int32_t day)
{
    struct civil civil = days_to_civil(day);

    return from_civil(civil.year, civil.month, civil.day) - from_civil(civil.year, 1, 1) + 1;
}

int32_t days_of_instant(int64_t at_ms)
{
    int64_t day;

    if (at_ms == INSTANT_NONE)
        return DAYS_NONE;
    day = at_ms / DAYS_MS - (at_ms % DAYS_MS < 0);
    return day < INT32_MIN + 1 ? INT32_MIN + 1 : day > INT32_MAX ? INT32_MAX : (int32_t)day;
}

double days_and_fraction(int64_t at_ms)
{
    int64_t day = at_ms / DAYS_MS - (at_ms % DAYS_MS < 0);

    return (double)day + (double)(at_ms - day * DAYS_MS) / (double)DAYS_MS;
}
