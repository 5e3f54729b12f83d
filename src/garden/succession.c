/* succession.c - plans of sowing and planting. */
#include "garden/succession.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "calc/planning.h"
#include "garden/crops.h"
#include "garden/standing.h"
#include "garden/tank_state.h"

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- the plan by itself ---- */

#define EVERY_MOST 60

static int32_t latest_for(const struct succession_wish *wish, int32_t day)
{
    int64_t index = (int64_t)day - wish->latest_from;

    return index >= 0 && (uint64_t)index < wish->latest_count ? wish->latest[index] : DAYS_NONE;
}

/* One wish tried out. Plantings come in the order of their days, since latest never falls. */
struct trial {
    const struct succession_wish *wish;
    int64_t count;
    int every_days;
    int32_t first;
    struct succession *plan; /* what is found out */
    struct arena *arena;     /* NULL: only whether it fits */
    size_t room;
    struct {
        int32_t from, until;
        size_t tank;
        int64_t cups;
    } *busy;
    size_t busy_count, busy_most;
};

static int64_t free_in(const struct trial *trial, size_t tank, int32_t day)
{
    const struct succession_tank *one = &trial->wish->tank[tank];
    int64_t cups = one->cups - (one->busy_until > day ? one->busy : 0);

    for (size_t i = 0; i < trial->busy_count; i++)
        if (trial->busy[i].tank == tank && trial->busy[i].until > day)
            cups -= trial->busy[i].cups;
    return cups;
}

/* The tank whose free cups fit best: the fewest that are enough, else the most there are. */
static size_t best_tank(const struct trial *trial, int32_t day, int64_t wanted, int64_t *free)
{
    size_t best = SIZE_MAX;

    *free = 0;
    for (size_t i = 0; i < trial->wish->tanks; i++) {
        int64_t here = free_in(trial, i, day);
        bool better = *free >= wanted ? here >= wanted && here < *free : here > *free;

        if (better) {
            best = i;
            *free = here;
        }
    }
    return best;
}

static int note_part(struct trial *trial, struct succession_planting *planting, size_t tank, int64_t cups)
{
    struct succession_part *part;

    if (trial->busy_count == trial->busy_most)
        return -1;
    trial->busy[trial->busy_count].from = planting->plant_on;
    trial->busy[trial->busy_count].until = planting->harvest_on;
    trial->busy[trial->busy_count].tank = tank;
    trial->busy[trial->busy_count++].cups = cups;
    if (!trial->arena)
        return 0;
    part = arena_take(trial->arena, (planting->parts.count + 1) * sizeof *part);
    if (!part)
        return -1;
    if (planting->parts.count)
        memcpy(part, planting->parts.item, planting->parts.count * sizeof *part);
    part[planting->parts.count++] = (struct succession_part){tank, cups};
    planting->parts.item = part;
    return 0;
}

static void note_use(struct trial *trial, int32_t day)
{
    int64_t used = 0;

    for (size_t i = 0; i < trial->wish->tanks; i++)
        used += trial->wish->tank[i].cups - free_in(trial, i, day);
    if (used > trial->plan->most_used) {
        trial->plan->most_used = used;
        trial->plan->busiest_on = day;
    }
}

/* 0 planted, 1 trouble (in the plan), -1 out of memory. */
static int plant_one(struct trial *trial, int32_t harvest_on)
{
    struct succession_planting planting = {.plant_on = latest_for(trial->wish, harvest_on), .harvest_on = harvest_on};
    struct succession *plan = trial->plan;
    int64_t wanted = trial->count, all_free = 0;

    plan->day = harvest_on;
    if (planting.plant_on == DAYS_NONE)
        return plan->why = SUCCESSION_TOO_COLD, 1;
    if (planting.plant_on < trial->wish->today)
        return plan->why = SUCCESSION_TOO_SOON, 1;
    for (size_t i = 0; i < trial->wish->tanks; i++)
        all_free += free_in(trial, i, planting.plant_on);
    if (all_free < wanted) {
        plan->day = planting.plant_on;
        return plan->why = SUCCESSION_CUPS, 1;
    }
    while (wanted > 0) {
        int64_t free;
        size_t tank = best_tank(trial, planting.plant_on, wanted, &free);
        int64_t taken = free < wanted ? free : wanted;

        if (note_part(trial, &planting, tank, taken))
            return -1;
        wanted -= taken;
    }
    note_use(trial, planting.plant_on);
    if (trial->arena) {
        plan->plantings.item = arena_grow(trial->arena, plan->plantings.item, plan->plantings.count, &trial->room, sizeof planting);
        if (!plan->plantings.item)
            return -1;
        ((struct succession_planting *)plan->plantings.item)[plan->plantings.count++] = planting;
    }
    return 0;
}

static int try_out(struct trial *trial)
{
    trial->busy_count = 0;
    trial->plan->why = SUCCESSION_FITS;
    for (int32_t day = trial->first; day <= trial->wish->last; day += trial->every_days) {
        int trouble = plant_one(trial, day);

        if (trouble)
            return trouble < 0 ? -1 : 0;
    }
    trial->plan->day = DAYS_NONE;
    return 0;
}

static int fits(struct trial *base, int64_t count, int every_days, int32_t first, bool *fit)
{
    struct succession ignored = {.most_used = 0};
    struct trial trial = *base;

    trial.count = count;
    trial.every_days = every_days;
    trial.first = first;
    trial.plan = &ignored;
    trial.arena = NULL;
    if (try_out(&trial))
        return -1;
    *fit = ignored.why == SUCCESSION_FITS;
    return 0;
}

/* Fewer plants need no more cups, so the largest number that fits is found by halving; the others are tried one by one. */
static int find_nearest(struct trial *base)
{
    const struct succession_wish *wish = base->wish;
    struct succession *plan = base->plan;
    int64_t low = 0, high = wish->count;
    bool fit = false;

    while (high - low > 1) {
        int64_t middle = low + (high - low) / 2;

        if (fits(base, middle, wish->every_days, wish->first, &fit))
            return -1;
        *(fit ? &low : &high) = middle;
    }
    plan->fits_count = low;
    for (int every = wish->every_days + 1; every <= EVERY_MOST && !plan->fits_every_days; every++) {
        if (fits(base, wish->count, every, wish->first, &fit))
            return -1;
        plan->fits_every_days = fit ? every : 0;
    }
    for (int32_t first = wish->first + 1; first <= wish->last && plan->fits_from == DAYS_NONE; first++) {
        if (fits(base, wish->count, wish->every_days, first, &fit))
            return -1;
        plan->fits_from = fit ? first : DAYS_NONE;
    }
    return 0;
}

static int check_wish(const struct succession_wish *wish, struct fault *fault)
{
    if (!(wish->every_days >= 1 && wish->every_days <= EVERY_MOST))
        return fault_add(fault, FAULT_INPUT, "/every_days", "must be from 1 to %d", EVERY_MOST);
    if (!(wish->count >= 1 && wish->count <= 10000))
        return fault_add(fault, FAULT_INPUT, "/count", "must be from 1 to 10000");
    if (wish->last < wish->first || wish->last - wish->first > 366)
        return fault_add(fault, FAULT_INPUT, "/to", "must lie after the first harvest, within a year");
    return 0;
}

int succession_plan(const struct succession_wish *wish, struct succession *plan, struct arena *arena, struct fault *fault)
{
    struct trial trial = {.wish = wish, .count = wish->count, .every_days = wish->every_days, .first = wish->first, .plan = plan, .arena = arena};

    if (check_wish(wish, fault))
        return -1;
    *plan = (struct succession){.day = DAYS_NONE, .busiest_on = DAYS_NONE, .fits_from = DAYS_NONE};
    for (size_t i = 0; i < wish->tanks; i++)
        plan->cups += wish->tank[i].cups;
    /* Each planting takes from any tank at most once. */
    trial.busy_most = ((size_t)(wish->last - wish->first) + 1) * (wish->tanks + 1);
    trial.busy = arena_take(arena, trial.busy_most * sizeof *trial.busy);
    if (!trial.busy || try_out(&trial))
        return no_memory(fault);
    if (plan->why != SUCCESSION_FITS && find_nearest(&trial))
        return no_memory(fault);
    return 0;
}

/* ---- for a garden ---- */

#define GROWTH_LOOKED_AT 150 /* days before the first harvest: the slowest crop of the table takes 120 */
#define STEP 4               /* days between two looks; in between growth is taken to change evenly */

/* The day by which a planting of that day is as likely as not ready, DAYS_NONE: not foreseen. */
static int ready_by(const struct planning_given *given, int32_t on, int32_t *ready, struct fault *fault)
{
    struct planning_given then = *given;
    static const struct planning nothing;
    struct planning planning = nothing;

    then.on = on;
    if (planning_make(&then, &planning, fault))
        return -1;
    *ready = planning.harvest_on.p50;
    return 0;
}

/* latest[d] for each day of harvest: the ready days of plantings, turned round. */
static int fill_latest(const struct planning_given *given, int32_t from, int32_t to, int32_t *latest, int32_t latest_from, struct fault *fault)
{
    int32_t before = DAYS_NONE, before_on = from;

    for (int32_t day = latest_from; day <= to; day++)
        latest[day - latest_from] = DAYS_NONE;
    for (int32_t on = from; on <= to; on += STEP) {
        int32_t ready;

        if (ready_by(given, on, &ready, fault))
            return -1;
        for (int32_t between = before_on + 1; between <= on; between++) {
            int32_t then = before == DAYS_NONE || ready == DAYS_NONE
                               ? between == on ? ready : DAYS_NONE
                               : before + (int32_t)lround((double)(ready - before) * (between - before_on) / (on - before_on));

            for (int32_t day = then == DAYS_NONE || then < latest_from ? latest_from : then; then != DAYS_NONE && day <= to; day++)
                latest[day - latest_from] = between;
        }
        before = ready;
        before_on = on;
    }
    return 0;
}

static int find_tanks(struct db *db, const struct succession_ask *ask, struct succession_found *found, struct arena *arena, struct fault *fault)
{
    struct list all;
    const char *const *name = ask->tanks.item;

    if (tanks_list(db, 0, INT64_MAX, &all, arena, fault))
        return -1;
    found->tank = arena_take(arena, (all.count + ask->tanks.count + 1) * sizeof *found->tank);
    if (!found->tank)
        return no_memory(fault);
    for (size_t i = 0; i < all.count && !ask->tanks.count; i++)
        if (!((struct tank_row *)all.item)[i].retired)
            found->tank[found->tanks++] = (struct tank_row *)all.item + i;
    for (size_t i = 0; i < ask->tanks.count; i++) {
        struct tank_row *row = arena_take(arena, sizeof *row);
        int there = row ? tanks_one(db, name[i], row, arena, fault) : no_memory(fault);
        char at[40];

        snprintf(at, sizeof at, "/tanks/%zu", i);
        if (there != 1)
            return there ? -1 : fault_add(fault, FAULT_INPUT, at, "there is no such tank");
        for (size_t j = 0; j < found->tanks; j++)
            if (found->tank[j]->key == row->key)
                return fault_add(fault, FAULT_INPUT, at, "is named twice");
        found->tank[found->tanks++] = row;
    }
    return found->tanks ? 0 : fault_add(fault, FAULT_INPUT, "/tanks", "no tank is in use");
}

/* Plants that hang now are in the way until their outlook's harvest; without one, all along. */
static int fill_tank(struct garden *garden, struct db *db, const struct standing_place *place, const struct tank_row *row,
                     struct succession_tank *tank, struct arena *arena, struct fault *fault)
{
    const struct standing_short *brief;

    if (standing_short_old(garden, db, place, row, &brief, arena, fault))
        return -1;
    *tank = (struct succession_tank){.cups = brief->drawing.cups, .busy = brief->drawing.planted, .busy_until = INT32_MAX};
    if (brief->has_outlook && brief->harvest_on.p50 != DAYS_NONE)
        tank->busy_until = brief->harvest_on.p50;
    return 0;
}

static int plan_in(struct garden *garden, struct db *db, const struct succession_ask *ask, int64_t now_ms, struct succession_found *found,
                   struct arena *arena, struct fault *fault)
{
    struct standing_place place;
    const struct garden_crop *crop;
    struct vessel_row row;
    struct vessel vessel;
    struct planning_given given = {.most = 1};
    struct succession_wish wish = {.first = ask->first, .last = ask->last, .count = ask->count, .every_days = (int)ask->every_days};
    struct succession_tank *tank;
    int32_t *latest;

    if (standing_place(db, now_ms, &place, arena, fault) || find_tanks(db, ask, found, arena, fault))
        return -1;
    crop = garden_crop_find(&place.crops, ask->crop);
    if (!crop)
        return fault_add(fault, FAULT_INPUT, "/crop", "there is no such crop");
    if (!place.climate_known)
        return fault_add(fault, FAULT_INPUT, "", "the garden's place is not told yet: its latitude, its normals or its lamps");
    found->today = wish.today = place.today;
    if (check_wish(&wish, fault))
        return -1;
    if (ask->first < place.today)
        return fault_add(fault, FAULT_INPUT, "/from", "lies in the past");
    tank = arena_take(arena, found->tanks * sizeof *tank);
    wish.latest_from = ask->first;
    wish.latest_count = (size_t)(ask->last - ask->first) + 1;
    latest = arena_take(arena, wish.latest_count * sizeof *latest);
    if (!tank || !latest || vessels_by_key(db, found->tank[0]->vessel_key, &row, arena, fault) != 1)
        return tank && latest ? -1 : no_memory(fault);
    for (size_t i = 0; i < found->tanks; i++)
        if (fill_tank(garden, db, &place, found->tank[i], &tank[i], arena, fault))
            return -1;
    vessel = tank_vessel(&row); /* growth does not depend on it; planning.h wants one */
    given.vessel = &vessel;
    given.start_mm = row.start_mm;
    given.low_mm = row.low_mm;
    given.crop = &crop->crop;
    given.climate = place.climate;
    given.prior = (struct outlook_prior){NAN, NAN, NAN, NAN};
    if (fill_latest(&given, ask->first - GROWTH_LOOKED_AT, ask->last, latest, wish.latest_from, fault))
        return -1;
    wish.latest = latest;
    wish.tank = tank;
    wish.tanks = found->tanks;
    if (succession_plan(&wish, &found->plan, arena, fault))
        return -1;
    found->solution_low_l = (double)found->plan.plantings.count * (double)ask->count * crop->crop.solution_l.low;
    found->solution_high_l = (double)found->plan.plantings.count * (double)ask->count * crop->crop.solution_l.high;
    return 0;
}

int garden_succession(struct garden *garden, const struct succession_ask *ask, int64_t now_ms, struct succession_found *found,
                      struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed;

    *found = (struct succession_found){.tanks = 0};
    failed = !db || plan_in(garden, db, ask, now_ms, found, arena, fault);
    store_done(garden->store, db);
    return failed ? -1 : 0;
}
