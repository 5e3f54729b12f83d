/* doubts.c - people doubt what a sensor told, and believe it again. */
#include "garden/clock.h"
#include "garden/readings.h"
#include "garden/resend.h"
#include "store/tanks.h"

struct doubt_job {
    const struct who *who;
    struct doubt_row *doubt;
    bool stored_before;
    struct arena *arena;
};

static int find_named(struct db *db, struct doubt_row *doubt, struct arena *arena, struct fault *fault)
{
    struct tank_row tank;
    struct sensor_row sensor;
    int found = tanks_one(db, doubt->tank, &tank, arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
    doubt->tank_key = tank.key;
    doubt->tank = tank.id;
    doubt->sensor_key = STORE_NO_INT;
    if (!doubt->sensor)
        return 0;
    found = sensors_one(db, doubt->sensor, &sensor, arena, fault);
    doubt->sensor_key = sensor.key;
    return found == 1 ? 0 : found ? -1 : fault_add(fault, FAULT_INPUT, "/sensor", "there is no such sensor");
}

static int add_doubt(struct db *db, void *context, struct fault *fault)
{
    struct doubt_job *job = context;
    struct doubt_row *doubt = job->doubt, there;
    int found = doubts_one(db, doubt->id, &there, job->arena, fault);

    if (found < 0 || find_named(db, doubt, job->arena, fault))
        return -1;
    if (found) {
        if (there.tank_key != doubt->tank_key || there.sensor_key != doubt->sensor_key || there.from_ms != doubt->from_ms ||
            there.to_ms != doubt->to_ms || !resend_same_text(there.why, doubt->why))
            return resend_conflict(fault);
        *doubt = there;
        job->stored_before = true;
        return 0;
    }
    doubt->member_key = job->who->member ? job->who->member : STORE_NO_INT;
    if (doubts_add(db, doubt, fault) || tanks_touch(db, doubt->tank_key, fault))
        return -1;
    return doubts_one(db, doubt->id, doubt, job->arena, fault) == 1 ? 0 : -1;
}

int garden_doubt(struct garden *garden, const struct who *who, struct doubt_row *doubt, bool *stored_before, struct arena *arena,
                 struct fault *fault)
{
    struct doubt_job job = {.who = who, .doubt = doubt, .arena = arena};

    if (resend_give_id(&doubt->id, arena, fault))
        return -1;
    if (doubt->to_ms < doubt->from_ms)
        return fault_add(fault, FAULT_INPUT, "/to", "must not lie before from");
    doubt->told_ms = clock_now_ms();
    doubt->lifted_ms = STORE_NO_INT;
    if (store_write(garden->store, add_doubt, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

struct lifting {
    const struct who *who;
    const char *id;
};

static int lift(struct db *db, void *context, struct fault *fault)
{
    const struct lifting *lifting = context;
    ARENA_HELD arena = {0};
    struct doubt_row doubt;
    int found = doubts_one(db, lifting->id, &doubt, &arena, fault);

    if (found < 0)
        return -1;
    if (!found)
        return fault_add(fault, FAULT_ABSENT, "", "there is no such doubt");
    if (lifting->who->role != ROLE_KEEPER && doubt.member_key != lifting->who->member)
        return fault_add(fault, FAULT_DENIED, "", "only who doubted it, or a keeper, may believe it again");
    return doubts_lift(db, doubt.key, clock_now_ms(), fault) || tanks_touch(db, doubt.tank_key, fault) ? -1 : 0;
}

int garden_doubt_lift(struct garden *garden, const struct who *who, const char *id, struct fault *fault)
{
    return store_write(garden->store, lift, &(struct lifting){who, id}, fault);
}
