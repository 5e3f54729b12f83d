/* dilute.c - balances of mass in a tank. */
#include "calc/dilute.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Our bounds: they catch slips of the finger and wrong units. */
#define VOLUME_MOST_L 1e6
#define MG_L_MOST 1e6

static bool is_volume(double volume_l)
{
    return volume_l >= 0.0 && volume_l <= VOLUME_MOST_L;
}

static bool is_concentration(double mg_l)
{
    return mg_l >= 0.0 && mg_l <= MG_L_MOST;
}

static void check_volume(double volume_l, const char *at, struct fault *fault)
{
    if (!is_volume(volume_l))
        fault_add(fault, FAULT_INPUT, at, "must be from 0 to %g L, was %g", VOLUME_MOST_L, volume_l);
}

static void check_concentrations(const double mg_l[ELEMENT_NUTRIENTS], const char *under, struct fault *fault)
{
    char at[40];

    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        if (!is_concentration(mg_l[e])) {
            snprintf(at, sizeof at, "%s/%s", under, element_key[e]);
            fault_add(fault, FAULT_INPUT, at, "must be from 0 to %g mg/L, was %g", MG_L_MOST, mg_l[e]);
        }
}

static int give(const struct fault *found, struct fault *fault)
{
    return found->code == FAULT_NONE ? 0 : fault_under(fault, "", found);
}

int dilute_add(struct dilute_tank *tank, double volume_l, const double mg_l[ELEMENT_NUTRIENTS], struct fault *fault)
{
    struct fault found = {0};

    check_volume(volume_l, "/volume_l", &found);
    check_concentrations(mg_l, "/mg_l", &found);
    if (give(&found, fault))
        return -1;
    tank->volume_l += volume_l;
    tank->put_in_l += volume_l;
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        tank->put_in_mg[e] += volume_l * mg_l[e];
    return 0;
}

int dilute_fill(struct dilute_tank *tank, double volume_l, const double mg_l[ELEMENT_NUTRIENTS], struct fault *fault)
{
    struct dilute_tank anew = {0};

    if (dilute_add(&anew, volume_l, mg_l, fault))
        return -1;
    *tank = anew;
    return 0;
}

int dilute_level(struct dilute_tank *tank, double volume_l, struct fault *fault)
{
    struct fault found = {0};

    check_volume(volume_l, "/volume_l", &found);
    if (give(&found, fault))
        return -1;
    if (volume_l < tank->volume_l)
        tank->drunk_l += tank->volume_l - volume_l;
    else
        tank->gained_l += volume_l - tank->volume_l;
    tank->volume_l = volume_l;
    return 0;
}

int dilute_pour_out(struct dilute_tank *tank, double volume_l, struct fault *fault)
{
    double kept;

    if (!(volume_l >= 0.0 && volume_l <= tank->volume_l))
        return fault_add(fault, FAULT_INPUT, "/volume_l", "must be from 0 to the %g L in the tank, was %g", tank->volume_l, volume_l);
    kept = tank->volume_l > 0.0 ? 1.0 - volume_l / tank->volume_l : 1.0;
    tank->volume_l -= volume_l;
    tank->put_in_l *= kept;
    tank->gained_l *= kept;
    /* What was drunk is shared out as well: the balance goes on as of a tank that was this much smaller all along. */
    tank->drunk_l *= kept;
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        tank->put_in_mg[e] *= kept;
    return 0;
}

static void check_uptake(const double *low, const double *high, struct fault *fault)
{
    char at[40];

    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        double least = isnan(low[e]) ? 0.0 : low[e], most = isnan(high[e]) ? MG_L_MOST : high[e];

        if (is_concentration(least) && is_concentration(most) && least <= most)
            continue;
        snprintf(at, sizeof at, "/uptake_mg_l/%s", element_key[e]);
        fault_add(fault, FAULT_INPUT, at, "must be 0 or more, and the low end not above the high: %g, %g", low[e], high[e]);
    }
}

int dilute_left(const struct dilute_tank *tank, const double low_mg_l[ELEMENT_NUTRIENTS], const double high_mg_l[ELEMENT_NUTRIENTS],
                struct dilute_left *left, struct fault *fault)
{
    struct fault found = {0};

    check_uptake(low_mg_l, high_mg_l, &found);
    if (give(&found, fault))
        return -1;
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        double there = tank->put_in_mg[e], least = isnan(low_mg_l[e]) ? 0.0 : fmin(there, tank->drunk_l * low_mg_l[e]);
        double most = tank->drunk_l <= 0.0 ? 0.0 : isnan(high_mg_l[e]) ? there : fmin(there, tank->drunk_l * high_mg_l[e]);

        left->least_taken_mg[e] = least;
        left->most_taken_mg[e] = most;
        left->low_mg_l[e] = tank->volume_l > 0.0 ? (there - most) / tank->volume_l : NAN;
        left->high_mg_l[e] = tank->volume_l > 0.0 ? (there - least) / tank->volume_l : NAN;
    }
    left->concentrated = tank->volume_l > 0.0 ? tank->put_in_l / tank->volume_l : NAN;
    return 0;
}

int dilute_taken(const struct dilute_tank *tank, const double mg_l[ELEMENT_NUTRIENTS], double taken_mg[ELEMENT_NUTRIENTS],
                 double taken_mg_l[ELEMENT_NUTRIENTS], struct fault *fault)
{
    struct fault found = {0};
    double known[ELEMENT_NUTRIENTS];

    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        known[e] = isnan(mg_l[e]) ? 0.0 : mg_l[e];
    check_concentrations(known, "/mg_l", &found);
    if (give(&found, fault))
        return -1;
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        taken_mg[e] = tank->put_in_mg[e] - tank->volume_l * mg_l[e];
        taken_mg_l[e] = tank->drunk_l > 0.0 ? taken_mg[e] / tank->drunk_l : NAN;
    }
    return 0;
}

int dilute_mix(double a_l, const double a_mg_l[ELEMENT_NUTRIENTS], double b_l, const double b_mg_l[ELEMENT_NUTRIENTS],
               double mg_l[ELEMENT_NUTRIENTS], struct fault *fault)
{
    struct fault found = {0};

    check_volume(a_l, "/a/volume_l", &found);
    check_volume(b_l, "/b/volume_l", &found);
    check_concentrations(a_mg_l, "/a/mg_l", &found);
    check_concentrations(b_mg_l, "/b/mg_l", &found);
    if (found.code == FAULT_NONE && !(a_l + b_l >= 1e-6))
        fault_add(&found, FAULT_INPUT, "", "there is nothing to mix");
    if (give(&found, fault))
        return -1;
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        mg_l[e] = (a_l * a_mg_l[e] + b_l * b_mg_l[e]) / (a_l + b_l);
    return 0;
}

int dilute_water_for(double volume_l, double mg_l, double water_mg_l, double aim_mg_l, double *add_l, struct fault *fault)
{
    struct fault found = {0};
    double added;

    check_volume(volume_l, "/volume_l", &found);
    if (!is_concentration(mg_l))
        fault_add(&found, FAULT_INPUT, "/mg_l", "must be from 0 to %g mg/L, was %g", MG_L_MOST, mg_l);
    if (!is_concentration(water_mg_l))
        fault_add(&found, FAULT_INPUT, "/water_mg_l", "must be from 0 to %g mg/L, was %g", MG_L_MOST, water_mg_l);
    if (give(&found, fault))
        return -1;
    if (aim_mg_l == mg_l) {
        *add_l = 0.0;
        return 0;
    }
    added = volume_l * (mg_l - aim_mg_l) / (aim_mg_l - water_mg_l);
    if (!(added >= 0.0 && added <= VOLUME_MOST_L))
        return fault_add(fault, FAULT_INPUT, "/aim_mg_l", "no amount of water with %g mg/L brings %g to %g mg/L", water_mg_l, mg_l, aim_mg_l);
    *add_l = added;
    return 0;
}
