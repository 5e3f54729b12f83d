/* outlook_mixture.c - the candidates weighed against each other, and what they say together. */
#include "calc/outlook_inside.h"

#include <math.h>

#define GRID_REACH 2.2 /* standard deviations that the grid reaches to either side */
/* A band of whole days that counts both its ends holds more than the 80 of 100 it promises, the more so the narrower it is. Taking off
 * a quarter of each end's own day brings it near: ours, by the simulator.
 */
#define END_SHARE 0.25
#define NEGLIGIBLE 1e-5 /* beside the best candidate: ours */

double prior_spread(double given, double usual)
{
    return isnan(given) ? usual : fmax(fmin(given, PRIOR_SPREAD_MOST), PRIOR_SPREAD_LEAST);
}

void mixture_grid(const struct outlook_given *given, struct mixture *mixture)
{
    double median = isnan(given->prior.pace) ? 1.0 : given->prior.pace;
    double spread = prior_spread(given->prior.pace_spread, PACE_SPREAD);

    mixture->count = 0;
    for (int p = 0; p < PACES; p++)
        for (int s = 0; s < SIZES; s++) {
            double pace = GRID_REACH * (2.0 * p / (PACES - 1) - 1.0), size = GRID_REACH * (2.0 * s / (SIZES - 1) - 1.0);

            mixture->candidate[mixture->count++] = (struct candidate){
                .pace = median * exp(spread * pace),
                .size = SIZE_SPREAD * size,
                .warmer = pace,
                .log_weight = -0.5 * (pace * pace + size * size),
            };
        }
}

static void weigh(struct mixture *mixture)
{
    double best = -INFINITY, sum = 0.0;

    for (size_t c = 0; c < mixture->count; c++)
        best = fmax(best, mixture->candidate[c].log_weight);
    for (size_t c = 0; c < mixture->count; c++) {
        double weight = exp(mixture->candidate[c].log_weight - best);

        /* What cannot be seen in any quantile need not be followed into the future. */
        mixture->candidate[c].weight = weight < NEGLIGIBLE ? 0.0 : weight;
        sum += mixture->candidate[c].weight;
    }
    for (size_t c = 0; c < mixture->count; c++)
        mixture->candidate[c].weight /= sum;
}

double world_bare_until(const struct world *world, double from, int end)
{
    double sum = 0.0;

    for (int i = 0; i < end; i++) {
        double day_start = (double)world->first + i;

        if (day_start + 1.0 > from)
            sum += world->bare_l[i] * fmin(day_start + 1.0 - from, 1.0);
    }
    return sum;
}

/* One candidate's use at vigour 1 from t to the end of each day from today on, and its spread. */
static void expect(const struct world *world, const double *use_l, double t, double use[], double day_spread[])
{
    double sum = 0.0, spread = 0.0;

    for (int i = 0; i < world->count; i++) {
        double part = fmax(fmin((double)world->first + i + 1.0 - t, 1.0), 0.0);

        sum += part * use_l[i];
        spread += part * world->spread[i] * use_l[i] * use_l[i];
        if (i >= world->today) {
            use[i - world->today] = sum;
            day_spread[i - world->today] = spread;
        }
    }
}

/* Runs every candidate through the events and keeps what each expects of the days from today on. */
void mixture_learn(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                  const struct event *event, size_t count, struct mixture *mixture)
{
    double use_l[WORLD_DAYS];

    for (size_t c = 0; c < mixture->count; c++) {
        struct belief *belief = &mixture->belief[c];

        world_use(world, &mixture->candidate[c], use_l, mixture->z_today[c]);
        mixture->candidate[c].log_weight += learn_run(given, world, levels, use_l, event, count, belief);
        expect(world, use_l, belief->t, mixture->use[c], mixture->day_spread[c]);
    }
    weigh(mixture);
    mixture->volume_l = 0.0;
    for (size_t c = 0; c < mixture->count; c++)
        mixture->volume_l += mixture->candidate[c].weight * mixture->belief[c].volume_l;
}

/* Mean and variance of what leaves the tank from its belief's moment to the end of day d, by one candidate;
 * counted from the mixture's volume.
 */
void mixture_drunk(const struct mixture *mixture, size_t c, double wander, double bare, int d, double *mean, double *variance)
{
    const struct belief *belief = &mixture->belief[c];
    double use = mixture->use[c][d], vigour = fmax(belief->vigour, VIGOUR_LEAST);

    *mean = mixture->volume_l - belief->volume_l + vigour * use + bare;
    *variance = fmax(belief->vv - 2.0 * use * belief->vg + use * use * belief->gg, 0.0) +
                learn_wander(belief, wander, use, mixture->day_spread[c][d]);
}

double normal_below(double z)
{
    return 0.5 * erfc(-z * 0.70710678118654752);
}

/* Log-normal by its mean and variance. */
static double logarithm_spread(double mean, double variance)
{
    return sqrt(log1p(variance / (mean * mean)));
}

/* Probability that a log-normal of this mean and variance is above a limit above 0. */
static double log_normal_exceeds(double mean, double variance, double limit)
{
    double spread;

    /* Far below, by Cantelli's bound of 1 in 10,000; spares most of the work of early days. */
    if (limit > mean && (limit - mean) * (limit - mean) > 1e4 * variance)
        return 0.0;
    spread = fmax(logarithm_spread(mean, variance), 1e-6);
    return normal_below((log(mean / limit) - spread * spread / 2.0) / spread);
}

double mixture_low(const struct mixture *mixture, size_t c, double mean, double variance, double low_l)
{
    double limit = mixture->volume_l - low_l;

    /* So near to the mark that it is the waterline itself which is not known to the millimetre: that error is normal. */
    if (mean <= 1e-9 || limit <= 0.0 || limit * limit < 9.0 * mixture->belief[c].vv)
        return normal_below((mean - limit) / sqrt(variance + 1e-12));
    return log_normal_exceeds(mean, variance, limit);
}

double log_normal_quantile(double mean, double variance, double z)
{
    double spread;

    if (mean <= 1e-9)
        return mean + z * sqrt(variance);
    spread = logarithm_spread(mean, variance);
    return mean * exp(spread * z - spread * spread / 2.0);
}

/* Quantiles of a sum of something certain and a log-normal by its mean and mean square, never below the certain part. */
struct outlook_spread log_normal_spread(double certain, double mean, double square)
{
    double variance = fmax(square - mean * mean, 0.0);

    return (struct outlook_spread){.p10 = certain + fmax(log_normal_quantile(mean, variance, -Z_P90), 0.0),
                                   .p50 = certain + fmax(log_normal_quantile(mean, variance, 0.0), 0.0),
                                   .p90 = certain + fmax(log_normal_quantile(mean, variance, Z_P90), 0.0)};
}

void mixture_run_low(const struct world *world, const struct levels *levels, double low_mm, struct mixture *mixture)
{
    double low_l = levels_volume_l(levels, low_mm), so_far = 0.0, since = mixture->belief[0].t;
    double bare = world_bare_until(world, since, world->today);

    for (int d = 0; world->today + d < world->count; d++) {
        double end = (double)world->first + world->today + d + 1.0, mean = 0.0, square = 0.0, low = 0.0;
        double wander = world_wander(world, since, end);

        bare += world->bare_l[world->today + d] * fmax(fmin(end - since, 1.0), 0.0);
        for (size_t c = 0; c < mixture->count; c++) {
            double m, v, weight = mixture->candidate[c].weight;

            if (weight == 0.0)
                continue;
            mixture_drunk(mixture, c, wander, bare, d, &m, &v);
            mean += weight * m;
            square += weight * (v + m * m);
            low += weight * mixture_low(mixture, c, m, v, low_l);
        }
        mixture->drunk_mean[d] = mean;
        mixture->drunk_var[d] = fmax(square - mean * mean, 0.0);
        /* Once low it stays low until someone adds. */
        so_far = fmax(so_far, fmin(low, 1.0));
        mixture->low_by[d] = so_far;
    }
}

/* The day on which a rising probability passes p, with so much of that day's own part taken off, or of the next day's added. */
static int32_t passes(const double *by, int days, int32_t first, double p, double off, double add)
{
    for (int d = 0; d < days; d++) {
        double before = d > 0 ? by[d - 1] : 0.0, after = d + 1 < days ? by[d + 1] : by[d];

        if (by[d] - off * (by[d] - before) + add * (after - by[d]) >= p)
            return first + d;
    }
    return DAYS_NONE;
}

struct outlook_dates dates_passing(const double *by, int days, int32_t first)
{
    struct outlook_dates dates = {passes(by, days, first, 0.1, END_SHARE, 0.0), passes(by, days, first, 0.5, 0.0, 0.0),
                                  passes(by, days, first, 0.9, 0.0, END_SHARE)};

    if (dates.p50 != DAYS_NONE && (dates.p10 == DAYS_NONE || dates.p10 > dates.p50))
        dates.p10 = dates.p50;
    if (dates.p90 != DAYS_NONE && (dates.p50 == DAYS_NONE || dates.p90 < dates.p50))
        dates.p90 = dates.p50;
    return dates;
}
