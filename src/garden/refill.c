/* refill.c - from a log to a top-up. */
#include "garden/refill.h"

#include <math.h>
#include <string.h>

#include "garden/shelf.h"
#include "garden/targets.h"
#include "garden/waters.h"

/* What a home scale tells apart, g; common practice, no source. */
#define SCALE_STEP_G 0.1

/* The salts of the fill, as the recipe takes them, with the grams that were weighed. A salt that the shelf no longer
 * knows is left out. */
static int gather_salts(struct db *db, const struct list *weighed, struct recipe_request *recipe, double *grams, struct arena *arena,
                        struct fault *fault)
{
    const struct entry_salt *noted = weighed->item;

    for (size_t i = 0; i < weighed->count && recipe->count < RECIPE_SALTS; i++) {
        struct shelf_salt *salt = arena_take(arena, sizeof *salt);
        int found;

        if (!salt)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        found = shelf_salt_one(db, noted[i].salt, salt, arena, fault);
        if (found < 0)
            return -1;
        if (!found)
            continue;
        grams[recipe->count] = noted[i].grams;
        recipe->salt[recipe->count++] = (struct recipe_salt){&salt->salt, NAN};
    }
    return 0;
}

static int gather_water(struct db *db, const char *id, struct refill *refill, struct arena *arena, struct fault *fault)
{
    struct water_row row;
    int found = id ? water_rows_one(db, id, &row, arena, fault) : 0;

    if (found == 1) {
        refill->water = water_source(&row);
        refill->recipe.water = &refill->water;
    }
    return found < 0 ? -1 : 0;
}

static int gather_target(struct db *db, const char *id, struct refill *refill, struct arena *arena, struct fault *fault)
{
    struct garden_target target;
    int found = id ? garden_target_one(db, id, &target, arena, fault) : 0;

    if (found == 1) {
        memcpy(refill->recipe.target.mg_l, target.mg_l, sizeof refill->recipe.target.mg_l);
        refill->recipe.target.n_nh4_max_mg_l = target.mg_l[TARGET_NH4_MAX];
        refill->target_known = true;
    }
    return found < 0 ? -1 : 0;
}

/* What grams of these salts made of so much water, mg/L; false where nothing was weighed. */
static bool delivered(const struct refill *refill, const double *grams, double volume_l, double mg_l[ELEMENT_NUTRIENTS])
{
    struct recipe_request made = refill->recipe;

    made.volume_l = volume_l;
    return made.count > 0 && volume_l > 0 && recipe_deliver(&made, grams, mg_l, NULL, NULL) == 0;
}

/* The fill's own strength is the target where none was named. Elements that no salt brought are not aimed at. */
static void target_of_fill(struct refill *refill, const double mg_l[ELEMENT_NUTRIENTS])
{
    for (int i = 0; i < ELEMENT_NUTRIENTS; i++)
        refill->recipe.target.mg_l[i] = mg_l[i] > 0 ? mg_l[i] : (double)NAN;
    refill->target_known = true;
}

/* Elements put in since the fill: with the fill and with each top-up, its water included. */
static int sum_put_in(struct db *db, const struct tank_state *state, struct refill *refill, const double fill_mg_l[ELEMENT_NUTRIENTS],
                      struct arena *arena, struct fault *fault)
{
    struct refill since = {.water = refill->water};
    double grams[RECIPE_SALTS] = {0}, mg_l[ELEMENT_NUTRIENTS] = {0};
    bool any;

    since.recipe.water = refill->recipe.water;
    if (gather_salts(db, &state->weighed_since, &since.recipe, grams, arena, fault))
        return -1;
    any = delivered(&since, grams, state->added_l, mg_l);
    if (!any)
        recipe_water_elements(refill->recipe.water, mg_l, NULL);
    for (int i = 0; i < ELEMENT_NUTRIENTS; i++)
        refill->topup.put_in_mg[i] = fill_mg_l[i] * state->filled_l + mg_l[i] * state->added_l;
    refill->topup.drunk_l = fmax(0, state->filled_l + state->added_l - state->volume_l);
    return 0;
}

static bool anything_hangs(const struct tank_state *state)
{
    const struct cup_state *cup = state->cups.item;

    for (size_t i = 0; i < state->cups.count; i++)
        if (cup[i].crop)
            return true;
    return false;
}

static double volume_at(const struct vessel *vessel, double waterline_mm)
{
    struct vessel_level level;

    return vessel_at_waterline(vessel, fmin(fmax(waterline_mm, 0), vessel_height_mm(vessel)), &level, NULL) ? (double)NAN : level.volume_l;
}

/* What will be drunk until the harvest, by the coming waterlines: plants that grow drink more each day. Where the tank
 * would be dry before, the last day's use goes on. */
static double use_until_harvest(const struct outlook *outlook, const struct vessel *vessel, int32_t today)
{
    int32_t days = outlook->harvest_on.p50 - today;
    double before_l = volume_at(vessel, outlook->waterline_now_mm), use_l = 0, day_l = outlook->use_l_day.p50;

    for (int32_t day = 0; day < days && (size_t)day < outlook->waterline_count; day++) {
        double after_l = volume_at(vessel, outlook->waterline[day].p50_mm);

        if (outlook->waterline[day].p50_mm > 0)
            day_l = fmax(0, before_l - after_l);
        use_l += day_l;
        before_l = after_l;
    }
    return use_l;
}

static void give_level(const struct standing_place *place, const struct standing *standing, const struct vessel *vessel,
                       struct topup_given *given)
{
    const struct tank_state *state = &standing->state;
    const struct outlook *outlook = standing->outlook;

    topup_given_init(given);
    given->vessel = vessel;
    given->waterline_mm = fmin(fmax(outlook ? outlook->waterline_now_mm : state->waterline.value, 0), state->height_mm);
    given->ceiling_mm = fmax(state->ceiling_mm, given->waterline_mm);
    given->roots_hang = anything_hangs(state) && state->lowest_mm < state->start_mm - RISE_SAFE_MM;
    given->ec_ms_cm = state->ec.value;
    if (outlook && outlook->harvest_on.p50 != DAYS_NONE) {
        given->days_left = fmax(0, outlook->harvest_on.p50 - place->today);
        given->use_l = use_until_harvest(outlook, vessel, place->today);
    }
}

int refill_gather(struct db *db, const struct standing_place *place, const struct standing *standing, const struct vessel *vessel,
                  struct refill *refill, struct arena *arena, struct fault *fault)
{
    const struct tank_state *state = &standing->state;
    double fill_mg_l[ELEMENT_NUTRIENTS];

    memset(refill, 0, sizeof *refill);
    give_level(place, standing, vessel, &refill->topup);
    recipe_target_clear(&refill->recipe.target);
    refill->recipe.scale_step_g = SCALE_STEP_G;
    if (gather_water(db, state->water, refill, arena, fault) || gather_target(db, state->target, refill, arena, fault) ||
        gather_salts(db, &state->weighed, &refill->recipe, refill->grams, arena, fault))
        return -1;
    if (delivered(refill, refill->grams, state->filled_l, fill_mg_l)) {
        if (!refill->target_known)
            target_of_fill(refill, fill_mg_l);
        if (sum_put_in(db, state, refill, fill_mg_l, arena, fault))
            return -1;
    }
    recipe_water_elements(refill->recipe.water, refill->topup.water_mg_l, NULL);
    memcpy(refill->topup.target_mg_l, refill->recipe.target.mg_l, sizeof refill->topup.target_mg_l);
    return 0;
}

struct mix_topup *refill_make(const struct refill *refill, double ph, struct arena *arena, struct fault *fault)
{
    struct mix_topup_request request = {.topup = refill->topup,
                                        .recipe = refill->recipe,
                                        .temperature_c = 20,
                                        .ph = ph,
                                        .acid = MIX_USUAL_ACID,
                                        .strength_percent = MIX_USUAL_STRENGTH_PERCENT};

    return mix_topup_make(&request, arena, fault);
}
