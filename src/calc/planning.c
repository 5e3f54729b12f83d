/* planning.c - one outlook a number of plants, from an untouched fill. */
#include "calc/planning.h"

#include "calc/canopy.h"
#include "calc/vessel.h"

#include <math.h>
#include <string.h>

static void gone_through(const struct planning_given *given, struct planning *made)
{
    for (int n = 0; n < given->most; n++) {
        if (made->row[n].carries >= 0.9)
            made->plants_at_90 = made->row[n].plants;
        if (made->row[n].carries >= 0.5)
            made->plants_at_50 = made->row[n].plants;
    }
}

/* Room in the lid at the crop's own spacing, and how the ground is shared. */
static void room_of(const struct planning_given *given, struct planning *made)
{
    struct canopy canopy;
    double spacing_m = (given->crop->spacing_mm.low + given->crop->spacing_mm.high) / 2000.0;
    double reach_m2;

    canopy_of_crop(given->crop, &canopy);
    reach_m2 = canopy_reach_m2(given->vessel, canopy.overhang_m);
    made->plants_by_spacing = (int)fmax(floor(canopy_reach_m2(given->vessel, 0.0) / (spacing_m * spacing_m)), 1.0);
    for (int n = 0; n < given->most; n++) {
        double wanted = canopy.ground_m2 * made->row[n].plants;

        made->row[n].ground_share = canopy_crowded_m2(wanted, reach_m2) / wanted;
    }
}

static int start_of(const struct planning_given *given, struct planning *made, struct fault *fault)
{
    struct vessel_level start, low, base;
    struct fault inner = {0};

    if (vessel_check(given->vessel, &inner))
        return fault_under(fault, "/vessel", &inner);
    if (vessel_at_waterline(given->vessel, given->start_mm, &start, NULL))
        return fault_add(fault, FAULT_INPUT, "/start_mm", "must lie in the vessel, was %g", given->start_mm);
    if (!(given->low_mm <= given->start_mm) || vessel_at_waterline(given->vessel, given->low_mm, &low, NULL))
        return fault_add(fault, FAULT_INPUT, "/low_mm", "must be from 0 to %g, was %g", given->start_mm, given->low_mm);
    made->start_l = start.volume_l;
    made->usable_l = start.volume_l - low.volume_l;
    made->solution_kg = start.solution_kg;
    /* Where a poured table tells nothing of the floor, the waterline at the start stands in. */
    if (vessel_at_waterline(given->vessel, 0.0, &base, NULL) || !(base.surface_cm2 > 0.0))
        base = start;
    made->floor_kg_m2 = base.surface_cm2 > 0.0 ? start.solution_kg / (base.surface_cm2 / 1e4) : 0.0;
    return 0;
}

int planning_make(const struct planning_given *given, struct planning *planning, struct fault *fault)
{
    struct planning made;
    struct outlook_given ask;
    struct outlook_planting planting = {.crop = given->crop, .on = given->on, .harvest_on = DAYS_NONE, .sown_on = DAYS_NONE};
    struct outlook outlook;

    memset(&made, 0, sizeof made);
    if (!(given->most >= 1 && given->most <= PLANNING_PLANTS))
        return fault_add(fault, FAULT_INPUT, "/most", "must be from 1 to %d, was %d", PLANNING_PLANTS, given->most);
    if (start_of(given, &made, fault))
        return -1;
    outlook_given_init(&ask);
    ask.today = ask.filled_on = given->on;
    ask.horizon_days = OUTLOOK_HORIZON;
    ask.vessel = given->vessel;
    ask.start_mm = given->start_mm;
    ask.low_mm = given->low_mm;
    ask.climate = given->climate;
    ask.prior = given->prior;
    ask.planting = &planting;
    ask.planting_count = 1;
    made.count = given->most;
    for (int n = 0; n < given->most; n++) {
        planting.count = n + 1;
        if (outlook_make(&ask, &outlook, fault))
            return -1;
        made.row[n].plants = n + 1;
        /* One more plant never helps the water to last; crowding alone must not make it look so. */
        made.row[n].carries = n > 0 ? fmin(outlook.carries_to_harvest, made.row[n - 1].carries) : outlook.carries_to_harvest;
        made.row[n].litres = outlook.to_harvest_l;
        made.harvest_on = outlook.harvest_on;
    }
    room_of(given, &made);
    gone_through(given, &made);
    *planning = made;
    return 0;
}
