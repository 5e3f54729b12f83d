/* weather.h - the weather as it was. */
#ifndef TIDEMARK_GARDEN_WEATHER_H
#define TIDEMARK_GARDEN_WEATHER_H

#include "garden/garden.h"

/* Adds these days (struct weather_row), or puts them in the place of what was told before: all of them or none.
 * FAULT_INPUT with pointers such as "/days/3/date" for a day that has not begun in the garden, a day named twice, or a minimum
 * above the maximum. */
int garden_weather_put(struct garden *garden, const struct list *days, int64_t now_ms, struct arena *arena, struct fault *fault);

/* Days from first to last, oldest first, at most limit: struct weather_row. */
int garden_weather(struct garden *garden, int32_t first, int32_t last, int64_t limit, struct list *days, struct arena *arena,
                   struct fault *fault);

#endif
