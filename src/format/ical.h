/* ical.h - days to come, as a calendar that other programs subscribe to.
 *
 * Pure but for memory. Source: RFC 5545 (2009), Internet Calendaring and Scheduling; RFC 7986 (2016) for the name and how
 * often to ask again.
 */
#ifndef TIDEMARK_ICAL_H
#define TIDEMARK_ICAL_H

#include <stddef.h>
#include <stdint.h>

#include "calc/fault.h"

/* One all-day event. It takes nobody's time: a calendar shows the day as free. */
struct ical_event {
    const char *uid;         /* the same for the same thing at every time of asking */
    int32_t first, last;     /* days since 1970-01-01, both included */
    const char *summary;
    const char *description; /* NULL: none */
    const char *url;         /* NULL: none */
    int32_t alarm_s;         /* seconds after the first day's beginning, before it where negative; 0: no alarm */
};

/* The calendar as text, malloc'ed, lines ended and folded as the standard asks. stamp_ms is when the events were worked
 * out. NULL with FAULT_MEMORY.
 */
char *ical_write(const char *name, const struct ical_event *events, size_t count, int64_t stamp_ms, struct fault *fault);

#endif
