/* sensed.h - readings of sensors, packed.
 *
 * A sensor reads once a minute for years: a row has no id, no text and no index of its own. Values are kept to 0.1 mm,
 * 0.001 mS/cm, 0.01 pH and 0.01 C, finer than sensors in a tank tell.
 */
#ifndef TIDEMARK_STORE_SENSED_H
#define TIDEMARK_STORE_SENSED_H

#include "store/arena.h"
#include "store/store.h"

/* What speaks against a reading. All but ODD_LATE mean that it is not believed. */
enum sensed_odd {
    ODD_AGAIN = 1,  /* other values were told for the same moment before */
    ODD_ORDER = 2,  /* older than one that came before it, and nothing vouches for the sensor's clock */
    ODD_CLOCK = 4,  /* the sensor's clock is off */
    ODD_STUCK = 8,  /* has not moved for longer than water stands still */
    ODD_JUMP = 16,  /* far from the one before, and not confirmed by those that follow */
    ODD_LATE = 32   /* older than one that came before it, by a clock that is right */
};
#define ODD_NOT_BELIEVED (~(int64_t)ODD_LATE)

struct sensed {
    int64_t tank_key, sensor_key, at_ms, received_ms; /* received to the second */
    int64_t again, odd;
    int64_t import; /* the number of the import that brought it (store/sensed_imports.h); 0: none */
    bool hidden;    /* read by sensed_of_moment: of an import under way */
    double waterline_mm, ec_ms_cm, ph, temperature_c; /* NAN: not told */
    bool doubted; /* by a person, for this stretch; filled in by sensed_thinned and sensed_page */
};

/* Rounds the values as the file keeps them. */
void sensed_round(struct sensed *reading);

bool sensed_same(const struct sensed *a, const struct sensed *b); /* the values alone */

/* Adds one. FAULT_CONFLICT when tank, moment, sensor and again are there already. */
int sensed_add(struct db *db, const struct sensed *reading, struct fault *fault);

/* How many of one moment are there: *count (the number that the next one would have), and the first of them, or the one that says the
 * same. Those of an import under way, too. */
int sensed_of_moment(struct db *db, const struct sensed *reading, struct sensed *first, int64_t *count, struct fault *fault);

/* What an import under way brought is there after all: it was told again by the sensor itself. */
int sensed_reveal(struct db *db, const struct sensed *reading, struct fault *fault);

/* The newest of the reading's sensor at its tank up to a moment, newest first, at most SENSED_BEFORE of those looked at; of an import under
 * way only if the reading is of that import itself. */
#define SENSED_BEFORE 12
int sensed_before(struct db *db, const struct sensed *reading, int64_t at_ms, struct sensed found[SENSED_BEFORE], size_t *count, struct fault *fault);

/* Whether its sensor told of a later moment at its tank by a clock that is right, seen the same way: 1, 0, -1. */
int sensed_after(struct db *db, const struct sensed *reading, struct fault *fault);

/* Readings that stand for a stretch of time each, oldest first: struct sensed. Of each stretch that has any, it is the
 * middle by waterline of those that are believed in its last hour. Stretches are counted from 1970, so that the same ones
 * are asked for each time; they end at the moments in cuts (rising), too: water put in between them stays between them.
 * The cost grows with the stretches, not with the readings.
 */
struct sensed_step {
    int64_t age_ms, every_ms; /* up to this age before to_ms, one in so long; the last step has the age INT64_MAX */
};
struct sensed_ask {
    int64_t tank_key, from_ms, to_ms; /* from_ms <= at < to_ms */
    const struct sensed_step *steps;
    const int64_t *cuts;
    size_t cut_count;
};
int sensed_thinned(struct db *db, const struct sensed_ask *ask, struct list *readings, struct arena *arena, struct fault *fault);

/* All as they came, odd ones too, newest first, older than (before_ms, before_sensor, before_again). */
struct sensed_page {
    int64_t tank_key, from_ms, before_ms, before_sensor, before_again, limit;
};
int sensed_page(struct db *db, const struct sensed_page *page, struct list *readings, struct arena *arena, struct fault *fault);

/* All of a tank for the export, oldest first, at most limit after (at_ms, sensor, again). */
int sensed_rest(struct db *db, const struct sensed *after, int64_t limit, struct list *readings, struct arena *arena, struct fault *fault);

/* A name for one reading among entries, in the form of a UUID of version 8 (RFC 9562); and back: false where it is none. */
void sensed_name(const struct sensed *reading, char text[37]);
bool sensed_of_name(const char *text, struct sensed *reading);

/* The same as an entry of the log would tell it: a reading of its sensor, under that name. */
struct entry;
int sensed_entry(const struct sensed *reading, struct entry *entry, struct arena *arena, struct fault *fault);

extern const struct query sensed_queries[];
extern const size_t sensed_queries_count;

#endif
