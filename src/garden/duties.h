/* duties.h - whose a tank or an area is for a while.
 *
 * A duty says who looks first, not who may: anybody may log anywhere, and a tank that nobody read is everybody's.
 */
#ifndef TIDEMARK_GARDEN_DUTIES_H
#define TIDEMARK_GARDEN_DUTIES_H

#include "garden/garden.h"
#include "garden/people.h"
#include "garden/walk.h"
#include "store/duties.h"

#define DUTY_DAYS_MOST 366 /* ours */

/* The last day of the garden's week: weeks begin on Monday (ISO 8601). */
int32_t duty_week_end(int32_t day);

/* Those that end on this day or later: struct duty_row, by their end. tank (uid or code; NULL: all): only those that it stands
 * under, nearest first: of these the first that has begun says whose it is. FAULT_INPUT at "/tank". */
int garden_duties(struct garden *garden, int32_t from_day, const char *tank, struct list *duties, struct arena *arena, struct fault *fault);

/* Adds one: id (or NULL), member (uid; NULL: who asks), tank (uid or code) or area (uid), from_day and to_day (INT32_MIN: today,
 * and the end of that week). Sent twice it is kept once. FAULT_INPUT with pointers; FAULT_DENIED for somebody else's duty, but for
 * keepers. */
int garden_duty_add(struct garden *garden, const struct who *who, int32_t today, struct duty_row *duty, bool *stored_before,
                    struct arena *arena, struct fault *fault);

/* Puts member, from_day and to_day in the place of what it has. One's own, or a keeper any. */
int garden_duty_change(struct garden *garden, const struct who *who, struct duty_row *duty, struct arena *arena, struct fault *fault);

/* Gives it back: it stays in the file, but nobody sees it any more. */
int garden_duty_give_back(struct garden *garden, const struct who *who, const char *id, int64_t now_ms, struct arena *arena,
                          struct fault *fault);

/* ---- whose is it today ---- */

struct duties_now {
    struct list duties; /* of today: struct duty_row */
    struct walk_map map;
};
int duties_now_read(struct db *db, int32_t today, struct duties_now *now, struct arena *arena, struct fault *fault);

/* Whose a tank is today: by a duty of its own, else of its area, else of the area around that. NULL: nobody's. */
const struct duty_row *duties_whose(const struct duties_now *now, int64_t tank_key, int64_t area_key);

#endif
