/* weather.c - the rules of weather. */
#include "garden/weather.h"

#include <stdio.h>

#include "garden/clock.h"

static int check_days(const struct list *days, int32_t today, struct fault *fault)
{
    const struct weather_row *day = days->item;
    int failed = 0;

    for (size_t i = 0; i < days->count; i++) {
        char at[48];

        snprintf(at, sizeof at, "/days/%zu/date", i);
        if (day[i].day > today)
            failed = fault_add(fault, FAULT_INPUT, at, "has not come yet; this is the weather as it was");
        for (size_t j = 0; j < i; j++)
            if (day[j].day == day[i].day)
                failed = fault_add(fault, FAULT_INPUT, at, "is named twice");
        snprintf(at, sizeof at, "/days/%zu/tmin_c", i);
        if (day[i].tmin_c > day[i].tmax_c)
            failed = fault_add(fault, FAULT_INPUT, at, "is above tmax_c");
    }
    return failed;
}

static int put_days(struct db *db, void *context, struct fault *fault)
{
    const struct list *days = context;
    const struct weather_row *day = days->item;

    for (size_t i = 0; i < days->count; i++)
        if (weather_put(db, &day[i], fault))
            return -1;
    return tanks_touch(db, STORE_NO_INT, fault); /* their outlooks rest on it */
}

int garden_weather_put(struct garden *garden, const struct list *days, int64_t now_ms, struct arena *arena, struct fault *fault)
{
    struct garden_row row;
    struct list copy = *days;

    if (garden_settings(garden, &row, arena, fault) || check_days(days, clock_day(row.time_zone, now_ms), fault))
        return -1;
    return store_write(garden->store, put_days, &copy, fault);
}

int garden_weather(struct garden *garden, int32_t first, int32_t last, int64_t limit, struct list *days, struct arena *arena,
                   struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || weather_list(db, first, last, limit, days, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}
