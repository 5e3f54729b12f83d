/* advice.c - the grower's rules: when a tank wants a hand, and how soon.
 *
 * Urgency is counted in days until it matters. The thresholds are common practice without a source unless one is named.
 */
#include "garden/advice.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"

#define SOON_DAYS 5            /* a low date this near is worth a word: two visits a week still meet it */
#define OVERDUE_DAYS 7         /* a tank that nobody read for a week */
#define FRESH_DAYS 14          /* EC, pH and warmth say nothing of today when older */
#define RECENT_DAYS 3          /* a flag on an entry older than this is past mending */
#define WARM_C 25.0            /* root rot becomes more likely; common practice, no source */
#define CARRIES_ENOUGH 0.9     /* a fill that carries to harvest this surely needs nothing */

struct rules {
    struct standing *standing;
    const struct standing_place *place;
    struct arena *arena;
    struct fault *fault;
    size_t room;
};

static struct advice *advise(struct rules *rules, enum advice_reason reason, double urgency, int act)
{
    struct list *list = &rules->standing->advice;
    struct advice *advice;

    list->item = arena_grow(rules->arena, list->item, list->count, &rules->room, sizeof *advice);
    if (!list->item) {
        fault_add(rules->fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    advice = (struct advice *)list->item + list->count++;
    *advice = (struct advice){.reason = reason,
                              .urgency = urgency,
                              .when = {DAYS_NONE, DAYS_NONE, DAYS_NONE},
                              .with = {NAN, NAN, NAN, NAN, NAN, NAN, NAN, NULL, NULL, NULL, NULL},
                              .act = act};
    return advice;
}

static double days_since(const struct rules *rules, int64_t ms)
{
    return rules->place->today - clock_day(rules->place->garden.time_zone, ms);
}

static bool fresh(const struct rules *rules, const struct observed *observed, double days)
{
    return observed->at_ms != STORE_NO_INT && !isnan(observed->value) && days_since(rules, observed->at_ms) <= days;
}

static size_t hanging(const struct tank_state *state)
{
    const struct cup_state *cup = state->cups.item;
    size_t count = 0;

    for (size_t i = 0; i < state->cups.count; i++)
        count += cup[i].crop != NULL;
    return count;
}

/* ---- water ---- */

static void tell_topup(struct advice *advice, const struct topup *topup)
{
    if (!topup)
        return;
    advice->with.litres = topup->add_l;
    advice->with.to_mm = topup->to_mm;
    advice->with.share = topup->share;
    advice->with.strength = topup_strength_key[topup->strength];
}

static int water_rules(struct rules *rules)
{
    const struct standing *standing = rules->standing;
    const struct tank_state *state = &standing->state;
    const struct outlook *outlook = standing->outlook;
    double now_mm = outlook ? outlook->waterline_now_mm : state->waterline.value;
    struct advice *advice;
    double days;

    if (now_mm <= state->low_mm) {
        advice = advise(rules, ADVICE_BELOW_LOW, 0, ENTRY_TOP_UP);
        if (!advice)
            return -1;
        advice->with.value = now_mm;
        advice->with.low = state->low_mm;
        tell_topup(advice, standing->topup);
        return 0;
    }
    if (!outlook || outlook->low_on.p10 == DAYS_NONE || outlook->carries_to_harvest >= CARRIES_ENOUGH)
        return 0;
    days = outlook->low_on.p10 - rules->place->today;
    if (days > SOON_DAYS)
        return 0;
    /* What is left will do until the harvest: there is nothing to be done about the low date. */
    if (standing->topup && standing->topup->strength == TOPUP_NOTHING && standing->topup->why_count &&
        standing->topup->why[0].kind == TOPUP_ENOUGH)
        return 0;
    advice = advise(rules, ADVICE_RUNS_LOW, days, ENTRY_TOP_UP);
    if (!advice)
        return -1;
    advice->when = outlook->low_on;
    advice->with.days = days;
    tell_topup(advice, standing->topup);
    return 0;
}

/* ---- plants ---- */

static int harvest_rule(struct rules *rules)
{
    const struct outlook *outlook = rules->standing->outlook;
    const struct cup_state *cup = rules->standing->state.cups.item;
    struct advice *advice;

    if (!outlook || outlook->harvest_on.p50 == DAYS_NONE || outlook->harvest_on.p50 > rules->place->today + 1)
        return 0;
    advice = advise(rules, ADVICE_HARVEST_DUE, fmax(1, outlook->harvest_on.p50 - rules->place->today), ENTRY_HARVEST);
    if (!advice)
        return -1;
    advice->when = outlook->harvest_on;
    for (size_t i = 0; i < rules->standing->state.cups.count && !advice->with.crop; i++)
        advice->with.crop = cup[i].crop;
    return 0;
}

static int reading_rule(struct rules *rules)
{
    const struct tank_state *state = &rules->standing->state;
    int64_t last = state->waterline.at_ms == STORE_NO_INT ? state->filled_ms : state->waterline.at_ms;
    double days = days_since(rules, last);
    struct advice *advice;

    if (days < OVERDUE_DAYS)
        return 0;
    /* The longer nobody looked, the further up: no neglected tank hides. */
    advice = advise(rules, ADVICE_OVERDUE_READING, fmax(0.5, 3 - (days - OVERDUE_DAYS) / 7), ENTRY_READING);
    if (!advice)
        return -1;
    advice->with.days = days;
    advice->with.value = state->waterline.value;
    return 0;
}

/* ---- what was measured ---- */

/* The narrowest band that suits all crops which hang here; false where none hangs. */
static bool common_band(const struct rules *rules, size_t offset, double *low, double *high)
{
    const struct tank_state *state = &rules->standing->state;
    const struct cup_state *cup = state->cups.item;
    bool any = false;

    for (size_t i = 0; i < state->cups.count; i++) {
        const struct garden_crop *crop = cup[i].crop ? garden_crop_find(&rules->place->crops, cup[i].crop) : NULL;
        const struct crop_range *range;

        if (!crop)
            continue;
        range = (const struct crop_range *)((const char *)&crop->crop + offset);
        *low = any ? fmax(*low, range->low) : range->low;
        *high = any ? fmin(*high, range->high) : range->high;
        any = true;
    }
    if (any && *low > *high) { /* crops that do not suit one another: the middle between them */
        double middle = (*low + *high) / 2;

        *low = *high = middle;
    }
    return any;
}

static int band_rule(struct rules *rules, const struct observed *observed, size_t offset, double slack, enum advice_reason above,
                     enum advice_reason below)
{
    double low, high;
    struct advice *advice;

    if (!fresh(rules, observed, FRESH_DAYS) || !common_band(rules, offset, &low, &high))
        return 0;
    if (observed->value <= high + slack && observed->value >= low - slack)
        return 0;
    advice = advise(rules, observed->value > high ? above : below, 2, ENTRY_READING);
    if (!advice)
        return -1;
    advice->with.value = observed->value;
    advice->with.low = low;
    advice->with.high = high;
    return 0;
}

static int warm_rule(struct rules *rules)
{
    const struct observed *temperature = &rules->standing->state.temperature;
    struct advice *advice;

    if (!fresh(rules, temperature, RECENT_DAYS) || temperature->value < WARM_C)
        return 0;
    advice = advise(rules, ADVICE_WARM, 1.5, ENTRY_READING);
    if (!advice)
        return -1;
    advice->with.value = temperature->value;
    advice->with.high = WARM_C;
    return 0;
}

/* ---- what looks odd in the log ---- */

static const int flag_reason[] = {
    [FLAG_PROBABLE_DOUBLE] = ADVICE_PROBABLE_DOUBLE,
    [FLAG_UNEXPLAINED_RISE] = ADVICE_UNEXPLAINED_RISE,
    [FLAG_CLOCK_OFF] = -1, /* marked in the history, nothing to do at the tank */
    [FLAG_ABOVE_CEILING] = ADVICE_ABOVE_CEILING,
    [FLAG_CUP_TAKEN] = -1, /* these three: marked in the history */
    [FLAG_CUPS_FULL] = -1,
    [FLAG_CUP_EMPTY] = -1,
};

static int flag_rules(struct rules *rules, const struct list *entries)
{
    const struct tank_flag_item *flag = rules->standing->state.flags.item;
    const struct entry *entry = entries->item;

    for (size_t i = 0; i < rules->standing->state.flags.count; i++) {
        struct advice *advice;
        size_t e = 0;

        while (e < entries->count && strcmp(entry[e].id, flag[i].entry) != 0)
            e++;
        if (flag_reason[flag[i].flag] < 0 || e == entries->count || days_since(rules, entry[e].at_ms) > RECENT_DAYS)
            continue;
        advice = advise(rules, (enum advice_reason)flag_reason[flag[i].flag], 2.5, ENTRY_NOTE);
        if (!advice)
            return -1;
        advice->with.entry = flag[i].entry;
        advice->with.other = flag[i].other;
        advice->with.value = entry[e].waterline_mm;
        advice->with.high = rules->standing->state.ceiling_mm;
    }
    return 0;
}

static int more_urgent(const void *a, const void *b)
{
    const struct advice *first = a, *second = b;

    if (first->urgency != second->urgency)
        return first->urgency < second->urgency ? -1 : 1;
    return first->reason - second->reason;
}

int advice_make(struct standing *standing, const struct standing_place *place, const struct list *entries, struct arena *arena,
                struct fault *fault)
{
    struct rules rules = {.standing = standing, .place = place, .arena = arena, .fault = fault};
    const struct tank_state *state = &standing->state;
    int failed;

    standing->advice = (struct list){NULL, 0};
    if (standing->tank.retired)
        return 0;
    if (!state->filled)
        return advise(&rules, ADVICE_EMPTY, 20, ENTRY_FILL) ? 0 : -1;
    failed = water_rules(&rules) || reading_rule(&rules) || flag_rules(&rules, entries);
    if (!failed && !hanging(state))
        failed = !advise(&rules, ADVICE_UNPLANTED, 10, ENTRY_PLANTING);
    failed = failed || harvest_rule(&rules) || warm_rule(&rules) ||
             band_rule(&rules, &state->ec, offsetof(struct crop, ec_ms_cm), 0.2, ADVICE_EC_HIGH, ADVICE_EC_LOW) ||
             band_rule(&rules, &state->ph, offsetof(struct crop, ph), 0.3, ADVICE_PH_HIGH, ADVICE_PH_LOW);
    if (failed)
        return -1;
    if (standing->advice.count)
        qsort(standing->advice.item, standing->advice.count, sizeof(struct advice), more_urgent);
    return 0;
}
