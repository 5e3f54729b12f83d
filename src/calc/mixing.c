/* mixing.c - the order of dissolving that keeps furthest from falling out. */
#include "calc/mixing.h"
#include "calc/solution_data.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define NO_RISK 99.0      /* margin where nothing can precipitate */
#define MARGIN_EQUAL 0.1  /* the honest spread of an index: nobody can tell such orders apart */
#define MARGIN_ENOUGH 0.2 /* twice that below where clouding may begin: further is no safer; ours */

static const double meetings[] = {0.5, 0.2, 0.05}; /* share of the jug where it meets the tank; ours */
#define MIXING_MEETINGS (sizeof meetings / sizeof *meetings)

/* ------------------------------------------------------------------------- volumes */

int mixing_least_jug_l(const struct salt *salt, double grams, double t_c, double *litres, struct fault *fault)
{
    double g_per_kg_water;
    bool exact;

    *litres = 0.0;
    if (salts_solubility(salt, t_c, &g_per_kg_water, &exact, fault))
        return -1;
    /* A tenth in hand; the dissolved salt itself takes up to 0.6 mL a gram (ammonium nitrate takes most; from memory). */
    *litres = grams / (0.9 * g_per_kg_water) + 0.0006 * grams;
    return 0;
}

/* --------------------------------------------------------------------------- steps */

/* Everything that the search needs, computed once. */
struct plan {
    const struct mixing_request *request;
    struct solution_input salt[MIXING_SALTS]; /* a gram of each in a litre */
    double jug_l[MIXING_SALTS], least_l[MIXING_SALTS];
    bool inert[MIXING_SALTS]; /* no ions: chelates, urea, metals by weight */
};

static void add_scaled(struct solution_input *to, const struct solution_input *from, double times)
{
    for (int i = 0; i < ION_TOTALS; i++)
        to->total_mmol_l[i] += times * from->total_mmol_l[i];
    for (int e = 0; e < ELEMENT_COUNT; e++)
        to->elements_mg_l[e] += times * from->elements_mg_l[e];
    to->alkalinity_mmol_l += times * from->alkalinity_mmol_l;
}

static struct solution_input tank_with(const struct plan *plan, unsigned held)
{
    struct solution_input tank = plan->request->water;

    for (size_t i = 0; i < plan->request->count; i++)
        if (held >> i & 1u)
            add_scaled(&tank, &plan->salt[i], plan->request->salt[i].grams / plan->request->volume_l);
    return tank;
}

static struct solution_input jug_of(const struct plan *plan, size_t i)
{
    struct solution_input jug = plan->request->water;

    add_scaled(&jug, &plan->salt[i], plan->request->salt[i].grams / plan->jug_l[i]);
    if (isfinite(plan->request->jug_temperature_c))
        jug.temperature_c = plan->request->jug_temperature_c;
    return jug;
}

struct risk {
    double margin; /* NO_RISK: nothing can precipitate */
    enum solution_mineral mineral;
    double saturation;
};

static void note_risk(struct risk *risk, const struct solution *solved)
{
    enum solution_mineral mineral;

    precipitate_worst(solved, &mineral);
    if (solved->saturation[mineral] != SATURATION_ABSENT &&
        precipitate_threshold(mineral) - solved->saturation[mineral] < risk->margin) {
        risk->margin = precipitate_threshold(mineral) - solved->saturation[mineral];
        risk->mineral = mineral;
        risk->saturation = solved->saturation[mineral];
    }
}

/* What can happen when salt i is brought into a tank that holds `held`. A jug too strong to be computed says nothing. */
static struct risk risk_of_pouring(const struct plan *plan, unsigned held, size_t i)
{
    struct risk risk = {NO_RISK, MINERAL_GYPSUM, SATURATION_ABSENT};
    struct solution_input before = tank_with(plan, held), jug = jug_of(plan, i);
    struct solution solved;

    if (plan->inert[i])
        return risk;
    for (size_t m = 0; m < MIXING_MEETINGS; m++) {
        struct solution_input meeting = before;

        solution_scale(&meeting, 1.0 - meetings[m]);
        add_scaled(&meeting, &jug, meetings[m]);
        if (solution_solve_without_ec(&meeting, &solved, NULL) == 0)
            note_risk(&risk, &solved);
    }
    return risk;
}

static void lower(struct risk *risk, const struct risk *other)
{
    if (other->margin < risk->margin)
        *risk = *other;
}

/* A jug alone, or the tank after the step. */
static struct risk risk_in(const struct solution_input *litre)
{
    struct risk risk = {NO_RISK, MINERAL_GYPSUM, SATURATION_ABSENT};
    struct solution solved;

    if (solution_solve_without_ec(litre, &solved, NULL) == 0)
        note_risk(&risk, &solved);
    return risk;
}

/* ------------------------------------------------------------------------ the order */

struct search {
    size_t salts; /* those that are searched */
    size_t index[MIXING_SEARCHED];
    double edge[1u << MIXING_SEARCHED][MIXING_SEARCHED]; /* margin of adding to a set */
    double worst_of_any;                                 /* smallest margin that any order meets */
};

/* What a margin is worth when orders are compared: in tenths, and no more than enough. */
static double worth(double margin)
{
    return MARGIN_EQUAL * floor(fmin(margin, MARGIN_ENOUGH) / MARGIN_EQUAL + 0.5);
}

static bool brings(const struct mixing_salt *salt, enum ion ion)
{
    return salt->salt->ions[ion] > 0.0;
}

/* Whether a salt follows calcium that was poured before: each one is an occasion to stir too little. */
static bool follows_calcium(const struct plan *plan, unsigned held)
{
    for (size_t k = 0; k < plan->request->count; k++)
        if (held >> k & 1u && brings(&plan->request->salt[k], ION_CA))
            return true;
    return false;
}

static unsigned spread(const struct search *search, unsigned set)
{
    unsigned held = 0;

    for (size_t i = 0; i < search->salts; i++)
        if (set >> i & 1u)
            held |= 1u << search->index[i];
    return held;
}

static void weigh_edges(const struct plan *plan, struct search *search)
{
    double tank[1u << MIXING_SEARCHED], jug[MIXING_SEARCHED];

    search->worst_of_any = NO_RISK;
    for (unsigned set = 0; set < 1u << search->salts; set++) {
        struct solution_input litre = tank_with(plan, spread(search, set));

        tank[set] = risk_in(&litre).margin;
    }
    for (size_t i = 0; i < search->salts; i++) {
        struct solution_input litre = jug_of(plan, search->index[i]);

        jug[i] = risk_in(&litre).margin;
    }
    for (unsigned set = 0; set < 1u << search->salts; set++)
        for (size_t i = 0; i < search->salts; i++) {
            if (set >> i & 1u)
                continue;
            search->edge[set][i] =
                fmin(fmin(risk_of_pouring(plan, spread(search, set), search->index[i]).margin, jug[i]), tank[set | 1u << i]);
            search->worst_of_any = fmin(search->worst_of_any, search->edge[set][i]);
        }
}

/* The order with the widest smallest margin; among those the most margin in all, the fewest salts after calcium, the heavier first. */
static void best_path(const struct plan *plan, const struct search *search, size_t order[])
{
    double widest[1u << MIXING_SEARCHED], sum[1u << MIXING_SEARCHED], most = 0.0;
    int last[1u << MIXING_SEARCHED];
    unsigned all = (1u << search->salts) - 1u;

    for (size_t i = 0; i < search->salts; i++)
        most = fmax(most, plan->request->salt[search->index[i]].grams);
    widest[0] = NO_RISK;
    for (unsigned set = 1; set <= all; set++) {
        widest[set] = -INFINITY;
        for (size_t i = 0; i < search->salts; i++)
            if (set >> i & 1u)
                widest[set] = fmax(widest[set], fmin(widest[set & ~(1u << i)], search->edge[set & ~(1u << i)][i]));
    }
    sum[0] = 0.0;
    last[0] = -1;
    for (unsigned set = 1; set <= all; set++) {
        int done = 0;

        for (unsigned rest = set; rest; rest &= rest - 1u)
            done++;
        sum[set] = -INFINITY;
        last[set] = -1;
        for (size_t i = 0; i < search->salts; i++) {
            unsigned before = set & ~(1u << i);
            double here;

            if (!(set >> i & 1u) || search->edge[before][i] < fmin(widest[all], MARGIN_ENOUGH) - MARGIN_EQUAL ||
                sum[before] == -INFINITY)
                continue;
            here = sum[before] + worth(search->edge[before][i]) - (follows_calcium(plan, spread(search, before)) ? 1e-3 : 0.0) -
                   1e-6 * done * plan->request->salt[search->index[i]].grams / most;
            if (here > sum[set]) {
                sum[set] = here;
                last[set] = (int)i;
            }
        }
    }
    for (unsigned set = all, place = (unsigned)search->salts; set; set &= ~(1u << last[set]))
        order[--place] = search->index[last[set]];
}

/* More salts than are searched: each time the one that keeps furthest away, the heavier among equals. */
static void greedy_path(const struct plan *plan, size_t count, const size_t index[], size_t order[])
{
    unsigned held = 0;

    for (size_t place = 0; place < count; place++) {
        double best = -INFINITY;

        for (size_t n = 0; n < count; n++) {
            size_t i = index[n];
            struct solution_input after = tank_with(plan, held | 1u << i);
            double margin;

            if (held >> i & 1u)
                continue;
            margin = worth(fmin(risk_of_pouring(plan, held, i).margin, risk_in(&after).margin)) -
                     (brings(&plan->request->salt[i], ION_CA) ? 1e-3 : 0.0) + 1e-9 * plan->request->salt[i].grams;
            if (margin > best) {
                best = margin;
                order[place] = i;
            }
        }
        held |= 1u << order[place];
    }
}

/* ------------------------------------------------------------------------- telling */

static void tell_step(const struct plan *plan, unsigned held, size_t i, struct mixing_step *step)
{
    const struct mixing_salt *salt = &plan->request->salt[i];
    struct solution_input jug = jug_of(plan, i), tank = tank_with(plan, held | 1u << i);
    struct solution solved;
    struct risk risk = risk_of_pouring(plan, held, i), other;
    char least[40] = "";

    step->index = i;
    step->grams = salt->grams;
    step->least_jug_l = plan->least_l[i];
    step->jug_l = plan->jug_l[i];
    step->jug_ph = step->jug_ec_ms_cm = step->tank_ph = step->tank_ec_ms_cm = NAN;
    if (solution_solve(&jug, &solved, NULL) == 0) {
        step->jug_ph = solved.ph;
        step->jug_ec_ms_cm = solved.ec_ms_cm;
    }
    if (solution_solve(&tank, &solved, NULL) == 0) {
        step->tank_ph = solved.ph;
        step->tank_ec_ms_cm = solved.ec_ms_cm;
    }
    other = risk_in(&jug);
    lower(&risk, &other);
    other = risk_in(&tank);
    lower(&risk, &other);
    step->worst = risk.mineral;
    step->worst_saturation = risk.saturation;
    step->verdict = precipitate_judge(risk.mineral, risk.saturation);
    if (step->least_jug_l > 0.0)
        snprintf(least, sizeof least, " (at least %.*f L)", step->least_jug_l < 1.0 ? 2 : 1, step->least_jug_l);
    snprintf(step->text, sizeof step->text,
             "Dissolve %.*f g of %s in %.1f L of water%s; pour it %sinto the tank and stir until clear.",
             salt->grams < 10.0 ? 2 : 1, salt->grams, salt->salt->name, step->jug_l, least,
             step->verdict == PRECIPITATE_NONE ? "" : "slowly ");
}

/* One or two sentences on why this order. */
static void tell_why(const struct plan *plan, const struct mixing *mixing, double worst_of_any, char *text, size_t size)
{
    const struct mixing_request *request = plan->request;
    const struct mixing_salt *last = NULL;
    bool others = false, clear_before = true;
    int used;

    for (size_t n = 0; n < mixing->count; n++) {
        const struct mixing_salt *salt = &request->salt[mixing->step[n].index];

        if (plan->inert[mixing->step[n].index])
            continue;
        if (last && brings(last, ION_CA))
            others = true; /* something follows the calcium */
        last = salt;
        if (n + 1 < mixing->count && !brings(salt, ION_CA))
            clear_before = clear_before && mixing->step[n].worst_saturation == SATURATION_ABSENT;
    }
    if (mixing->margin >= NO_RISK) {
        snprintf(text, size, "Nothing in this mix can fall out in any order; the heaviest goes first.");
        return;
    }
    used = 0;
    if (last && brings(last, ION_CA) && !others)
        used = snprintf(
            text, size,
            "The calcium comes last: %sit meets sulfate and phosphate only when they are spread through the whole tank. ",
            clear_before ? "until then nothing in the tank can fall out, and " : "");
    if (used < 0 || (size_t)used >= size)
        return;
    used += snprintf(text + used, size - (size_t)used, "Nearest to falling out is %s, %.1f %s where it would begin",
                     solution_mineral_key[mixing->worst], fabs(mixing->margin), mixing->margin >= 0.0 ? "below" : "above");
    if (isfinite(worst_of_any) && worst_of_any < mixing->margin - 0.05 && (size_t)used < size)
        snprintf(text + used, size - (size_t)used, "; in the worst order it would come %.1f nearer.",
                 mixing->margin - worst_of_any);
    else if ((size_t)used < size)
        snprintf(text + used, size - (size_t)used, ".");
}

static void tell_one_jug(const struct plan *plan, struct mixing *mixing)
{
    struct solution_input jug = plan->request->water;
    struct fault beyond = {0};
    char lost[240];

    mixing->one_jug_l = 0.0;
    for (size_t i = 0; i < plan->request->count; i++)
        mixing->one_jug_l = fmax(mixing->one_jug_l, plan->jug_l[i]);
    for (size_t i = 0; i < plan->request->count; i++)
        add_scaled(&jug, &plan->salt[i], plan->request->salt[i].grams / mixing->one_jug_l);
    if (isfinite(plan->request->jug_temperature_c))
        jug.temperature_c = plan->request->jug_temperature_c;
    mixing->one_jug_computed = precipitate_equilibrium(&jug, &mixing->in_one_jug, &beyond) == 0;
    mixing->one_jug_text[0] = '\0';
    if (mixing->one_jug_computed && precipitate_sentence(&mixing->in_one_jug, mixing->one_jug_l, lost, sizeof lost)[0])
        snprintf(mixing->one_jug_text, sizeof mixing->one_jug_text, "All in one jug of %.1f L: %s.", mixing->one_jug_l, lost);
}

/* --------------------------------------------------------------------------- whole */

static int prepare(const struct mixing_request *request, struct plan *plan, struct fault *fault)
{
    double t_c = isfinite(request->jug_temperature_c) ? request->jug_temperature_c : request->water.temperature_c;
    int bad = 0;

    if (request->count < 1 || request->count > MIXING_SALTS)
        return fault_add(fault, FAULT_INPUT, "/salts", "must be 1 to %d salts, were %zu", MIXING_SALTS, request->count);
    if (!(request->volume_l >= 0.1 && request->volume_l <= 1e6))
        bad = fault_add(fault, FAULT_INPUT, "/volume_l", "must be from 0.1 to 1000000, was %g", request->volume_l);
    if (!(request->jug_l >= 0.0 && request->jug_l <= 1e6))
        bad = fault_add(fault, FAULT_INPUT, "/jug_l", "must be from 0 to 1000000, was %g", request->jug_l);
    if (!(t_c >= 0.0 && t_c <= 40.0))
        bad = fault_add(fault, FAULT_INPUT, "/temperature_c", "must be from 0 to 40 degrees C, was %g", t_c);
    if (bad)
        return -1;
    plan->request = request;
    for (size_t i = 0; i < request->count; i++) {
        const struct mixing_salt *salt = &request->salt[i];
        char at[40];

        snprintf(at, sizeof at, "/salts/%zu/grams", i);
        if (!(salt->grams >= 0.0 && salt->grams <= 2000.0 * request->volume_l)) {
            bad = fault_add(fault, FAULT_INPUT, at, "must be from 0 to 2000 g a litre, was %g", salt->grams);
            continue;
        }
        solution_begin(&plan->salt[i], 25.0);
        solution_add_salt(&plan->salt[i], salt->salt, 1.0, NULL);
        plan->inert[i] = true;
        for (int ion = 0; ion < ION_COUNT; ion++)
            plan->inert[i] = plan->inert[i] && salt->salt->ions[ion] == 0.0;
        mixing_least_jug_l(salt->salt, salt->grams, t_c, &plan->least_l[i], NULL); /* 0 where nothing is known */
        plan->jug_l[i] = request->jug_l > 0.0 ? request->jug_l : fmax(0.5, request->volume_l / 20.0);
        plan->jug_l[i] = fmin(fmax(plan->jug_l[i], plan->least_l[i]), request->volume_l);
        if (plan->least_l[i] > request->volume_l)
            bad = fault_add(fault, FAULT_INPUT, at, "%g g of %s do not dissolve in %g L at %g degrees C", salt->grams,
                            salt->salt->name, request->volume_l, t_c);
    }
    return bad;
}

static int follow(const struct plan *plan, const size_t order[], double worst_of_any, struct mixing *mixing, struct fault *fault)
{
    struct solution_input tank;
    unsigned held = 0;

    memset(mixing, 0, sizeof *mixing);
    mixing->count = plan->request->count;
    mixing->margin = NO_RISK;
    for (size_t n = 0; n < mixing->count; n++) {
        struct mixing_step *step = &mixing->step[n];

        tell_step(plan, held, order[n], step);
        held |= 1u << order[n];
        if (step->worst_saturation != SATURATION_ABSENT &&
            precipitate_threshold(step->worst) - step->worst_saturation < mixing->margin) {
            mixing->margin = precipitate_threshold(step->worst) - step->worst_saturation;
            mixing->worst = step->worst;
        }
    }
    tank = tank_with(plan, held);
    if (precipitate_equilibrium(&tank, &mixing->in_tank, fault))
        return -1;
    tell_one_jug(plan, mixing);
    tell_why(plan, mixing, worst_of_any, mixing->why, sizeof mixing->why);
    return 0;
}

int mixing_best(const struct mixing_request *request, struct mixing *mixing, struct fault *fault)
{
    struct plan plan;
    struct search search = {.salts = 0};
    size_t order[MIXING_SALTS], index[MIXING_SALTS], ionic = 0, place;
    double worst_of_any = NAN;

    if (prepare(request, &plan, fault))
        return -1;
    for (size_t i = 0; i < request->count; i++)
        if (!plan.inert[i])
            index[ionic++] = i;
    if (ionic <= MIXING_SEARCHED) {
        search.salts = ionic;
        memcpy(search.index, index, ionic * sizeof *index);
        weigh_edges(&plan, &search);
        best_path(&plan, &search, order);
        worst_of_any = search.worst_of_any;
    } else {
        greedy_path(&plan, ionic, index, order);
    }
    place = ionic;
    for (size_t i = 0; i < request->count; i++)
        if (plan.inert[i])
            order[place++] = i;
    return follow(&plan, order, worst_of_any, mixing, fault);
}

int mixing_in_order(const struct mixing_request *request, const size_t order[], struct mixing *mixing, struct fault *fault)
{
    struct plan plan;
    unsigned seen = 0;

    if (prepare(request, &plan, fault))
        return -1;
    for (size_t n = 0; n < request->count; n++) {
        if (order[n] >= request->count || seen >> order[n] & 1u)
            return fault_add(fault, FAULT_INPUT, "/salts", "must each come once in the order");
        seen |= 1u << order[n];
    }
    return follow(&plan, order, NAN, mixing, fault);
}
