/* calendar.h - the days to come that a garden's people plan by. */
#ifndef TIDEMARK_CALENDAR_H
#define TIDEMARK_CALENDAR_H

#include "garden/garden.h"
#include "garden/standing.h"

enum calendar_what { CALENDAR_LOW, CALENDAR_HARVEST, CALENDAR_ROUND, CALENDAR_SOW, CALENDAR_PLANT, CALENDAR_DUTY };

struct calendar_item {
    int what;
    const char *tank, *code, *name; /* the tank; of a succession or a duty its id, NULL, a name; of a round its area, NULL, the area's name,
                                     * all NULL: the whole garden's */
    const char *who;                /* of a duty: whose; NULL otherwise */
    int32_t first, last;            /* today at the earliest: the likeliest day, of a harvest its window; both included */
    int64_t tanks;                  /* of today's round where none are planned: that want a hand; of a succession: plants */
    int32_t planned;                /* of a planned round: its round day, which names it; DAYS_NONE: nobody planned it */
    size_t step;                    /* of a succession, from 0 */
    struct outlook_dates when;
    bool behind;                    /* worked out as of an earlier day, or before something was logged; of a round, for some tanks */
    int32_t as_of;                  /* where it is behind: that day */
};

struct calendar {
    struct garden_row garden;
    int32_t today;
    struct list items; /* struct calendar_item, tank by tank in the order of their making */
};

/* How far ahead sowing and planting is told. Ours. */
#define CALENDAR_SEASON_DAYS 120

/* How far ahead planned rounds are told: six weeks, today among them. Who subscribes asks again twice a day; further ahead lie only
 * days that nobody arranges a round by. Ours. */
#define CALENDAR_ROUND_DAYS 42

/* For each tank in use: when it is likely to run low, unless its harvest comes
 * first, and when it is likely ready: between one chance in ten and nine. At the end the planned rounds of the
 * coming weeks, those that were put off on their new day; where a garden plans none, today's, if any tank wants a hand. Then the duties of now
 * and later. */
int garden_calendar(struct garden *garden, int64_t now_ms, struct calendar *calendar, struct arena *arena, struct fault *fault);

#endif
