/* outlook_harvest.c - when the next planting is ready, what it drinks until then, and whether the water lasts. */
#include "calc/outlook_inside.h"

#include <math.h>

#define HARVEST_SPREAD 0.10 /* of the days to go, beside pace and size: ours */
#define HARVEST_SPREAD_DAYS 2.0
#define CERTAIN 1e-3 /* days: stands for none */

static double squared(double x)
{
    return x * x;
}

/* Days from the start of today until one candidate's planting is ready; at most the days of the world. */
static double days_to_ready(const struct world *world, const struct mixture *mixture, size_t c, size_t p)
{
    const struct world_planting *planting = &world->planting[p];
    const struct canopy *canopy = &world->canopy[planting->crop];
    double z = mixture->z_today[c][p], rate = canopy->rate * mixture->candidate[c].pace;

    for (int i = planting->from > world->today ? planting->from : world->today; i < world->count; i++) {
        double step = rate * world_units(world, &mixture->candidate[c], planting->crop, i);

        if (z + step >= canopy->z_harvest)
            return i - world->today + (step > 0.0 ? fmax((canopy->z_harvest - z) / step, 0.0) : 0.0);
        z += step;
    }
    return world->count - world->today;
}

/* Days from the start of today to readiness by one candidate, and their standard deviation. */
static void readiness(const struct world *world, const struct mixture *mixture, size_t c, size_t p, double *ready, double *spread)
{
    if (world->planting[p].harvest_on != DAYS_NONE) {
        *ready = (double)world->planting[p].harvest_on - world->first - world->today + 0.5;
        *spread = CERTAIN;
        return;
    }
    *ready = days_to_ready(world, mixture, c, p);
    *spread = sqrt(squared(HARVEST_SPREAD_DAYS) + squared(HARVEST_SPREAD * *ready));
    /* Not yet ready means not ready before today. */
    *spread = fmin(*spread, *ready / 2.0) + CERTAIN;
}

/* Adds one candidate's probability of being ready by the end of each day to by[]; returns that of the water lasting until then. */
static double carried(const struct world *world, const struct mixture *mixture, size_t c, size_t p, const double *bare, double low_l,
                      int days, double *by)
{
    double ready, spread, sum = 0.0, before = 0.0, low = 0.0, since = mixture->belief[c].t, m, v;
    double start = (double)world->first + world->today;
    int d;

    readiness(world, mixture, c, p, &ready, &spread);
    for (d = 0; d < days; d++) {
        double now = normal_below((d + 1.0 - ready) / spread);

        by[d] += mixture->candidate[c].weight * now;
        /* Ready within this day, and not low by its start. */
        if (now - before > 1e-6 && d > 0) {
            mixture_drunk(mixture, c, world_wander(world, since, start + d), bare[d - 1], d - 1, &m, &v);
            low = fmax(low, mixture_low(mixture, c, m, v, low_l));
        }
        sum += (now - before) * (1.0 - low);
        before = now;
    }
    /* What is ready later still is carried if the water stands by then. */
    mixture_drunk(mixture, c, world_wander(world, since, start + d), bare[d - 1], d - 1, &m, &v);
    return sum + (1.0 - before) * (1.0 - fmax(low, mixture_low(mixture, c, m, v, low_l)));
}

static double ready_by(const struct world *world, const struct mixture *mixture, size_t p, int days, double *by, double low_l)
{
    double bare[OUTLOOK_HORIZON + 1], sum = 0.0, so_far = world_bare_until(world, mixture->belief[0].t, world->today);

    for (int d = 0; d < days; d++) {
        double end = (double)world->first + world->today + d + 1.0;

        so_far += world->bare_l[world->today + d] * fmax(fmin(end - mixture->belief[0].t, 1.0), 0.0);
        bare[d] = so_far;
        by[d] = 0.0;
    }
    for (size_t c = 0; c < mixture->count; c++)
        if (mixture->candidate[c].weight > 0.0)
            sum += mixture->candidate[c].weight * carried(world, mixture, c, p, bare, low_l, days, by);
    return fmax(fmin(sum, 1.0), 0.0);
}

/* Litres from the start of today to the harvest of a planting. */
static void litres_to_harvest(const struct world *world, const struct mixture *mixture, size_t p, int days, struct outlook *outlook)
{
    double mean = 0.0, square = 0.0, start = (double)world->first + world->today;

    for (size_t c = 0; c < mixture->count; c++) {
        const struct belief *belief = &mixture->belief[c];
        double weight = mixture->candidate[c].weight, vigour = fmax(belief->vigour, VIGOUR_LEAST), ready, part, use, spread, m, v;
        int whole;

        if (weight == 0.0)
            continue;
        ready = world->planting[p].harvest_on != DAYS_NONE ? (double)world->planting[p].harvest_on - world->first - world->today
                                                           : days_to_ready(world, mixture, c, p);
        ready = fmax(fmin(ready, days), 0.0);
        whole = (int)ready;
        part = ready - whole;
        /* use[] holds the end of each day; today's start lies one day before its first. */
        use = mixture->use[c][whole] * part + (whole > 0 ? mixture->use[c][whole - 1] * (1.0 - part) : 0.0);
        spread = mixture->day_spread[c][whole] * part + (whole > 0 ? mixture->day_spread[c][whole - 1] * (1.0 - part) : 0.0);
        m = vigour * use + world_bare_until(world, (double)world->first + world->today, world->today + whole);
        v = use * use * belief->gg + learn_wander(belief, world_wander(world, start, start + ready), use, spread);
        mean += weight * m;
        square += weight * (v + m * m);
    }
    outlook->to_harvest_l = log_normal_spread(0.0, mean, square);
}

/* Of the planting that is ready next. */
void harvest_of_next(const struct world *world, const struct levels *levels, double low_mm, const struct mixture *mixture, int days,
                    struct outlook *outlook)
{
    double by[OUTLOOK_HORIZON + 1], soonest = INFINITY;
    size_t next = world->planting_count;

    outlook->harvest_on = (struct outlook_dates){DAYS_NONE, DAYS_NONE, DAYS_NONE};
    outlook->carries_to_harvest = NAN;
    outlook->to_harvest_l = (struct outlook_spread){NAN, NAN, NAN};
    for (size_t p = 0; p < world->planting_count; p++) {
        double ready = 0.0;

        outlook->ready_on[p] = DAYS_NONE;
        if (world->planting[p].until <= world->today)
            continue; /* gone */
        if (world->planting[p].harvest_on != DAYS_NONE)
            ready = (double)world->planting[p].harvest_on - world->first - world->today;
        else
            for (size_t c = 0; c < mixture->count; c++)
                if (mixture->candidate[c].weight >= 1e-3)
                    ready += mixture->candidate[c].weight * days_to_ready(world, mixture, c, p);
        if (ready < days)
            outlook->ready_on[p] = world->first + world->today + (int32_t)fmax(ready, 0.0);
        if (ready < soonest) {
            soonest = ready;
            next = p;
        }
    }
    if (next == world->planting_count)
        return;
    outlook->carries_to_harvest = ready_by(world, mixture, next, days, by, levels_volume_l(levels, low_mm));
    outlook->harvest_on = dates_passing(by, days, world->first + world->today);
    litres_to_harvest(world, mixture, next, days, outlook);
}
