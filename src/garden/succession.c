/* succession.c - plans of sowing and planting. */
#include "garden/succession.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "calc/planning.h"
#include "garden/crops.h"
#include "garden/standing.h"
#include "garden/succession_place.h"
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

#define NODES 400       /* of branch and bound for the wish itself */
#define NODES_NEAREST 40 /* for each of the wishes that are tried beside it */

/* One wish tried out: its batches, and what came of them. */
struct trial {
    const struct succession_wish *wish;
    struct place_tank *tank; /* of all tanks */
    size_t days;
    int64_t count;
    int every_days;
    int32_t first;
    int topup_days, nodes;
    int trouble;             /* enum succession_why before any tank was asked */
    int32_t trouble_on;
    struct place_batch *batch;
    size_t batches;
    struct place_ask ask;
    struct place_found found;
    struct arena *arena;
};

static void list_batches(struct trial *trial)
{
    const struct succession_wish *wish = trial->wish;

    trial->batches = 0;
    trial->trouble = SUCCESSION_FITS;
    for (int32_t day = trial->first; day <= wish->last; day += trial->every_days) {
        int32_t on = latest_for(wish, day);
        int why = on == DAYS_NONE ? SUCCESSION_TOO_COLD : on < wish->today ? SUCCESSION_TOO_SOON : SUCCESSION_FITS;

        if (why != SUCCESSION_FITS) {
            if (trial->trouble == SUCCESSION_FITS) {
                trial->trouble = why;
                trial->trouble_on = day;
            }
            continue;
        }
        trial->batch[trial->batches++] = (struct place_batch){on, day, trial->count, wish->drinks_l ? wish->drinks_l[day - wish->latest_from] : NULL};
    }
}

static int try_out(struct trial *trial, struct fault *fault)
{
    list_batches(trial);
    trial->ask = (struct place_ask){.from = trial->wish->today,
                                    .days = trial->days,
                                    .topup_days = trial->topup_days,
                                    .batch = trial->batch,
                                    .batches = trial->batches,
                                    .tank = trial->tank,
                                    .tanks = trial->wish->tanks,
                                    .nodes = trial->nodes};
    return succession_place(&trial->ask, &trial->found, trial->arena, fault);
}

/* Whether a changed wish fits whole. What it needs meanwhile is given back at once. */
static int fits(const struct trial *base, int64_t count, int every_days, int32_t first, bool *fit, struct fault *fault)
{
    ARENA_HELD work = {.most = 0};
    struct trial trial = *base;
    int failed;

    trial.arena = &work;
    trial.count = count;
    trial.every_days = every_days;
    trial.first = first;
    trial.nodes = NODES_NEAREST;
    trial.batch = arena_take(&work, (size_t)(trial.wish->last - first + 1) * sizeof *trial.batch);
    failed = !trial.batch || try_out(&trial, fault);
    *fit = !failed && trial.trouble == SUCCESSION_FITS && trial.batches && trial.found.total == count * (int64_t)trial.batches;
    return failed ? -1 : 0;
}

/* Fewer plants, or fewer of the harvests, need no more room, so the largest that fits is found by halving; longer times between
 * harvests are tried one by one. */
static int find_nearest(const struct trial *base, struct succession *plan, struct fault *fault)
{
    const struct succession_wish *wish = base->wish;
    int64_t low = 0, high = wish->count;
    int32_t from = 0, to = (wish->last - wish->first) / wish->every_days + 1; /* harvests left out at the beginning */
    bool fit = false;

    while (high - low > 1) {
        int64_t middle = low + (high - low) / 2;

        if (fits(base, middle, wish->every_days, wish->first, &fit, fault))
            return -1;
        *(fit ? &low : &high) = middle;
    }
    if (low == 0 && wish->count > 1 && fits(base, 1, wish->every_days, wish->first, &fit, fault))
        return -1;
    plan->fits_count = low ? low : wish->count > 1 && fit ? 1 : 0;
    for (int every = wish->every_days + 1; every <= EVERY_MOST && !plan->fits_every_days; every++) {
        if (fits(base, wish->count, every, wish->first, &fit, fault))
            return -1;
        plan->fits_every_days = fit ? every : 0;
    }
    while (to - from > 1) {
        int32_t middle = from + (to - from) / 2;

        if (fits(base, wish->count, wish->every_days, wish->first + middle * wish->every_days, &fit, fault))
            return -1;
        *(fit ? &to : &from) = middle;
    }
    if (wish->first + to * wish->every_days <= wish->last)
        plan->fits_from = wish->first + to * wish->every_days;
    return 0;
}

/* Cups that are free and litres that are drunk, day by day. */
static int list_days(struct trial *trial, struct fault *fault)
{
    const struct succession_wish *wish = trial->wish;

    trial->days = (size_t)(wish->last - wish->today) + 1;
    trial->tank = arena_take(trial->arena, (wish->tanks + 1) * sizeof *trial->tank);
    trial->batch = arena_take(trial->arena, (size_t)(wish->last - wish->first + 1) * sizeof *trial->batch);
    if (!trial->tank || !trial->batch)
        return no_memory(fault);
    for (size_t t = 0; t < wish->tanks; t++) {
        const struct succession_tank *tank = &wish->tank[t];
        int64_t *free = arena_take(trial->arena, trial->days * sizeof *free);

        if (!free)
            return no_memory(fault);
        for (size_t d = 0; d < trial->days; d++)
            free[d] = tank->cups - (tank->busy_by_day ? tank->busy_by_day[d] : tank->busy_until > wish->today + (int32_t)d ? tank->busy : 0);
        trial->tank[t] = (struct place_tank){free, tank->other_l, tank->usable_l, tank->water_l, tank->topup_l};
    }
    return 0;
}

static int tell_plantings(const struct trial *trial, struct succession *plan, struct fault *fault)
{
    struct succession_planting *planting = arena_take(trial->arena, (trial->batches + 1) * sizeof *planting);

    if (!planting)
        return no_memory(fault);
    plan->plantings = (struct list){planting, trial->batches};
    for (size_t b = 0; b < trial->batches; b++) {
        struct succession_part *part = arena_take(trial->arena, (trial->wish->tanks + 1) * sizeof *part);

        if (!part)
            return no_memory(fault);
        planting[b] = (struct succession_planting){.plant_on = trial->batch[b].plant_on, .harvest_on = trial->batch[b].harvest_on, .parts = {part, 0}};
        for (size_t t = 0; t < trial->wish->tanks; t++) {
            int64_t plants = trial->found.plants[b * trial->wish->tanks + t];

            if (plants)
                part[planting[b].parts.count++] = (struct succession_part){t, plants};
            planting[b].plants += plants;
        }
    }
    return 0;
}

static void tell_use(const struct trial *trial, struct succession *plan)
{
    const struct succession_planting *planting = plan->plantings.item;

    plan->least_l = INFINITY;
    for (size_t t = 0; t < trial->wish->tanks; t++)
        plan->least_l = fmin(plan->least_l, succession_least_l(&trial->ask, &trial->found, t));
    for (size_t b = 0; b < trial->batches; b++) {
        int64_t used = plan->cups;

        for (size_t t = 0; t < trial->wish->tanks; t++)
            used -= trial->tank[t].free[planting[b].plant_on - trial->wish->today];
        for (size_t o = 0; o < trial->batches; o++)
            if (planting[o].plant_on <= planting[b].plant_on && planting[o].harvest_on > planting[b].plant_on)
                used += planting[o].plants;
        if (used > plan->most_used) {
            plan->most_used = used;
            plan->busiest_on = planting[b].plant_on;
        }
    }
}

/* What stands in the way first: without the water it is the cups. */
static int tell_why(const struct trial *trial, struct succession *plan, struct fault *fault)
{
    const struct succession_planting *planting = plan->plantings.item;
    struct trial dry = *trial;

    plan->why = trial->trouble;
    plan->day = trial->trouble == SUCCESSION_FITS ? DAYS_NONE : trial->trouble_on;
    if (trial->trouble != SUCCESSION_FITS || plan->total == plan->wished)
        return 0;
    dry.topup_days = dry.nodes = 0; /* in turn: for cups alone that is exact, and the first that does not fit is the first trouble */
    if (try_out(&dry, fault))
        return -1;
    plan->why = dry.found.total < plan->wished ? SUCCESSION_CUPS : SUCCESSION_WATER;
    for (size_t b = 0; b < trial->batches && plan->day == DAYS_NONE; b++) {
        int64_t plants = 0;

        for (size_t t = 0; t < trial->wish->tanks; t++)
            plants += dry.found.plants[b * trial->wish->tanks + t];
        if ((plan->why == SUCCESSION_CUPS ? plants : planting[b].plants) < trial->count)
            plan->day = planting[b].plant_on;
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
    struct trial trial = {.wish = wish, .count = wish->count, .every_days = wish->every_days, .first = wish->first,
                          .topup_days = wish->topup_days, .nodes = NODES, .arena = arena};

    if (check_wish(wish, fault))
        return -1;
    *plan = (struct succession){.day = DAYS_NONE, .busiest_on = DAYS_NONE, .fits_from = DAYS_NONE};
    plan->wished = wish->count * ((wish->last - wish->first) / wish->every_days + 1);
    for (size_t i = 0; i < wish->tanks; i++)
        plan->cups += wish->tank[i].cups;
    if (list_days(&trial, fault) || try_out(&trial, fault) || tell_plantings(&trial, plan, fault))
        return -1;
    plan->total = trial.found.total;
    plan->bound = trial.found.bound;
    tell_use(&trial, plan);
    if (tell_why(&trial, plan, fault))
        return -1;
    return plan->why != SUCCESSION_FITS ? find_nearest(&trial, plan, fault) : 0;
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
