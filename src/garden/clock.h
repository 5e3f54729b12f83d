/* clock.h - moments and the garden's own days. The one place that knows of time zones.
 *
 * glibc can only convert for the whole process, so zones are libical's, which reads the system's zone files.
 */
#ifndef TIDEMARK_CLOCK_H
#define TIDEMARK_CLOCK_H

#include <stdbool.h>
#include <stdint.h>

#define DAY_MS ((int64_t)86400000)

/* Now, milliseconds since 1970 UTC. */
int64_t clock_now_ms(void);

/* Whether this is a zone we can reckon with: an IANA name such as "Europe/Lisbon", or "UTC". */
bool clock_zone_known(const char *zone);

/* The garden's calendar day at a moment: days since 1970-01-01. An unknown zone counts as UTC. */
int32_t clock_day(const char *zone, int64_t ms);

/* The moment at which a day begins there. */
int64_t clock_day_start_ms(const char *zone, int32_t day);

/* The moment at which clocks there show this second of this day, and how often they do. One that they show twice is the first
 * of the two; of one that they leave out, it is that of a clock that was not put forward. */
enum clock_shown { CLOCK_NEVER, CLOCK_ONCE, CLOCK_TWICE };
enum clock_shown clock_wall(const char *zone, int32_t day, int32_t second, int64_t *ms);

/* A new UUID, version 7 (RFC 9562, 2024): it begins with the time, so that ids sort by age. */
void clock_uuid(char text[37]);

#endif
