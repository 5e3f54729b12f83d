/* seasons.c - quarters of the year. */
#include "garden/seasons.h"

#include <assert.h>
#include <stdio.h>

#include "calc/days.h"

static int32_t day_number(int year, int month)
{
    int32_t day = 0;
    bool there = days_from_civil((struct civil){year, month, 1}, &day);

    assert(there);
    (void)there;
    return day;
}

struct season season_of(int32_t day, double latitude_deg)
{
    static const char *const name[] = {"winter", "spring", "summer", "autumn"};
    struct civil date = days_to_civil(day);
    int months = (date.year * 12 + date.month) / 3; /* quarters since year 0, each begun in December, March, ... */
    int quarter = months % 4, year = months / 4;
    int begins = months * 3 - 1; /* months since January of year 0 */
    struct season season;

    if (latitude_deg < 0)
        quarter = (quarter + 2) % 4;
    /* A southern winter is June to August of one year; only what spans New Year takes the year it ends in, and months / 4
     * gives that for both. */
    snprintf(season.id, sizeof season.id, "%d-%s", year, name[quarter]);
    season.first = day_number(begins / 12, begins % 12 + 1);
    season.last = day_number((begins + 3) / 12, (begins + 3) % 12 + 1) - 1;
    return season;
}
