/* succession.c - plans of sowing and planting. */
#include "garden/succession.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "calc/outlook.h"
#include "calc/vessel.h"
#include "garden/clock.h"
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
#define AHEAD_MOST_DAYS 7305 /* each tank is looked at day by day from today on. Ours. */

static int32_t latest_for(const struct succession_wish *wish, int32_t day)
{
    int64_t index = (int64_t)day - wish->latest_from;

    return index >= 0 && (uint64_t)index < wish->latest_count ? wish->latest[index] : DAYS_NONE;
}

#define NODES 60 /* of branch and bound: a season of 184 harvests in four tanks takes some seconds at most; ours */

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
    trial.nodes = 0; /* in turn: what it says fits does fit, and for cups alone it is exact */
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
    for (size_t t = 0; t < trial->wish->tanks; t++) {
        bool used = false; /* one that its present plants drink empty takes none of the plan's */

        for (size_t b = 0; b < trial->batches; b++)
            used |= trial->found.plants[b * trial->wish->tanks + t] > 0;
        if (used)
            plan->least_l = fmin(plan->least_l, succession_least_l(&trial->ask, &trial->found, t));
    }
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
#define NOTHING 1e-9         /* plants: what an outlook without any asks for */

/* One planting by itself, in a vessel so wide that nothing crowds it: the day by which it is as likely as not ready (DAYS_NONE: not
 * foreseen), and what a plant drinks each day from planting on, OUTLOOK_HORIZON of them. */
struct looked {
    int32_t ready;
    double *drinks_l;
};

static int volumes(const struct outlook_climate *climate, const struct outlook_planting *planting,
                   const struct vessel *vessel, struct outlook *outlook, double *volume_l, struct fault *fault)
{
    struct outlook_given given;
    struct vessel_level level;

    outlook_given_init(&given);
    given.today = given.filled_on = planting->on;
    given.horizon_days = OUTLOOK_HORIZON;
    given.vessel = vessel;
    given.start_mm = 0.9 * vessel_height_mm(vessel);
    given.low_mm = 0;
    given.climate = *climate;
    given.planting = planting;
    given.planting_count = 1;
    if (outlook_make(&given, outlook, fault))
        return -1;
    for (size_t d = 0; d < outlook->waterline_count; d++) {
        if (vessel_at_waterline(vessel, fmax(outlook->waterline[d].p50_mm, 0), &level, fault))
            return -1;
        volume_l[d] = level.volume_l;
    }
    return vessel_at_waterline(vessel, given.start_mm, &level, fault) ? -1 : (volume_l[OUTLOOK_HORIZON] = level.volume_l, 0);
}

static int look(const struct outlook_climate *climate, const struct crop *crop, int32_t on, struct looked *looked, struct arena *arena,
                struct fault *fault)
{
    static const struct vessel wide = {.shape = VESSEL_BOX, .floor_mm = {1000, 1000}, .rim_mm = {1000, 1000}, .height_mm = 1000};
    struct outlook_planting planting = {.crop = crop, .count = 1, .on = on, .harvest_on = DAYS_NONE, .sown_on = DAYS_NONE};
    struct outlook *outlook = arena_take(arena, sizeof *outlook);
    double with_l[OUTLOOK_HORIZON + 1], without_l[OUTLOOK_HORIZON + 1], before = 0;

    looked->drinks_l = arena_take(arena, OUTLOOK_HORIZON * sizeof *looked->drinks_l);
    if (!outlook || !looked->drinks_l)
        return no_memory(fault);
    if (volumes(climate, &planting, &wide, outlook, with_l, fault))
        return -1;
    looked->ready = outlook->harvest_on.p50;
    planting.count = NOTHING;
    if (volumes(climate, &planting, &wide, outlook, without_l, fault))
        return -1;
    for (int d = 0; d < OUTLOOK_HORIZON; d++) {
        double drunk = without_l[d] - with_l[d];

        looked->drinks_l[d] = fmax(drunk - before, 0);
        before = fmax(drunk, before);
    }
    return 0;
}

/* latest[d] for each day of harvest: the ready days of plantings, turned round; and what a plant drinks until then. */
static int fill_latest(struct succession_ground *ground, struct arena *arena, struct fault *fault)
{
    int32_t from = ground->latest_from - GROWTH_LOOKED_AT, to = ground->latest_from + (int32_t)ground->latest_count - 1, before = DAYS_NONE, before_on = from;

    for (size_t d = 0; d < ground->latest_count; d++) {
        ground->latest[d] = DAYS_NONE;
        ground->drinks_l[d] = NULL;
    }
    for (int32_t on = from; on <= to; on += STEP) {
        struct looked looked;

        if (look(&ground->place.climate, &ground->crop->crop, on, &looked, arena, fault))
            return -1;
        for (int32_t between = before_on + 1; between <= on; between++) {
            int32_t then = before == DAYS_NONE || looked.ready == DAYS_NONE
                               ? between == on ? looked.ready : DAYS_NONE
                               : before + (int32_t)lround((double)(looked.ready - before) * (between - before_on) / (on - before_on));

            for (int32_t day = then == DAYS_NONE || then < ground->latest_from ? ground->latest_from : then; then != DAYS_NONE && day <= to; day++)
                if (day - between <= OUTLOOK_HORIZON) {
                    ground->latest[day - ground->latest_from] = between;
                    ground->drinks_l[day - ground->latest_from] = looked.drinks_l;
                }
        }
        before = looked.ready;
        before_on = on;
    }
    return 0;
}

static int find_tanks(struct db *db, const struct succession_ask *ask, struct succession_ground *ground, struct arena *arena, struct fault *fault)
{
    struct list all;
    const char *const *name = ask->tanks.item;

    if (tanks_list(db, 0, INT64_MAX, &all, arena, fault))
        return -1;
    ground->tank = arena_take(arena, (all.count + ask->tanks.count + 1) * sizeof *ground->tank);
    if (!ground->tank)
        return no_memory(fault);
    for (size_t i = 0; i < all.count && !ask->tanks.count; i++)
        if (!((struct tank_row *)all.item)[i].retired)
            ground->tank[ground->tanks++] = (struct tank_row *)all.item + i;
    for (size_t i = 0; i < ask->tanks.count; i++) {
        struct tank_row *row = arena_take(arena, sizeof *row);
        int there = row ? tanks_one(db, name[i], row, arena, fault) : no_memory(fault);
        char at[40];

        snprintf(at, sizeof at, "/tanks/%zu", i);
        if (there != 1)
            return there ? -1 : fault_add(fault, FAULT_INPUT, at, "there is no such tank");
        for (size_t j = 0; j < ground->tanks; j++)
            if (ground->tank[j]->key == row->key)
                return fault_add(fault, FAULT_INPUT, at, "is named twice");
        ground->tank[ground->tanks++] = row;
    }
    return ground->tanks ? 0 : fault_add(fault, FAULT_INPUT, "/tanks", "no tank is in use");
}

/* ---- what hangs there now ---- */

static double volume_at(const struct vessel *vessel, double waterline_mm)
{
    struct vessel_level level;
    struct fault ignored = {0};

    return vessel_at_waterline(vessel, fmin(fmax(waterline_mm, 0), vessel_height_mm(vessel)), &level, &ignored) ? 0 : level.volume_l;
}

/* Plants keep their cups until they are likely ready, or for as long as stays() says; without an outlook, all along. */
static int32_t free_from(const struct succession_ground *ground, const struct cup_state *cup, succession_stays *stays, void *context)
{
    int32_t ready = cup->ready_day == INT32_MIN ? ground->last + 1 : cup->ready_day, kept = stays ? stays(cup, context) : INT32_MIN;

    return kept > ready ? kept : ready;
}

static int add_drinking(struct succession_ground *ground, const struct cup_state *cup, int32_t until, double *other_l, struct arena *arena, struct fault *fault)
{
    const struct garden_crop *crop = garden_crop_find(&ground->place.crops, cup->crop);
    int32_t today = ground->place.today, on = cup->planted_day < today - OUTLOOK_HORIZON + 1 ? today - OUTLOOK_HORIZON + 1 : cup->planted_day;
    struct looked looked;

    if (!crop || look(&ground->place.climate, &crop->crop, on, &looked, arena, fault))
        return crop ? -1 : 0;
    for (int32_t day = today; day < until && day <= ground->last; day++)
        other_l[day - today] += looked.drinks_l[day - on < OUTLOOK_HORIZON ? day - on : OUTLOOK_HORIZON - 1];
    return 0;
}

static int fill_tank(struct db *db, struct succession_ground *ground, size_t t, succession_stays *stays, void *context, struct arena *arena, struct fault *fault)
{
    struct standing *standing = &ground->standing[t];
    size_t days = (size_t)(ground->last - ground->place.today) + 1;
    int64_t *busy = arena_take(arena, days * sizeof *busy);
    double *other_l = arena_take(arena, days * sizeof *other_l);
    const struct cup_state *cup;
    struct vessel vessel;
    double low_l;
    int64_t hanging = 0;

    if (!busy || !other_l)
        return no_memory(fault);
    memset(busy, 0, days * sizeof *busy);
    memset(other_l, 0, days * sizeof *other_l);
    if (standing_make(db, &ground->place, ground->tank[t], standing, arena, fault))
        return -1;
    cup = standing->state.cups.item;
    for (size_t c = 0; c < standing->state.cups.count; c++) {
        int32_t until;

        if (!cup[c].crop)
            continue;
        hanging++;
        until = free_from(ground, &cup[c], stays, context);
        for (int32_t day = ground->place.today; day < until && day <= ground->last; day++)
            busy[day - ground->place.today]++;
        if (add_drinking(ground, &cup[c], until, other_l, arena, fault))
            return -1;
    }
    vessel = tank_vessel(&standing->vessel);
    low_l = volume_at(&vessel, standing->vessel.low_mm);
    ground->room[t] = (struct succession_tank){.cups = (int64_t)standing->state.cups.count, .busy_by_day = busy, .other_l = other_l};
    ground->room[t].usable_l = volume_at(&vessel, standing->vessel.start_mm) - low_l;
    /* No more than the air roots bear (tank_state.h). What is empty, or holds no plant, is filled before the first planting. */
    ground->room[t].topup_l = volume_at(&vessel, standing->vessel.start_mm) - volume_at(&vessel, standing->vessel.start_mm - RISE_SAFE_MM);
    ground->room[t].water_l = hanging && standing->outlook ? fmin(fmax(volume_at(&vessel, standing->outlook->waterline_now_mm) - low_l, 0), ground->room[t].usable_l)
                                                           : ground->room[t].usable_l;
    return 0;
}

int succession_ground_make(struct db *db, const struct succession_ask *ask, int32_t first, int32_t last, int64_t now_ms,
                           succession_stays *stays, void *context, struct succession_ground *ground, struct arena *arena, struct fault *fault)
{
    *ground = (struct succession_ground){.last = last};
    if (standing_place(db, now_ms, &ground->place, arena, fault) || find_tanks(db, ask, ground, arena, fault))
        return -1;
    ground->crop = garden_crop_find(&ground->place.crops, ask->crop);
    if (!ground->crop)
        return fault_add(fault, FAULT_INPUT, "/crop", "there is no such crop");
    if (!ground->place.climate_known)
        return fault_add(fault, FAULT_INPUT, "", "the garden's place is not told yet: its latitude, its normals or its lamps");
    if (first < ground->place.today)
        first = ground->place.today;
    if (last < first)
        return fault_add(fault, FAULT_INPUT, "/to", "lies in the past");
    if (last - ground->place.today > AHEAD_MOST_DAYS)
        return fault_add(fault, FAULT_INPUT, "/to", "must lie within twenty years of today");
    ground->latest_from = first;
    ground->latest_count = (size_t)(last - first) + 1;
    ground->latest = arena_take(arena, ground->latest_count * sizeof *ground->latest);
    ground->drinks_l = arena_take(arena, ground->latest_count * sizeof *ground->drinks_l);
    ground->standing = arena_take(arena, ground->tanks * sizeof *ground->standing);
    ground->room = arena_take(arena, ground->tanks * sizeof *ground->room);
    if (!ground->latest || !ground->drinks_l || !ground->standing || !ground->room)
        return no_memory(fault);
    for (size_t t = 0; t < ground->tanks; t++)
        if (fill_tank(db, ground, t, stays, context, arena, fault))
            return -1;
    return fill_latest(ground, arena, fault);
}

static int plan_in(struct db *db, const struct succession_ask *ask, int64_t now_ms, struct succession_found *found, struct arena *arena, struct fault *fault)
{
    struct succession_ground ground;
    struct succession_wish wish = {.first = ask->first, .last = ask->last, .count = ask->count, .every_days = (int)ask->every_days};
    struct garden_row garden;

    if (check_wish(&wish, fault) || gardens_read(db, &garden, arena, fault) != 1)
        return -1;
    if (ask->first < clock_day(garden.time_zone, now_ms))
        return fault_add(fault, FAULT_INPUT, "/from", "lies in the past");
    if (succession_ground_make(db, ask, ask->first, ask->last, now_ms, NULL, NULL, &ground, arena, fault))
        return -1;
    wish.today = found->today = ground.place.today;
    wish.latest = ground.latest;
    wish.latest_from = ground.latest_from;
    wish.latest_count = ground.latest_count;
    wish.tank = ground.room;
    wish.tanks = found->tanks = ground.tanks;
    wish.topup_days = (int)ask->topup_days;
    wish.drinks_l = ground.drinks_l;
    found->tank = ground.tank;
    if (succession_plan(&wish, &found->plan, arena, fault))
        return -1;
    found->solution_low_l = (double)found->plan.total * ground.crop->crop.solution_l.low;
    found->solution_high_l = (double)found->plan.total * ground.crop->crop.solution_l.high;
    return 0;
}

int garden_succession(struct garden *garden, const struct succession_ask *ask, int64_t now_ms, struct succession_found *found,
                      struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed;

    *found = (struct succession_found){.tanks = 0};
    failed = !db || plan_in(db, ask, now_ms, found, arena, fault);
    store_done(garden->store, db);
    return failed ? -1 : 0;
}
