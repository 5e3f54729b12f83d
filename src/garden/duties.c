/* duties.c - the rules of duties. */
#include "garden/duties.h"

#include <string.h>

#include "garden/resend.h"

int32_t duty_week_end(int32_t day)
{
    int32_t weekday = (day + 3) % 7; /* 1970-01-01 was a Thursday; 0: Monday */

    return day + 6 - (weekday < 0 ? weekday + 7 : weekday);
}

/* How near a duty is to a tank: 3 its own, 2 its area's, 1 of the area around that, 0 none of it. */
static int nearness(const struct walk_map *map, const struct duty_row *duty, int64_t tank_key, int64_t area_key)
{
    const struct area_row *area = walk_area(map, area_key);

    if (duty->tank_key == tank_key)
        return 3;
    if (!area)
        return 0;
    return duty->area_key == area->key ? 2 : area->within && duty->area_key == area->within_key ? 1 : 0;
}

static int keep_those_of_tank(struct db *db, const char *id, struct list *duties, struct arena *arena, struct fault *fault)
{
    const struct duty_row *duty = duties->item;
    struct duty_row *kept = arena_take(arena, (duties->count + 1) * sizeof *kept);
    struct walk_map map;
    struct tank_row tank;
    size_t count = 0;
    int found = tanks_one(db, id, &tank, arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
    if (!kept)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (walk_map_read(db, &map, arena, fault))
        return -1;
    for (int near = 3; near > 0; near--)
        for (size_t i = 0; i < duties->count; i++)
            if (nearness(&map, &duty[i], tank.key, tank.area_key) == near)
                kept[count++] = duty[i];
    *duties = (struct list){kept, count};
    return 0;
}

int garden_duties(struct garden *garden, int32_t from_day, const char *tank, struct list *duties, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || duty_rows_from(db, from_day, duties, arena, fault) || (tank && keep_those_of_tank(db, tank, duties, arena, fault));

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

struct duty_job {
    const struct who *who;
    struct duty_row *duty;
    const char *member_before; /* of a change: whose it was */
    int64_t now_ms;
    bool stored_before;
    struct arena *arena;
};

static int find_member(struct db *db, struct duty_job *job, struct fault *fault)
{
    struct duty_row *duty = job->duty;
    struct member_row member;
    int found;

    if (!duty->member)
        duty->member = job->who->member_id;
    if (!duty->member)
        return fault_add(fault, FAULT_INPUT, "/member", "whose is it?");
    found = members_one(db, duty->member, &member, job->arena, fault);
    if (found < 0)
        return -1;
    if (!found || member.removed_ms != STORE_NO_INT)
        return fault_add(fault, FAULT_INPUT, "/member", "there is no such member");
    if (member.role < ROLE_GROWER)
        return fault_add(fault, FAULT_INPUT, "/member", "%s may only look", member.name);
    if (job->who->role != ROLE_KEEPER && member.key != job->who->member)
        return fault_add(fault, FAULT_DENIED, "/member", "only a keeper gives others a duty");
    duty->member_key = member.key;
    return 0;
}

static int find_place(struct db *db, struct duty_row *duty, struct arena *arena, struct fault *fault)
{
    struct tank_row tank;
    int found;

    duty->tank_key = duty->area_key = STORE_NO_INT;
    if (!duty->tank == !duty->area)
        return fault_add(fault, FAULT_INPUT, "/tank", "a duty is for one tank or one area");
    if (duty->area) {
        found = tanks_area_key(db, duty->area, &duty->area_key, fault);
        return found == 1 ? 0 : found ? -1 : fault_add(fault, FAULT_INPUT, "/area", "there is no such area");
    }
    found = tanks_one(db, duty->tank, &tank, arena, fault);
    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
    duty->tank_key = tank.key;
    return 0;
}

static int check_days(const struct duty_row *duty, struct fault *fault)
{
    if (duty->to_day < duty->from_day)
        return fault_add(fault, FAULT_INPUT, "/to", "ends before it begins");
    if (duty->to_day - duty->from_day >= DUTY_DAYS_MOST)
        return fault_add(fault, FAULT_INPUT, "/to", "a duty lasts %d days at most", DUTY_DAYS_MOST);
    return 0;
}

static int add_duty(struct db *db, void *context, struct fault *fault)
{
    struct duty_job *job = context;
    struct duty_row *duty = job->duty, there;
    int found = duty_rows_one(db, duty->id, &there, job->arena, fault);

    if (found < 0 || find_member(db, job, fault) || find_place(db, duty, job->arena, fault) || check_days(duty, fault))
        return -1;
    if (found) {
        job->stored_before = there.member_key == duty->member_key && there.tank_key == duty->tank_key && there.area_key == duty->area_key &&
                             there.from_day == duty->from_day && there.to_day == duty->to_day;
        *duty = there;
        return job->stored_before ? 0 : resend_conflict(fault);
    }
    if (duty_rows_add(db, duty, fault))
        return -1;
    return duty_rows_one(db, duty->id, duty, job->arena, fault) == 1 ? 0 : -1;
}

int garden_duty_add(struct garden *garden, const struct who *who, int32_t today, struct duty_row *duty, bool *stored_before,
                    struct arena *arena, struct fault *fault)
{
    struct duty_job job = {.who = who, .duty = duty, .arena = arena};

    if (duty->from_day == INT32_MIN)
        duty->from_day = today;
    if (duty->to_day == INT32_MIN)
        duty->to_day = duty_week_end(duty->from_day);
    if (resend_give_id(&duty->id, arena, fault) || store_write(garden->store, add_duty, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

/* The duty of this id, which who may change. */
static int find_own(struct db *db, const struct duty_job *job, const char *id, struct duty_row *there, struct fault *fault)
{
    int found = duty_rows_one(db, id, there, job->arena, fault);

    if (found != 1 || there->given_back_ms != STORE_NO_INT)
        return found < 0 ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such duty");
    if (job->who->role != ROLE_KEEPER && there->member_key != job->who->member)
        return fault_add(fault, FAULT_DENIED, "", "this is %s's duty; a keeper may change it", there->member_name);
    return 0;
}

static int change_duty(struct db *db, void *context, struct fault *fault)
{
    struct duty_job *job = context;
    struct duty_row there;

    if (find_own(db, job, job->duty->id, &there, fault) || find_member(db, job, fault) || check_days(job->duty, fault))
        return -1;
    there.member_key = job->duty->member_key;
    there.from_day = job->duty->from_day;
    there.to_day = job->duty->to_day;
    if (duty_rows_change(db, &there, fault))
        return -1;
    return duty_rows_one(db, there.id, job->duty, job->arena, fault) == 1 ? 0 : -1;
}

int garden_duty_change(struct garden *garden, const struct who *who, struct duty_row *duty, struct arena *arena, struct fault *fault)
{
    struct duty_job job = {.who = who, .duty = duty, .arena = arena};

    return store_write(garden->store, change_duty, &job, fault);
}

struct back_job {
    struct duty_job duty;
    const char *id;
};

static int give_back(struct db *db, void *context, struct fault *fault)
{
    struct back_job *job = context;
    struct duty_row there;

    if (find_own(db, &job->duty, job->id, &there, fault))
        return -1;
    there.given_back_ms = job->duty.now_ms;
    return duty_rows_change(db, &there, fault);
}

int garden_duty_give_back(struct garden *garden, const struct who *who, const char *id, int64_t now_ms, struct arena *arena,
                          struct fault *fault)
{
    struct back_job job = {.duty = {.who = who, .now_ms = now_ms, .arena = arena}, .id = id};

    return store_write(garden->store, give_back, &job, fault);
}

/* ---- whose is it today ---- */

int duties_now_read(struct db *db, int32_t today, struct duties_now *now, struct arena *arena, struct fault *fault)
{
    struct duty_row *duty;
    size_t kept = 0;

    if (walk_map_read(db, &now->map, arena, fault) || duty_rows_from(db, today, &now->duties, arena, fault))
        return -1;
    duty = now->duties.item;
    for (size_t i = 0; i < now->duties.count; i++)
        if (duty[i].from_day <= today)
            duty[kept++] = duty[i];
    now->duties.count = kept;
    return 0;
}

const struct duty_row *duties_whose(const struct duties_now *now, int64_t tank_key, int64_t area_key)
{
    const struct duty_row *duty = now->duties.item, *nearest = NULL;
    int near = 0;

    for (size_t i = 0; i < now->duties.count; i++) {
        int this_near = nearness(&now->map, &duty[i], tank_key, area_key);

        if (this_near > near) {
            near = this_near;
            nearest = &duty[i];
        }
    }
    return nearest;
}
