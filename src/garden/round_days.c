/* round_days.c - on which days a round is planned, and whether it was walked. */
#include "garden/round_days.h"

#include <string.h>

#include "calc/days.h"
#include "garden/resend.h"
#include "garden/rounds.h"

int round_weekday(int32_t day)
{
    int32_t weekday = (day + 3) % 7; /* 1970-01-01 was a Thursday */

    return weekday < 0 ? weekday + 7 : weekday;
}

static bool is_round_day(const struct round_days_row *place, int32_t day)
{
    return (place->weekdays >> round_weekday(day)) & 1;
}

int round_plan_read(struct db *db, int32_t from_day, struct round_plan *plan, struct arena *arena, struct fault *fault)
{
    return round_days_list(db, &plan->days, arena, fault) || round_putoffs_from(db, from_day, &plan->putoffs, arena, fault) ? -1 : 0;
}

/* The last word on the round of a round day: who puts off what was put off before speaks last. */
static const struct round_putoff_row *last_putoff(const struct round_plan *plan, const struct round_days_row *place, int32_t planned)
{
    const struct round_putoff_row *putoff = plan->putoffs.item, *last = NULL;

    for (size_t i = 0; i < plan->putoffs.count; i++)
        if (putoff[i].area_key == place->area_key && putoff[i].day == planned && (!last || putoff[i].key > last->key))
            last = &putoff[i];
    return last;
}

bool round_plan_on(const struct round_plan *plan, const struct round_days_row *place, int32_t day, struct round_due *due)
{
    const struct round_putoff_row *putoff = plan->putoffs.item, *last;

    *due = (struct round_due){.place = place, .planned = day};
    if (is_round_day(place, day)) {
        last = last_putoff(plan, place, day);
        if (!last || last->until_day <= day)
            return true;
    }
    for (size_t i = 0; i < plan->putoffs.count; i++) {
        if (putoff[i].until_day != day || putoff[i].day >= day || !is_round_day(place, putoff[i].day))
            continue;
        last = last_putoff(plan, place, putoff[i].day);
        if (last == &putoff[i]) {
            due->planned = putoff[i].day;
            due->putoff = last;
            return true;
        }
    }
    return false;
}

const struct round_putoff_row *round_plan_put_off(const struct round_plan *plan, const struct round_days_row *place, int32_t day)
{
    const struct round_putoff_row *putoff = plan->putoffs.item, *found = NULL;

    for (size_t i = 0; i < plan->putoffs.count; i++)
        if (putoff[i].area_key == place->area_key && putoff[i].day <= day && putoff[i].until_day > day && is_round_day(place, putoff[i].day) &&
            last_putoff(plan, place, putoff[i].day) == &putoff[i])
            found = &putoff[i];
    return found;
}

/* Whether a round went through this place: its own, that of the area around it, or the whole garden's. */
static bool goes_through(const struct walk_map *map, const struct round_row *round, const struct round_days_row *place)
{
    if (round->area_key == STORE_NO_INT)
        return !round->area_name; /* else its area is gone */
    return place->area_key != STORE_NO_INT && walk_within(map, place->area_key, round->area_key);
}

int round_plan_walked(struct db *db, const struct walk_map *map, const struct round_days_row *place, int32_t today, int64_t now_ms,
                      const char **under_way, bool *walked, struct arena *arena, struct fault *fault)
{
    struct list rows;
    const struct round_row *row;

    *under_way = NULL;
    *walked = false;
    if (round_rows_since(db, now_ms - 2 * DAYS_MS, &rows, arena, fault)) /* a day has 25 hours at most */
        return -1;
    row = rows.item;
    for (size_t i = 0; i < rows.count; i++) {
        struct round round;

        if (row[i].day != today || !goes_through(map, &row[i], place))
            continue;
        if (round_read(db, &row[i], now_ms, &round, arena, fault))
            return -1;
        if (round.open)
            *under_way = row[i].id;
        else if (round.done > 0)
            *walked = true;
    }
    return 0;
}

/* ---- asked by people ---- */

int garden_round_days(struct garden *garden, struct list *days, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || round_days_list(db, days, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

struct days_job {
    const char *place;
    struct round_days_row *set;
    struct arena *arena;
};

static int set_days(struct db *db, void *context, struct fault *fault)
{
    struct days_job *job = context;
    struct area_row area;

    if (strcmp(job->place, ROUND_PLACE_GARDEN) != 0) {
        int found = area_rows_one(db, job->place, &area, job->arena, fault);

        if (found != 1)
            return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such area");
        job->set->area_key = area.key;
        job->set->area = area.id;
        job->set->area_name = area.name;
    }
    return round_days_set(db, job->set->area_key, job->set->weekdays, fault);
}

int garden_round_days_set(struct garden *garden, const char *place, int64_t weekdays, struct round_days_row *set, struct arena *arena,
                          struct fault *fault)
{
    struct days_job job = {place, set, arena};

    *set = (struct round_days_row){.area_key = STORE_NO_INT, .weekdays = weekdays};
    return store_write(garden->store, set_days, &job, fault);
}

struct putoff_job {
    const struct who *who;
    struct round_putoff_row *putoff;
    int32_t today;
    bool stored_before;
    struct arena *arena;
};

static int find_area(struct db *db, struct putoff_job *job, struct fault *fault)
{
    struct area_row area;
    int found;

    job->putoff->area_key = STORE_NO_INT;
    if (!job->putoff->area)
        return 0;
    found = area_rows_one(db, job->putoff->area, &area, job->arena, fault);
    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_INPUT, "/area", "there is no such area");
    job->putoff->area_key = area.key;
    return 0;
}

/* The round day of what is due there today. */
static int find_due(struct db *db, struct putoff_job *job, struct fault *fault)
{
    struct round_plan plan;
    struct round_due due;
    const struct round_days_row *place;

    if (round_plan_read(db, job->today, &plan, job->arena, fault))
        return -1;
    place = plan.days.item;
    for (size_t i = 0; i < plan.days.count; i++)
        if (place[i].area_key == job->putoff->area_key && round_plan_on(&plan, &place[i], job->today, &due)) {
            job->putoff->day = due.planned;
            return 0;
        }
    return fault_add(fault, FAULT_CONFLICT, "/area", "no round is due there today");
}

static int add_putoff(struct db *db, void *context, struct fault *fault)
{
    struct putoff_job *job = context;
    struct round_putoff_row there;
    int found = round_putoffs_one(db, job->putoff->id, &there, job->arena, fault);

    if (found < 0 || find_area(db, job, fault))
        return -1;
    if (found) {
        if (there.area_key != job->putoff->area_key || there.days != job->putoff->days)
            return resend_conflict(fault);
        *job->putoff = there;
        job->stored_before = true;
        return 0;
    }
    if (find_due(db, job, fault))
        return -1;
    job->putoff->until_day = job->today + (int32_t)job->putoff->days;
    job->putoff->member_key = job->who->member ? job->who->member : STORE_NO_INT;
    if (round_putoffs_add(db, job->putoff, fault))
        return -1;
    return round_putoffs_one(db, job->putoff->id, job->putoff, job->arena, fault) == 1 ? 0 : -1;
}

int garden_round_put_off(struct garden *garden, const struct who *who, struct round_putoff_row *putoff, int64_t now_ms, bool *stored_before,
                         struct arena *arena, struct fault *fault)
{
    struct putoff_job job = {.who = who, .putoff = putoff, .arena = arena};

    if (garden_today(garden, now_ms, &job.today, fault) || resend_give_id(&putoff->id, arena, fault))
        return -1;
    putoff->told_ms = now_ms;
    if (store_write(garden->store, add_putoff, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

struct lift_job {
    const char *id;
    int32_t today;
};

static int lift(struct db *db, void *context, struct fault *fault)
{
    const struct lift_job *job = context;
    ARENA_HELD arena = {0};
    struct round_putoff_row putoff;
    int found = round_putoffs_one(db, job->id, &putoff, &arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "nothing was put off under this id");
    return putoff.until_day > job->today ? round_putoffs_move(db, putoff.key, job->today, fault) : 0;
}

int garden_round_putoff_lift(struct garden *garden, const char *id, int64_t now_ms, struct fault *fault)
{
    struct lift_job job = {.id = id};

    return garden_today(garden, now_ms, &job.today, fault) || store_write(garden->store, lift, &job, fault) ? -1 : 0;
}
