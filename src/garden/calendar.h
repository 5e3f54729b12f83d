/* calendar.h - the days to come that a garden's people plan by. */
#ifndef TIDEMARK_CALENDAR_H
#define TIDEMARK_CALENDAR_H

#include "garden/garden.h"
#include "garden/standing.h"

enum calendar_what { CALENDAR_LOW, CALENDAR_HARVEST, CALENDAR_ROUND, CALENDAR_SOW, CALENDAR_PLANT, CALENDAR_DUTY };

struct calendar_item {
    int what;
    const char *tank, *code, *name; /* the tank; NULL for a round; of a succession or a duty its id, NULL, a name */
    const char *who;                /* of a duty: whose; NULL otherwise */
    int32_t first, last;            /* today at the earliest: the likeliest day, of a harvest its window; both included */
    int64_t tanks;                  /* of a round: that want a hand today; of a succession: plants */
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

/* For each tank in use: when it is likely to run low, unless its harvest comes
 * first, and when it is likely ready: between one chance in ten and nine. At the end today's round, where any tank
 * wants a hand, and the duties of now and later. */
int garden_calendar(struct garden *garden, int64_t now_ms, struct calendar *calendar, struct arena *arena, struct fault *fault);

#endif
