/* outlook.c - checks, candidates, and the quantiles of their mixture. */
#include "calc/outlook.h"
#include "calc/outlook_inside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define PACES 9
#define SIZES 7
#define CANDIDATES (PACES * SIZES)
#define GRID_REACH 2.2        /* standard deviations that the grid reaches to either side */
#define Z_P90 1.2815515655446004
#define HARVEST_SPREAD 0.10   /* of the days to go, beside pace and size: ours */
#define HARVEST_SPREAD_DAYS 2.0
#define AFTER_TODAY_DAYS 2    /* instants are UTC, dates local: more than that after today is a slip */

const char *const outlook_surprise_key[OUTLOOK_SURPRISE_WHYS] = {
    "unexplained_rise", "unexplained_fall", "typing_slip", "above_rim", "addition_differs",
};

static const double method_noise_mm[] = {[OUTLOOK_DIPSTICK] = 2.0, [OUTLOOK_BY_EYE] = 5.0, [OUTLOOK_SENSOR] = 1.0};

void outlook_given_init(struct outlook_given *given)
{
    memset(given, 0, sizeof *given);
    given->filled_on = DAYS_NONE;
    given->prior = (struct outlook_prior){NAN, NAN, NAN, NAN};
    for (int m = 0; m < 12; m++)
        given->climate.monthly[m] = (struct outlook_month){NAN, NAN, NAN, NAN, NAN};
}

/* ----------------------------------------------------------------- checks */

struct checker {
    struct fault found;
    const char *list;
    size_t index;
};

static void check_at(struct checker *checker, const char *field, char at[64])
{
    if (checker->list)
        snprintf(at, 64, "/%s/%zu/%s", checker->list, checker->index, field);
    else
        snprintf(at, 64, "/%s", field);
}

static void check_number(struct checker *checker, const char *field, double value, double least, double most)
{
    char at[64];

    if (value >= least && value <= most)
        return;
    check_at(checker, field, at);
    fault_add(&checker->found, FAULT_INPUT, at, "must be from %g to %g, was %g", least, most, value);
}

static void check_optional(struct checker *checker, const char *field, double value, double least, double most)
{
    if (!isnan(value))
        check_number(checker, field, value, least, most);
}

static void check_count(struct checker *checker, const char *list, size_t count, size_t most)
{
    char at[64];

    if (count <= most)
        return;
    snprintf(at, sizeof at, "/%s", list);
    fault_add(&checker->found, FAULT_INPUT, at, "at most %zu are taken, there were %zu", most, count);
}

static void check_not_ahead(struct checker *checker, int64_t at_ms, int32_t today)
{
    char at[64];

    if (at_ms != INSTANT_NONE && days_of_instant(at_ms) <= (int64_t)today + AFTER_TODAY_DAYS)
        return;
    check_at(checker, "at", at);
    fault_add(&checker->found, FAULT_INPUT, at, "must be a time up to today");
}

static void check_climate(struct checker *checker, const struct outlook_climate *climate)
{
    double ignored;

    if (climate->kind == OUTLOOK_INDOORS) {
        struct fault inner = {0};

        if (climate_indoor_et_mm_day(&climate->indoor, &ignored, &inner))
            fault_under(&checker->found, "/climate/indoor", &inner);
        return;
    }
    checker->list = NULL;
    check_number(checker, "climate/latitude_deg", climate->latitude_deg, -90.0, 90.0);
    check_number(checker, "climate/elevation_m", climate->elevation_m, -430.0, 6000.0);
    checker->list = "climate/monthly";
    for (checker->index = 0; checker->index < 12; checker->index++) {
        const struct outlook_month *month = &climate->monthly[checker->index];

        check_number(checker, "tmin_c", month->tmin_c, -60.0, 60.0);
        check_number(checker, "tmax_c", month->tmax_c, month->tmin_c, 60.0);
        check_optional(checker, "rh_percent", month->rh_percent, 0.0, 100.0);
        check_optional(checker, "wind_m_s", month->wind_m_s, 0.0, 60.0);
        check_optional(checker, "sunshine_h", month->sunshine_h, 0.0, 24.0);
    }
}

static void check_lists(struct checker *checker, const struct outlook_given *given)
{
    check_count(checker, "plantings", given->planting_count, OUTLOOK_PLANTINGS);
    check_count(checker, "weather", given->weather_count, OUTLOOK_WEATHER);
    check_count(checker, "readings", given->reading_count, OUTLOOK_READINGS);
    check_count(checker, "added", given->added_count, OUTLOOK_ADDED);
    check_count(checker, "cuts", given->cut_count, OUTLOOK_CUTS);
    if (checker->found.count)
        return;
    checker->list = "plantings";
    for (checker->index = 0; checker->index < given->planting_count; checker->index++) {
        check_number(checker, "count", given->planting[checker->index].count, 1e-9, 1000.0);
        check_number(checker, "crop", given->planting[checker->index].crop ? 1.0 : NAN, 1.0, 1.0);
        check_number(checker, "on", given->planting[checker->index].on, -719162.0, 2932896.0);
    }
    checker->list = "weather";
    for (checker->index = 0; checker->index < given->weather_count; checker->index++) {
        const struct outlook_weather *day = &given->weather[checker->index];

        check_number(checker, "tmin_c", day->tmin_c, -60.0, 60.0);
        check_number(checker, "tmax_c", day->tmax_c, day->tmin_c, 60.0);
        check_optional(checker, "rh_percent", day->rh_percent, 0.0, 100.0);
        check_optional(checker, "wind_m_s", day->wind_m_s, 0.0, 60.0);
        check_optional(checker, "sunshine_h", day->sunshine_h, 0.0, 24.0);
        check_optional(checker, "solar_mj_m2", day->solar_mj_m2, 0.0, 50.0);
    }
    checker->list = "readings";
    for (checker->index = 0; checker->index < given->reading_count; checker->index++) {
        check_not_ahead(checker, given->reading[checker->index].at_ms, given->today);
        check_number(checker, "waterline_mm", given->reading[checker->index].waterline_mm, 0.0, 3000.0);
    }
    checker->list = "added";
    for (checker->index = 0; checker->index < given->added_count; checker->index++) {
        const struct outlook_added *added = &given->added[checker->index];

        check_not_ahead(checker, added->at_ms, given->today);
        if (isnan(added->waterline_mm))
            check_number(checker, "volume_l", added->volume_l, 0.0, 5000.0);
        else
            check_optional(checker, "volume_l", added->volume_l, 0.0, 5000.0);
        check_optional(checker, "waterline_mm", added->waterline_mm, 0.0, 3000.0);
    }
    checker->list = "cuts";
    for (checker->index = 0; checker->index < given->cut_count; checker->index++) {
        const struct outlook_cut *cut = &given->cut[checker->index];

        check_not_ahead(checker, cut->at_ms, given->today);
        check_number(checker, "kept_fraction", cut->kept_fraction, 0.0, 1.0);
        check_number(checker, "planting", cut->planting, -1.0, (double)given->planting_count - 1.0);
    }
    checker->list = NULL;
}

static int check(const struct outlook_given *given, const struct levels *levels, struct fault *fault)
{
    struct checker checker = {.list = NULL};

    check_number(&checker, "today", given->today, -719162.0, 2932896.0);
    check_number(&checker, "horizon_days", given->horizon_days, 0.0, OUTLOOK_HORIZON);
    check_number(&checker, "start_mm", given->start_mm, 1e-9, levels->height_mm);
    check_number(&checker, "low_mm", given->low_mm, 0.0, given->start_mm);
    check_climate(&checker, &given->climate);
    check_lists(&checker, given);
    return checker.found.count ? fault_under(fault, "", &checker.found) : 0;
}

/* ----------------------------------------------------------------- events */

static bool before(const struct event *a, const struct event *b)
{
    return a->t < b->t || (a->t == b->t && a->kind < b->kind); /* read, then top up */
}

/* Into its place by time; most lists come in order. */
static void insert(struct event *event, size_t *count, const struct event *one)
{
    size_t at = (*count)++;

    for (; at > 0 && before(one, &event[at - 1]); at--)
        event[at] = event[at - 1];
    event[at] = *one;
}

/* Someone may list the fill itself among what was added. */
static bool is_the_fill(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                        const struct event *added)
{
    double start_l = levels_volume_l(levels, given->start_mm);

    return added->t < world->start_t + 1.0 && added->volume_l > 0.5 * start_l && added->volume_l + start_l > levels->brim_l;
}

static size_t gather(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                     struct event *event)
{
    size_t count = 0;

    for (size_t i = 0; i < given->reading_count; i++) {
        const struct outlook_reading *reading = &given->reading[i];
        struct event one = {.t = days_and_fraction(reading->at_ms), .at_ms = reading->at_ms, .kind = EVENT_READING};

        one.volume_l = levels_volume_l(levels, reading->waterline_mm);
        one.after_l = NAN;
        one.noise_l = method_noise_mm[reading->method] * levels_surface_l_mm(levels, one.volume_l);
        /* A little above the rim is a dipstick held askew. */
        one.what = reading->waterline_mm > levels->height_mm + 3.0 * method_noise_mm[reading->method] ? EVENT_SKIP : EVENT_USE;
        if (one.t >= world->start_t)
            insert(event, &count, &one);
    }
    for (size_t i = 0; i < given->added_count; i++) {
        const struct outlook_added *added = &given->added[i];
        struct event one = {.t = days_and_fraction(added->at_ms), .at_ms = added->at_ms, .kind = EVENT_ADDED};

        one.volume_l = added->volume_l;
        one.after_l = isnan(added->waterline_mm) ? NAN : levels_volume_l(levels, added->waterline_mm);
        one.noise_l = isnan(one.after_l) ? 0.0 : method_noise_mm[OUTLOOK_DIPSTICK] * levels_surface_l_mm(levels, one.after_l);
        if (one.t >= world->start_t && !is_the_fill(given, world, levels, &one))
            insert(event, &count, &one);
    }
    return count;
}

/* ---------------------------------------------------------------- mixture */

struct mixture {
    size_t count;
    struct candidate candidate[CANDIDATES];
    struct belief belief[CANDIDATES];
    double z_today[CANDIDATES][OUTLOOK_PLANTINGS];
    /* Cumulative from the belief's moment to the end of each day from today on. */
    double use[CANDIDATES][OUTLOOK_HORIZON + 1];
    double day_spread[CANDIDATES][OUTLOOK_HORIZON + 1];
    double volume_l;                     /* mean of what is in the tank at the belief's moment */
    double drunk_mean[OUTLOOK_HORIZON + 1]; /* of the mixture, from volume_l on */
    double drunk_var[OUTLOOK_HORIZON + 1];
    double low_by[OUTLOOK_HORIZON + 1];  /* probability that it was low by the end of the day */
};

static void grid(const struct outlook_given *given, struct mixture *mixture)
{
    double median = isnan(given->prior.pace) ? 1.0 : given->prior.pace;
    double spread = isnan(given->prior.pace_spread) ? PACE_SPREAD : given->prior.pace_spread;

    mixture->count = 0;
    for (int p = 0; p < PACES; p++)
        for (int s = 0; s < SIZES; s++) {
            double pace = GRID_REACH * (2.0 * p / (PACES - 1) - 1.0), size = GRID_REACH * (2.0 * s / (SIZES - 1) - 1.0);

            mixture->candidate[mixture->count++] = (struct candidate){
                .pace = median * exp(spread * pace),
                .size = SIZE_SPREAD * size,
                .log_weight = -0.5 * (pace * pace + size * size),
            };
        }
}

static void weigh(struct mixture *mixture)
{
    double best = -INFINITY, sum = 0.0;

    for (size_t c = 0; c < mixture->count; c++)
        best = fmax(best, mixture->candidate[c].log_weight);
    for (size_t c = 0; c < mixture->count; c++)
        sum += mixture->candidate[c].weight = exp(mixture->candidate[c].log_weight - best);
    for (size_t c = 0; c < mixture->count; c++)
        mixture->candidate[c].weight /= sum;
}

static double bare_until(const struct world *world, double from, int end)
{
    double sum = 0.0;

    for (int i = 0; i < end; i++) {
        double day_start = (double)world->first + i;

        if (day_start + 1.0 > from)
            sum += world->bare_l[i] * fmin(day_start + 1.0 - from, 1.0);
    }
    return sum;
}

/* Runs every candidate through the events and keeps what each expects of the days from today on. */
static void learn(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                  const struct event *event, size_t count, struct mixture *mixture)
{
    double use_l[WORLD_DAYS];

    for (size_t c = 0; c < mixture->count; c++) {
        struct belief *belief = &mixture->belief[c];

        world_use(world, &mixture->candidate[c], use_l, mixture->z_today[c]);
        mixture->candidate[c].log_weight += learn_run(given, world, levels, use_l, event, count, belief);
        double sum = 0.0, spread = 0.0;
        for (int i = 0; i < world->count; i++) {
            double part = fmax(fmin((double)world->first + i + 1.0 - belief->t, 1.0), 0.0);

            sum += part * use_l[i];
            spread += part * world->spread[i] * use_l[i] * use_l[i];
            if (i >= world->today) {
                mixture->use[c][i - world->today] = sum;
                mixture->day_spread[c][i - world->today] = spread;
            }
        }
    }
    weigh(mixture);
    mixture->volume_l = 0.0;
    for (size_t c = 0; c < mixture->count; c++)
        mixture->volume_l += mixture->candidate[c].weight * mixture->belief[c].volume_l;
}

/* Mean and variance of what leaves the tank from its belief's moment to the end of day d, by one candidate;
 * counted from the mixture's volume.
 */
static void drunk(const struct mixture *mixture, size_t c, double days, double bare, int d, double *mean, double *variance)
{
    const struct belief *belief = &mixture->belief[c];
    double use = mixture->use[c][d], vigour = fmax(belief->vigour, VIGOUR_LEAST);

    *mean = mixture->volume_l - belief->volume_l + vigour * use + bare;
    *variance = fmax(belief->vv - 2.0 * use * belief->vg + use * use * belief->gg, 0.0) +
                learn_wander(belief, fmax(days, 0.0), use, mixture->day_spread[c][d]);
}

static double normal_below(double z)
{
    return 0.5 * erfc(-z * 0.70710678118654752);
}

/* Log-normal by its mean and variance. */
static double logarithm_spread(double mean, double variance)
{
    return sqrt(log1p(variance / (mean * mean)));
}

static double exceeds(double mean, double variance, double limit)
{
    double spread;

    if (limit <= 0.0)
        return 1.0;
    if (mean <= 1e-9)
        return normal_below((mean - limit) / sqrt(variance + 1e-12));
    spread = fmax(logarithm_spread(mean, variance), 1e-6);
    return normal_below((log(mean / limit) - spread * spread / 2.0) / spread);
}

static double log_normal_quantile(double mean, double variance, double z)
{
    double spread;

    if (mean <= 1e-9)
        return mean + z * sqrt(variance);
    spread = logarithm_spread(mean, variance);
    return mean * exp(spread * z - spread * spread / 2.0);
}

/* Quantiles of a sum of something certain and a log-normal by its mean and mean square, never below the certain part. */
static struct outlook_spread spread_of(double certain, double mean, double square)
{
    double variance = fmax(square - mean * mean, 0.0);

    return (struct outlook_spread){.p10 = certain + fmax(log_normal_quantile(mean, variance, -Z_P90), 0.0),
                                   .p50 = certain + fmax(log_normal_quantile(mean, variance, 0.0), 0.0),
                                   .p90 = certain + fmax(log_normal_quantile(mean, variance, Z_P90), 0.0)};
}

static void mix(const struct world *world, const struct levels *levels, double low_mm, struct mixture *mixture)
{
    double low_l = levels_volume_l(levels, low_mm), so_far = 0.0, since = mixture->belief[0].t;
    double bare = bare_until(world, since, world->today);

    for (int d = 0; world->today + d < world->count; d++) {
        double end = (double)world->first + world->today + d + 1.0, mean = 0.0, square = 0.0, low = 0.0;

        bare += world->bare_l[world->today + d] * fmax(fmin(end - since, 1.0), 0.0);
        for (size_t c = 0; c < mixture->count; c++) {
            double m, v, weight = mixture->candidate[c].weight;

            if (weight < 1e-7)
                continue;
            drunk(mixture, c, end - since, bare, d, &m, &v);
            mean += weight * m;
            square += weight * (v + m * m);
            low += weight * exceeds(m, v, mixture->volume_l - low_l);
        }
        mixture->drunk_mean[d] = mean;
        mixture->drunk_var[d] = fmax(square - mean * mean, 0.0);
        /* Once low it stays low until someone adds. */
        so_far = fmax(so_far, fmin(low, 1.0));
        mixture->low_by[d] = so_far;
    }
}

/* The day on which a rising probability passes p. */
static int32_t passes(const double *by, int days, int32_t first, double p)
{
    for (int d = 0; d < days; d++)
        if (by[d] >= p)
            return first + d;
    return DAYS_NONE;
}

static struct outlook_dates dates_of(const double *by, int days, int32_t first)
{
    return (struct outlook_dates){passes(by, days, first, 0.1), passes(by, days, first, 0.5), passes(by, days, first, 0.9)};
}

static void waterlines(const struct world *world, const struct levels *levels, const struct mixture *mixture, int days,
                       struct outlook *outlook)
{
    outlook->waterline_count = (size_t)days;
    for (int d = 0; d < days; d++) {
        double mean = mixture->drunk_mean[d], variance = mixture->drunk_var[d];
        struct outlook_waterline *line = &outlook->waterline[d];

        line->day = world->first + world->today + d;
        line->p10_mm = levels_waterline_mm(levels, mixture->volume_l - log_normal_quantile(mean, variance, Z_P90));
        line->p50_mm = levels_waterline_mm(levels, mixture->volume_l - log_normal_quantile(mean, variance, 0.0));
        line->p90_mm = levels_waterline_mm(levels, mixture->volume_l - log_normal_quantile(mean, variance, -Z_P90));
    }
}

/* Mean of the coming week, litres a day. */
static void coming_use(const struct world *world, const struct mixture *mixture, struct outlook *outlook)
{
    int end = world->count - world->today - 1 < 7 ? world->count - world->today - 1 : 7;
    double mean = 0.0, square = 0.0, bare = 0.0;

    for (int i = 1; i <= end; i++)
        bare += world->bare_l[world->today + i] / end;
    for (size_t c = 0; c < mixture->count; c++) {
        const struct belief *belief = &mixture->belief[c];
        double weight = mixture->candidate[c].weight, vigour = fmax(belief->vigour, VIGOUR_LEAST);
        double use = (mixture->use[c][end] - mixture->use[c][0]) / end;
        double spread = (mixture->day_spread[c][end] - mixture->day_spread[c][0]) / (end * end);
        double days = (double)world->first + world->today + end / 2.0 - belief->t;
        double variance = use * use * belief->gg + learn_wander(belief, fmax(days, 0.0), use, spread);

        mean += weight * vigour * use;
        square += weight * (variance + vigour * vigour * use * use);
    }
    outlook->use_l_day = spread_of(bare, mean, square);
}

/* ---------------------------------------------------------------- harvest */

/* Days from the start of today until one candidate's planting is ready; at most the days of the world. */
static double days_to_ready(const struct world *world, const struct mixture *mixture, size_t c, size_t p)
{
    const struct world_planting *planting = &world->planting[p];
    const struct canopy *canopy = &world->canopy[planting->crop];
    double z = mixture->z_today[c][p], rate = canopy->rate * mixture->candidate[c].pace;

    for (int i = planting->from > world->today ? planting->from : world->today; i < world->count; i++) {
        double step = rate * world->units[planting->crop][i];

        if (z + step >= canopy->z_harvest)
            return i - world->today + (step > 0.0 ? fmax((canopy->z_harvest - z) / step, 0.0) : 0.0);
        z += step;
    }
    return world->count - world->today;
}

/* Probability, by the end of each day from today on, that the planting is ready; and with the water not low before. */
static double ready_by(const struct world *world, const struct mixture *mixture, size_t p, int days, double *by, double low_l,
                       bool judge_water)
{
    double carried = 0.0, since = mixture->belief[0].t, bare_start = bare_until(world, since, world->today);

    memset(by, 0, (size_t)days * sizeof *by);
    for (size_t c = 0; c < mixture->count; c++) {
        double weight = mixture->candidate[c].weight, ready, spread, before_today = 0.0, low = 0.0, bare = bare_start, done = 0.0;

        if (weight < 1e-7)
            continue;
        if (world->planting[p].harvest_on != DAYS_NONE) {
            ready = (double)world->planting[p].harvest_on - world->first - world->today + 0.5;
            spread = 1e-3;
        } else {
            ready = days_to_ready(world, mixture, c, p);
            spread = ready <= 0.0 ? 1e-3 : sqrt(HARVEST_SPREAD_DAYS * HARVEST_SPREAD_DAYS + HARVEST_SPREAD * HARVEST_SPREAD * ready * ready);
            if (ready > 0.0 && ready < 2.0 * spread)
                spread = ready / 2.0 + 1e-3;
        }
        for (int d = 0; d < days; d++) {
            double end = (double)world->first + world->today + d + 1.0;
            double now = normal_below((d + 1.0 - ready) / spread), m, v;

            by[d] += weight * now;
            if (!judge_water)
                continue;
            bare += world->bare_l[world->today + d] * fmax(fmin(end - since, 1.0), 0.0);
            drunk(mixture, c, end - since, bare, d, &m, &v);
            /* Ready within this day, and not low by its start. */
            carried += weight * (now - before_today) * (1.0 - low);
            low = fmax(low, exceeds(m, v, mixture->volume_l - low_l));
            before_today = now;
            done = now;
        }
        if (judge_water) /* what is ready after the horizon is carried if the water still stands there */
            carried += weight * (1.0 - done) * (1.0 - low);
    }
    return fmax(fmin(carried, 1.0), 0.0);
}

/* Litres from the start of today to the harvest of a planting. */
static void litres_to_harvest(const struct world *world, const struct mixture *mixture, size_t p, int days, struct outlook *outlook)
{
    double mean = 0.0, square = 0.0;

    for (size_t c = 0; c < mixture->count; c++) {
        const struct belief *belief = &mixture->belief[c];
        double weight = mixture->candidate[c].weight, vigour = fmax(belief->vigour, VIGOUR_LEAST), ready, part, use, spread, m, v;
        int whole;

        if (weight < 1e-7)
            continue;
        ready = world->planting[p].harvest_on != DAYS_NONE ? (double)world->planting[p].harvest_on - world->first - world->today
                                                           : days_to_ready(world, mixture, c, p);
        ready = fmax(fmin(ready, days), 0.0);
        whole = (int)ready;
        part = ready - whole;
        /* use[] holds the end of each day; today's start lies one day before its first. */
        use = mixture->use[c][whole] * part + (whole > 0 ? mixture->use[c][whole - 1] * (1.0 - part) : 0.0);
        spread = mixture->day_spread[c][whole] * part + (whole > 0 ? mixture->day_spread[c][whole - 1] * (1.0 - part) : 0.0);
        m = vigour * use + bare_until(world, (double)world->first + world->today, world->today + whole);
        v = use * use * belief->gg + learn_wander(belief, ready, use, spread);
        mean += weight * m;
        square += weight * (v + m * m);
    }
    outlook->to_harvest_l = spread_of(0.0, mean, square);
}

/* Of the planting that is ready next. */
static void harvest(const struct world *world, const struct levels *levels, double low_mm, const struct mixture *mixture, int days,
                    struct outlook *outlook)
{
    double by[OUTLOOK_HORIZON + 1], soonest = INFINITY;
    size_t next = world->planting_count;

    outlook->harvest_on = (struct outlook_dates){DAYS_NONE, DAYS_NONE, DAYS_NONE};
    outlook->carries_to_harvest = NAN;
    outlook->to_harvest_l = (struct outlook_spread){NAN, NAN, NAN};
    for (size_t p = 0; p < world->planting_count; p++) {
        double ready = 0.0;

        if (world->planting[p].until <= world->today)
            continue; /* gone */
        if (world->planting[p].harvest_on != DAYS_NONE)
            ready = (double)world->planting[p].harvest_on - world->first - world->today;
        else
            for (size_t c = 0; c < mixture->count; c++)
                if (mixture->candidate[c].weight >= 1e-3)
                    ready += mixture->candidate[c].weight * days_to_ready(world, mixture, c, p);
        if (ready < soonest) {
            soonest = ready;
            next = p;
        }
    }
    if (next == world->planting_count)
        return;
    outlook->carries_to_harvest = ready_by(world, mixture, next, days, by, levels_volume_l(levels, low_mm), true);
    outlook->harvest_on = dates_of(by, days, world->first + world->today);
    litres_to_harvest(world, mixture, next, days, outlook);
}

/* ------------------------------------------------------------------ whole */

static void learned(const struct mixture *mixture, struct outlook *outlook)
{
    outlook->vigour = outlook->pace = 0.0;
    for (size_t c = 0; c < mixture->count; c++) {
        outlook->vigour += mixture->candidate[c].weight * fmax(mixture->belief[c].vigour, VIGOUR_LEAST);
        outlook->pace += mixture->candidate[c].weight * mixture->candidate[c].pace;
    }
}

int outlook_make(const struct outlook_given *given, struct outlook *outlook, struct fault *fault)
{
    static const struct candidate middle = {.pace = 1.0};
    struct levels levels;
    struct world world;
    struct mixture mixture;
    struct event event[EVENTS];
    double use_l[WORLD_DAYS];
    size_t count;
    int days;

    if (levels_make(given->vessel, &levels, fault) || check(given, &levels, fault) || world_make(given, &world, fault))
        return -1;
    memset(outlook, 0, sizeof *outlook);
    days = world.count - world.today - 1;
    count = gather(given, &world, &levels, event);
    world_use(&world, &middle, use_l, NULL);
    learn_surprises(given, &world, &levels, use_l, event, count, outlook);
    grid(given, &mixture);
    learn(given, &world, &levels, event, count, &mixture);
    mix(&world, &levels, given->low_mm, &mixture);
    outlook->low_on = dates_of(mixture.low_by, days, given->today);
    outlook->waterline_now_mm = levels_waterline_mm(&levels, mixture.volume_l);
    waterlines(&world, &levels, &mixture, days, outlook);
    coming_use(&world, &mixture, outlook);
    harvest(&world, &levels, given->low_mm, &mixture, days, outlook);
    learned(&mixture, outlook);
    return 0;
}
