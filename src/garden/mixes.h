/* mixes.h - a solution that is being weighed in, by one member or by several.
 *
 * The worksheet is made by a page and kept as it is; what was done at each step is merged: the last word on a step stands, with
 * who said it and when, so that two at the scale lose nothing of each other. A mix is over when the entry of its own id is in the
 * log, or when somebody says so; untouched for MIX_DAYS it leaves the list, but can still be opened.
 */
#ifndef TIDEMARK_GARDEN_MIXES_H
#define TIDEMARK_GARDEN_MIXES_H

#include "garden/garden.h"
#include "garden/people.h"
#include "store/mixes.h"

#define MIX_DAYS 7         /* ours: salts left standing longer have drawn water */
#define MIX_STEPS_MOST 64  /* ours */
#define MIX_SHEET_MOST 100000 /* bytes of JSON; ours. A recipe of 12 salts with its steps takes about 15,000. */

struct mix {
    struct mix_row row;
    struct list ticks; /* struct mix_tick */
};

/* Keeps a mix: row.id (or NULL), row.tank (uid, short code or NULL), kind, begun_ms, received_ms, volume_l, steps and sheet set. Sent
 * twice it is kept once. FAULT_INPUT with pointers, FAULT_CONFLICT for an id that says something else. */
int garden_mix_add(struct garden *garden, const struct who *who, struct mix *mix, bool *stored_before, struct arena *arena, struct fault *fault);

/* FAULT_ABSENT. */
int garden_mix_one(struct garden *garden, const char *id, struct mix *mix, struct arena *arena, struct fault *fault);

/* Open and touched within MIX_DAYS before now_ms, the latest first, MIXES_MOST at most: struct mix_row. Of one tank, or with
 * STORE_NO_INT of all; what is no longer put off on the day today says so. */
#define MIXES_MOST 200 /* ours */
int mixes_open(struct db *db, int64_t tank_key, int64_t now_ms, int32_t today, struct list *mixes, struct arena *arena, struct fault *fault);
int garden_mixes_open(struct garden *garden, int64_t now_ms, struct list *mixes, struct arena *arena, struct fault *fault);

/* Keeps it from Today for so many days, until somebody says something of it; 0: shows it again. Its tank's page tells of it all the same. */
int garden_mix_put_off(struct garden *garden, const char *id, int64_t days, int64_t now_ms, struct mix *mix, struct arena *arena,
                       struct fault *fault);

/* What was done at a step. tick->at_ms is the moment by the sender's clock, sent_ms what that clock said when it was sent (or
 * STORE_NO_INT), now_ms ours: the difference is taken off, and nothing counts as said later than now. *mix is what stands then. */
int garden_mix_tick(struct garden *garden, const struct who *who, const char *id, struct mix_tick *tick, int64_t sent_ms, int64_t now_ms,
                    struct mix *mix, struct arena *arena, struct fault *fault);

/* Says that it is finished (no tank: nothing is logged), given up, or open after all. */
int garden_mix_state(struct garden *garden, const char *id, int state, int64_t now_ms, struct mix *mix, struct arena *arena, struct fault *fault);

#endif
