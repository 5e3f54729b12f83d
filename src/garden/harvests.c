/* harvests.c - harvests out of the log. */
#include "garden/harvests.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/crops.h"
#include "garden/tank_state.h"
#include "store/harvests.h"

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- one by one ---- */

struct gathering {
    struct db *db;
    const struct harvests_ask *ask;
    struct garden_row garden;
    struct list *harvests;
    size_t room;
    struct arena *arena;
};

static const struct entry *entry_of(const struct list *entries, const char *id)
{
    const struct entry *entry = entries->item;

    for (size_t i = 0; i < entries->count; i++)
        if (strcmp(entry[i].id, id) == 0)
            return &entry[i];
    return NULL;
}

static int add_harvest(struct gathering *gathering, const struct harvested_tank *tank, const struct entry *entry,
                       const struct taken *taken, struct fault *fault)
{
    struct list *list = gathering->harvests;
    int32_t day = clock_day(gathering->garden.time_zone, entry->at_ms);
    struct harvest *harvest;
    /* A head count that was told holds where the log does not know what hung there. */
    int64_t plants = taken->plants ? taken->plants : entry->count;

    list->item = arena_grow(gathering->arena, list->item, list->count, &gathering->room, sizeof *harvest);
    if (!list->item)
        return no_memory(fault);
    harvest = (struct harvest *)list->item + list->count++;
    *harvest = (struct harvest){.tank = tank->id,
                                .tank_code = tank->code,
                                .tank_name = tank->name,
                                .crop = arena_text(gathering->arena, taken->crop),
                                .plants = plants,
                                .days = taken->planted_day == INT32_MIN ? STORE_NO_INT : day - taken->planted_day,
                                .used_l = taken->used_l,
                                .g_per_plant = plants > 0 ? entry->weight_g / (double)plants : (double)NAN,
                                .season = season_of(day, gathering->garden.latitude_deg)};
    if (taken->crop && !harvest->crop)
        return no_memory(fault);
    return entry_copy(&harvest->entry, entry, gathering->arena, fault);
}

static int gather_tank(struct gathering *gathering, const struct harvested_tank *tank, struct fault *fault)
{
    const struct harvests_ask *ask = gathering->ask;
    struct vessel_row vessel;
    struct list entries;
    struct tank_state state;
    const struct taken *taken;
    ARENA_HELD work = {.most = 0}; /* a tank's log at a time: only its harvests stay */

    if (vessels_by_key(gathering->db, tank->vessel_key, &vessel, &work, fault) != 1 ||
        entries_deeds(gathering->db, tank->key, WATERLINE_FRESH_MS, &entries, &work, fault) ||
        tank_state_fold(&vessel, &entries, gathering->garden.time_zone, &state, &work, fault))
        return -1;
    taken = state.taken.item;
    for (size_t i = 0; i < state.taken.count; i++) {
        const struct entry *entry = entry_of(&entries, taken[i].entry);

        if (entry->at_ms < ask->from_ms || entry->at_ms >= ask->to_ms ||
            (ask->crop && (!taken[i].crop || strcmp(taken[i].crop, ask->crop) != 0)))
            continue;
        if (add_harvest(gathering, tank, entry, &taken[i], fault))
            return -1;
    }
    return 0;
}

static int newest_first(const void *a, const void *b)
{
    const struct entry *x = &((const struct harvest *)a)->entry, *y = &((const struct harvest *)b)->entry;

    return x->at_ms != y->at_ms ? (x->at_ms < y->at_ms) - (x->at_ms > y->at_ms) : strcmp(y->id, x->id);
}

static int gather(struct gathering *gathering, struct fault *fault)
{
    const struct harvests_ask *ask = gathering->ask;
    struct tank_row asked = {.key = STORE_NO_INT};
    struct list tanks;
    const struct harvested_tank *tank;
    int found = ask->tank ? tanks_one(gathering->db, ask->tank, &asked, gathering->arena, fault) : 1;

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
    if (gardens_read(gathering->db, &gathering->garden, gathering->arena, fault) != 1 ||
        harvested_tanks(gathering->db, ask->from_ms, ask->to_ms, &tanks, gathering->arena, fault))
        return -1;
    tank = tanks.item;
    for (size_t i = 0; i < tanks.count; i++)
        if ((!ask->tank || tank[i].key == asked.key) && gather_tank(gathering, &tank[i], fault))
            return -1;
    if (gathering->harvests->count)
        qsort(gathering->harvests->item, gathering->harvests->count, sizeof(struct harvest), newest_first);
    return 0;
}

int garden_harvests(struct garden *garden, const struct harvests_ask *ask, struct list *harvests, struct arena *arena,
                    struct fault *fault)
{
    struct gathering gathering = {.db = store_read(garden->store, fault), .ask = ask, .harvests = harvests, .arena = arena};
    int failed;

    *harvests = (struct list){NULL, 0};
    failed = !gathering.db || gather(&gathering, fault);
    store_done(garden->store, gathering.db);
    return failed ? -1 : 0;
}

/* ---- summed up ---- */

static struct harvest_group new_group(const char *id, const char *name)
{
    return (struct harvest_group){.id = id,
                                  .name = name,
                                  .g_per_plant = spread_none(),
                                  .g_per_harvest = spread_none(),
                                  .g_per_litre = spread_none(),
                                  .days = spread_none(),
                                  .first = INT32_MAX,
                                  .last = INT32_MIN};
}

static void count_in(struct harvest_group *group, const struct harvest *harvest, int32_t day)
{
    double weight_g = harvest->entry.weight_g;

    group->harvests++;
    if (harvest->plants != STORE_NO_INT)
        group->plants += harvest->plants;
    if (!isnan(weight_g))
        group->total_g += weight_g;
    spread_add(&group->g_per_plant, harvest->g_per_plant);
    spread_add(&group->g_per_harvest, weight_g);
    if (!isnan(weight_g) && harvest->used_l > 0) {
        group->used_l += harvest->used_l;
        spread_add(&group->g_per_litre, weight_g / harvest->used_l);
    }
    if (harvest->days != STORE_NO_INT)
        spread_add(&group->days, (double)harvest->days);
    group->few = group->g_per_plant.n < HARVESTS_FEW;
    group->first = day < group->first ? day : group->first;
    group->last = day > group->last ? day : group->last;
}

/* The group of this id, made where there is none; NULL when out of memory. */
static struct harvest_group *group_in(struct list *groups, size_t *room, const char *id, const char *name, struct arena *arena)
{
    struct harvest_group *group = groups->item;

    for (size_t i = 0; i < groups->count; i++)
        if (strcmp(group[i].id, id) == 0)
            return &group[i];
    groups->item = arena_grow(arena, groups->item, groups->count, room, sizeof *group);
    if (!groups->item)
        return NULL;
    group = (struct harvest_group *)groups->item + groups->count++;
    *group = new_group(id, name);
    return group;
}

static int by_name(const void *a, const void *b)
{
    const struct harvest_group *x = a, *y = b;
    int order = strcmp(x->name, y->name);

    return order ? order : strcmp(x->id, y->id);
}

static int by_time(const void *a, const void *b)
{
    const struct harvest_group *x = a, *y = b;

    return (x->first > y->first) - (x->first < y->first);
}

static void order(struct list *groups, int (*before)(const void *, const void *))
{
    if (groups->count)
        qsort(groups->item, groups->count, sizeof(struct harvest_group), before);
}

static const char *crop_name(const struct list *known_crops, const char *id)
{
    const struct garden_crop *crop = garden_crop_find(known_crops, id);

    return crop ? crop->name : id;
}

/* The longest list of groups is the tanks'; a search along it for each harvest stays short of a second for 10,000 tanks. */
static int sum_up(const struct list *harvests, const struct list *known_crops, const char *zone, struct harvest_summary *summary,
                  struct arena *arena, struct fault *fault)
{
    const struct harvest *harvest = harvests->item;
    size_t tanks_room = 0, crops_room = 0, seasons_room = 0;

    for (size_t i = 0; i < harvests->count; i++) {
        const struct harvest *one = &harvest[i];
        int32_t day = clock_day(zone, one->entry.at_ms);
        struct harvest_group *tank = group_in(&summary->by_tank, &tanks_room, one->tank, one->tank_name, arena);
        struct harvest_group *season = group_in(&summary->by_season, &seasons_room, one->season.id, one->season.id, arena);
        struct harvest_group *crop =
            one->crop ? group_in(&summary->by_crop, &crops_room, one->crop, crop_name(known_crops, one->crop), arena) : NULL;

        if (!tank || !season || (one->crop && !crop))
            return no_memory(fault);
        count_in(&summary->all, one, day);
        count_in(tank, one, day);
        count_in(season, one, day);
        if (crop)
            count_in(crop, one, day);
        season->first = one->season.first;
        season->last = one->season.last;
    }
    order(&summary->by_tank, by_name);
    order(&summary->by_crop, by_name);
    order(&summary->by_season, by_time);
    return 0;
}

int garden_harvest_summary(struct garden *garden, const struct harvests_ask *ask, struct harvest_summary *summary,
                           struct arena *arena, struct fault *fault)
{
    struct garden_row row;
    struct list harvests, known_crops;

    *summary = (struct harvest_summary){.all = new_group("all", "all")};
    if (garden_settings(garden, &row, arena, fault) || garden_crops(garden, &known_crops, arena, fault) ||
        garden_harvests(garden, ask, &harvests, arena, fault))
        return -1;
    return sum_up(&harvests, &known_crops, row.time_zone, summary, arena, fault);
}
