/* compare.c - what would explain a meter that shows something else. */
#include "calc/compare.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* How far a measurement may be from a right calculation, one standard deviation: method and meter together; ours, after the
 * reference's 3 % and 0.1.
 */
#define EC_SPREAD 0.04
#define PH_SPREAD 0.2

#define SHARE_TOLD 0.02 /* a meter or a volume that is off by less is not worth a word; ours */

/* How often each happens, and how far it then strays: ours, to be replaced by a garden's own record. */
static const struct {
    double prior, stray;
} habits[COMPARE_CAUSES] = {
    [COMPARE_NOTHING] = {0.35, 0.0}, [COMPARE_VOLUME] = {0.20, 0.08},      [COMPARE_FORGOTTEN] = {0.12, 0.0},
    [COMPARE_TWICE] = {0.04, 0.0},   [COMPARE_EC_METER] = {0.10, 0.08},    [COMPARE_PH_METER] = {0.08, 0.4},
    [COMPARE_WATER] = {0.06, 0.4},   [COMPARE_NOT_OPEN_YET] = {0.15, 0.0},
};

struct bench {
    const struct compare_request *request;
    struct solution_input salt[MIXING_SALTS]; /* a gram of each in a litre */
};

/* The tank with every salt times[i] times, on a source water of `water` times its strength, in `volume` times the volume. */
static struct solution_input mix(const struct bench *bench, const double times[], double water, double volume)
{
    const struct mixing_request *request = &bench->request->mix;
    struct solution_input litre = request->water;

    solution_scale(&litre, water);
    for (size_t i = 0; i < request->count; i++) {
        double g_l = times[i] * request->salt[i].grams / (request->volume_l * volume);

        for (int ion = 0; ion < ION_TOTALS; ion++)
            litre.total_mmol_l[ion] += g_l * bench->salt[i].total_mmol_l[ion];
        litre.alkalinity_mmol_l += g_l * bench->salt[i].alkalinity_mmol_l;
    }
    return litre;
}

/* Student-like, so that a far miss still ranks by how far it misses. */
static double likeness(double off)
{
    return pow(1.0 + off * off / 4.0, -3.0);
}

static double likelihood(const struct bench *bench, double ec_ms_cm, double ph)
{
    double like = 1.0;

    if (isfinite(bench->request->measured_ec_ms_cm))
        like *= likeness(log((bench->request->measured_ec_ms_cm + 1e-4) / (ec_ms_cm + 1e-4)) / EC_SPREAD);
    if (isfinite(bench->request->measured_ph))
        like *= likeness((bench->request->measured_ph - ph) / PH_SPREAD);
    return like;
}

/* A cause that can stray by any amount is paid for the amount it takes: the share of its habit that fits. */
static double cost_of_straying(enum compare_cause cause, double by, double spread)
{
    double stray = habits[cause].stray;

    return exp(-0.5 * by * by / (stray * stray)) * spread / sqrt(spread * spread + stray * stray);
}

static struct compare_item *note(struct compare *compare, enum compare_cause cause, size_t index, double share, double chance,
                                 double ec_ms_cm, double ph)
{
    struct compare_item *item;

    if (compare->count == COMPARE_MOST) {
        item = &compare->item[COMPARE_MOST - 1];
        if (chance <= item->chance)
            return NULL;
    } else {
        item = &compare->item[compare->count++];
    }
    *item =
        (struct compare_item){.cause = cause, .index = index, .share = share, .chance = chance, .ec_ms_cm = ec_ms_cm, .ph = ph};
    return item;
}

static int solve(const struct bench *bench, const double times[], double water, double volume, enum solution_gas gas,
                 struct solution *solved, struct fault *fault)
{
    struct solution_input litre = mix(bench, times, water, volume);

    litre.gas = gas;
    return solution_solve(&litre, solved, fault);
}

/* The share of volume (or of water's strength) at which the EC is the measured one, in [least, most]; NAN where none is. */
static double share_that_fits(const struct bench *bench, const double times[], bool of_volume, double least, double most)
{
    double wanted = bench->request->measured_ec_ms_cm, low = least, high = most;
    struct solution at;
    bool falls = of_volume; /* more volume, less EC; stronger water, more EC */

    for (int end = 0; end < 2; end++) {
        double share = end ? most : least;

        if (solve(bench, times, of_volume ? 1.0 : share, of_volume ? share : 1.0, bench->request->mix.water.gas, &at, NULL))
            return NAN;
        if ((at.ec_ms_cm < wanted) != ((end == 0) != falls))
            return NAN;
    }
    while (high - low > 1e-4) {
        double middle = 0.5 * (low + high);

        if (solve(bench, times, of_volume ? 1.0 : middle, of_volume ? middle : 1.0, bench->request->mix.water.gas, &at, NULL))
            return NAN;
        if ((at.ec_ms_cm < wanted) != falls)
            low = middle;
        else
            high = middle;
    }
    return 0.5 * (low + high);
}

/* ---------------------------------------------------------------------- the causes */

static void try_salts(const struct bench *bench, struct compare *compare)
{
    const struct mixing_request *request = &bench->request->mix;
    double times[MIXING_SALTS];

    for (size_t i = 0; i < request->count; i++)
        for (int twice = 0; twice < 2; twice++) {
            enum compare_cause cause = twice ? COMPARE_TWICE : COMPARE_FORGOTTEN;
            struct compare_item *item;
            struct solution solved;

            for (size_t k = 0; k < request->count; k++)
                times[k] = k == i ? 2.0 * twice : 1.0;
            if (solve(bench, times, 1.0, 1.0, request->water.gas, &solved, NULL))
                continue;
            item = note(compare, cause, i, NAN,
                        habits[cause].prior / (double)request->count * likelihood(bench, solved.ec_ms_cm, solved.ph),
                        solved.ec_ms_cm, solved.ph);
            if (item)
                snprintf(item->text, sizeof item->text,
                         twice ? "%.64s went in twice" : "%.64s is not in it yet, or not dissolved", request->salt[i].salt->name);
        }
}

static void try_shares(const struct bench *bench, const double times[], struct compare *compare)
{
    for (int of_volume = 0; of_volume < 2; of_volume++) {
        enum compare_cause cause = of_volume ? COMPARE_VOLUME : COMPARE_WATER;
        double share = share_that_fits(bench, times, of_volume, of_volume ? 0.3 : 0.0, of_volume ? 3.0 : 4.0), chance;
        struct compare_item *item;
        struct solution solved;

        if (isnan(share) || fabs(share - 1.0) < SHARE_TOLD ||
            solve(bench, times, of_volume ? 1.0 : share, of_volume ? share : 1.0, bench->request->mix.water.gas, &solved, NULL))
            continue;
        chance =
            habits[cause].prior * cost_of_straying(cause, share - 1.0, EC_SPREAD) * likelihood(bench, solved.ec_ms_cm, solved.ph);
        item = note(compare, cause, 0, share, chance, solved.ec_ms_cm, solved.ph);
        if (!item)
            continue;
        if (of_volume)
            snprintf(item->text, sizeof item->text, "the tank holds %.0f %% %s water than thought: about %.1f L",
                     100.0 * fabs(share - 1.0), share > 1.0 ? "more" : "less", share * bench->request->mix.volume_l);
        else
            snprintf(item->text, sizeof item->text, "the source water is %.0f %% %s than its analysis", 100.0 * fabs(share - 1.0),
                     share > 1.0 ? "stronger" : "weaker");
    }
}

static void try_meters(const struct bench *bench, const struct solution *predicted, struct compare *compare)
{
    const struct compare_request *request = bench->request;
    struct compare_item *item;

    if (isfinite(request->measured_ec_ms_cm)) {
        double share = request->measured_ec_ms_cm / fmax(predicted->ec_ms_cm, 1e-6);

        item = fabs(share - 1.0) < SHARE_TOLD
                   ? NULL
                   : note(compare, COMPARE_EC_METER, 0, share,
                          habits[COMPARE_EC_METER].prior * cost_of_straying(COMPARE_EC_METER, share - 1.0, EC_SPREAD) *
                              likelihood(bench, request->measured_ec_ms_cm, predicted->ph),
                          request->measured_ec_ms_cm, predicted->ph);
        if (item)
            snprintf(item->text, sizeof item->text, "the EC meter reads %.0f %% %s: check it in a standard",
                     100.0 * fabs(share - 1.0), share > 1.0 ? "high" : "low");
    }
    if (isfinite(request->measured_ph)) {
        double by = request->measured_ph - predicted->ph;

        item = fabs(by) < 0.1 ? NULL
                              : note(compare, COMPARE_PH_METER, 0, by,
                                     habits[COMPARE_PH_METER].prior * cost_of_straying(COMPARE_PH_METER, by, PH_SPREAD) *
                                         likelihood(bench, predicted->ec_ms_cm, request->measured_ph),
                                     predicted->ec_ms_cm, request->measured_ph);
        if (item)
            snprintf(item->text, sizeof item->text, "the pH meter reads %.1f %s: check it in buffer", fabs(by),
                     by > 0.0 ? "high" : "low");
    }
}

static void try_air(const struct bench *bench, const double times[], struct compare *compare)
{
    struct compare_item *item;
    struct solution solved;

    if (bench->request->mix.water.gas != SOLUTION_CLOSED || solve(bench, times, 1.0, 1.0, SOLUTION_OPEN_AIR, &solved, NULL))
        return;
    item = note(compare, COMPARE_NOT_OPEN_YET, 0, NAN,
                habits[COMPARE_NOT_OPEN_YET].prior * likelihood(bench, solved.ec_ms_cm, solved.ph), solved.ec_ms_cm, solved.ph);
    if (item)
        snprintf(item->text, sizeof item->text, "it has come to rest with the air: standing open brings it to pH %.1f",
                 solved.ph);
}

/* --------------------------------------------------------------------------- whole */

static void rank(struct compare *compare)
{
    double sum = 0.0;
    size_t kept = 0;

    for (size_t i = 1; i < compare->count; i++)
        for (size_t k = i; k > 0 && compare->item[k].chance > compare->item[k - 1].chance; k--) {
            struct compare_item swap = compare->item[k];

            compare->item[k] = compare->item[k - 1];
            compare->item[k - 1] = swap;
        }
    for (size_t i = 0; i < compare->count; i++)
        sum += compare->item[i].chance;
    for (size_t i = 0; i < compare->count; i++) {
        compare->item[i].chance /= sum;
        if (compare->item[i].chance >= 0.01)
            kept = i + 1;
    }
    compare->count = kept;
}

static int check(const struct compare_request *request, struct fault *fault)
{
    bool ec = !isnan(request->measured_ec_ms_cm), ph = !isnan(request->measured_ph);
    int bad = 0;

    if (ec && !(request->measured_ec_ms_cm >= 0.0 && request->measured_ec_ms_cm <= 200.0))
        bad = fault_add(fault, FAULT_INPUT, "/measured_ec_ms_cm", "must be from 0 to 200 mS/cm, was %g",
                        request->measured_ec_ms_cm);
    if (ph && !(request->measured_ph >= 0.0 && request->measured_ph <= 14.0))
        bad = fault_add(fault, FAULT_INPUT, "/measured_ph", "must be from 0 to 14, was %g", request->measured_ph);
    if (!ec && !ph)
        bad = fault_add(fault, FAULT_INPUT, "", "neither EC nor pH was measured");
    if (request->mix.count > MIXING_SALTS)
        bad = fault_add(fault, FAULT_INPUT, "/salts", "must be at most %d salts, were %zu", MIXING_SALTS, request->mix.count);
    if (!(request->mix.volume_l > 0.0 && request->mix.volume_l <= 1e6))
        bad = fault_add(fault, FAULT_INPUT, "/volume_l", "must be above 0 and at most 1000000, was %g", request->mix.volume_l);
    return bad;
}

int compare_measured(const struct compare_request *request, struct compare *compare, struct fault *fault)
{
    struct bench bench = {.request = request};
    struct compare answer;
    struct solution predicted;
    double times[MIXING_SALTS];

    if (check(request, fault))
        return -1;
    memset(&answer, 0, sizeof answer);
    for (size_t i = 0; i < request->mix.count; i++) {
        times[i] = 1.0;
        solution_begin(&bench.salt[i], 25.0);
        if (solution_add_salt(&bench.salt[i], request->mix.salt[i].salt, 1.0, fault))
            return -1;
    }
    if (solve(&bench, times, 1.0, 1.0, request->mix.water.gas, &predicted, fault))
        return -1;
    answer.predicted_ec_ms_cm = predicted.ec_ms_cm;
    answer.predicted_ph = predicted.ph;
    answer.within =
        !(isfinite(request->measured_ec_ms_cm) && fabs(request->measured_ec_ms_cm / predicted.ec_ms_cm - 1.0) > 0.05) &&
        !(isfinite(request->measured_ph) && fabs(request->measured_ph - predicted.ph) > 0.2);
    note(&answer, COMPARE_NOTHING, 0, NAN, habits[COMPARE_NOTHING].prior * likelihood(&bench, predicted.ec_ms_cm, predicted.ph),
         predicted.ec_ms_cm, predicted.ph);
    snprintf(answer.item[0].text, sizeof answer.item[0].text, "nothing is wrong: within what meter and calculation can tell");
    if (isfinite(request->measured_ec_ms_cm))
        try_shares(&bench, times, &answer);
    try_meters(&bench, &predicted, &answer);
    try_air(&bench, times, &answer);
    try_salts(&bench, &answer);
    rank(&answer);
    *compare = answer;
    return 0;
}
