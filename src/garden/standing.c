/* standing.c - working out one tank. */
#include "garden/standing.h"

#include <math.h>
#include <string.h>

#include "garden/advice.h"
#include "garden/clock.h"
#include "garden/lessons.h"
#include "garden/place.h"
#include "garden/refill.h"
#include "garden/tank_log.h"

const char *const advice_reason_names[] = {
    "below_low", "runs_low",      "harvest_due",      "overdue_reading", "ec_high",   "ec_low", "ph_high", "ph_low",
    "warm",      "above_ceiling", "unexplained_rise", "probable_double", "unplanted", "empty",  NULL};
_Static_assert(sizeof advice_reason_names / sizeof *advice_reason_names == ADVICE_REASONS + 1, "every reason has its name");

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- the place ---- */

static int read_weather(struct db *db, struct standing_place *place, struct arena *arena, struct fault *fault)
{
    struct list days;
    const struct weather_row *row;
    struct outlook_weather *weather;

    if (weather_list(db, place->today - OUTLOOK_PAST, place->today + 14, OUTLOOK_WEATHER, &days, arena, fault))
        return -1;
    weather = arena_take(arena, (days.count + 1) * sizeof *weather);
    if (!weather)
        return no_memory(fault);
    row = days.item;
    for (size_t i = 0; i < days.count; i++)
        weather[i] = (struct outlook_weather){row[i].day,         row[i].tmin_c,   row[i].tmax_c,    row[i].rh_percent,
                                              row[i].wind_m_s,    row[i].sunshine_h, row[i].solar_mj_m2};
    place->weather = (struct list){weather, days.count};
    return 0;
}

int standing_place(struct db *db, int64_t now_ms, struct standing_place *place, struct arena *arena, struct fault *fault)
{
    memset(place, 0, sizeof *place);
    if (gardens_read(db, &place->garden, arena, fault) != 1)
        return -1;
    place->now_ms = now_ms;
    place->today = clock_day(place->garden.time_zone, now_ms);
    place->climate_known = place_climate(&place->garden, &place->climate, &place->climate_told);
    return read_weather(db, place, arena, fault) || garden_crops_in(db, &place->crops, arena, fault) ? -1 : 0;
}

/* ---- the outlook ---- */

static int give_plantings(const struct tank_state *state, const struct standing_place *place, struct outlook_given *given,
                          struct arena *arena, struct fault *fault)
{
    const struct planted *planted = state->planted.item;
    struct outlook_planting *planting = arena_take(arena, (state->planted.count + 1) * sizeof *planting);

    if (!planting)
        return no_memory(fault);
    given->planting = planting;
    for (size_t i = 0; i < state->planted.count && given->planting_count < OUTLOOK_PLANTINGS; i++) {
        const struct garden_crop *crop = garden_crop_find(&place->crops, planted[i].crop);

        if (crop)
            planting[given->planting_count++] =
                (struct outlook_planting){&crop->crop, (double)planted[i].count, planted[i].day, planted[i].gone_day, DAYS_NONE};
    }
    return 0;
}

static int give_readings(const struct tank_state *state, struct outlook_given *given, struct arena *arena, struct fault *fault)
{
    const struct waterline_reading *seen = state->readings.item;
    size_t count = state->readings.count, skip = count > OUTLOOK_READINGS ? count - OUTLOOK_READINGS : 0;
    struct outlook_reading *reading = arena_take(arena, (count + 1) * sizeof *reading);

    if (!reading)
        return no_memory(fault);
    given->reading = reading;
    for (size_t i = skip; i < count; i++) {
        if (seen[i].after_water && i > 0)
            continue; /* told with the water put in, below */
        reading[given->reading_count++] = (struct outlook_reading){
            seen[i].at_ms, seen[i].waterline_mm,
            seen[i].method == ENTRY_NONE ? OUTLOOK_DIPSTICK : (enum outlook_reading_method)seen[i].method};
    }
    return 0;
}

_Static_assert((int)OUTLOOK_SENSOR == (int)METHOD_SENSOR && (int)OUTLOOK_BY_EYE == (int)METHOD_BY_EYE, "methods are one list");

static int give_water(const struct tank_state *state, struct outlook_given *given, struct arena *arena, struct fault *fault)
{
    const struct added_water *poured = state->added.item;
    const struct cut_back *taken = state->cuts.item;
    struct outlook_added *added = arena_take(arena, (state->added.count + 1) * sizeof *added);
    struct outlook_cut *cut = arena_take(arena, (state->cuts.count + 1) * sizeof *cut);

    if (!added || !cut)
        return no_memory(fault);
    given->added = added;
    for (size_t i = 0; i < state->added.count && given->added_count < OUTLOOK_ADDED; i++)
        if (!isnan(poured[i].volume_l) || !isnan(poured[i].to_mm))
            added[given->added_count++] = (struct outlook_added){poured[i].at_ms, poured[i].volume_l, poured[i].to_mm};
    given->cut = cut;
    for (size_t i = 0; i < state->cuts.count && given->cut_count < OUTLOOK_CUTS; i++)
        cut[given->cut_count++] = (struct outlook_cut){taken[i].at_ms, taken[i].kept_fraction, -1};
    return 0;
}

/* What the vessel holds less than its shape says, for the cups that hang in it, is left out of the outlook: the cups
 * stand above the water after the first weeks. */
int standing_outlook(const struct standing_place *place, struct standing *standing, const struct outlook_prior *prior,
                     struct arena *arena, struct fault *fault)
{
    const struct tank_state *state = &standing->state;
    struct vessel vessel = tank_vessel(&standing->vessel);
    struct outlook_given given;
    struct fault refused = {0};
    struct outlook *outlook;

    standing->outlook = NULL;
    if (!state->filled || !place->climate_known || isnan(state->waterline.value))
        return 0;
    outlook_given_init(&given);
    given.today = place->today;
    given.vessel = &vessel;
    given.prior = *prior;
    given.start_mm = fmin(fmax(((const struct waterline_reading *)state->readings.item)[0].waterline_mm, state->low_mm + 1),
                          state->height_mm);
    given.low_mm = state->low_mm;
    given.filled_on = clock_day(place->garden.time_zone, state->filled_ms);
    given.climate = place->climate;
    given.weather = place->weather.item;
    given.weather_count = place->climate.kind == OUTLOOK_INDOORS ? 0 : place->weather.count;
    outlook = arena_take(arena, sizeof *outlook);
    if (!outlook)
        return no_memory(fault);
    if (give_plantings(state, place, &given, arena, fault) || give_readings(state, &given, arena, fault) ||
        give_water(state, &given, arena, fault))
        return -1;
    /* A log can hold what the calculation will not take; then there is no outlook, and the page says so. */
    if (given.planting_count && outlook_make(&given, outlook, &refused) == 0)
        standing->outlook = outlook;
    return refused.code == FAULT_MEMORY ? no_memory(fault) : 0;
}

const char *standing_outlook_wants(const struct standing_place *place, const struct standing *standing)
{
    const struct tank_state *state = &standing->state;
    bool hangs = false;

    for (size_t i = 0; i < state->cups.count; i++)
        hangs |= ((const struct cup_state *)state->cups.item)[i].crop != NULL;
    if (!state->filled)
        return "log a fill of this tank first";
    if (isnan(state->waterline.value))
        return "log a reading of its waterline first";
    if (!hangs)
        return "log a planting first";
    if (!place->climate_known)
        return "tell the garden's latitude, or its climate, first";
    return "its log holds what no outlook can be made from: look at its last entries";
}

/* ---- the top-up ---- */

/* Volume and strength only; the grams are worked out when somebody asks for them (garden/refill.h). */
static int make_topup(struct db *db, const struct standing_place *place, struct standing *standing, const struct vessel *vessel,
                      struct arena *arena, struct fault *fault)
{
    struct refill *refill = arena_take(arena, sizeof *refill);
    struct topup *topup = arena_take(arena, sizeof *topup);

    standing->topup = NULL;
    if (!standing->state.filled || isnan(standing->state.waterline.value))
        return 0;
    if (!refill || !topup)
        return no_memory(fault);
    if (refill_gather(db, place, standing, vessel, refill, arena, fault))
        return -1;
    if (topup_make(&refill->topup, topup, NULL) == 0)
        standing->topup = topup;
    return 0;
}

/* What the outlook says of each cup. Plantings of the outlook stand in the order of state->planted, without those of no crop. */
static void see_cups(const struct standing_place *place, struct standing *standing)
{
    struct tank_state *state = &standing->state;
    const struct planted *planted = state->planted.item;
    struct cup_state *cup = state->cups.item;

    for (size_t c = 0; c < state->cups.count; c++) {
        size_t index = 0;

        for (size_t i = 0; cup[c].crop && standing->outlook && i < state->planted.count && index < OUTLOOK_PLANTINGS; i++) {
            if (planted[i].gone_day == INT32_MIN && strcmp(planted[i].entry, cup[c].planting) == 0)
                cup[c].ready_day = standing->outlook->ready_on[index];
            index += garden_crop_find(&place->crops, planted[i].crop) != NULL;
        }
        cup[c].phase = cup_phase(&cup[c], place->today);
    }
}

/* The first crop that hangs here: what the garden learnt of it holds for the tank. */
static const char *crop_of(const struct tank_state *state)
{
    const struct cup_state *cup = state->cups.item;

    for (size_t i = 0; i < state->cups.count; i++)
        if (cup[i].crop)
            return cup[i].crop;
    return NULL;
}

int standing_make(struct db *db, const struct standing_place *place, const struct tank_row *tank, struct standing *standing,
                  struct arena *arena, struct fault *fault)
{
    const struct tank_log_ask all = {.tank_key = tank->key, .since_ms = INT64_MAX, .to_ms = place->now_ms + CLOCK_OFF_MS + 1};
    struct outlook_prior prior;
    struct list entries;
    struct vessel vessel;

    *standing = (struct standing){.tank = *tank};
    if (vessels_by_key(db, tank->vessel_key, &standing->vessel, arena, fault) != 1 ||
        tank_log_read(db, &all, &entries, arena, fault) ||
        tank_state_fold(&standing->vessel, &entries, place->garden.time_zone, &standing->state, arena, fault))
        return -1;
    vessel = tank_vessel(&standing->vessel);
    if (lessons_prior(db, crop_of(&standing->state), &prior, arena, fault) ||
        standing_outlook(place, standing, &prior, arena, fault))
        return -1;
    see_cups(place, standing);
    if (make_topup(db, place, standing, &vessel, arena, fault))
        return -1;
    return advice_make(standing, place, &entries, arena, fault);
}
