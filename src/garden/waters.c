/* waters.c - the rules of source waters. */
#include "garden/waters.h"

#include <math.h>

#include "garden/resend.h"

const char *const water_value_key[WATER_VALUES] = {
    "ph",      "alkalinity_mg_caco3_l", "hardness_mg_caco3_l", "ec_ms_cm", "ca_mg_l",  "mg_mg_l", "na_mg_l", "k_mg_l",
    "nh4_mg_l", "cl_mg_l",              "so4_mg_l",            "no3_mg_l", "po4_mg_l", "si_mg_l", "b_mg_l"};

int garden_waters(struct garden *garden, struct list *waters, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || water_rows_list(db, waters, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

struct water_job {
    struct water_row *water;
    struct arena *arena;
    bool stored_before;
};

static bool same_water(const struct water_row *a, const struct water_row *b)
{
    for (int i = 0; i < WATER_VALUES; i++)
        if (!resend_same_real(a->value[i], b->value[i]))
            return false;
    return resend_same_text(a->name, b->name) && a->analysed_day == b->analysed_day && a->method == b->method;
}

static int add_water(struct db *db, void *context, struct fault *fault)
{
    struct water_job *job = context;
    struct water_row there;
    int found = water_rows_one(db, job->water->id, &there, job->arena, fault);

    if (found < 0)
        return -1;
    if (!found)
        return water_rows_add(db, job->water, fault);
    job->stored_before = same_water(&there, job->water);
    return job->stored_before ? 0 : resend_conflict(fault);
}

int garden_water_add(struct garden *garden, struct water_row *water, bool *stored_before, struct arena *arena, struct fault *fault)
{
    struct water_job job = {.water = water, .arena = arena};

    if (resend_give_id(&water->id, arena, fault) || store_write(garden->store, add_water, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

static int change_water(struct db *db, void *context, struct fault *fault)
{
    struct water_job *job = context;
    struct water_row there;
    int found = water_rows_one(db, job->water->id, &there, job->arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such water");
    job->water->key = there.key;
    return water_rows_change(db, job->water, fault);
}

int garden_water_change(struct garden *garden, struct water_row *water, struct arena *arena, struct fault *fault)
{
    struct water_job job = {.water = water, .arena = arena};

    return store_write(garden->store, change_water, &job, fault);
}

int water_unknown(const struct water_row *water, struct list *keys, struct arena *arena, struct fault *fault)
{
    static const enum water_value wanted[] = {WATER_PH, WATER_ALKALINITY, WATER_CA,  WATER_MG, WATER_NA,
                                              WATER_K,  WATER_CL,         WATER_SO4, WATER_NO3};
    const char **key = arena_take(arena, sizeof wanted / sizeof *wanted * sizeof *key);

    if (!key)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *keys = (struct list){key, 0};
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        if (isnan(water->value[wanted[i]]))
            key[keys->count++] = water_value_key[wanted[i]];
    return 0;
}

static double known(const struct water_row *water, enum water_value value, double otherwise)
{
    return isnan(water->value[value]) ? otherwise : water->value[value];
}

struct source_water water_source(const struct water_row *water)
{
    return (struct source_water){.ph = known(water, WATER_PH, 7.0),
                                 .alkalinity_mg_caco3_l = known(water, WATER_ALKALINITY, 0),
                                 .ca_mg_l = known(water, WATER_CA, 0),
                                 .mg_mg_l = known(water, WATER_MG, 0),
                                 .na_mg_l = known(water, WATER_NA, 0),
                                 .k_mg_l = known(water, WATER_K, 0),
                                 .nh4_mg_l = known(water, WATER_NH4, 0),
                                 .cl_mg_l = known(water, WATER_CL, 0),
                                 .so4_mg_l = known(water, WATER_SO4, 0),
                                 .no3_mg_l = known(water, WATER_NO3, 0),
                                 .po4_mg_l = known(water, WATER_PO4, 0),
                                 .si_mg_l = known(water, WATER_SI, 0),
                                 .b_mg_l = known(water, WATER_B, 0)};
}
