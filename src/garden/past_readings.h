/* past_readings.h - readings from a table that people or a logger kept elsewhere: what its columns mean, cell by cell.
 *
 * Pure. What is typed is never guessed silently: past_guess only proposes, and who sends the table says what holds.
 */
#ifndef TIDEMARK_GARDEN_PAST_READINGS_H
#define TIDEMARK_GARDEN_PAST_READINGS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum past_date { PAST_YMD, PAST_DMY, PAST_MDY }; /* 2026-05-01, 01.05.2026, 05/01/2026; with a time behind or in a column of its own */
enum past_quantity { PAST_WATERLINE, PAST_EC, PAST_PH, PAST_TEMPERATURE };
#define PAST_QUANTITIES (PAST_TEMPERATURE + 1)

enum past_length { PAST_MM, PAST_CM, PAST_IN };
enum past_ec { PAST_MS_CM, PAST_US_CM };
enum past_degrees { PAST_C, PAST_F };

/* How to read a table. Columns count from 1; 0: there is none. */
struct past_columns {
    int date;           /* enum past_date */
    bool decimal_comma;
    int64_t at, time, tank, note, value[PAST_QUANTITIES];
    bool air_gap;       /* the first quantity is the air gap, not the waterline */
    int length, ec, degrees;
};

/* Wall time as it stands there; offset_known where the cell itself names its zone ("Z", "+02:00"). */
struct past_moment {
    int32_t day;
    int32_t second;     /* of the day, 0 to 86399 */
    bool offset_known;
    int32_t offset_s;
};

/* Each returns NULL, or why the cell cannot be read. time may be "". */
const char *past_moment(const char *date, const char *time, int format, struct past_moment *moment);
/* An empty cell is NAN; "1,5" and "1.5" as decimal_comma says; a thin group mark is refused, not dropped. */
const char *past_number(const char *cell, bool decimal_comma, double *number);
/* In mm, mS/cm at 25 C, pH, C; and within the bounds of the log. */
const char *past_value(const struct past_columns *columns, enum past_quantity quantity, const char *cell, double *value);

/* What a column seems to be, by its heading and first cells. */
enum past_kind { PAST_KIND_NONE, PAST_KIND_AT, PAST_KIND_TIME, PAST_KIND_TANK, PAST_KIND_WATERLINE, PAST_KIND_AIR_GAP, PAST_KIND_EC, PAST_KIND_PH,
                 PAST_KIND_TEMPERATURE, PAST_KIND_NOTE };
enum past_kind past_guess_column(const char *heading);
/* How dates in these cells are meant: -1 where none fits; *sure false where more than one does. */
int past_guess_date(const char *const *cells, size_t count, bool *sure);
/* Whether numbers have a decimal comma. */
bool past_guess_comma(const char *const *cells, size_t count);

#endif
