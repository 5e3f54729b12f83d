/* seasons.h - the quarter of the year that a harvest belongs to, for setting seasons side by side. */
#ifndef TIDEMARK_SEASONS_H
#define TIDEMARK_SEASONS_H

#include <stdint.h>

struct season {
    char id[16];         /* "2026-spring"; a winter bears the year it ends in */
    int32_t first, last; /* days */
};

/* The season of a day: three whole months each, as weather services count them (common practice, no source); on the
 * southern half of the globe half a year off. latitude_deg NAN counts as north. */
struct season season_of(int32_t day, double latitude_deg);

#endif
