/* outlook_learn.c - what the tank's own waterlines say: a Kalman filter over volume and vigour for each candidate,
 * after a first pass has set aside what no plant could have done.
 */
#include "calc/outlook_inside.h"

#include <math.h>

#define TOO_FAR 4.0        /* standard deviations: ours */
#define TOO_FAR_UP 3.5     /* water does not rise by itself */
#define OASIS_TIMES 2.5    /* the most that a lone, wind-swept stand takes, of reference evaporation: ours */
#define TOO_FAR_ALONE 16.0 /* most that one reading may count against a candidate: the square of 4 */
#define PILOT_WANDER 0.12  /* the first pass lets vigour wander more: it judges readings, not plants */
#define PILOT_SPREAD 1.2
#define NOISE_FAITH 6.0 /* readings: ours */
#define NOISE_DAYS 9.0 /* between a reading's neighbours, most */
#define NOISE_MOST 9.0 /* three times the usual noise, squared */
#define RAIN_MOST_MM 60.0  /* a last, unconfirmed rise up to this is taken for water, more for a slip: ours */

static double squared(double x)
{
    return x * x;
}

double learn_wander(const struct belief *belief, double wander, double use, double day_spread)
{
    double vigour = fmax(belief->vigour, VIGOUR_FLOOR), drunk = vigour * use;

    return squared(vigour) * day_spread + squared(drunk) * (squared(VIGOUR_WANDER) * wander * 0.4 + squared(SEASON_SPREAD));
}

static void start_belief(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                         double spread, struct belief *belief)
{
    double median = isnan(given->prior.vigour) ? 1.0 : given->prior.vigour;

    belief->t = world->start_t;
    belief->volume_l = levels_volume_l(levels, given->start_mm);
    belief->vv = squared(START_NOISE_MM * levels_surface_l_mm(levels, belief->volume_l));
    /* Mean and variance of the log-normal. */
    belief->vigour = median * exp(spread * spread / 2.0);
    belief->gg = squared(belief->vigour) * expm1(spread * spread);
    belief->vg = 0.0;
}

struct stretch { /* between two moments */
    double days, wander, use, bare, day_spread;
};

struct sums {
    const struct world *world;
    double use[WORLD_DAYS + 1], bare[WORLD_DAYS + 1], day_spread[WORLD_DAYS + 1];
};

static void sums_make(const struct world *world, const double *use_l, struct sums *sums)
{
    double daily[WORLD_DAYS];

    sums->world = world;
    prefix_make(use_l, world->count, sums->use);
    prefix_make(world->bare_l, world->count, sums->bare);
    for (int i = 0; i < world->count; i++)
        daily[i] = world->spread[i] * squared(use_l[i]);
    prefix_make(daily, world->count, sums->day_spread);
}

static struct stretch stretch_between(const struct sums *sums, double from, double to)
{
    return (struct stretch){
        .days = to - from,
        .wander = world_wander(sums->world, from, to),
        .use = prefix_at(sums->world, sums->use, to) - prefix_at(sums->world, sums->use, from),
        .bare = prefix_at(sums->world, sums->bare, to) - prefix_at(sums->world, sums->bare, from),
        .day_spread = prefix_at(sums->world, sums->day_spread, to) - prefix_at(sums->world, sums->day_spread, from),
    };
}

/* wander: variance that the vigour, as a share of itself, gains by then. */
static void go_on(struct belief *belief, const struct stretch *stretch, double wander)
{
    double vigour = fmax(belief->vigour, VIGOUR_FLOOR), step = wander * squared(vigour);
    double use = stretch->use;

    belief->volume_l -= belief->vigour * use + stretch->bare;
    belief->vv += -2.0 * use * belief->vg + squared(use) * belief->gg + squared(vigour) * stretch->day_spread +
                  squared(use) * step * 0.4;
    belief->vg -= use * belief->gg + use * step * 0.5;
    belief->gg += step;
    belief->t += stretch->days;
}

/* No vigour below nothing: mean and variance of the normal that is left above 0. */
static void keep_positive(struct belief *belief)
{
    double spread = sqrt(belief->gg), a = -belief->vigour / spread, above, ratio, shrink;

    if (a < -3.0)
        return;
    a = fmin(a, 5.0);
    above = 0.5 * erfc(a * 0.70710678118654752);
    ratio = 0.3989422804014327 * exp(-a * a / 2.0) / above;
    shrink = fmax(1.0 + a * ratio - ratio * ratio, 0.02);
    belief->vigour = fmax(-a * spread + spread * ratio, VIGOUR_LEAST);
    belief->gg *= shrink;
    belief->vg *= shrink;
}

/* Returns the logarithm of the likelihood of a measured volume, and takes it in. */
static double take_in(struct belief *belief, double volume_l, double noise_l)
{
    double off = volume_l - belief->volume_l, variance = belief->vv + squared(noise_l);
    double gain_v = belief->vv / variance, gain_g = belief->vg / variance;
    double told = -0.5 * (fmin(squared(off) / variance, TOO_FAR_ALONE) + log(variance));

    belief->volume_l += gain_v * off;
    belief->vigour += gain_g * off;
    belief->gg = fmax(belief->gg - gain_g * belief->vg, 1e-10);
    belief->vg -= gain_g * belief->vv;
    belief->vv = fmax(belief->vv * (1.0 - gain_v), 1e-12);
    keep_positive(belief);
    return told;
}

/* The tank holds this now, whatever went before; vigour stays as believed. */
static void reset_volume(struct belief *belief, double volume_l, double noise_l)
{
    belief->volume_l = volume_l;
    belief->vv = squared(noise_l);
    belief->vg = 0.0;
}

static double apply(struct belief *belief, const struct levels *levels, const struct event *event)
{
    double told = 0.0;

    if (event->what == EVENT_SKIP)
        return 0.0;
    if (event->what == EVENT_RESET) {
        reset_volume(belief, event->kind == EVENT_ADDED ? event->after_l : event->volume_l, event->noise_l);
        return 0.0;
    }
    if (event->kind == EVENT_READING) {
        bool far = squared(event->volume_l - belief->volume_l) > TOO_FAR_ALONE * (belief->vv + squared(event->noise_l));

        told = take_in(belief, event->volume_l, event->noise_l);
        if (far) /* a candidate that cannot explain a reading that is kept loses weight, but the water stands where it was seen */
            reset_volume(belief, event->volume_l, event->noise_l);
        return told;
    }
    if (isnan(event->volume_l)) {
        reset_volume(belief, event->after_l, event->noise_l);
        return 0.0;
    }
    belief->volume_l += event->volume_l;
    belief->vv += squared(ADDED_NOISE * event->volume_l);
    if (belief->volume_l > levels->brim_l) /* the rest ran over */
        belief->volume_l = levels->brim_l;
    if (!isnan(event->after_l))
        told = take_in(belief, event->after_l, event->noise_l);
    return told;
}

double learn_run(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                 const double *use_l, const struct event *event, size_t count, struct belief *belief)
{
    struct sums sums;
    double told = 0.0;

    start_belief(given, world, levels, prior_spread(given->prior.vigour_spread, VIGOUR_SPREAD), belief);
    sums_make(world, use_l, &sums);
    for (size_t i = 0; i < count; i++) {
        if (event[i].t > belief->t) {
            struct stretch stretch = stretch_between(&sums, belief->t, event[i].t);

            go_on(belief, &stretch, squared(VIGOUR_WANDER) * stretch.wander);
        }
        told += apply(belief, levels, &event[i]);
    }
    return told;
}

/* -------------------------------------------------------------- surprises */

static double litres_to_mm(const struct levels *levels, double from_l, double to_l)
{
    return levels_waterline_mm(levels, fmin(to_l, levels->brim_l)) - levels_waterline_mm(levels, fmin(fmax(from_l, 0.0), levels->brim_l));
}

static void report(struct outlook *outlook, const struct event *event, enum outlook_surprise_why why, double by_mm)
{
    if (outlook->surprise_count < OUTLOOK_SURPRISES)
        outlook->surprise[outlook->surprise_count++] = (struct outlook_surprise){event->at_ms, why, by_mm};
}

/* How far the next reading lies from what a belief expects there, in standard deviations; -1 where there is none. */
static double next_off(const struct sums *sums, const struct levels *levels, struct belief belief, const struct event *event,
                       size_t count, size_t from)
{
    for (size_t i = from; i < count; i++) {
        struct stretch stretch = stretch_between(sums, belief.t, fmax(event[i].t, belief.t));

        go_on(&belief, &stretch, squared(PILOT_WANDER) * stretch.days);
        if (event[i].kind == EVENT_READING && event[i].what != EVENT_SKIP)
            return fabs(event[i].volume_l - belief.volume_l) / sqrt(belief.vv + squared(event[i].noise_l));
        apply(&belief, levels, &event[i]);
    }
    return -1.0;
}

enum doubt {
    DOUBT_NONE,
    DOUBT_RISE, /* above what would stand there had nothing been drunk */
    DOUBT_LESS, /* far less was drunk than expected, but something */
    DOUBT_MORE, /* far more, but no more than the air could take */
    DOUBT_FALL  /* more than the air could take */
};

/* What may leave the tank at the very most: everything in reach covered, in an oasis. */
static double most_drunk(const struct world *world, double from, double to)
{
    double sum = 0.0;

    for (int i = 0; i < world->count; i++) {
        double start = (double)world->first + i, part = fmin(to, start + 1.0) - fmax(from, start);

        if (part > 0.0)
            sum += part * (OASIS_TIMES * world->et0[i] * world->reach_m2);
    }
    return sum;
}

static enum doubt doubt_of(const struct world *world, const struct belief *was, const struct belief *now, const struct event *reading,
                           double bare_l)
{
    double noise = squared(reading->noise_l), off = reading->volume_l - now->volume_l;
    double untouched = reading->volume_l - (was->volume_l - bare_l), spread = sqrt(was->vv + noise);

    if (untouched > TOO_FAR_UP * spread)
        return DOUBT_RISE;
    if (fabs(off) <= TOO_FAR * sqrt(now->vv + noise))
        return DOUBT_NONE;
    if (off > 0.0)
        return DOUBT_LESS;
    return -untouched > most_drunk(world, was->t, now->t) + TOO_FAR * spread ? DOUBT_FALL : DOUBT_MORE;
}

/* The reading holds, and plants explain it: vigour is not what it was thought to be. */
static struct belief if_drunk(const struct belief *was, const struct belief *now, const struct event *reading, double use, double bare_l)
{
    struct belief moved = *now;

    if (use > 1e-9)
        moved.vigour = fmax((was->volume_l - bare_l - reading->volume_l) / use, VIGOUR_LEAST);
    moved.gg += squared(0.5 * fmax(moved.vigour, 0.25));
    reset_volume(&moved, reading->volume_l, reading->noise_l);
    return moved;
}

/* A reading that does not fit: was it the reading, or the water? The next one tells; a last one is judged by its size. */
static void judge(const struct sums *sums, const struct levels *levels, const struct belief *was, struct belief *belief, double use,
                  double bare_l, enum doubt doubt, struct event *event, size_t count, size_t at, struct outlook *outlook)
{
    struct event *reading = &event[at];
    double by_mm = litres_to_mm(levels, belief->volume_l, reading->volume_l);
    bool by_water = doubt == DOUBT_RISE || doubt == DOUBT_FALL, slip;
    struct belief moved = *belief;
    double if_slip, if_moved;

    if (by_water)
        reset_volume(&moved, reading->volume_l, reading->noise_l);
    else
        moved = if_drunk(was, belief, reading, use, bare_l);
    if_slip = next_off(sums, levels, *belief, event, count, at + 1);
    if_moved = next_off(sums, levels, moved, event, count, at + 1);
    if (if_slip >= 0.0)
        slip = if_slip < if_moved;
    else /* the last one: rain comes in small amounts, thumbs slip in large ones */
        slip = doubt == DOUBT_FALL || fabs(by_mm) > RAIN_MOST_MM;
    if (slip) {
        reading->what = EVENT_SKIP;
        report(outlook, reading, OUTLOOK_SLIP, by_mm);
    } else if (by_water) {
        reading->what = EVENT_RESET;
        *belief = moved;
        report(outlook, reading, doubt == DOUBT_RISE ? OUTLOOK_RISE : OUTLOOK_FALL, by_mm);
    } else
        *belief = moved;
}

static void judge_reading(const struct world *world, const struct sums *sums, const struct levels *levels, const struct belief *was,
                          struct belief *belief, const struct stretch *stretch, struct event *event, size_t count, size_t at,
                          struct outlook *outlook)
{
    enum doubt doubt;

    if (event[at].what == EVENT_SKIP) {
        report(outlook, &event[at], OUTLOOK_OUTSIDE, 0.0);
        return;
    }
    doubt = doubt_of(world, was, belief, &event[at], stretch->bare);
    if (doubt == DOUBT_NONE)
        apply(belief, levels, &event[at]);
    else
        judge(sums, levels, was, belief, stretch->use, stretch->bare, doubt, event, count, at, outlook);
}

/* The waterline was looked at; the litres were guessed. */
static void judge_added(const struct levels *levels, const struct belief *belief, struct event *added, struct outlook *outlook)
{
    double off = added->after_l - fmin(belief->volume_l + added->volume_l, levels->brim_l);
    double spread = sqrt(belief->vv + squared(added->noise_l) + squared(ADDED_NOISE * added->volume_l));

    if (isnan(off) || fabs(off) <= TOO_FAR * spread)
        return;
    added->what = EVENT_RESET;
    report(outlook, added, OUTLOOK_ADDED_OTHER, litres_to_mm(levels, added->after_l - off, added->after_l));
}

/* How steady is this hand? Each reading against the straight line between its neighbours, beside what noise and the days'
 * own spread make of it; six readings' worth of faith in the usual noise. Scales the noise of all readings.
 */
static void learn_noise(const struct sums *sums, double vigour, struct event *event, size_t count)
{
    const struct event *last[2] = {NULL, NULL};
    double seen = NOISE_FAITH, off = NOISE_FAITH, times;

    for (size_t i = 0; i < count; i++) {
        if (event[i].what == EVENT_SKIP)
            continue;
        if (event[i].kind == EVENT_ADDED || event[i].what == EVENT_RESET)
            last[0] = last[1] = NULL;
        if (event[i].kind == EVENT_ADDED)
            continue;
        if (last[0] && event[i].t - last[0]->t <= NOISE_DAYS && event[i].t > last[1]->t && last[1]->t > last[0]->t) {
            double before = last[1]->t - last[0]->t, after = event[i].t - last[1]->t, part = before / (before + after);
            struct stretch stretch = stretch_between(sums, last[0]->t, event[i].t);
            double e = last[1]->volume_l - (1.0 - part) * last[0]->volume_l - part * event[i].volume_l;
            double noise = squared(last[1]->noise_l) * (1.0 + squared(part) + squared(1.0 - part));
            double days = squared(vigour) * stretch.day_spread * part * (1.0 - part);

            off += fmin(squared(e) / (noise + days), NOISE_MOST);
            seen += 1.0;
        }
        last[0] = last[1];
        last[1] = &event[i];
    }
    times = sqrt(fmax(fmin(off / seen, NOISE_MOST), 0.5));
    for (size_t i = 0; i < count; i++)
        if (event[i].kind == EVENT_READING)
            event[i].noise_l *= times;
}

/* Read and topped up in the same minute: which came first? Whatever fits. */
static void order_of_one_minute(const struct belief *belief, struct event *event, size_t count, size_t at)
{
    struct event reading = event[at];

    if (reading.kind != EVENT_READING || at + 1 == count || event[at + 1].kind != EVENT_ADDED || event[at + 1].t > reading.t)
        return;
    if (fabs(reading.volume_l - belief->volume_l - event[at + 1].volume_l) < fabs(reading.volume_l - belief->volume_l)) {
        event[at] = event[at + 1];
        event[at + 1] = reading;
    }
}

void learn_surprises(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                     const double *use_l, struct event *event, size_t count, struct outlook *outlook)
{
    struct sums sums;
    struct belief belief, was;

    start_belief(given, world, levels, PILOT_SPREAD, &belief);
    sums_make(world, use_l, &sums);
    was = belief;
    for (size_t i = 0; i < count; i++) {
        struct stretch stretch = stretch_between(&sums, was.t, fmax(event[i].t, was.t));

        belief = was;
        go_on(&belief, &stretch, squared(PILOT_WANDER) * stretch.days);
        order_of_one_minute(&belief, event, count, i);
        if (event[i].kind == EVENT_READING)
            judge_reading(world, &sums, levels, &was, &belief, &stretch, event, count, i, outlook);
        else {
            judge_added(levels, &belief, &event[i], outlook);
            apply(&belief, levels, &event[i]);
        }
        if (event[i].what != EVENT_SKIP)
            was = belief;
    }
    learn_noise(&sums, fmax(was.vigour, VIGOUR_LEAST), event, count);
}
