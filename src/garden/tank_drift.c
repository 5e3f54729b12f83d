/* tank_drift.c - the course of a fill. */
#include "garden/tank_drift.h"

#include <math.h>
#include <string.h>

/* A litre of the fill as it was mixed, at rest with the air above it. */
static int mix_fill(const struct tank_state *state, const struct refill *refill, struct solution_input *input, struct fault *fault)
{
    *input = (struct solution_input){.temperature_c = isnan(state->temperature.value) ? 20 : fmin(fmax(state->temperature.value, 0), 40),
                                     .gas = SOLUTION_OPEN_AIR,
                                     .pco2_atm = PCO2_OUTDOOR_AIR_ATM};
    if (refill->recipe.water && solution_add_water(input, refill->recipe.water, 1, fault))
        return -1;
    for (size_t i = 0; i < refill->recipe.count; i++) {
        struct salt salt = *refill->recipe.salt[i].salt;
        double gap_meq_g;

        if (salts_close_charge(&salt, &gap_meq_g, fault) || solution_add_salt(input, &salt, refill->grams[i] / state->filled_l, fault))
            return -1;
    }
    return 0;
}

/* How strong a solution the plants drink, against the fill's own. */
static double strength(const struct tank_state *state, double fill_ec_ms_cm)
{
    const struct cup_state *cup = state->cups.item;
    const struct crop *crop = NULL;

    for (size_t i = 0; i < state->cups.count && !crop; i++)
        crop = cup[i].crop ? crops_find(cup[i].crop) : NULL;
    if (!crop || !(fill_ec_ms_cm > 0))
        return 1;
    return fmin(fmax((crop->ec_ms_cm.low + crop->ec_ms_cm.high) / 2 / fill_ec_ms_cm, DRIFT_STRENGTH_LEAST), DRIFT_STRENGTH_MOST);
}

int tank_drift_course(const struct standing *standing, const struct refill *refill, struct drift *drift, struct fault *fault)
{
    const struct tank_state *state = &standing->state;
    struct vessel vessel = tank_vessel(&standing->vessel);
    struct vessel_level low;
    struct drift_request request = {.volume_l = state->filled_l, .points = TANK_DRIFT_POINTS};
    struct solution filled;

    if (!state->filled || !refill->recipe.count || !(state->filled_l > 0))
        return fault_add(fault, FAULT_ABSENT, "", "the log does not say what this fill was made of");
    if (mix_fill(state, refill, &request.start, fault) || solution_solve(&request.start, &filled, fault) ||
        vessel_at_waterline(&vessel, state->low_mm, &low, fault))
        return -1;
    request.least_l = fmax(low.volume_l, request.volume_l / 20);
    drift_uptake_like(&request.start, strength(state, filled.ec_ms_cm), request.uptake_mmol_l);
    return drift_course(&request, drift, fault);
}
