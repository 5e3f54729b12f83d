/* harvests.c - harvests out of the log. */
#include "garden/harvests.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/crops.h"
#include "garden/shelf.h"
#include "garden/tank_log.h"
#include "garden/tank_state.h"
#include "store/harvests.h"

#define VC1 "A suspended net-pot, non-circulating hydroponic method, CTAHR VC-1 (2010): secondary"
const struct harvest_published harvests_published[] = {
    {MEASURE_PLANT, 150, 250, "head", "a head of lettuce", VC1},
    {MEASURE_LITRE, 1000.0 / 20, 1000.0 / 11, "still", "lettuce in tanks without circulation: 11 to 20 L a kg", VC1},
    {MEASURE_LITRE, 1000 / 23.8, 1000 / 16.2, "greenhouse", "lettuce in a hydroponic greenhouse: 20 L a kg, give or take 3.8",
     "Comparison of land, water & energy requirements of lettuce, IJERPH 12 (2015): read"},
    {MEASURE_LITRE, 75, 75, "lamps", "lettuce under lamps", "Resource use efficiency of indoor lettuce cultivation, Scientific Reports 9 (2019): derived"},
};
const size_t harvests_published_count = sizeof harvests_published / sizeof *harvests_published;

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- one by one ---- */

struct gathering {
    struct db *db;
    const struct harvests_ask *ask;
    struct garden_row garden;
    struct list shelf;
    int64_t from_ms;  /* the ask's, or later where the newest will do */
    struct list *harvests;
    size_t room;
    struct arena *arena;
    struct summing *summing; /* summed up tank by tank, and not kept; NULL: kept */
};

static const struct entry *entry_of(const struct list *entries, const char *id)
{
    const struct entry *entry = entries->item;

    for (size_t i = 0; i < entries->count; i++)
        if (strcmp(entry[i].id, id) == 0)
            return &entry[i];
    return NULL;
}

/* Of the lid where it was measured, else of the vessel at its rim; NAN where neither is known. */
static double lid_m2(const struct vessel_row *row)
{
    const double corner_loss = 4 - 3.14159265358979323846;
    struct vessel vessel = tank_vessel(row);
    struct vessel_level level;
    double corner_mm = isnan(row->lid_corner_mm) ? 0 : row->lid_corner_mm;

    if (!isnan(row->lid_l_mm) && !isnan(row->lid_w_mm))
        return (row->lid_l_mm * row->lid_w_mm - corner_loss * corner_mm * corner_mm) / 1e6;
    return vessel_at_waterline(&vessel, row->height_mm, &level, NULL) ? (double)NAN : level.surface_cm2 / 1e4;
}

/* kWh a day of the lamps over a tank. */
static double lamp_kwh_day(const struct gathering *gathering, const struct harvested_tank *tank)
{
    double power_w = tank->lamp_w;

    if (isnan(power_w) && gathering->garden.place == PLACE_LAMPS)
        power_w = gathering->garden.lamp_w;
    return power_w > 0 ? power_w * gathering->garden.indoor_hours / 1000 : (double)NAN;
}

static int add_harvest(struct gathering *gathering, const struct harvested_tank *tank, const struct vessel_row *vessel,
                       const struct entry *entry, const struct taken *taken, struct fault *fault)
{
    struct list *list = gathering->harvests;
    int32_t day = clock_day(gathering->garden.time_zone, entry->at_ms);
    struct harvest *harvest;
    /* A head count that was told holds where the log does not know what hung there. */
    int64_t plants = taken->plants ? taken->plants : entry->count;
    double part = plants > 0 && vessel->cups.count ? (double)plants / (double)vessel->cups.count : (double)NAN;

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
                                .grown_days = taken->from_day == INT32_MIN ? STORE_NO_INT : day - taken->from_day,
                                .used_l = taken->used_l,
                                .g_per_plant = plants > 0 ? entry->weight_g / (double)plants : (double)NAN,
                                .lid_m2 = part <= 1 ? part * lid_m2(vessel) : (double)NAN,
                                .kwh = NAN,
                                .g_per_g_n = NAN,
                                .g_per_litre = NAN,
                                .season = season_of(day, gathering->garden.latitude_deg)};
    if (harvest->grown_days != STORE_NO_INT && part <= 1)
        harvest->kwh = part * lamp_kwh_day(gathering, tank) * (double)harvest->grown_days;
    if (taken->crop && !harvest->crop)
        return no_memory(fault);
    return entry_copy(&harvest->entry, entry, gathering->arena, fault);
}

/* What went into a fill and what it gave. */
struct fill_sum {
    double n_g, weight_g;   /* NAN: something was not weighed, or is not known any more */
    double used_l;          /* that is known of */
    bool open, weighed, used_to_the_end;
    const struct entry *last; /* harvest; NULL: none yet */
    const char *crop;
    int64_t left;           /* cups with a plant after it */
    bool one_crop, one_member;
};

static void weigh_in(struct fill_sum *sum, const struct entry *entry, const struct list *shelf)
{
    const struct entry_salt *weighed = entry->weighed.item;

    for (size_t i = 0; i < entry->weighed.count; i++) {
        const struct shelf_salt *salt = shelf_salt_find(shelf, weighed[i].salt);

        sum->n_g += salt ? weighed[i].grams * salts_element_percent(&salt->salt, ELEMENT_N) / 100 : (double)NAN;
        sum->weighed = true;
    }
}

static void take_out(struct fill_sum *sum, const struct entry *entry, const struct taken *taken)
{
    sum->one_crop = taken->crop && (!sum->last || (sum->one_crop && strcmp(sum->crop, taken->crop) == 0));
    sum->one_member = !sum->last || (sum->one_member && sum->last->member_key == entry->member_key);
    sum->crop = taken->crop;
    sum->weight_g += entry->weight_g;
    sum->left = taken->left;
    /* Water not known at one harvest is counted with the next that knows it. */
    sum->used_to_the_end = !isnan(taken->used_l);
    sum->used_l += sum->used_to_the_end ? taken->used_l : 0;
    sum->last = entry;
}

/* Notes it with the fill's last harvest, where that is among those asked for. */
static void settle(struct gathering *gathering, const struct fill_sum *sum)
{
    struct harvest *harvest = gathering->harvests->item;

    for (size_t i = gathering->harvests->count; sum->open && sum->last && sum->one_crop && i-- > 0;)
        if (strcmp(harvest[i].entry.id, sum->last->id) == 0) {
            harvest[i].g_per_litre = sum->used_to_the_end && sum->used_l > 0 ? sum->weight_g / sum->used_l : (double)NAN;
            harvest[i].g_per_g_n = sum->weighed && sum->n_g > 0 ? sum->weight_g / sum->n_g : (double)NAN;
            harvest[i].fill_of_one_member = sum->one_member;
            return;
        }
}

static const struct taken *taken_by(const struct list *all, const char *entry)
{
    const struct taken *taken = all->item;

    for (size_t i = 0; i < all->count; i++)
        if (strcmp(taken[i].entry, entry) == 0)
            return &taken[i];
    return NULL;
}

static int follow_fills(struct gathering *gathering, const struct list *entries, const struct list *taken, struct arena *work,
                        struct fault *fault)
{
    struct list effective;
    const struct entry *entry;
    struct fill_sum sum = {.open = false};

    if (log_effective(entries, &effective, work, fault))
        return -1;
    entry = effective.item;
    for (size_t i = 0; i < effective.count; i++) {
        const struct taken *harvest = entry[i].kind == ENTRY_HARVEST ? taken_by(taken, entry[i].id) : NULL;

        if (entry[i].kind == ENTRY_FILL || entry[i].kind == ENTRY_CLEAN_OUT) {
            settle(gathering, &sum);
            sum = (struct fill_sum){.open = entry[i].kind == ENTRY_FILL};
        }
        if (entry[i].kind == ENTRY_FILL || entry[i].kind == ENTRY_TOP_UP)
            weigh_in(&sum, &entry[i], &gathering->shelf);
        if (harvest)
            take_out(&sum, &entry[i], harvest);
    }
    if (sum.last && sum.left == 0)
        settle(gathering, &sum);
    return 0;
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
        tank_log_deeds(gathering->db, tank->key, gathering->from_ms, WATERLINE_FRESH_MS, &entries, &work, fault) ||
        tank_state_fold(&vessel, &entries, gathering->garden.time_zone, &state, &work, fault))
        return -1;
    taken = state.taken.item;
    for (size_t i = 0; i < state.taken.count; i++) {
        const struct entry *entry = entry_of(&entries, taken[i].entry);

        if (entry->at_ms < gathering->from_ms || entry->at_ms >= ask->to_ms ||
            (ask->crop && (!taken[i].crop || strcmp(taken[i].crop, ask->crop) != 0)))
            continue;
        if (add_harvest(gathering, tank, &vessel, entry, &taken[i], fault))
            return -1;
    }
    return follow_fills(gathering, &entries, &state.taken, &work, fault);
}

static int newest_first(const void *a, const void *b)
{
    const struct entry *x = &((const struct harvest *)a)->entry, *y = &((const struct harvest *)b)->entry;

    return x->at_ms != y->at_ms ? (x->at_ms < y->at_ms) - (x->at_ms > y->at_ms) : strcmp(y->id, x->id);
}

static int sum_up(struct summing *summing, const struct list *harvests, struct fault *fault);

/* One tank's harvests live only until they are summed up. */
static int sum_tank(struct gathering *gathering, const struct harvested_tank *tank, struct fault *fault)
{
    ARENA_HELD work = {.most = 0};
    struct list harvests = {NULL, 0};
    struct gathering one = *gathering;

    one.harvests = &harvests;
    one.room = 0;
    one.arena = &work;
    return gather_tank(&one, tank, fault) ? -1 : sum_up(gathering->summing, &harvests, fault);
}

static int gather(struct gathering *gathering, bool *all, struct fault *fault)
{
    const struct harvests_ask *ask = gathering->ask;
    struct tank_row asked = {.key = STORE_NO_INT};
    struct list tanks;
    const struct harvested_tank *tank;
    int found = ask->tank ? tanks_one(gathering->db, ask->tank, &asked, gathering->arena, fault) : 1;

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
    gathering->from_ms = ask->from_ms;
    if (ask->newest && !ask->tank && harvests_newest(gathering->db, &gathering->from_ms, ask->to_ms, ask->newest, all, fault))
        return -1;
    if (gardens_read(gathering->db, &gathering->garden, gathering->arena, fault) != 1 ||
        shelf_salts_in(gathering->db, &gathering->shelf, gathering->arena, fault) ||
        harvested_tanks(gathering->db, gathering->from_ms, ask->to_ms, &tanks, gathering->arena, fault))
        return -1;
    tank = tanks.item;
    for (size_t i = 0; i < tanks.count; i++)
        if ((!ask->tank || tank[i].key == asked.key) &&
            (gathering->summing ? sum_tank(gathering, &tank[i], fault) : gather_tank(gathering, &tank[i], fault)))
            return -1;
    if (gathering->harvests->count)
        qsort(gathering->harvests->item, gathering->harvests->count, sizeof(struct harvest), newest_first);
    return 0;
}

static int gather_in(struct garden *garden, struct gathering *gathering, bool *all, struct fault *fault)
{
    int failed;

    *all = true;
    gathering->db = store_read(garden->store, fault);
    failed = !gathering->db || gather(gathering, all, fault);
    store_done(garden->store, gathering->db);
    return failed ? -1 : 0;
}

int garden_harvests(struct garden *garden, const struct harvests_ask *ask, struct list *harvests, bool *all, struct arena *arena,
                    struct fault *fault)
{
    struct gathering gathering = {.ask = ask, .harvests = harvests, .arena = arena};

    *harvests = (struct list){NULL, 0};
    return gather_in(garden, &gathering, all, fault);
}

/* ---- summed up ---- */

static struct harvest_group new_group(const char *id, const char *name)
{
    struct harvest_group group = {.id = id, .name = name, .used_l = NAN, .first = INT32_MAX, .last = INT32_MIN};

    for (size_t i = 0; i < HARVEST_MEASURES; i++)
        group.measure[i] = (struct sample){.spread = spread_none(), .median = NAN};
    return group;
}

static int add_value(struct sample *sample, double value, struct arena *arena, struct fault *fault)
{
    if (!isfinite(value))
        return 0;
    sample->values.item = arena_grow(arena, sample->values.item, sample->values.count, &sample->room, sizeof value);
    if (!sample->values.item)
        return no_memory(fault);
    ((double *)sample->values.item)[sample->values.count++] = value;
    spread_add(&sample->spread, value);
    return 0;
}

/* Every measure of one harvest; NAN where it cannot be told. */
static void measure(const struct harvest *harvest, double value[HARVEST_MEASURES])
{
    double weight_g = harvest->entry.weight_g;

    value[MEASURE_PLANT] = harvest->g_per_plant;
    value[MEASURE_HARVEST] = weight_g;
    value[MEASURE_LITRE] = harvest->g_per_litre;
    value[MEASURE_M2] = harvest->lid_m2 > 0 ? weight_g / harvest->lid_m2 : (double)NAN;
    value[MEASURE_DAY] = harvest->grown_days > 0 ? harvest->g_per_plant / (double)harvest->grown_days : (double)NAN;
    value[MEASURE_G_N] = harvest->g_per_g_n;
    value[MEASURE_KWH] = harvest->kwh > 0 ? weight_g / harvest->kwh : (double)NAN;
    value[MEASURE_DAYS] = harvest->days == STORE_NO_INT ? (double)NAN : (double)harvest->days;
}

static int count_in(struct harvest_group *group, const struct harvest *harvest, int32_t day, struct arena *arena, struct fault *fault)
{
    double weight_g = harvest->entry.weight_g, value[HARVEST_MEASURES];

    measure(harvest, value);
    for (size_t i = 0; i < HARVEST_MEASURES; i++)
        if (add_value(&group->measure[i], value[i], arena, fault))
            return -1;
    group->harvests++;
    if (harvest->plants != STORE_NO_INT)
        group->plants += harvest->plants;
    if (!isnan(weight_g))
        group->total_g += weight_g;
    if (!isnan(weight_g) && harvest->used_l > 0)
        group->used_l = harvest->used_l + (isnan(group->used_l) ? 0 : group->used_l);
    group->few = group->measure[MEASURE_PLANT].spread.n < HARVESTS_FEW;
    group->first = day < group->first ? day : group->first;
    group->last = day > group->last ? day : group->last;
    return 0;
}

static int ascending(const void *a, const void *b)
{
    const double *x = a, *y = b;

    return (*x > *y) - (*x < *y);
}

static void find_medians(struct harvest_group *group)
{
    for (size_t i = 0; i < HARVEST_MEASURES; i++) {
        struct sample *sample = &group->measure[i];
        double *value = sample->values.item;
        size_t n = sample->values.count;

        if (!n)
            continue;
        qsort(value, n, sizeof *value, ascending);
        sample->median = (value[(n - 1) / 2] + value[n / 2]) / 2;
    }
}

/* The group of this id, made where there is none; NULL when out of memory. The last one first: harvests come tank by tank. */
static struct harvest_group *group_in(struct list *groups, size_t *room, const char *id, const char *name, struct arena *arena)
{
    struct harvest_group *group = groups->item;

    for (size_t i = groups->count; i-- > 0;)
        if (strcmp(group[i].id, id) == 0)
            return &group[i];
    groups->item = arena_grow(arena, groups->item, groups->count, room, sizeof *group);
    id = arena_text(arena, id); /* of a harvest that does not stay */
    name = arena_text(arena, name);
    if (!groups->item || !id || !name)
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

static void finish(struct list *groups, int (*before)(const void *, const void *))
{
    struct harvest_group *group = groups->item;

    order(groups, before);
    for (size_t i = 0; i < groups->count; i++)
        find_medians(&group[i]);
}

static const char *crop_name(const struct list *known_crops, const char *id)
{
    const struct garden_crop *crop = garden_crop_find(known_crops, id);

    return crop ? crop->name : id;
}

static const struct crop_range *usual_g(const struct list *known_crops, const char *id)
{
    const struct garden_crop *crop = garden_crop_find(known_crops, id);

    return crop && !isnan(crop->crop.yield_g.low) ? &crop->crop.yield_g : NULL;
}

struct summing {
    struct harvest_summary *summary;
    const struct list *known_crops;
    const struct garden_row *garden;
    size_t tanks_room, crops_room, seasons_room, members_room;
    struct arena *arena;
};

static int count_crop(struct summing *summing, const struct harvest *one, int32_t day, struct fault *fault)
{
    const char *name = crop_name(summing->known_crops, one->crop);
    struct harvest_group *crop = group_in(&summing->summary->by_crop, &summing->crops_room, one->crop, name, summing->arena);

    if (!crop)
        return no_memory(fault);
    crop->usual_g = usual_g(summing->known_crops, one->crop);
    return count_in(crop, one, day, summing->arena, fault);
}

/* What several members took from one fill is put down to none of them. */
static int count_member(struct summing *summing, const struct harvest *one, int32_t day, struct fault *fault)
{
    struct harvest own = *one;
    struct harvest_group *member =
        group_in(&summing->summary->by_member, &summing->members_room, one->entry.member, one->entry.member_name, summing->arena);

    if (!member)
        return no_memory(fault);
    if (!own.fill_of_one_member)
        own.g_per_g_n = own.g_per_litre = NAN;
    return count_in(member, &own, day, summing->arena, fault);
}

/* The longest list of groups is the tanks'; a search along it for each tank stays short of a second for 10,000 of them. */
static int sum_up(struct summing *summing, const struct list *harvests, struct fault *fault)
{
    struct harvest_summary *summary = summing->summary;
    const struct harvest *harvest = harvests->item;

    for (size_t i = 0; i < harvests->count; i++) {
        const struct harvest *one = &harvest[i];
        int32_t day = clock_day(summing->garden->time_zone, one->entry.at_ms);
        struct harvest_group *tank = group_in(&summary->by_tank, &summing->tanks_room, one->tank, one->tank_name, summing->arena);
        struct harvest_group *season =
            group_in(&summary->by_season, &summing->seasons_room, one->season.id, one->season.id, summing->arena);

        if (!tank || !season)
            return no_memory(fault);
        if (count_in(&summary->all, one, day, summing->arena, fault) || count_in(tank, one, day, summing->arena, fault) ||
            count_in(season, one, day, summing->arena, fault) || (one->crop && count_crop(summing, one, day, fault)) ||
            (summing->garden->records_members && one->entry.member && count_member(summing, one, day, fault)))
            return -1;
        season->first = one->season.first;
        season->last = one->season.last;
    }
    return 0;
}

static void finish_all(struct harvest_summary *summary)
{
    finish(&summary->by_tank, by_name);
    finish(&summary->by_crop, by_name);
    finish(&summary->by_season, by_time);
    finish(&summary->by_member, by_name);
    find_medians(&summary->all);
}

int garden_harvest_summary(struct garden *garden, const struct harvests_ask *ask, int64_t now_ms, struct harvest_summary *summary,
                           struct arena *arena, struct fault *fault)
{
    struct garden_row row;
    struct list none = {NULL, 0}, known_crops;
    struct summing summing = {.summary = summary, .known_crops = &known_crops, .garden = &row, .arena = arena};
    struct gathering gathering = {.ask = ask, .harvests = &none, .arena = arena, .summing = &summing};
    bool all;

    *summary = (struct harvest_summary){.all = new_group("all", "all")};
    if (garden_settings(garden, &row, arena, fault) || garden_crops(garden, &known_crops, arena, fault) ||
        gather_in(garden, &gathering, &all, fault))
        return -1;
    finish_all(summary);
    summary->now = season_of(clock_day(row.time_zone, now_ms), row.latitude_deg);
    summary->before = season_of(summary->now.first - 1, row.latitude_deg);
    summary->year_before = season_of(summary->now.first - 300, row.latitude_deg);
    return 0;
}
