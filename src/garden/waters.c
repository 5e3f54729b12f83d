/* waters.c - the rules of source waters. */
#include "garden/waters.h"

#include <math.h>
#include <string.h>

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

/* pH and alkalinity that contradict each other are refused here, not at each recipe that takes the water later. */
static int check_water(const struct water_row *row, struct fault *fault)
{
    struct source_water water = {.ph = row->value[WATER_PH], .alkalinity_mg_caco3_l = row->value[WATER_ALKALINITY]};
    struct solution_input given;

    if (isnan(water.ph) || isnan(water.alkalinity_mg_caco3_l))
        return 0;
    water = water_source(row);
    solution_begin(&given, 25);
    return solution_add_water(&given, &water, 1, fault);
}

int garden_water_add(struct garden *garden, struct water_row *water, bool *stored_before, struct arena *arena, struct fault *fault)
{
    struct water_job job = {.water = water, .arena = arena};

    if (check_water(water, fault) || resend_give_id(&water->id, arena, fault) || store_write(garden->store, add_water, &job, fault))
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

    if (check_water(water, fault))
        return -1;
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

/* ---- what it is reckoned as ---- */

/* Where each value goes; hardness and EC are no members of a water. */
static const struct {
    enum water_value value;
    size_t offset;
} members[] = {
    {WATER_PH, offsetof(struct source_water, ph)},       {WATER_ALKALINITY, offsetof(struct source_water, alkalinity_mg_caco3_l)},
    {WATER_CA, offsetof(struct source_water, ca_mg_l)},  {WATER_MG, offsetof(struct source_water, mg_mg_l)},
    {WATER_NA, offsetof(struct source_water, na_mg_l)},  {WATER_K, offsetof(struct source_water, k_mg_l)},
    {WATER_NH4, offsetof(struct source_water, nh4_mg_l)}, {WATER_CL, offsetof(struct source_water, cl_mg_l)},
    {WATER_SO4, offsetof(struct source_water, so4_mg_l)}, {WATER_NO3, offsetof(struct source_water, no3_mg_l)},
    {WATER_PO4, offsetof(struct source_water, po4_mg_l)}, {WATER_SI, offsetof(struct source_water, si_mg_l)},
    {WATER_B, offsetof(struct source_water, b_mg_l)},
};

static void lay_over(const struct water_row *row, struct source_water *water)
{
    for (size_t i = 0; i < sizeof members / sizeof *members; i++)
        if (!isnan(row->value[members[i].value]))
            memcpy((char *)water + members[i].offset, &row->value[members[i].value], sizeof(double));
}

/* A strip tells a class, not a number: a quarter more or a fifth less may be the same colour. Ours. */
#define STRIP_LOW 0.8
#define STRIP_HIGH 1.25

static struct water_strip strip_of(const struct water_row *row)
{
    double hardness = row->value[WATER_HARDNESS], alkalinity = row->value[WATER_ALKALINITY], ph = row->value[WATER_PH], no3 = row->value[WATER_NO3];

    return (struct water_strip){.hardness_mg_caco3_l = hardness,
                                .hardness_low = hardness * STRIP_LOW,
                                .hardness_high = hardness * STRIP_HIGH,
                                .alkalinity_mg_caco3_l = alkalinity,
                                .alkalinity_low = alkalinity * STRIP_LOW,
                                .alkalinity_high = alkalinity * STRIP_HIGH,
                                .ph = ph,
                                .ph_low = ph - 0.5,
                                .ph_high = ph + 0.5,
                                .no3_mg_l = no3,
                                .no3_low = no3 * STRIP_LOW,
                                .no3_high = no3 * STRIP_HIGH};
}

/* The best way that what is known allows; one that the calculation refuses falls through to the next. */
static enum water_reckoned estimate(const struct water_row *row, struct water_estimate *made)
{
    double hardness = row->value[WATER_HARDNESS], alkalinity = row->value[WATER_ALKALINITY], ec = row->value[WATER_EC];
    struct water_strip strip = strip_of(row);

    if (!isnan(hardness) && !isnan(alkalinity) && !isnan(ec) &&
        water_from_hardness(hardness, alkalinity, ec, row->value[WATER_PH], made, NULL) == 0)
        return RECKONED_HARDNESS;
    if ((!isnan(hardness) || !isnan(alkalinity)) && water_from_strip(&strip, made, NULL) == 0)
        return RECKONED_STRIPS;
    if (!isnan(ec) && water_from_ec(ec, made, NULL) == 0)
        return RECKONED_METER;
    made->water = made->low = made->high = (struct source_water){.ph = 7.0};
    return RECKONED_NOTHING;
}

enum water_reckoned water_reckon(const struct water_row *row, struct source_water *water, struct source_water *low, struct source_water *high)
{
    bool analysed = !isnan(row->value[WATER_CA]) && !isnan(row->value[WATER_MG]) && !isnan(row->value[WATER_ALKALINITY]);
    struct water_estimate made = {.water = {.ph = 7.0}, .low = {.ph = 7.0}, .high = {.ph = 7.0}};
    enum water_reckoned by = analysed ? RECKONED_ANALYSIS : estimate(row, &made);

    *water = made.water;
    *low = made.low;
    *high = made.high;
    lay_over(row, water);
    lay_over(row, low);
    lay_over(row, high);
    return by;
}

struct source_water water_source(const struct water_row *row)
{
    struct source_water water, low, high;

    water_reckon(row, &water, &low, &high);
    return water;
}
