/* crops.c - the rules of crops. */
#include "garden/crops.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "garden/resend.h"
#include "store/crops.h"

const struct crop_quantity crop_quantities[CROP_RANGES] = {
    {"ec_ms_cm", offsetof(struct crop, ec_ms_cm), 0.1, 6},
    {"ph", offsetof(struct crop, ph), 3, 9},
    {"spacing_mm", offsetof(struct crop, spacing_mm), 20, 2000},
    {"days_to_harvest", offsetof(struct crop, days), 5, 400},
    {"yield_g", offsetof(struct crop, yield_g), 1, 20000},
    {"solution_l", offsetof(struct crop, solution_l), 0.05, 500},
    {"further_cuts", offsetof(struct crop, further_cuts), 0, 50},
    {"base_c", offsetof(struct crop, base_c), -5, 25},
    {"air_c", offsetof(struct crop, air_c), -10, 45},
    {"best_c", offsetof(struct crop, best_c), 0, 45},
};

static struct crop_range *range_of(struct crop *crop, size_t quantity)
{
    return (struct crop_range *)((char *)crop + crop_quantities[quantity].offset);
}

struct crop_told crop_told_nothing(void)
{
    struct crop_told told = {0};

    for (size_t i = 0; i < CROP_RANGES; i++)
        told.range[i] = (struct crop_range){NAN, NAN, NULL};
    return told;
}

/* ---- built in and told, put together ---- */

static struct garden_crop from_builtin(const struct crop *crop)
{
    return (struct garden_crop){.id = crop->id, .name = crop->name, .builtin = true, .crop = *crop};
}

static void lay_over(struct garden_crop *crop, const struct crop_row *row)
{
    const struct crop_row_range *range = row->ranges.item;

    crop->key = row->key;
    if (row->name) {
        crop->name = row->name;
        crop->own_name = true;
        snprintf(crop->crop.name, sizeof crop->crop.name, "%s", row->name);
    }
    if (row->fitness) {
        crop->own_fitness = true;
        crop->crop.fitness = row->fitness;
        crop->crop.fitness_source = CROP_OWN_SOURCE;
    }
    for (size_t i = 0; i < CROP_RANGES; i++)
        for (size_t j = 0; j < row->ranges.count; j++)
            if (strcmp(range[j].quantity, crop_quantities[i].key) == 0) {
                crop->own[i] = true;
                *range_of(&crop->crop, i) =
                    (struct crop_range){range[j].low, range[j].high, range[j].source ? range[j].source : CROP_OWN_SOURCE};
            }
}

static struct garden_crop from_own(const struct crop_row *row)
{
    const struct crop *like = crops_find(row->resembles ? row->resembles : "");
    struct garden_crop crop = {.id = row->id, .name = row->id, .resembles = row->resembles};

    crop.crop = like ? *like : crops[0]; /* a crop built in no longer: better an outlook of leaf lettuce than none */
    snprintf(crop.crop.id, sizeof crop.crop.id, "own");
    lay_over(&crop, row);
    return crop;
}

static struct garden_crop from_row(const struct crop_row *row)
{
    const struct crop *builtin = crops_find(row->id);
    struct garden_crop crop;

    if (!builtin)
        return from_own(row);
    crop = from_builtin(builtin);
    lay_over(&crop, row);
    return crop;
}

int garden_crops_in(struct db *db, struct list *all, struct arena *arena, struct fault *fault)
{
    struct list rows;
    const struct crop_row *row;
    struct garden_crop *crop;

    if (crop_rows_list(db, &rows, arena, fault))
        return -1;
    row = rows.item;
    crop = arena_take(arena, (crops_count + rows.count) * sizeof *crop);
    if (!crop)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < crops_count; i++)
        crop[i] = from_builtin(&crops[i]);
    *all = (struct list){crop, crops_count};
    for (size_t i = 0; i < rows.count; i++) {
        const struct crop *builtin = crops_find(row[i].id);

        if (builtin)
            lay_over(&crop[builtin - crops], &row[i]);
        else
            crop[all->count++] = from_own(&row[i]);
    }
    return 0;
}

int garden_crops(struct garden *garden, struct list *all, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || garden_crops_in(db, all, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

int garden_crop_one(struct db *db, const char *id, struct garden_crop *crop, struct arena *arena, struct fault *fault)
{
    const struct crop *builtin = crops_find(id);
    struct crop_row row;
    int found = crop_rows_one(db, id, &row, arena, fault);

    if (found < 0)
        return -1;
    if (found)
        *crop = from_row(&row);
    else if (builtin)
        *crop = from_builtin(builtin);
    return found || builtin;
}

const struct garden_crop *garden_crop_find(const struct list *all, const char *id)
{
    const struct garden_crop *crop = all->item;

    for (size_t i = 0; i < all->count; i++)
        if (strcmp(crop[i].id, id) == 0)
            return &crop[i];
    return NULL;
}

/* ---- told by the garden ---- */

static int check_told(const struct crop_told *told, struct fault *fault)
{
    int failed = 0;

    for (size_t i = 0; i < CROP_RANGES; i++) {
        const struct crop_quantity *quantity = &crop_quantities[i];
        const struct crop_range *range = &told->range[i];
        char at[48];

        snprintf(at, sizeof at, "/%s", quantity->key);
        if (isnan(range->low) && isnan(range->high))
            continue;
        if (!(range->low >= quantity->least && range->high <= quantity->most))
            failed = fault_add(fault, FAULT_INPUT, at, "must be from %g to %g", quantity->least, quantity->most);
        else if (!(range->low <= range->high))
            failed = fault_add(fault, FAULT_INPUT, at, "must go from low to high, was %g to %g", range->low, range->high);
    }
    return failed;
}

/* What an answer says where none was told, told back, is none. */
static const char *told_source(const struct crop_range *range)
{
    return range->source && strcmp(range->source, CROP_OWN_SOURCE) == 0 ? NULL : range->source;
}

static void tell(struct crop_row *row, const struct crop_told *told, const bool back[CROP_RANGES], struct crop_row_range *into)
{
    const struct crop_row_range *before = row->ranges.item;
    size_t count = 0;

    row->name = told->name ? told->name : row->name;
    row->fitness = told->fitness ? told->fitness : row->fitness;
    row->resembles = told->resembles ? told->resembles : row->resembles;
    for (size_t i = 0; i < CROP_RANGES; i++) {
        const char *key = crop_quantities[i].key;

        if (!isnan(told->range[i].low))
            into[count++] = (struct crop_row_range){key, told->range[i].low, told->range[i].high, told_source(&told->range[i])};
        else
            for (size_t j = 0; j < row->ranges.count && !back[i]; j++)
                if (strcmp(before[j].quantity, key) == 0)
                    into[count++] = before[j];
    }
    row->ranges = (struct list){into, count};
}

struct crop_job {
    const struct crop_told *told;
    const bool *back;
    struct garden_crop *crop;
    struct arena *arena;
    bool adding, stored_before;
};

static bool same_crop(const struct crop_row *a, const struct crop_row *b)
{
    const struct crop_row_range *x = a->ranges.item, *y = b->ranges.item;

    if (a->ranges.count != b->ranges.count || !resend_same_text(a->name, b->name) || !resend_same_text(a->fitness, b->fitness) ||
        !resend_same_text(a->resembles, b->resembles))
        return false;
    for (size_t i = 0; i < a->ranges.count; i++) {
        bool there = false;

        for (size_t j = 0; j < b->ranges.count; j++)
            there |= strcmp(x[i].quantity, y[j].quantity) == 0 && resend_same_real(x[i].low, y[j].low) && resend_same_real(x[i].high, y[j].high) &&
                     resend_same_text(x[i].source, y[j].source);
        if (!there)
            return false;
    }
    return true;
}

static int put_crop(struct db *db, void *context, struct fault *fault)
{
    static const bool none_back[CROP_RANGES] = {false};
    struct crop_job *job = context;
    struct crop_row there, row = {.id = job->told->id};
    struct crop_row_range *into = arena_take(job->arena, CROP_RANGES * sizeof *into);
    int found = crop_rows_one(db, job->told->id, &there, job->arena, fault);

    if (found < 0 || !into)
        return into ? -1 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (found && !job->adding)
        row = there;
    tell(&row, job->told, job->back ? job->back : none_back, into);
    if (found && job->adding) {
        job->stored_before = same_crop(&there, &row);
        *job->crop = from_row(&there);
        return job->stored_before ? 0 : resend_conflict(fault);
    }
    if (!found && !job->adding && !crops_find(job->told->id))
        return fault_add(fault, FAULT_ABSENT, "", "there is no such crop");
    if (found ? crop_rows_change(db, &row, fault) : crop_rows_add(db, &row, fault))
        return -1;
    return garden_crop_one(db, row.id, job->crop, job->arena, fault) == 1 ? 0 : -1;
}

int garden_crop_add(struct garden *garden, struct crop_told *told, struct garden_crop *made, bool *stored_before, struct arena *arena,
                    struct fault *fault)
{
    struct crop_job job = {.told = told, .crop = made, .arena = arena, .adding = true};

    if (resend_give_id(&told->id, arena, fault))
        return -1;
    if (!told->name)
        return fault_add(fault, FAULT_INPUT, "/name", "is required");
    if (!told->resembles || !crops_find(told->resembles))
        return fault_add(fault, FAULT_INPUT, "/resembles", "needs the built-in crop it resembles: its figures stand where none are given");
    if (check_told(told, fault) || store_write(garden->store, put_crop, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

int garden_crop_change(struct garden *garden, const struct crop_told *told, const bool back[CROP_RANGES], struct garden_crop *changed,
                       struct arena *arena, struct fault *fault)
{
    struct crop_job job = {.told = told, .back = back, .crop = changed, .arena = arena};

    if (told->resembles && crops_find(told->id))
        return fault_add(fault, FAULT_INPUT, "/resembles", "a built-in crop resembles itself");
    if (told->resembles && !crops_find(told->resembles))
        return fault_add(fault, FAULT_INPUT, "/resembles", "there is no such built-in crop");
    return check_told(told, fault) ? -1 : store_write(garden->store, put_crop, &job, fault);
}
