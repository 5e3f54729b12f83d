/* mixes.c - mixes under way. */
#include "garden/mixes.h"

#include <string.h>

#include "garden/resend.h"
#include "store/entries.h"

struct mix_job {
    const char *id;
    struct mix *mix;
    const struct mix_tick *tick; /* NULL: none */
    int state;                   /* -1: as it is */
    bool puts_off;
    int32_t off_day;             /* INT32_MIN: shown */
    int64_t now_ms;
    bool stored_before;
    struct arena *arena;
};

/* ---- adding ---- */

static int find_tank(struct db *db, struct mix_row *row, struct arena *arena, struct fault *fault)
{
    struct tank_row tank;
    int found;

    row->tank_key = STORE_NO_INT;
    if (!row->tank)
        return 0;
    found = tanks_one(db, row->tank, &tank, arena, fault);
    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
    row->tank_key = tank.key;
    return 0;
}

static bool same_mix(const struct mix_row *a, const struct mix_row *b)
{
    return a->tank_key == b->tank_key && a->kind == b->kind && a->begun_ms == b->begun_ms && a->steps == b->steps &&
           resend_same_real(a->volume_l, b->volume_l) && resend_same_text(a->sheet, b->sheet);
}

static int read_whole(struct db *db, const char *id, struct mix *mix, struct arena *arena, struct fault *fault)
{
    int found = mix_rows_one(db, id, &mix->row, arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such mix");
    return mix_ticks_list(db, mix->row.key, &mix->ticks, arena, fault);
}

/* Its page tells of it. */
static int touch_tank(struct db *db, const struct mix_row *row, struct fault *fault)
{
    return row->tank_key == STORE_NO_INT ? 0 : tanks_touch(db, row->tank_key, fault);
}

static int add_in(struct db *db, void *context, struct fault *fault)
{
    struct mix_job *job = context;
    struct mix_row *row = &job->mix->row, there;
    int found;

    if (find_tank(db, row, job->arena, fault))
        return -1;
    found = mix_rows_one(db, row->id, &there, job->arena, fault);
    if (found < 0)
        return -1;
    job->stored_before = found == 1;
    if (found && !same_mix(row, &there))
        return resend_conflict(fault);
    if (!found && (mix_rows_add(db, row, fault) || touch_tank(db, row, fault)))
        return -1;
    return read_whole(db, row->id, job->mix, job->arena, fault);
}

int garden_mix_add(struct garden *garden, const struct who *who, struct mix *mix, bool *stored_before, struct arena *arena, struct fault *fault)
{
    struct mix_job job = {.mix = mix, .arena = arena};

    if (strlen(mix->row.sheet) > MIX_SHEET_MOST)
        return fault_add(fault, FAULT_INPUT, "/sheet", "must be at most %d bytes of JSON, was %zu", MIX_SHEET_MOST, strlen(mix->row.sheet));
    if (resend_give_id(&mix->row.id, arena, fault))
        return -1;
    mix->row.member_key = who->member ? who->member : STORE_NO_INT;
    mix->row.device_key = who->device ? who->device : STORE_NO_INT;
    if (store_write(garden->store, add_in, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

/* ---- looking ---- */

int garden_mix_one(struct garden *garden, const char *id, struct mix *mix, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed;

    if (!db)
        return -1;
    failed = read_whole(db, id, mix, arena, fault);
    store_done(garden->store, db);
    return failed;
}

int mixes_open(struct db *db, int64_t tank_key, int64_t now_ms, int32_t today, struct list *mixes, struct arena *arena, struct fault *fault)
{
    int64_t since_ms = now_ms - MIX_DAYS * INT64_C(86400000);
    struct mix_row *mix;

    if (tank_key == STORE_NO_INT ? mix_rows_open(db, since_ms, MIXES_MOST, mixes, arena, fault)
                                 : mix_rows_open_of_tank(db, tank_key, since_ms, MIXES_MOST, mixes, arena, fault))
        return -1;
    mix = mixes->item;
    for (size_t i = 0; i < mixes->count; i++)
        if (mix[i].off_day <= today)
            mix[i].off_day = INT32_MIN;
    return 0;
}

int garden_mixes_open(struct garden *garden, int64_t now_ms, struct list *mixes, struct arena *arena, struct fault *fault)
{
    struct db *db;
    int32_t today;
    int failed;

    if (garden_today(garden, now_ms, &today, fault))
        return -1;
    db = store_read(garden->store, fault);
    if (!db)
        return -1;
    failed = mixes_open(db, STORE_NO_INT, now_ms, today, mixes, arena, fault);
    store_done(garden->store, db);
    return failed;
}

/* ---- what is done ---- */

static int tell_in(struct db *db, void *context, struct fault *fault)
{
    struct mix_job *job = context;
    struct mix_row *row = &job->mix->row;

    if (read_whole(db, job->id, job->mix, job->arena, fault))
        return -1;
    if (job->tick) {
        if (job->tick->step >= row->steps)
            return fault_add(fault, FAULT_INPUT, "/step", "this mix has %lld steps, counted from 0", (long long)row->steps);
        if (mix_ticks_put(db, row->key, job->tick, fault) || mix_rows_told(db, row->key, job->now_ms, fault))
            return -1;
    } else if (job->puts_off ? mix_rows_put_off(db, row->key, job->off_day, fault) : mix_rows_state(db, row->key, job->state, job->now_ms, fault)) {
        return -1;
    }
    if (touch_tank(db, row, fault))
        return -1;
    return read_whole(db, job->id, job->mix, job->arena, fault);
}

int garden_mix_tick(struct garden *garden, const struct who *who, const char *id, struct mix_tick *tick, int64_t sent_ms, int64_t now_ms,
                    struct mix *mix, struct arena *arena, struct fault *fault)
{
    struct mix_job job = {.id = id, .mix = mix, .tick = tick, .now_ms = now_ms, .arena = arena};

    if (sent_ms != STORE_NO_INT)
        tick->at_ms += now_ms - sent_ms;
    if (tick->at_ms > now_ms)
        tick->at_ms = now_ms;
    tick->member_key = who->member ? who->member : STORE_NO_INT;
    tick->device_key = who->device ? who->device : STORE_NO_INT;
    return store_write(garden->store, tell_in, &job, fault);
}

int garden_mix_state(struct garden *garden, const char *id, int state, int64_t now_ms, struct mix *mix, struct arena *arena, struct fault *fault)
{
    struct mix_job job = {.id = id, .mix = mix, .state = state, .now_ms = now_ms, .arena = arena};

    return store_write(garden->store, tell_in, &job, fault);
}

int garden_mix_put_off(struct garden *garden, const char *id, int64_t days, int64_t now_ms, struct mix *mix, struct arena *arena,
                       struct fault *fault)
{
    struct mix_job job = {.id = id, .mix = mix, .puts_off = true, .off_day = INT32_MIN, .now_ms = now_ms, .arena = arena};
    int32_t today;

    if (garden_today(garden, now_ms, &today, fault))
        return -1;
    if (days > 0)
        job.off_day = today + (int32_t)days;
    return store_write(garden->store, tell_in, &job, fault);
}
