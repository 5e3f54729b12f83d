/* readings.h - what sensors tell: kept as it came, with what speaks against it.
 *
 * A sensor reads when nobody looks. Its clock jumps, its float sticks, it falls out of the tank and tells of the room. All
 * that is kept raw and marked; what is marked is not believed (enum sensed_odd in store/sensed.h).
 */
#ifndef TIDEMARK_GARDEN_READINGS_H
#define TIDEMARK_GARDEN_READINGS_H

#include "garden/garden.h"
#include "garden/people.h"
#include "store/doubts.h"
#include "store/sensed.h"

/* Ours, all of them; the tests of tests/garden/readings.c show what they let through. */
#define SENSE_CLOCK_MS ((int64_t)10 * 60 * 1000)         /* a clock is off by more than that */
#define SENSE_OLD_MS ((int64_t)400 * 24 * 60 * 60 * 1000) /* no sensor keeps readings back for so long: its clock was never set */
#define SENSE_STUCK_WARM_MS ((int64_t)48 * 60 * 60 * 1000) /* all alike for so long, the temperature among it */
#define SENSE_STUCK_MS ((int64_t)7 * 24 * 60 * 60 * 1000)  /* all alike for so long, without a temperature */

/* How far a value may lie from the last believed one: at once, and more with each hour since. */
struct sense_reach {
    double at_once, an_hour;
};
extern const struct sense_reach sense_reach[4]; /* waterline mm, EC mS/cm, pH, temperature C */

/* What speaks against a reading, by the newest of the same sensor at the same tank before it (newest first). Not the order, the
 * stuck float and the doubled moment, which need more than these. clock_off_ms: STORE_NO_INT where the sensor did not tell its clock. */
int64_t sense_odd(const struct sensed *reading, int64_t clock_off_ms, const struct sensed *before, size_t count);

/* Puts one into the file: rounds it, marks what speaks against it, and touches its tank when it is believed. tank, sensor, moments
 * and values are given. *known: the same was there already, and nothing was done. For a job of the writer. */
int readings_keep(struct db *db, struct sensed *reading, int64_t clock_off_ms, bool *known, struct fault *fault);

struct reading_told {
    const char *tank; /* uid or short code */
    int64_t at_ms;
    double waterline_mm, air_gap_mm, ec_ms_cm, ph, temperature_c; /* NAN: not told */
};
struct readings_told {
    const char *sensor; /* uid; NULL: the sensor that asks */
    int64_t sent_ms;    /* its clock when it sent this; STORE_NO_INT: not told */
    int64_t received_ms;
    struct list readings; /* struct reading_told */
};
struct reading_kept {
    const char *tank; /* uid */
    struct sensed reading;
    bool known;
};

/* Keeps all or nothing, each in the order of its moment: *kept has one struct reading_kept for each, in the order told.
 * Faults point into {"sensor", "readings": [...]}. */
int garden_readings(struct garden *garden, const struct who *who, const struct readings_told *told, struct list *kept, struct arena *arena,
                    struct fault *fault);

/* Words for the bits of a reading's odd, and for a doubted stretch: const char *. */
int readings_flags(const struct sensed *reading, struct list *flags, struct arena *arena, struct fault *fault);

/* Whether it counts for nothing: for a flag, or because people doubt it. */
bool readings_not_believed(const struct sensed *reading);

/* A tank's readings of a stretch of time that are not believed, newest first. A sensor that reads each minute and hangs makes thousands of
 * them: at most `most` are handed out, all are counted, and after READINGS_LOOKED nobody looks further. Ours. */
#define READINGS_LOOKED 20000
struct readings_odd {
    struct list readings;    /* struct sensed */
    int64_t looked, odd;     /* how many were looked at, how many of them are not believed */
    int64_t from_ms;         /* the oldest moment that was looked at, or asked for */
};
int readings_odd_of(struct db *db, int64_t tank_key, int64_t from_ms, int64_t to_ms, size_t most, struct readings_odd *odd, struct arena *arena,
                    struct fault *fault);

/* ---- doubts ---- */

/* Adds one: id (or NULL), tank (uid or code), sensor (uid or NULL), from_ms, to_ms, why. Sent twice it is kept once. */
int garden_doubt(struct garden *garden, const struct who *who, struct doubt_row *doubt, bool *stored_before, struct arena *arena,
                 struct fault *fault);

/* Believes the stretch again; the row stays. */
int garden_doubt_lift(struct garden *garden, const struct who *who, const char *id, struct fault *fault);

#endif
