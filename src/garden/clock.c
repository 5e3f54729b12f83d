/* clock.c - moments, days, ids that begin with the time. */
#include "garden/clock.h"

#include <libical/ical.h>
#include <pthread.h>
#include <sodium.h>
#include <string.h>
#include <time.h>

#include "store/entries.h"

/* libical loads a zone when it is first asked for one, into tables without a lock of their own. */
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;

int64_t clock_now_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_REALTIME, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static icaltimezone *zone_of(const char *name)
{
    if (!name || strcmp(name, "UTC") == 0 || strcmp(name, "Etc/UTC") == 0)
        return icaltimezone_get_utc_timezone();
    return icaltimezone_get_builtin_timezone(name);
}

bool clock_zone_known(const char *name)
{
    bool known;

    if (!name || strlen(name) > 64)
        return false;
    pthread_mutex_lock(&lock);
    known = zone_of(name) != NULL;
    pthread_mutex_unlock(&lock);
    return known;
}

static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

/* How far the zone's clocks are ahead of UTC at a moment, in ms. */
static int64_t offset_ms(const char *name, int64_t ms)
{
    icaltimezone *zone, *utc = icaltimezone_get_utc_timezone();
    struct icaltimetype at; /* in UTC: what clocks show may be shown twice */
    int offset_s = 0, daylight;

    pthread_mutex_lock(&lock);
    zone = zone_of(name);
    if (zone && zone != utc) {
        at = icaltime_from_timet_with_zone((time_t)floor_div(ms, 1000), 0, utc);
        offset_s = icaltimezone_get_utc_offset_of_utc_time(zone, &at, &daylight);
    }
    pthread_mutex_unlock(&lock);
    return (int64_t)offset_s * 1000;
}

int32_t clock_day(const char *zone, int64_t ms)
{
    return (int32_t)floor_div(ms + offset_ms(zone, ms), DAY_MS);
}

int64_t clock_day_start_ms(const char *zone, int32_t day)
{
    int64_t wall = (int64_t)day * DAY_MS, ms = wall - offset_ms(zone, wall);

    /* The offset may have changed between the two; ask once more at the moment found. */
    return wall - offset_ms(zone, ms);
}

/* Clocks change once in two days at most: what they show is looked for by the offset of the day before and of the day after. */
enum clock_shown clock_wall(const char *zone, int32_t day, int32_t second, int64_t *ms)
{
    int64_t wall = (int64_t)day * DAY_MS + (int64_t)second * 1000;
    int64_t before = wall - offset_ms(zone, wall - DAY_MS), after = wall - offset_ms(zone, wall + DAY_MS);
    bool by_before = before + offset_ms(zone, before) == wall, by_after = after + offset_ms(zone, after) == wall;

    *ms = by_before || !by_after ? before : after;
    if (by_before && by_after && before != after) {
        *ms = before < after ? before : after;
        return CLOCK_TWICE;
    }
    return by_before || by_after ? CLOCK_ONCE : CLOCK_NEVER;
}

void clock_uuid(char text[37])
{
    unsigned char bytes[16];
    int64_t ms = clock_now_ms();

    randombytes_buf(bytes, sizeof bytes);
    for (int i = 0; i < 6; i++)
        bytes[i] = (unsigned char)(ms >> (40 - 8 * i));
    bytes[6] = (unsigned char)((bytes[6] & 0x0f) | 0x70);
    bytes[8] = (unsigned char)((bytes[8] & 0x3f) | 0x80);
    uuid_text(bytes, text);
}
