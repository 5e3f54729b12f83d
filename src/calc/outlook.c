/* outlook.c - from a tank's facts to its outlook. */
#include "calc/outlook.h"
#include "calc/outlook_inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SPELL_DAYS 0.125 /* three hours: ours */

const char *const outlook_surprise_key[OUTLOOK_SURPRISE_WHYS] = {
    "unexplained_rise", "unexplained_fall", "typing_slip", "above_rim", "addition_differs",
};

static const double method_noise_mm[] = {[OUTLOOK_DIPSTICK] = 2.0, [OUTLOOK_BY_EYE] = 5.0, [OUTLOOK_SENSOR] = 1.0};

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

static bool above(const struct event *one, const struct event *other)
{
    return one->volume_l != other->volume_l ? one->volume_l > other->volume_l : one->t > other->t; /* the same order everywhere */
}

/* By insertion: they are few and nearly in order, and the C library's own sort may allocate. */
static void sort_by_volume(struct event *event, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        struct event one = event[i];
        size_t place = i;

        for (; place > 0 && above(&event[place - 1], &one); place--)
            event[place] = event[place - 1];
        event[place] = one;
    }
}

/* A sensor that reads every minute tells no more of plants than their middle every few hours; nor do its slips then tell anything.
 * Three readings or more within SPELL_DAYS become one.
 */
static size_t thin(struct event *event, size_t count)
{
    size_t kept = 0;

    for (size_t from = 0, to; from < count; from = to) {
        to = from + 1;
        if (event[from].kind == EVENT_READING)
            while (to < count && event[to].kind == EVENT_READING && event[to].t < event[from].t + SPELL_DAYS)
                to++;
        if (to - from < 3) {
            memmove(&event[kept], &event[from], (to - from) * sizeof *event);
            kept += to - from;
            continue;
        }
        sort_by_volume(&event[from], to - from);
        event[kept] = event[from + (to - from) / 2];
        event[kept].noise_l /= 1.5; /* of a middle of three; what they all share does not go away */
        kept++;
    }
    return kept;
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
        double wander = world_wander(world, belief->t, (double)world->first + world->today + end / 2.0);
        double variance = use * use * belief->gg + learn_wander(belief, wander, use, spread);

        mean += weight * vigour * use;
        square += weight * (variance + vigour * vigour * use * use);
    }
    outlook->use_l_day = log_normal_spread(bare, mean, square);
}

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

    if (levels_make(given->vessel, &levels, fault) || outlook_check(given, &levels, fault) || world_make(given, &world, fault))
        return -1;
    memset(outlook, 0, sizeof *outlook);
    days = world.count - world.today - 1;
    count = thin(event, gather(given, &world, &levels, event));
    world_use(&world, &middle, use_l, NULL);
    learn_surprises(given, &world, &levels, use_l, event, count, outlook);
    mixture_grid(given, &mixture);
    mixture_learn(given, &world, &levels, event, count, &mixture);
    mixture_run_low(&world, &levels, given->low_mm, &mixture);
    outlook->low_on = dates_passing(mixture.low_by, days, given->today);
    outlook->waterline_now_mm = levels_waterline_mm(&levels, mixture.volume_l);
    waterlines(&world, &levels, &mixture, given->horizon_days ? given->horizon_days : OUTLOOK_HORIZON_USUAL, outlook);
    coming_use(&world, &mixture, outlook);
    harvest_of_next(&world, &levels, given->low_mm, &mixture, days, outlook);
    learned(&mixture, outlook);
    return 0;
}
