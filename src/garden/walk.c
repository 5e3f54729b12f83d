/* walk.c - walking order. */
#include "garden/walk.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- across areas ---- */

int walk_map_read(struct db *db, struct walk_map *map, struct arena *arena, struct fault *fault)
{
    return area_rows_list(db, &map->areas, arena, fault);
}

const struct area_row *walk_area(const struct walk_map *map, int64_t key)
{
    const struct area_row *area = map->areas.item;

    for (size_t i = 0; key != STORE_NO_INT && i < map->areas.count; i++)
        if (area[i].key == key)
            return &area[i];
    return NULL;
}

bool walk_within(const struct walk_map *map, int64_t area_key, int64_t within)
{
    const struct area_row *area = walk_area(map, area_key);

    return area && (area->key == within || area->within_key == within);
}

/* What stands in no area comes first, and what stands in an area itself before what lies deeper in it. */
struct walk_place walk_place_of(const struct walk_map *map, int64_t area_key, double walk_order, int64_t key)
{
    struct walk_place place = {-INFINITY, -INFINITY, walk_order, 0, 0, key};
    const struct area_row *area = walk_area(map, area_key), *outer = area ? walk_area(map, area->within_key) : NULL;

    if (area && !outer)
        outer = area;
    else if (area) {
        place.inner = area->walk_order;
        place.inner_key = area->key;
    }
    if (outer) {
        place.outer = outer->walk_order;
        place.outer_key = outer->key;
    }
    return place;
}

static int by_real(double a, double b)
{
    return a < b ? -1 : a > b;
}

static int by_key(int64_t a, int64_t b)
{
    return a < b ? -1 : a > b;
}

int walk_compare(const struct walk_place *a, const struct walk_place *b)
{
    int order = by_real(a->outer, b->outer);

    order = order ? order : by_key(a->outer_key, b->outer_key);
    order = order ? order : by_real(a->inner, b->inner);
    order = order ? order : by_key(a->inner_key, b->inner_key);
    order = order ? order : by_real(a->own, b->own);
    return order ? order : by_key(a->key, b->key);
}

/* ---- one place ---- */

static int tanks_in_order(const void *a, const void *b)
{
    const struct tank_row *first = a, *second = b;
    int order = by_real(first->walk_order, second->walk_order);

    return order ? order : by_key(first->key, second->key);
}

static int areas_in_order(const void *a, const void *b)
{
    const struct area_row *first = a, *second = b;
    int order = by_real(first->walk_order, second->walk_order);

    return order ? order : by_key(first->key, second->key);
}

static void keep_areas_in(struct list *areas, int64_t within)
{
    struct area_row *area = areas->item;
    size_t kept = 0;

    for (size_t i = 0; i < areas->count; i++)
        if (area[i].within_key == within)
            area[kept++] = area[i];
    areas->count = kept;
}

static void keep_tanks_in_use(struct list *tanks)
{
    struct tank_row *tank = tanks->item;
    size_t kept = 0;

    for (size_t i = 0; i < tanks->count; i++)
        if (!tank[i].retired)
            tank[kept++] = tank[i];
    tanks->count = kept;
}

static int read_walk(struct db *db, const char *id, struct walk *walk, struct arena *arena, struct fault *fault)
{
    struct area_row area = {.key = STORE_NO_INT};

    *walk = (struct walk){0};
    if (strcmp(id, "top") != 0) {
        int found = area_rows_one(db, id, &area, arena, fault);

        if (found != 1)
            return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such area");
        walk->area = area.id;
        walk->name = area.name;
    }
    if (tanks_of_area(db, area.key, &walk->tanks, arena, fault) || area_rows_list(db, &walk->areas, arena, fault))
        return -1;
    keep_tanks_in_use(&walk->tanks);
    keep_areas_in(&walk->areas, area.key);
    if (walk->tanks.count)
        qsort(walk->tanks.item, walk->tanks.count, sizeof(struct tank_row), tanks_in_order);
    if (walk->areas.count)
        qsort(walk->areas.item, walk->areas.count, sizeof(struct area_row), areas_in_order);
    return 0;
}

int garden_walk(struct garden *garden, const char *area, struct walk *walk, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || read_walk(db, area, walk, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

/* ---- a new order ---- */

/* The ids of what stands there, in order. */
struct standing_there {
    const char *const *id;
    size_t count;
    const char *at, *were_at; /* names of the lists in the document */
};

static bool same_order(const struct list *given, const struct standing_there *there)
{
    const char *const *id = given->item;

    if (given->count != there->count)
        return false;
    for (size_t i = 0; i < there->count; i++)
        if (strcmp(id[i], there->id[i]) != 0)
            return false;
    return true;
}

static bool is_among(const char *id, const char *const *ids, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(ids[i], id) == 0)
            return true;
    return false;
}

/* Every one that stands there, once. */
static int check_order(const struct list *given, const struct standing_there *there, struct fault *fault)
{
    const char *const *id = given->item;
    int failed = 0;

    for (size_t i = 0; i < given->count; i++) {
        char at[48];

        snprintf(at, sizeof at, "%s/%zu", there->at, i);
        if (is_among(id[i], id, i))
            failed = fault_add(fault, FAULT_INPUT, at, "stands in the list twice");
        else if (!is_among(id[i], there->id, there->count))
            failed = fault_add(fault, FAULT_INPUT, at, "is not here");
    }
    for (size_t i = 0; !failed && i < there->count; i++)
        if (!is_among(there->id[i], id, given->count))
            failed = fault_add(fault, FAULT_INPUT, there->at, "%s is missing; the order is that of all", there->id[i]);
    return failed;
}

/* What was seen must still be so: two people who set an order at once would otherwise undo one another without knowing. */
static int check_list(const struct list *given, const struct list *were, const struct standing_there *there, bool *same,
                      struct fault *fault)
{
    *same = same_order(given, there);
    if (*same)
        return 0;
    if (!same_order(were, there))
        return fault_add(fault, FAULT_CONFLICT, there->were_at, "somebody else changed the order or what is here meanwhile; look again");
    return check_order(given, there, fault);
}

struct walk_job {
    const char *area;
    const struct walk_change *change;
    struct walk *walk;
    struct arena *arena;
};

static size_t place_in(const struct list *order, const char *id)
{
    const char *const *ids = order->item;
    size_t i = 0;

    while (i < order->count && strcmp(ids[i], id) != 0)
        i++;
    return i;
}

static int order_tanks(struct db *db, const struct walk_job *job, struct fault *fault)
{
    const struct tank_row *tank = job->walk->tanks.item;
    const char **id = arena_take(job->arena, (job->walk->tanks.count + 1) * sizeof *id);
    struct standing_there there = {id, job->walk->tanks.count, "/tanks", "/tanks_were"};
    bool same;

    if (!id)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < there.count; i++)
        id[i] = tank[i].id;
    if (check_list(&job->change->tanks, &job->change->tanks_were, &there, &same, fault))
        return -1;
    for (size_t i = 0; !same && i < there.count; i++)
        if (tanks_walk(db, tank[i].key, (double)place_in(&job->change->tanks, tank[i].id) + 1, fault))
            return -1;
    return 0;
}

static int order_areas(struct db *db, const struct walk_job *job, struct fault *fault)
{
    const struct area_row *area = job->walk->areas.item;
    const char **id = arena_take(job->arena, (job->walk->areas.count + 1) * sizeof *id);
    struct standing_there there = {id, job->walk->areas.count, "/areas", "/areas_were"};
    bool same;

    if (!id)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < there.count; i++)
        id[i] = area[i].id;
    if (check_list(&job->change->areas, &job->change->areas_were, &there, &same, fault))
        return -1;
    for (size_t i = 0; !same && i < there.count; i++) {
        struct area_row moved = area[i];

        moved.walk_order = (double)place_in(&job->change->areas, moved.id) + 1;
        if (area_rows_change(db, &moved, fault))
            return -1;
    }
    return 0;
}

static int change_walk(struct db *db, void *context, struct fault *fault)
{
    struct walk_job *job = context;

    if (read_walk(db, job->area, job->walk, job->arena, fault))
        return -1;
    if ((job->change->tanks_given && order_tanks(db, job, fault)) || (job->change->areas_given && order_areas(db, job, fault)))
        return -1;
    return read_walk(db, job->area, job->walk, job->arena, fault);
}

int garden_walk_change(struct garden *garden, const char *area, const struct walk_change *change, struct walk *walk,
                       struct arena *arena, struct fault *fault)
{
    struct walk_job job = {area, change, walk, arena};

    return store_write(garden->store, change_walk, &job, fault);
}
