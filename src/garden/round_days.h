/* round_days.h - planned rounds: the weekdays on which people walk, of the whole garden or of an area, and what was put off.
 *
 * A planned round is known by its place and its round day. Put off, it is walked on a later day and is still the same round; where that
 * day has a round of its own there, one will do. On its day it is due until a round of that place, or of one around it, was made and
 * walked that day. On the day after nobody is reminded any more: the next round day comes.
 */
#ifndef TIDEMARK_GARDEN_ROUND_DAYS_H
#define TIDEMARK_GARDEN_ROUND_DAYS_H

#include "garden/garden.h"
#include "garden/people.h"
#include "garden/walk.h"
#include "store/round_days.h"

#define ROUND_PUTOFF_DAYS_MOST 14 /* as for what a tank asks for; ours */
#define ROUND_PLACE_GARDEN "garden" /* the whole garden, where an area is named in an address */

/* 0: Monday (ISO 8601), for any day since 1970 and before. */
int round_weekday(int32_t day);

struct round_plan {
    struct list days;    /* struct round_days_row */
    struct list putoffs; /* struct round_putoff_row, until from_day or later */
};
int round_plan_read(struct db *db, int32_t from_day, struct round_plan *plan, struct arena *arena, struct fault *fault);

/* One round that is planned for a day. */
struct round_due {
    const struct round_days_row *place;
    int32_t planned;                       /* its round day: earlier than the day where it was put off */
    const struct round_putoff_row *putoff; /* NULL: never put off */
};

/* The planned round of a place on a day, from_day of the plan or later: false where there is none. */
bool round_plan_on(const struct round_plan *plan, const struct round_days_row *place, int32_t day, struct round_due *due);

/* What is due on a day and was put off to a later one: the putoff, NULL where there is none. */
const struct round_putoff_row *round_plan_put_off(const struct round_plan *plan, const struct round_days_row *place, int32_t day);

/* How the planned round of a place goes today. *under_way is the id of a round that is, NULL where none is; *walked: one of this place
 * or of one around it was made today, and somebody did something on it. */
int round_plan_walked(struct db *db, const struct walk_map *map, const struct round_days_row *place, int32_t today, int64_t now_ms,
                      const char **under_way, bool *walked, struct arena *arena, struct fault *fault);

/* ---- asked by people ---- */

/* All places with round days: struct round_days_row. */
int garden_round_days(struct garden *garden, struct list *days, struct arena *arena, struct fault *fault);

/* Sets the weekdays (bits, 0: none) of an area (uid) or of the garden (ROUND_PLACE_GARDEN); *set is as it is now. FAULT_ABSENT. */
int garden_round_days_set(struct garden *garden, const char *place, int64_t weekdays, struct round_days_row *set, struct arena *arena,
                          struct fault *fault);

/* Puts today's planned round of a place off by days: id (or NULL), area (uid, NULL: the whole garden) and days are given. Sent twice
 * it is kept once. FAULT_INPUT at "/area"; FAULT_CONFLICT at "/area" where no round is due there today. */
int garden_round_put_off(struct garden *garden, const struct who *who, struct round_putoff_row *putoff, int64_t now_ms, bool *stored_before,
                         struct arena *arena, struct fault *fault);

/* Has it walked today after all, where its day is still to come. FAULT_ABSENT. */
int garden_round_putoff_lift(struct garden *garden, const char *id, int64_t now_ms, struct fault *fault);

#endif
