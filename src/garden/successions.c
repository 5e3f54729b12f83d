/* successions.c - kept successions against the log. */
#include "garden/successions.h"

#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/resend.h"
#include "garden/succession_place.h"

#define BEFORE_DAYS 7 /* a planting may have been done a little before its plan was kept; ours */
#define AFTER_DAYS 45 /* how late a harvest may still be of use; ours */
#define NODES 60

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- keeping ---- */

static struct succession_ask ask_of(const struct succession_row *row)
{
    return (struct succession_ask){.crop = row->crop, .tanks = row->tanks, .count = row->plants, .every_days = row->every_days,
                                   .seedling_days = row->seedling_days, .topup_days = row->topup_days, .first = row->first_day, .last = row->last_day};
}

struct keeping {
    struct succession_row *row;
    bool stored_before;
    struct arena *arena;
};

static int keep(struct db *db, void *context, struct fault *fault)
{
    struct keeping *keeping = context;
    const struct succession_row *row = keeping->row;
    struct succession_row there;
    int found = succession_rows_one(db, row->id, &there, keeping->arena, fault);

    if (found < 0)
        return -1;
    keeping->stored_before = found == 1;
    if (!found)
        return succession_rows_add(db, row, fault);
    if (!resend_same_text(row->name, there.name) || !resend_same_text(row->crop, there.crop) || row->plants != there.plants ||
        row->every_days != there.every_days || row->first_day != there.first_day || row->last_day != there.last_day)
        return resend_conflict(fault);
    return 0;
}

/* The tanks by their uids, whatever they were called by; the steps as they can be now. */
static int take_plan(const struct succession_found *found, struct succession_row *row, struct arena *arena, struct fault *fault)
{
    const struct succession_planting *planting = found->plan.plantings.item;
    const char **tank = arena_take(arena, (found->tanks + 1) * sizeof *tank);
    struct succession_step_row *step = arena_take(arena, (found->plan.plantings.count + 1) * sizeof *step);

    if (!tank || !step)
        return no_memory(fault);
    for (size_t i = 0; i < found->tanks; i++)
        tank[i] = found->tank[i]->id;
    row->tanks = (struct list){tank, found->tanks};
    row->steps = (struct list){step, 0};
    for (size_t i = 0; i < found->plan.plantings.count; i++)
        if (planting[i].plants)
            step[row->steps.count++] = (struct succession_step_row){planting[i].plant_on, planting[i].harvest_on, planting[i].plants};
    return row->steps.count ? 0 : fault_add(fault, FAULT_INPUT, "", "not one plant fits; see what calc/succession says of it");
}

int garden_succession_keep(struct garden *garden, const struct who *who, struct succession_row *row, int64_t now_ms, bool *stored_before,
                           struct arena *arena, struct fault *fault)
{
    struct keeping keeping = {.row = row, .arena = arena};
    struct succession_ask ask;
    struct succession_found found;
    struct succession_row there;
    int known;

    if (resend_give_id(&row->id, arena, fault))
        return -1;
    row->made_ms = now_ms;
    row->member_key = who->member ? who->member : STORE_NO_INT;
    ask = ask_of(row);
    known = garden_succession_row(garden, row->id, &there, arena, fault); /* sent again, it may have become the past */
    if (known < 0 || (!known && (garden_succession(garden, &ask, now_ms, &found, arena, fault) || take_plan(&found, row, arena, fault))))
        return -1;
    if (store_write(garden->store, keep, &keeping, fault))
        return -1;
    *stored_before = keeping.stored_before;
    return 0;
}

static int change(struct db *db, void *context, struct fault *fault)
{
    return succession_rows_change(db, context, fault);
}

int garden_succession_change(struct garden *garden, const struct succession_row *row, struct fault *fault)
{
    struct succession_row changed = *row;

    return store_write(garden->store, change, &changed, fault);
}

int garden_succession_rows(struct garden *garden, struct list *rows, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || succession_rows_list(db, false, rows, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

int garden_succession_row(struct garden *garden, const char *id, struct succession_row *row, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int found = db ? succession_rows_one(db, id, row, arena, fault) : -1;

    store_done(garden->store, db);
    return found;
}

/* ---- what was done ---- */

/* One planting of the log, and what became of its plants. */
struct done {
    const char *entry;
    int32_t day, harvested_on;
    int64_t planted, harvested, lost;
};

struct matching {
    struct db *db;
    const char *zone;
    const struct succession_row *row;
    struct list done; /* struct done, oldest first */
    size_t room;
    struct season_step *step;
    size_t steps;
    struct list of_step; /* struct belongs: which planting's plants are meant for which day */
    size_t of_room;
    struct arena *arena;
    struct fault *fault;
};

struct belongs {
    const char *planting;
    size_t step;
};

static struct done *done_of(struct matching *matching, const char *planting)
{
    struct done *done = matching->done.item;

    for (size_t i = 0; planting && i < matching->done.count; i++)
        if (strcmp(done[i].entry, planting) == 0)
            return &done[i];
    return NULL;
}

static int note_planted(struct matching *matching, const struct cup_deed *deed, int32_t day)
{
    struct done *done = done_of(matching, deed->planting);

    if (!done) {
        matching->done.item = arena_grow(matching->arena, matching->done.item, matching->done.count, &matching->room, sizeof *done);
        if (!matching->done.item)
            return no_memory(matching->fault);
        done = (struct done *)matching->done.item + matching->done.count++;
        *done = (struct done){.entry = deed->planting, .day = day, .harvested_on = DAYS_NONE};
    }
    done->planted++;
    return 0;
}

static int note_deeds(struct matching *matching, const struct list *deeds, int32_t since)
{
    const struct cup_deed *deed = deeds->item;

    for (size_t i = 0; i < deeds->count; i++) {
        int32_t day = clock_day(matching->zone, deed[i].at_ms);
        struct done *done = done_of(matching, deed[i].planting);

        if (deed[i].what == CUP_PLANTED && deed[i].crop && day >= since && strcmp(deed[i].crop, matching->row->crop) == 0) {
            if (note_planted(matching, &deed[i], day))
                return -1;
        } else if (done && deed[i].what == CUP_HARVESTED) {
            done->harvested++;
            done->harvested_on = day;
        } else if (done && (deed[i].what == CUP_WAS_LOST || deed[i].what == CUP_REPLACED || deed[i].what == CUP_CLEANED_OUT)) {
            done->lost++;
        }
    }
    return 0;
}

static int by_day(const void *a, const void *b)
{
    const struct done *x = a, *y = b;

    return x->day != y->day ? (x->day > y->day) - (x->day < y->day) : strcmp(x->entry, y->entry);
}

static int read_done(struct matching *matching)
{
    const char *const *id = matching->row->tanks.item;
    int32_t since = clock_day(matching->zone, matching->row->made_ms) - BEFORE_DAYS;

    for (size_t t = 0; t < matching->row->tanks.count; t++) {
        struct tank_row tank;
        struct vessel_row vessel;
        struct list entries, deeds;

        if (tanks_one(matching->db, id[t], &tank, matching->arena, matching->fault) != 1 ||
            vessels_by_key(matching->db, tank.vessel_key, &vessel, matching->arena, matching->fault) != 1 ||
            entries_deeds(matching->db, tank.key, 0, &entries, matching->arena, matching->fault) ||
            tank_cup_history(&vessel, &entries, matching->zone, 0, &deeds, matching->arena, matching->fault) ||
            note_deeds(matching, &deeds, since))
            return -1;
    }
    if (matching->done.count)
        qsort(matching->done.item, matching->done.count, sizeof(struct done), by_day);
    return 0;
}

/* The step with plants still missing whose day lies nearest. */
static struct season_step *nearest(struct matching *matching, int32_t day)
{
    struct season_step *best = NULL;

    for (size_t i = 0; i < matching->steps; i++) {
        struct season_step *step = &matching->step[i];

        if (step->planted < step->planned.plants && (!best || abs(step->planned.plant_day - day) < abs(best->planned.plant_day - day)))
            best = step;
    }
    return best;
}

static int64_t take(int64_t *from, int64_t most)
{
    int64_t taken = *from < most ? *from : most;

    *from -= taken;
    return taken;
}

static int give_planting(struct matching *matching, struct done *done)
{
    int64_t left = done->planted, harvested = done->harvested, lost = done->lost;
    struct season_step *step;

    while (left > 0 && (step = nearest(matching, done->day)) != NULL) {
        int64_t plants = step->planned.plants - step->planted, gone;

        plants = take(&left, plants);
        step->planted += plants;
        step->planted_on = done->day;
        gone = take(&harvested, plants);
        step->harvested += gone;
        if (gone)
            step->harvested_on = done->harvested_on;
        plants -= gone;
        gone = take(&lost, plants);
        step->lost += gone;
        step->hanging += plants - gone;
        matching->of_step.item = arena_grow(matching->arena, matching->of_step.item, matching->of_step.count, &matching->of_room, sizeof(struct belongs));
        if (!matching->of_step.item)
            return no_memory(matching->fault);
        ((struct belongs *)matching->of_step.item)[matching->of_step.count++] = (struct belongs){done->entry, (size_t)(step - matching->step)};
    }
    return 0;
}

static void judge(struct season_step *step, int32_t today)
{
    step->missing = step->planned.plants - step->planted + step->lost;
    if (step->planned.harvest_day < today && step->planted)
        step->missing = 0; /* its day is over: what is lost is lost */
    if (step->planted < step->planned.plants)
        step->state = step->planned.plant_day < today ? SEASON_LATE : SEASON_COMING;
    else
        step->state = step->hanging ? SEASON_GROWING : step->harvested ? SEASON_HARVESTED : SEASON_LOST;
}

static int match(struct matching *matching, int32_t today)
{
    const struct succession_step_row *planned = matching->row->steps.item;
    struct done *done;

    matching->steps = matching->row->steps.count;
    matching->step = arena_take(matching->arena, (matching->steps + 1) * sizeof *matching->step);
    if (!matching->step)
        return no_memory(matching->fault);
    for (size_t i = 0; i < matching->steps; i++)
        matching->step[i] = (struct season_step){.planned = planned[i], .planted_on = DAYS_NONE, .harvested_on = DAYS_NONE, .ready_on = DAYS_NONE,
                                                 .plant_on = DAYS_NONE, .harvest_on = DAYS_NONE};
    if (read_done(matching))
        return -1;
    done = matching->done.item;
    for (size_t i = 0; i < matching->done.count; i++)
        if (give_planting(matching, &done[i]))
            return -1;
    for (size_t i = 0; i < matching->steps; i++)
        judge(&matching->step[i], today);
    return 0;
}

/* ---- planned anew ---- */

/* A plant of the plan keeps its cup until the day it is meant for. */
static int32_t stays(const struct cup_state *cup, void *context)
{
    const struct matching *matching = context;
    const struct belongs *belongs = matching->of_step.item;
    int32_t until = INT32_MIN;

    for (size_t i = 0; i < matching->of_step.count; i++)
        if (cup->planting && strcmp(belongs[i].planting, cup->planting) == 0) {
            struct season_step *step = &matching->step[belongs[i].step];

            if (cup->ready_day != INT32_MIN && (step->ready_on == DAYS_NONE || cup->ready_day > step->ready_on))
                step->ready_on = cup->ready_day;
            if (step->planned.harvest_day > until)
                until = step->planned.harvest_day;
        }
    return until;
}

/* The first day of harvest for which planting today is early enough. */
static int32_t soonest(const struct succession_ground *ground)
{
    for (size_t d = 0; d < ground->latest_count; d++)
        if (ground->latest[d] != DAYS_NONE && ground->latest[d] >= ground->place.today)
            return ground->latest_from + (int32_t)d;
    return DAYS_NONE;
}

static void set_days(struct season_step *step, const struct succession_ground *ground, int32_t late)
{
    int64_t at = (int64_t)step->planned.harvest_day - ground->latest_from;
    int32_t latest = at >= 0 && (uint64_t)at < ground->latest_count ? ground->latest[at] : DAYS_NONE;

    if (latest != DAYS_NONE && latest >= ground->place.today) {
        step->plant_on = latest;
        step->harvest_on = step->planned.harvest_day;
    } else if (late != DAYS_NONE) {
        step->plant_on = ground->place.today;
        step->harvest_on = late;
    }
}

struct missing {
    struct place_batch batch;
    struct season_step *step;
};

static int by_planting(const void *a, const void *b)
{
    const struct missing *x = a, *y = b;

    return x->batch.plant_on != y->batch.plant_on ? (x->batch.plant_on > y->batch.plant_on) - (x->batch.plant_on < y->batch.plant_on)
                                                  : (x->batch.harvest_on > y->batch.harvest_on) - (x->batch.harvest_on < y->batch.harvest_on);
}

static int list_missing(struct matching *matching, const struct succession_ground *ground, struct missing *missing, size_t *count)
{
    int32_t late = soonest(ground);

    for (size_t i = 0; i < matching->steps; i++) {
        struct season_step *step = &matching->step[i];

        if (!step->missing)
            continue;
        set_days(step, ground, late);
        if (step->plant_on == DAYS_NONE)
            continue;
        missing[*count].step = step;
        missing[(*count)++].batch = (struct place_batch){step->plant_on, step->harvest_on, step->missing, ground->drinks_l[step->harvest_on - ground->latest_from]};
    }
    if (*count)
        qsort(missing, *count, sizeof *missing, by_planting);
    return 0;
}

static int tell_parts(const struct place_ask *ask, const struct place_found *found, const struct missing *missing, struct season *season,
                      struct arena *arena, struct fault *fault)
{
    for (size_t b = 0; b < ask->batches; b++) {
        struct succession_part *part = arena_take(arena, (ask->tanks + 1) * sizeof *part);
        struct season_step *step = missing[b].step;

        if (!part)
            return no_memory(fault);
        step->parts = (struct list){part, 0};
        for (size_t t = 0; t < ask->tanks; t++)
            if (found->plants[b * ask->tanks + t])
                part[step->parts.count++] = (struct succession_part){t, found->plants[b * ask->tanks + t]};
        for (size_t p = 0; p < step->parts.count; p++)
            step->plants += part[p].cups;
    }
    season->placed = found->total;
    season->bound = found->bound;
    return 0;
}

static int place_missing(struct matching *matching, const struct succession_ground *ground, struct season *season)
{
    struct arena *arena = matching->arena;
    size_t days = (size_t)(ground->last - ground->place.today) + 1;
    struct missing *missing = arena_take(arena, (matching->steps + 1) * sizeof *missing);
    struct place_batch *batch = arena_take(arena, (matching->steps + 1) * sizeof *batch);
    struct place_tank *tank = arena_take(arena, ground->tanks * sizeof *tank);
    struct place_ask ask = {.from = ground->place.today, .days = days, .topup_days = (int)matching->row->topup_days, .batch = batch, .tank = tank,
                            .tanks = ground->tanks, .nodes = NODES};
    struct place_found found;

    if (!missing || !batch || !tank)
        return no_memory(matching->fault);
    for (size_t t = 0; t < ground->tanks; t++) {
        const struct succession_tank *room = &ground->room[t];
        int64_t *free = arena_take(arena, days * sizeof *free);

        if (!free)
            return no_memory(matching->fault);
        for (size_t d = 0; d < days; d++)
            free[d] = room->cups - room->busy_by_day[d];
        tank[t] = (struct place_tank){free, room->other_l, room->usable_l, room->water_l, room->topup_l};
    }
    list_missing(matching, ground, missing, &ask.batches);
    for (size_t b = 0; b < ask.batches; b++)
        batch[b] = missing[b].batch;
    return succession_place(&ask, &found, arena, matching->fault) || tell_parts(&ask, &found, missing, season, arena, matching->fault) ? -1 : 0;
}

static int season_in(struct db *db, struct season *season, int64_t now_ms, struct arena *arena, struct fault *fault)
{
    struct garden_row garden;
    struct succession_ask ask = ask_of(&season->row);
    struct succession_ground ground;
    struct matching matching = {.db = db, .row = &season->row, .arena = arena, .fault = fault};

    if (gardens_read(db, &garden, arena, fault) != 1)
        return -1;
    matching.zone = garden.time_zone;
    season->today = clock_day(garden.time_zone, now_ms);
    if (match(&matching, season->today))
        return -1;
    season->steps = (struct list){matching.step, matching.steps};
    if (!season->row.ended && season->row.last_day >= season->today) {
        if (succession_ground_make(db, &ask, season->row.first_day, season->row.last_day + AFTER_DAYS, now_ms, stays, &matching, &ground, arena, fault) ||
            place_missing(&matching, &ground, season))
            return -1;
        season->tank = ground.tank;
        season->tanks = ground.tanks;
    }
    for (size_t i = 0; i < matching.steps; i++) {
        season->wished += matching.step[i].planned.plants;
        season->planted += matching.step[i].planted;
        season->harvested += matching.step[i].harvested;
        season->lost += matching.step[i].lost;
        season->missing += matching.step[i].missing;
    }
    return 0;
}

int garden_season(struct garden *garden, const char *id, int64_t now_ms, struct season *season, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int found;

    *season = (struct season){.tanks = 0};
    found = db ? succession_rows_one(db, id, &season->row, arena, fault) : -1;
    if (found == 1 && season_in(db, season, now_ms, arena, fault))
        found = -1;
    store_done(garden->store, db);
    return found;
}

/* ---- what is due ---- */

static int add_due(struct list *due, size_t *room, const struct season_due *item, struct arena *arena, struct fault *fault)
{
    due->item = arena_grow(arena, due->item, due->count, room, sizeof *item);
    if (!due->item)
        return no_memory(fault);
    ((struct season_due *)due->item)[due->count++] = *item;
    return 0;
}

int successions_due(struct db *db, const char *zone, int32_t today, int32_t until, struct list *due, struct arena *arena, struct fault *fault)
{
    struct list rows;
    const struct succession_row *row;
    size_t room = 0;

    *due = (struct list){NULL, 0};
    if (succession_rows_list(db, true, &rows, arena, fault))
        return -1;
    row = rows.item;
    for (size_t i = 0; i < rows.count; i++) {
        struct matching matching = {.db = db, .zone = zone, .row = &row[i], .arena = arena, .fault = fault};

        if (match(&matching, today))
            return -1;
        for (size_t s = 0; s < matching.steps; s++) {
            const struct season_step *step = &matching.step[s];
            struct season_due item = {row[i].id, row[i].name, row[i].crop, true, step->missing, step->planned.plant_day - (int32_t)row[i].seedling_days, s};

            if (!step->missing || (step->planned.harvest_day < today && step->planned.plant_day < today))
                continue;
            if (item.day >= today && item.day <= until && add_due(due, &room, &item, arena, fault))
                return -1;
            item.sow = false;
            item.day = step->planned.plant_day;
            if (item.day <= until && add_due(due, &room, &item, arena, fault))
                return -1;
        }
    }
    return 0;
}
