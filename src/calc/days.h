/* days.h - dates as plain day numbers.
 *
 * A date is the count of days since 1970-01-01 in the proleptic Gregorian calendar, an
 * instant is milliseconds since that midnight, UTC. Pure: no clock, no time zone, no locale.
 */
#ifndef TIDEMARK_DAYS_H
#define TIDEMARK_DAYS_H

#include <stdbool.h>
#include <stdint.h>

/* No date, no instant: not known, or beyond what was looked at. JSON null. */
#define DAYS_NONE INT32_MIN
#define INSTANT_NONE INT64_MIN

#define DAYS_MS INT64_C(86400000) /* milliseconds in a day */

struct civil {
    int year, month, day; /* month 1 to 12, day 1 to 31 */
};

/* The day number of a date; true, or false (and *day untouched) where the calendar has no such date.
 * Years 1 to 9999 (ours: what RFC 3339 can write).
 */
bool days_from_civil(struct civil civil, int32_t *day);

/* The date of a day number; any number from 0001-01-01 to 9999-12-31, others are brought to the nearer end. */
struct civil days_to_civil(int32_t day);

/* J, 1 on 1 January to 365 or 366 on 31 December. */
int days_of_year(int32_t day);

/* The day an instant lies on (UTC), rounding down; INSTANT_NONE gives DAYS_NONE. */
int32_t days_of_instant(int64_t at_ms);

/* The same as days and a fraction: 0.5 is noon of 1970-01-01. */
double days_and_fraction(int64_t at_ms);

#endif
