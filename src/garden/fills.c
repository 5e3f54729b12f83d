/* fills.c - fills, their costs and their coming needs, out of the log. */
#include "garden/fills.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "garden/shelf.h"
#include "garden/tank_log.h"
#include "garden/tank_state.h"
#include "store/harvests.h"

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- what came of a fill ---- */

struct walk {
    struct db *db;
    struct list *fills;
    size_t room, unpriced_room;
    struct list shelf;
    const struct tank_row *tank;
    int64_t from_ms, to_ms; /* fills of this stretch are kept */
    struct vessel vessel;
    struct vessel_cups cups;
    struct fill_record *open; /* the fill that entries belong to now; NULL: none */
    struct arena *arena;
    struct fault *fault;
};

static int name_unpriced(struct walk *walk, const char *name)
{
    struct list *list = &walk->open->unpriced;
    const char **item = list->item;

    for (size_t i = 0; i < list->count; i++)
        if (strcmp(item[i], name) == 0)
            return 0;
    item = arena_take(walk->arena, (list->count + 1) * sizeof *item);
    if (!item)
        return no_memory(walk->fault);
    if (list->count)
        memcpy(item, list->item, list->count * sizeof *item);
    item[list->count] = arena_text(walk->arena, name);
    if (!item[list->count++])
        return no_memory(walk->fault);
    list->item = item;
    return 0;
}

/* Sums begin as NAN: none weighed. A salt that cannot be counted makes the nitrogen infinite, which work_out turns into "not known". */
static double plus(double sum, double more)
{
    return isnan(sum) ? more : sum + more;
}

static int count_salts(struct walk *walk, const struct entry *entry)
{
    const struct entry_salt *weighed = entry->weighed.item;
    struct fill_record *fill = walk->open;

    for (size_t i = 0; i < entry->weighed.count; i++) {
        const struct shelf_salt *salt = shelf_salt_find(&walk->shelf, weighed[i].salt);
        double price = salt ? salt->price_per_kg : (double)NAN;

        if (isnan(price) && name_unpriced(walk, salt ? salt->name : weighed[i].salt))
            return -1;
        fill->cost = plus(fill->cost, isnan(price) ? 0 : weighed[i].grams / 1000 * price);
        fill->n_g = plus(fill->n_g, salt ? weighed[i].grams * salts_element_percent(&salt->salt, ELEMENT_N) / 100 : (double)INFINITY);
    }
    return 0;
}

static int open_fill(struct walk *walk, const struct entry *entry)
{
    struct fill_record *fill;
    double filled_l = entry->volume_l;

    walk->fills->item = arena_grow(walk->arena, walk->fills->item, walk->fills->count, &walk->room, sizeof *fill);
    if (!walk->fills->item)
        return no_memory(walk->fault);
    if (isnan(filled_l) && vessel_solution_l(&walk->vessel, &walk->cups, entry->waterline_mm, &filled_l, NULL))
        filled_l = NAN;
    walk->open = (struct fill_record *)walk->fills->item + walk->fills->count++;
    *walk->open = (struct fill_record){.tank = walk->tank->id,
                                       .tank_code = walk->tank->code,
                                       .tank_name = walk->tank->name,
                                       .until_ms = STORE_NO_INT,
                                       .filled_l = filled_l,
                                       .cost = NAN,
                                       .n_g = NAN,
                                       .weight_g = NAN};
    return entry_copy(&walk->open->entry, entry, walk->arena, walk->fault) ? -1 : count_salts(walk, entry);
}

static void close_fill(struct walk *walk, int64_t at_ms)
{
    if (walk->open)
        walk->open->until_ms = at_ms;
    walk->open = NULL;
}

static void count_harvest(struct walk *walk, const struct entry *entry, const struct taken *taken)
{
    walk->open->harvests++;
    walk->open->plants += taken ? taken->plants : 0;
    if (!isnan(entry->weight_g))
        walk->open->weight_g = plus(walk->open->weight_g, entry->weight_g);
}

static int take_entry(struct walk *walk, const struct entry *entry, const struct list *taken)
{
    const struct taken *harvest = taken->item;

    if (entry->kind == ENTRY_FILL || entry->kind == ENTRY_CLEAN_OUT)
        close_fill(walk, entry->at_ms);
    if (entry->kind == ENTRY_FILL)
        return entry->at_ms >= walk->from_ms && entry->at_ms < walk->to_ms ? open_fill(walk, entry) : 0;
    if (!walk->open)
        return 0;
    if (entry->kind == ENTRY_TOP_UP) {
        walk->open->topped_up_l += entry->volume_l; /* NAN once one was not measured */
        return count_salts(walk, entry);
    }
    for (size_t i = 0; entry->kind == ENTRY_HARVEST && i < taken->count; i++)
        if (strcmp(harvest[i].entry, entry->id) == 0)
            count_harvest(walk, entry, &harvest[i]);
    return 0;
}

static void work_out(struct fill_record *fill)
{
    if (isinf(fill->n_g))
        fill->n_g = NAN;
    if (fill->unpriced.count)
        fill->cost = NAN;
    fill->cost_per_plant = fill->plants ? fill->cost / (double)fill->plants : (double)NAN;
    fill->cost_per_kg = fill->weight_g > 0 ? fill->cost / fill->weight_g * 1000 : (double)NAN;
    fill->g_per_g_n = fill->n_g > 0 ? fill->weight_g / fill->n_g : (double)NAN;
}

static int walk_tank(struct walk *walk, const char *zone)
{
    struct vessel_row row;
    struct list entries, effective;
    const struct entry *entry;
    struct tank_state state;
    ARENA_HELD work = {.most = 0}; /* a tank's log at a time: only its fills stay */

    walk->open = NULL;
    if (vessels_by_key(walk->db, walk->tank->vessel_key, &row, &work, walk->fault) != 1 ||
        tank_log_deeds(walk->db, walk->tank->key, walk->from_ms, WATERLINE_FRESH_MS, &entries, &work, walk->fault) ||
        tank_state_fold(&row, &entries, zone, &state, &work, walk->fault) ||
        log_effective(&entries, &effective, &work, walk->fault))
        return -1;
    walk->vessel = tank_vessel(&row);
    walk->cups = tank_cups(&row);
    entry = effective.item;
    for (size_t i = 0; i < effective.count; i++)
        if (take_entry(walk, &entry[i], &state.taken))
            return -1;
    return 0;
}

static int newest_first(const void *a, const void *b)
{
    const struct entry *x = &((const struct fill_record *)a)->entry, *y = &((const struct fill_record *)b)->entry;

    return x->at_ms != y->at_ms ? (x->at_ms < y->at_ms) - (x->at_ms > y->at_ms) : strcmp(y->id, x->id);
}

static int gather(struct walk *walk, const struct fills_ask *ask, bool *all, struct fault *fault)
{
    struct garden_row garden;
    struct list tanks;
    const struct harvested_tank *tank;

    if ((ask->newest && fills_newest(walk->db, &walk->from_ms, ask->to_ms, ask->newest, all, fault)) ||
        gardens_read(walk->db, &garden, walk->arena, fault) != 1 || shelf_salts_in(walk->db, &walk->shelf, walk->arena, fault) ||
        filled_tanks(walk->db, walk->from_ms, ask->to_ms, &tanks, walk->arena, fault))
        return -1;
    tank = tanks.item;
    for (size_t i = 0; i < tanks.count; i++) {
        const struct tank_row row = {.key = tank[i].key, .vessel_key = tank[i].vessel_key, .id = tank[i].id, .code = tank[i].code, .name = tank[i].name};

        walk->tank = &row;
        if (walk_tank(walk, garden.time_zone))
            return -1;
    }
    return 0;
}

int garden_fills(struct garden *garden, const struct fills_ask *ask, struct list *fills, bool *all, struct arena *arena, struct fault *fault)
{
    struct walk walk = {.db = store_read(garden->store, fault), .fills = fills, .from_ms = ask->from_ms, .to_ms = ask->to_ms, .arena = arena, .fault = fault};
    struct fill_record *fill;
    int failed;

    *fills = (struct list){NULL, 0};
    *all = true;
    failed = !walk.db || gather(&walk, ask, all, fault);
    store_done(garden->store, walk.db);
    if (failed)
        return -1;
    fill = fills->item;
    for (size_t i = 0; i < fills->count; i++)
        work_out(&fill[i]);
    if (fills->count)
        qsort(fill, fills->count, sizeof *fill, newest_first);
    return 0;
}

/* ---- what the coming ones need ---- */

struct times {
    double low, likely, high; /* how often the last fill's grams are weighed in */
};

/* An empty tank is filled; one that is harvested is filled after it, once. Litres that the outlook drinks beyond what stands
 * above the low mark are topped up: with plain water at least, at full strength at most, and half of that between; ours. */
static struct times times_of(const struct standing_short *brief, const struct vessel_row *row, int32_t today, int days)
{
    const struct standing_drawing *drawing = &brief->drawing;
    struct vessel vessel = tank_vessel(row);
    struct vessel_cups cups = tank_cups(row);
    double low_l = 0, fill_l = NAN, now_l = NAN, spare_l;
    struct times times = {0, 0, 0};
    int32_t last = today + days;

    if (!brief->filled)
        return (struct times){1, 1, 1};
    if (!brief->has_outlook)
        return (struct times){0, 0, 1};
    if (brief->harvest_on.p50 != DAYS_NONE) {
        times.low = brief->harvest_on.p90 != DAYS_NONE && brief->harvest_on.p90 <= last;
        times.likely = brief->harvest_on.p50 <= last;
        times.high = brief->harvest_on.p10 != DAYS_NONE && brief->harvest_on.p10 <= last;
    }
    vessel_solution_l(&vessel, &cups, drawing->low_mm, &low_l, NULL);
    vessel_solution_l(&vessel, &cups, drawing->start_mm, &fill_l, NULL);
    vessel_solution_l(&vessel, &cups, drawing->waterline_mm, &now_l, NULL);
    spare_l = fmax(0, now_l - low_l); /* 0 where the waterline is not known: the safe side */
    if (fill_l > 0) {
        times.likely += 0.5 * fmax(0, brief->use_l_day.p50 * days - spare_l) / fill_l;
        times.high += fmax(0, brief->use_l_day.p90 * days - spare_l) / fill_l;
    }
    times.high = fmax(times.high, times.likely);
    return times;
}

static struct need *need_of(struct needs *needs, size_t *room, const struct shelf_salt *salt, const char *id, struct arena *arena)
{
    struct need *need = needs->items.item;

    for (size_t i = 0; i < needs->items.count; i++)
        if (strcmp(need[i].salt, id) == 0)
            return &need[i];
    id = arena_text(arena, id); /* the log it stands in is read tank by tank */
    needs->items.item = arena_grow(arena, needs->items.item, needs->items.count, room, sizeof *need);
    if (!id || !needs->items.item)
        return NULL;
    need = (struct need *)needs->items.item + needs->items.count++;
    *need = (struct need){.salt = id, .name = salt ? salt->name : id, .stock_g = salt ? salt->stock_g : (double)NAN};
    return need;
}

static int add_need(struct walk *walk, struct needs *needs, size_t *room, const struct list *weighed, const struct times *by_day, int days)
{
    const struct entry_salt *salt = weighed->item;
    const struct times *times = &by_day[days];

    for (size_t i = 0; i < weighed->count; i++) {
        struct need *need = need_of(needs, room, shelf_salt_find(&walk->shelf, salt[i].salt), salt[i].salt, walk->arena);

        if (!need)
            return no_memory(walk->fault);
        need->low_g += times->low * salt[i].grams;
        need->likely_g += times->likely * salt[i].grams;
        need->high_g += times->high * salt[i].grams;
        for (int day = 0; day <= days; day++)
            need->high_by_day_g[day] += by_day[day].high * salt[i].grams;
    }
    needs->tanks++;
    needs->fills_low += times->low;
    needs->fills_likely += times->likely;
    needs->fills_high += times->high;
    return 0;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(((const struct need *)a)->name, ((const struct need *)b)->name);
}

static int add_up(struct garden *garden, struct walk *walk, int64_t now_ms, int days, struct needs *needs)
{
    struct standing_place place;
    struct list tanks;
    size_t room = 0;

    if (standing_place(walk->db, now_ms, &place, walk->arena, walk->fault) ||
        shelf_salts_in(walk->db, &walk->shelf, walk->arena, walk->fault) ||
        tanks_list(walk->db, 0, INT64_MAX, &tanks, walk->arena, walk->fault))
        return -1;
    needs->first = place.today;
    needs->last = place.today + days;
    for (size_t i = 0; i < tanks.count; i++) {
        const struct entries_span always = {((const struct tank_row *)tanks.item + i)->key, INT64_MIN + 1, INT64_MAX};
        struct entry fill;
        const struct standing_short *brief;
        struct vessel_row vessel;
        struct times by_day[NEEDS_DAYS_MOST + 1];
        ARENA_HELD work = {.most = 0};
        int found;

        walk->tank = (const struct tank_row *)tanks.item + i;
        if (walk->tank->retired)
            continue;
        found = entries_weighed_fill(walk->db, &always, &fill, &work, walk->fault);
        if (found < 0)
            return -1;
        if (!found) {
            needs->unlike++;
            continue;
        }
        if (vessels_by_key(walk->db, walk->tank->vessel_key, &vessel, &work, walk->fault) != 1 ||
            standing_short_old(garden, walk->db, &place, walk->tank, &brief, &work, walk->fault))
            return -1;
        standing_is_behind(&needs->behind, brief, walk->tank, place.today);
        for (int day = 0; day <= days; day++)
            by_day[day] = times_of(brief, &vessel, place.today, day);
        if (add_need(walk, needs, &room, &fill.weighed, by_day, days))
            return -1;
    }
    return 0;
}

static int32_t buy_by(const struct need *need, int32_t today, int days)
{
    for (int day = 0; day <= days; day++)
        if (need->high_by_day_g[day] > need->stock_g)
            return today + day;
    return INT32_MIN;
}

int garden_needs(struct garden *garden, int64_t now_ms, int days, struct needs *needs, struct arena *arena, struct fault *fault)
{
    struct list fills = {NULL, 0};
    struct walk walk = {.db = store_read(garden->store, fault), .fills = &fills, .arena = arena, .fault = fault};
    struct need *need;
    int failed;

    assert(days >= 1 && days <= NEEDS_DAYS_MOST);
    *needs = (struct needs){.behind = STANDING_NONE_BEHIND};
    failed = !walk.db || add_up(garden, &walk, now_ms, days, needs);
    store_done(garden->store, walk.db);
    if (failed)
        return -1;
    need = needs->items.item;
    for (size_t i = 0; i < needs->items.count; i++) {
        const struct shelf_salt *salt = shelf_salt_find(&walk.shelf, need[i].salt);

        need[i].buy_g = isnan(need[i].stock_g) ? (double)NAN : fmax(0, need[i].high_g - need[i].stock_g);
        need[i].buy_by = buy_by(&need[i], needs->first, days);
        need[i].cost = salt ? need[i].buy_g / 1000 * salt->price_per_kg : (double)NAN;
    }
    if (needs->items.count)
        qsort(need, needs->items.count, sizeof *need, by_name);
    return 0;
}
