/* putoffs.c - which matter may wait, and when it no longer may. */
#include "garden/putoffs.h"

#include <math.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/resend.h"
#include "store/tanks.h"

/* How much further off counts as worse: more than a meter's or an eye's error. Ours. */
#define WORSE_DAYS 1.0
#define WORSE_MM 5.0
#define WORSE_EC_MS_CM 0.2
#define WORSE_PH 0.2
#define WORSE_C 1.0

static bool is_worse(const struct putoff_row *putoff, const struct advice *advice, int32_t today)
{
    switch ((enum advice_reason)advice->reason) {
    case ADVICE_RUNS_LOW:
    case ADVICE_HARVEST_DUE: /* sooner than was known then; days that passed are no news */
        return advice->urgency + (today - putoff->from_day) < putoff->urgency - WORSE_DAYS;
    case ADVICE_BELOW_LOW:
        return advice->with.value < putoff->value - WORSE_MM;
    case ADVICE_EC_HIGH:
        return advice->with.value > putoff->value + WORSE_EC_MS_CM;
    case ADVICE_EC_LOW:
        return advice->with.value < putoff->value - WORSE_EC_MS_CM;
    case ADVICE_PH_HIGH:
        return advice->with.value > putoff->value + WORSE_PH;
    case ADVICE_PH_LOW:
        return advice->with.value < putoff->value - WORSE_PH;
    case ADVICE_WARM:
        return advice->with.value > putoff->value + WORSE_C;
    case ADVICE_ABOVE_CEILING:
    case ADVICE_UNEXPLAINED_RISE:
    case ADVICE_PROBABLE_DOUBLE: /* of another entry: another matter */
        return !putoff->entry || !advice->with.entry || strcmp(putoff->entry, advice->with.entry) != 0;
    case ADVICE_OVERDUE_READING:
    case ADVICE_UNPLANTED:
    case ADVICE_EMPTY:
        return false;
    }
    return true;
}

bool putoff_hides(const struct putoff_row *putoff, const struct advice *advice, int32_t today)
{
    return putoff->lifted_ms == STORE_NO_INT && today < putoff->until_day && strcmp(putoff->reason, advice_reason_names[advice->reason]) == 0 &&
           !is_worse(putoff, advice, today);
}

const struct putoff_row *putoff_of(const struct list *putoffs, int64_t tank_key, const struct advice *advice, int32_t today)
{
    const struct putoff_row *putoff = putoffs->item;

    for (size_t i = 0; i < putoffs->count; i++)
        if (putoff[i].tank_key == tank_key && putoff_hides(&putoff[i], advice, today))
            return &putoff[i];
    return NULL;
}

/* How the matter stands now. */
static int look(struct garden *garden, struct putoff_row *putoff, int64_t now_ms, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    const struct standing_short *brief = NULL;
    struct standing_place place;
    struct tank_row tank;
    int found = -1;

    if (!db)
        return -1;
    if (standing_place(db, now_ms, &place, arena, fault) == 0) {
        found = tanks_one(db, putoff->tank, &tank, arena, fault);
        if (found == 1 && standing_short(garden, db, &place, &tank, &brief, arena, fault))
            found = -1;
    }
    store_done(garden->store, db);
    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
    putoff->tank_key = tank.key;
    putoff->from_day = place.today;
    putoff->until_day = place.today + (int32_t)putoff->days;
    for (size_t i = 0; i < brief->advice_count; i++)
        if (strcmp(advice_reason_names[brief->advice[i].reason], putoff->reason) == 0) {
            putoff->urgency = brief->advice[i].urgency;
            putoff->value = brief->advice[i].with.value;
            putoff->entry = brief->advice[i].with.entry;
            return 0;
        }
    return fault_add(fault, FAULT_CONFLICT, "/reason", "the tank does not ask for that now");
}

struct putoff_job {
    const struct who *who;
    struct putoff_row *putoff;
    bool stored_before;
    struct arena *arena;
};

static int there_already(struct db *db, struct putoff_job *job, struct fault *fault)
{
    struct putoff_row there;
    struct tank_row tank;
    int found = putoffs_one(db, job->putoff->id, &there, job->arena, fault);

    if (found != 1)
        return found;
    if (tanks_one(db, job->putoff->tank, &tank, job->arena, fault) != 1 || tank.key != there.tank_key || there.days != job->putoff->days ||
        strcmp(there.reason, job->putoff->reason) != 0)
        return resend_conflict(fault);
    *job->putoff = there;
    job->stored_before = true;
    return 1;
}

static int add_putoff(struct db *db, void *context, struct fault *fault)
{
    struct putoff_job *job = context;
    int found = there_already(db, job, fault);

    if (found)
        return found < 0 ? -1 : 0;
    job->putoff->member_key = job->who->member ? job->who->member : STORE_NO_INT;
    if (putoffs_add(db, job->putoff, fault))
        return -1;
    return putoffs_one(db, job->putoff->id, job->putoff, job->arena, fault) == 1 ? 0 : -1;
}

static int sent_before(struct garden *garden, struct putoff_job *job, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int found;

    if (!db)
        return -1;
    found = there_already(db, job, fault);
    store_done(garden->store, db);
    return found;
}

int garden_put_off(struct garden *garden, const struct who *who, struct putoff_row *putoff, int64_t now_ms, bool *stored_before,
                   struct arena *arena, struct fault *fault)
{
    struct putoff_job job = {.who = who, .putoff = putoff, .arena = arena};
    int found;

    if (resend_give_id(&putoff->id, arena, fault))
        return -1;
    /* First: what was sent again may be about a matter that is settled by now. */
    found = sent_before(garden, &job, fault);
    if (found < 0)
        return -1;
    if (!found) {
        if (look(garden, putoff, now_ms, arena, fault))
            return -1;
        putoff->told_ms = now_ms;
        putoff->lifted_ms = STORE_NO_INT;
        if (store_write(garden->store, add_putoff, &job, fault))
            return -1;
    }
    *stored_before = job.stored_before;
    return 0;
}

static int lift(struct db *db, void *context, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct putoff_row putoff;
    int found = putoffs_one(db, context, &putoff, &arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "nothing was put off under this id");
    return putoffs_lift(db, putoff.key, clock_now_ms(), fault);
}

int garden_putoff_lift(struct garden *garden, const char *id, struct fault *fault)
{
    return store_write(garden->store, lift, (void *)id, fault);
}
