/* areas.c - the rules of areas. */
#include "garden/areas.h"

#include <string.h>

#include "garden/resend.h"

/* An area that was put into a later one comes behind it: a list can be sent again from the top. */
static int outer_first(struct list *areas, struct arena *arena, struct fault *fault)
{
    const struct area_row *area = areas->item;
    struct area_row *sorted = arena_take(arena, (areas->count + 1) * sizeof *sorted);
    size_t count = 0;

    if (!sorted)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (int inner = 0; inner <= 1; inner++)
        for (size_t i = 0; i < areas->count; i++)
            if ((area[i].within != NULL) == inner)
                sorted[count++] = area[i];
    areas->item = sorted;
    return 0;
}

int garden_areas(struct garden *garden, struct list *areas, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || area_rows_list(db, areas, arena, fault) || outer_first(areas, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

struct area_job {
    struct area_row *area;
    struct arena *arena;
    bool stored_before;
};

/* A place in a place is as deep as it goes: a roof, and bay 3 on it. */
static int place_within(struct db *db, struct area_row *area, struct arena *arena, struct fault *fault)
{
    struct area_row outer;
    int found;

    area->within_key = STORE_NO_INT;
    if (!area->within)
        return 0;
    found = area_rows_one(db, area->within, &outer, arena, fault);
    if (found < 0)
        return -1;
    if (!found)
        return fault_add(fault, FAULT_INPUT, "/within", "there is no such area");
    if (outer.key == area->key)
        return fault_add(fault, FAULT_INPUT, "/within", "an area cannot lie in itself");
    if (outer.within)
        return fault_add(fault, FAULT_INPUT, "/within", "%s lies in another area itself; areas go two deep", outer.name);
    if (area->areas > 0)
        return fault_add(fault, FAULT_INPUT, "/within", "other areas lie in this one; areas go two deep");
    area->within_key = outer.key;
    return 0;
}

static int add_area(struct db *db, void *context, struct fault *fault)
{
    struct area_job *job = context;
    struct area_row *area = job->area, there;
    int found = area_rows_one(db, area->id, &there, job->arena, fault);

    if (found < 0)
        return -1;
    if (found) {
        job->stored_before = resend_same_text(there.name, area->name) && resend_same_text(there.within, area->within) &&
                             resend_same_real(there.walk_order, area->walk_order);
        *area = there;
        return job->stored_before ? 0 : resend_conflict(fault);
    }
    area->key = 0;
    area->areas = 0;
    return place_within(db, area, job->arena, fault) || area_rows_add(db, area, fault) ? -1 : 0;
}

int garden_area_add(struct garden *garden, struct area_row *area, bool *stored_before, struct arena *arena, struct fault *fault)
{
    struct area_job job = {.area = area, .arena = arena};

    if (resend_give_id(&area->id, arena, fault) || store_write(garden->store, add_area, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

static int change_area(struct db *db, void *context, struct fault *fault)
{
    struct area_job *job = context;
    struct area_row there;
    int found = area_rows_one(db, job->area->id, &there, job->arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such area");
    job->area->key = there.key;
    job->area->areas = there.areas;
    job->area->tanks = there.tanks;
    return place_within(db, job->area, job->arena, fault) || area_rows_change(db, job->area, fault) ? -1 : 0;
}

int garden_area_change(struct garden *garden, struct area_row *area, struct arena *arena, struct fault *fault)
{
    struct area_job job = {.area = area, .arena = arena};

    return store_write(garden->store, change_area, &job, fault);
}

struct remove_job {
    const char *id;
    struct arena *arena;
};

static int remove_area(struct db *db, void *context, struct fault *fault)
{
    struct remove_job *job = context;
    struct area_row there;
    int found = area_rows_one(db, job->id, &there, job->arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such area");
    if (there.tanks)
        return fault_add(fault, FAULT_CONFLICT, "", "%lld tanks stand in %s; move them first", (long long)there.tanks, there.name);
    if (there.areas)
        return fault_add(fault, FAULT_CONFLICT, "", "%lld areas lie in %s; move them first", (long long)there.areas, there.name);
    return area_rows_remove(db, there.key, fault);
}

int garden_area_remove(struct garden *garden, const char *id, struct arena *arena, struct fault *fault)
{
    struct remove_job job = {id, arena};

    return store_write(garden->store, remove_area, &job, fault);
}
