/* putoffs.h - "not today": a matter of a tank is put off for some days, for everybody, and comes back by itself.
 *
 * What is put off is one reason at one tank, as it stood. Another reason shows as ever, and so does the same one as soon as it
 * is worse than what was put off.
 */
#ifndef TIDEMARK_GARDEN_PUTOFFS_H
#define TIDEMARK_GARDEN_PUTOFFS_H

#include "garden/people.h"
#include "garden/standing.h"
#include "store/putoffs.h"

#define PUTOFF_DAYS_MOST 14 /* ours: what can wait for longer is no matter of today */

/* Whether this keeps that matter from Today on this day. */
bool putoff_hides(const struct putoff_row *putoff, const struct advice *advice, int32_t today);

/* The one of these (struct putoff_row) that hides a tank's matter on this day; NULL: it is shown. */
const struct putoff_row *putoff_of(const struct list *putoffs, int64_t tank_key, const struct advice *advice, int32_t today);

/* Puts one off: id (or NULL), tank, reason and days are given, the rest is filled in. FAULT_INPUT at "/tank"; FAULT_CONFLICT at
 * "/reason" when the tank does not ask for that now, at "/id" when it is there with other content. */
int garden_put_off(struct garden *garden, const struct who *who, struct putoff_row *putoff, int64_t now_ms, bool *stored_before,
                   struct arena *arena, struct fault *fault);

/* Shows it again from now on. FAULT_ABSENT. */
int garden_putoff_lift(struct garden *garden, const char *id, struct fault *fault);

#endif
