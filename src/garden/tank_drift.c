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

/* Where the water stood at a moment: straight between the readings around it. */
static double waterline_then(const struct list *readings, int64_t at_ms)
{
    const struct waterline_reading *seen = readings->item;
    size_t after = 0;

    while (after < readings->count && seen[after].at_ms < at_ms)
        after++;
    if (after == readings->count)
        return seen[after - 1].waterline_mm;
    if (after == 0 || seen[after].at_ms == at_ms)
        return seen[after].waterline_mm;
    return seen[after - 1].waterline_mm + (seen[after].waterline_mm - seen[after - 1].waterline_mm) *
                                              (double)(at_ms - seen[after - 1].at_ms) / (double)(seen[after].at_ms - seen[after - 1].at_ms);
}

/* Of many readings, so many as are taken, evenly. */
static size_t gather_ph(const struct tank_state *state, const struct vessel *vessel, struct drift_seen seen[DRIFT_SEEN_MOST])
{
    const struct observed *ph = state->ph_of_fill.item;
    size_t all = state->ph_of_fill.count, taken = all < DRIFT_SEEN_MOST ? all : DRIFT_SEEN_MOST, count = 0;

    for (size_t i = 0; i < taken && state->readings.count; i++) {
        const struct observed *one = &ph[i * all / taken];
        struct vessel_level level;

        if (vessel_at_waterline(vessel, waterline_then(&state->readings, one->at_ms), &level, NULL) == 0)
            seen[count++] = (struct drift_seen){level.volume_l, one->value};
    }
    return count;
}

int tank_drift_course(const struct standing *standing, const struct refill *refill, struct tank_drift *course, struct fault *fault)
{
    const struct tank_state *state = &standing->state;
    struct vessel vessel = tank_vessel(&standing->vessel);
    struct vessel_level low;
    struct drift_request request = {.volume_l = state->filled_l, .points = TANK_DRIFT_POINTS};
    struct drift_seen seen[DRIFT_SEEN_MOST];
    struct solution filled;

    if (!state->filled || !refill->recipe.count || !(state->filled_l > 0))
        return fault_add(fault, FAULT_ABSENT, "", "the log does not say what this fill was made of");
    if (mix_fill(state, refill, &request.start, fault) || solution_solve(&request.start, &filled, fault) ||
        vessel_at_waterline(&vessel, state->low_mm, &low, fault))
        return -1;
    request.least_l = fmax(low.volume_l, request.volume_l / 20);
    drift_uptake_like(&request.start, strength(state, filled.ec_ms_cm), request.uptake_mmol_l);
    course->ph_readings = gather_ph(state, &vessel, seen);
    if (drift_anchor(&request, seen, course->ph_readings, &course->alkalinity_shift_mmol_l, fault))
        return -1;
    if (!isnan(course->alkalinity_shift_mmol_l))
        drift_shift(&request, course->alkalinity_shift_mmol_l);
    return drift_course(&request, &course->drift, fault);
}
