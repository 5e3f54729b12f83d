/* outlook_world.c - the days of a tank: what the air asked and will ask, what grew, who hung when. */
#include "calc/outlook_inside.h"

#include <math.h>
#include <string.h>

#define BARE_SHARE 0.03 /* of reference evaporation over the lid, through cups and gaps: ours */
#define COVER_LIGHT 0.7 /* under film or glass: common practice, no source */
#define COVER_WIND_M_S 0.5 /* the least that FAO-56 takes */
#define PAR_MOL_PER_MJ 2.05 /* of sunlight, from memory */
#define DAY_SPREAD_NORMAL 0.22 /* of one day's evaporation around its normal: ours */
#define DAY_SPREAD_KNOWN 0.15  /* where the day's weather is known: ours */
#define DAY_SPREAD_INDOORS 0.06
#define DAY_RUNS 3.0 /* (1 + r)/(1 - r): days follow each other with r 0.5, so sums spread wider. Ours */
#define ANOMALY_DAYS 45 /* looked back for how the season differs from its normals, and how long that lasts: ours */
#define ANOMALY_SHRINK 15.0
#define GUESS_DAYS 3.0 /* of records that weigh as much as a guess: ours */
#define GUESS_STAYS 0.7 /* of its error, as another season differs in another way: ours */
#define OFF_LEAST_C 2.0 /* a wall, a balcony, a hollow beside the weather station: ours */
#define STILL_TIMES 8.0  /* ours */
#define STILL_UNITS 1.0  /* growth units a day: as good as none. Ours */
#define AIR_LEAST_MM_DAY 0.1 /* no air is so cold and dark that leaves in a tank lose nothing: ours */
#define OVERHANG_LEAST_M 0.1
#define SEEDLING_DAYS 14.0 /* the age that z_start stands for */
#define SEEDLING_Z_PER_DAY 0.1
#define SEEDLING_Z_MOST 1.5

/* ------------------------------------------------------- volume and waterline */

int levels_make(const struct vessel *vessel, struct levels *levels, struct fault *fault)
{
    struct vessel_level level;
    struct fault inner = {0};

    if (vessel_check(vessel, &inner))
        return fault_under(fault, "/vessel", &inner);
    levels->height_mm = vessel_height_mm(vessel);
    levels->step_mm = levels->height_mm / (LEVEL_POINTS - 1);
    for (int i = 0; i < LEVEL_POINTS; i++) {
        if (vessel_at_waterline(vessel, fmin(levels->step_mm * i, levels->height_mm), &level, &inner))
            return fault_under(fault, "/vessel", &inner);
        levels->volume_l[i] = level.volume_l;
    }
    levels->brim_l = levels->volume_l[LEVEL_POINTS - 1];
    return 0;
}

double levels_volume_l(const struct levels *levels, double waterline_mm)
{
    double at = fmax(fmin(waterline_mm / levels->step_mm, LEVEL_POINTS - 1.0), 0.0);
    int i = at >= LEVEL_POINTS - 1.0 ? LEVEL_POINTS - 2 : (int)at;

    return levels->volume_l[i] + (at - i) * (levels->volume_l[i + 1] - levels->volume_l[i]);
}

/* The step that a volume lies in. */
static int step_of(const struct levels *levels, double volume_l)
{
    int low = 0, high = LEVEL_POINTS - 1;

    while (high - low > 1) {
        int middle = (low + high) / 2;

        if (levels->volume_l[middle] <= volume_l)
            low = middle;
        else
            high = middle;
    }
    return low;
}

double levels_waterline_mm(const struct levels *levels, double volume_l)
{
    int i = step_of(levels, volume_l);
    double rise = levels->volume_l[i + 1] - levels->volume_l[i];
    double part = rise > 0.0 ? (volume_l - levels->volume_l[i]) / rise : 0.0;

    return fmin((i + fmax(fmin(part, 1.0), 0.0)) * levels->step_mm, levels->height_mm);
}

double levels_surface_l_mm(const struct levels *levels, double volume_l)
{
    int i = step_of(levels, volume_l);

    return fmax((levels->volume_l[i + 1] - levels->volume_l[i]) / levels->step_mm, 1e-6 * levels->brim_l);
}

/* ---------------------------------------------------------------- the air */

/* One month's figure towards the next; where one of them is unknown the other holds. */
static double between(double a, double b, double part)
{
    if (isnan(a))
        return b;
    return isnan(b) ? a : a + part * (b - a);
}

/* The normal day, straight between the middles of the months. */
static void normal_day(const struct outlook_climate *climate, int32_t day, struct climate_given *given)
{
    struct civil civil = days_to_civil(day);
    double from_middle = (civil.day - 15.5) / 30.5, part = fabs(from_middle);
    int month = civil.month - 1, next = from_middle < 0.0 ? (month + 11) % 12 : (month + 1) % 12;
    const struct outlook_month *here = &climate->monthly[month], *there = &climate->monthly[next];

    climate_given_init(given);
    given->latitude_deg = climate->latitude_deg;
    given->elevation_m = climate->elevation_m;
    given->day = day;
    given->tmin_c = between(here->tmin_c, there->tmin_c, part);
    given->tmax_c = fmax(between(here->tmax_c, there->tmax_c, part), given->tmin_c);
    given->rh_mean_percent = between(here->rh_percent, there->rh_percent, part);
    given->wind_m_s = between(here->wind_m_s, there->wind_m_s, part);
    given->sunshine_h = between(here->sunshine_h, there->sunshine_h, part);
}

static void known_day(const struct outlook_weather *weather, struct climate_given *given)
{
    given->tmin_c = weather->tmin_c;
    given->tmax_c = weather->tmax_c;
    if (!isnan(weather->rh_percent))
        given->rh_mean_percent = weather->rh_percent;
    if (!isnan(weather->wind_m_s))
        given->wind_m_s = weather->wind_m_s;
    given->sunshine_h = weather->sunshine_h;
    given->solar_mj_m2 = weather->solar_mj_m2;
}

struct air {
    double et0_mm, mean_c, dli_mol;
};

static int air_of(const struct outlook_climate *climate, struct climate_given *given, struct air *air, struct fault *fault)
{
    struct climate_day day;

    if (climate_reference_et(given, &day, fault))
        return -1;
    if (climate->cover == OUTLOOK_UNDER_COVER) {
        given->solar_mj_m2 = COVER_LIGHT * day.rs_mj_m2;
        given->wind_m_s = COVER_WIND_M_S;
        given->ea_kpa = fmin(day.ea_kpa, 12.0); /* the most that a day may be given as */
        if (climate_reference_et(given, &day, fault))
            return -1;
    }
    *air = (struct air){.et0_mm = day.et0_mm_day,
                        .mean_c = (given->tmin_c + given->tmax_c) / 2.0,
                        .dli_mol = PAR_MOL_PER_MJ * day.rs_mj_m2};
    return 0;
}

static void set_air(struct world *world, int i, const struct air *air, double day_spread)
{
    world->et0[i] = fmax(air->et0_mm, AIR_LEAST_MM_DAY);
    world->mean_c[i] = air->mean_c;
    world->dli_mol[i] = air->dli_mol;
    world->spread[i] = day_spread * day_spread * DAY_RUNS;
    for (size_t c = 0; c < world->crop_count; c++)
        world->units[c][i] = canopy_growth_units(&world->canopy[c], air->mean_c, air->dli_mol);
}

static int indoors(const struct outlook_given *given, struct world *world, struct fault *fault)
{
    const struct climate_indoor *indoor = &given->climate.indoor;
    struct air air = {.mean_c = indoor->temperature_c, .dli_mol = indoor->ppfd_umol * indoor->hours * 0.0036};
    struct fault inner = {0};

    if (climate_indoor_et_mm_day(indoor, &air.et0_mm, &inner))
        return fault_under(fault, "/climate/indoor", &inner);
    for (int i = 0; i < world->count; i++)
        set_air(world, i, &air, DAY_SPREAD_INDOORS);
    return 0;
}

/* A daily series as the normals have it; and, on known days, as the normals would have it had they no more fields than
 * the record of that day. The first against the second is the records' bias, which stays; the day itself against the
 * second is weather, which goes on for a while only.
 */
struct usual {
    double full[WORLD_DAYS], alike[WORLD_DAYS];
};

/* Days without a record, before and after today, take over both. */
static void carry_on(const struct world *world, double *daily, const struct usual *usual)
{
    double was = 0.0, full = 0.0, alike = 0.0, days = 0.0, bias, anomaly;

    for (int i = world->today; i >= 0 && i > world->today - ANOMALY_DAYS; i--)
        if (world->known[i]) {
            was += daily[i];
            full += usual->full[i];
            alike += usual->alike[i];
            days += 1.0;
        }
    if (!(full > 0.0 && alike > 0.0))
        return;
    bias = fmax(fmin(alike / full, 2.0), 0.5);
    anomaly = (fmax(fmin(was / alike, 2.0), 0.5) - 1.0) * days / (days + ANOMALY_SHRINK);
    for (int i = 0; i < world->count; i++)
        if (!world->known[i])
            daily[i] *= bias * (1.0 + anomaly * exp(-fabs((double)(i - world->today)) / ANOMALY_DAYS));
}

struct usuals {
    struct usual et0, units[WORLD_CROPS];
};

/* Guessed normals, moved by what the records of late tell of them; their error is then smaller. */
static struct outlook_climate move_guess(const struct outlook_given *given, struct world *world)
{
    struct outlook_climate climate = given->climate;
    struct climate_given day;
    double off_c = 0.0, days = 0.0;

    for (size_t w = 0; w < given->weather_count; w++) {
        const struct outlook_weather *weather = &given->weather[w];

        if (weather->day > given->today || (int64_t)weather->day + ANOMALY_DAYS <= given->today)
            continue;
        normal_day(&climate, weather->day, &day);
        off_c += (weather->tmin_c + weather->tmax_c - day.tmin_c - day.tmax_c) / 2.0;
        days += 1.0;
    }
    if (world->off_c <= OFF_LEAST_C || days == 0.0)
        return climate;
    off_c *= 1.0 / (days + GUESS_DAYS);
    world->off_c *= fmax(sqrt(GUESS_DAYS / (days + GUESS_DAYS)), GUESS_STAYS);
    for (int m = 0; m < 12; m++) {
        climate.monthly[m].tmin_c = fmax(fmin(climate.monthly[m].tmin_c + off_c, 60.0), -60.0);
        climate.monthly[m].tmax_c = fmax(fmin(climate.monthly[m].tmax_c + off_c, 60.0), -60.0);
    }
    return climate;
}

static int take_normals(const struct outlook_climate *climate, struct world *world, struct usuals *usuals, struct fault *fault)
{
    struct climate_given day;
    struct air air;

    for (int i = 0; i < world->count; i++) {
        normal_day(climate, world->first + i, &day);
        if (air_of(climate, &day, &air, fault))
            return -1;
        set_air(world, i, &air, DAY_SPREAD_NORMAL);
        usuals->et0.full[i] = world->et0[i];
        for (size_t c = 0; c < world->crop_count; c++)
            usuals->units[c].full[i] = world->units[c][i];
    }
    return 0;
}

/* One day of the record; what it lacks, the normals give, but for sunshine: a dull day's range of warmth knows more. */
static int take_known(const struct outlook_climate *climate, const struct outlook_weather *weather, int i, struct world *world,
                      struct usuals *usuals, struct fault *fault)
{
    struct climate_given day;
    struct air air;

    normal_day(climate, weather->day, &day);
    day.sunshine_h = isnan(weather->sunshine_h) ? NAN : day.sunshine_h;
    if (air_of(climate, &day, &air, fault))
        return -1;
    usuals->et0.alike[i] = air.et0_mm;
    for (size_t c = 0; c < world->crop_count; c++)
        usuals->units[c].alike[i] = canopy_growth_units(&world->canopy[c], air.mean_c, air.dli_mol);
    normal_day(climate, weather->day, &day);
    known_day(weather, &day);
    if (air_of(climate, &day, &air, fault))
        return -1;
    set_air(world, i, &air, DAY_SPREAD_KNOWN);
    return 0;
}

static int outdoors(const struct outlook_given *given, struct world *world, struct fault *fault)
{
    struct outlook_climate climate = move_guess(given, world);
    struct usuals usuals;

    if (take_normals(&climate, world, &usuals, fault))
        return -1;
    for (size_t w = 0; w < given->weather_count; w++) {
        int64_t i = (int64_t)given->weather[w].day - world->first;

        if (i < 0 || i >= world->count)
            continue;
        if (take_known(&climate, &given->weather[w], (int)i, world, &usuals, fault))
            return -1;
        world->known[i] = true;
    }
    carry_on(world, world->et0, &usuals.et0);
    for (size_t c = 0; c < world->crop_count; c++)
        carry_on(world, world->units[c], &usuals.units[c]);
    return 0;
}

/* ---------------------------------------------------------------- plants */

static size_t crop_index(struct world *world, const struct crop *crop)
{
    for (size_t c = 0; c < world->crop_count; c++)
        if (world->crop[c] == crop)
            return c;
    /* Crops of the table only, so there is always room; a caller's own row beyond that shares the last place. */
    if (world->crop_count == WORLD_CROPS)
        return WORLD_CROPS - 1;
    world->crop[world->crop_count] = crop;
    canopy_of_crop(crop, &world->canopy[world->crop_count]);
    return world->crop_count++;
}

static int index_of(const struct world *world, int32_t day)
{
    int64_t i = (int64_t)day - world->first;

    return i < 0 ? 0 : i > world->count ? world->count : (int)i;
}

static void hang_plantings(const struct outlook_given *given, struct world *world)
{
    for (size_t p = 0; p < given->planting_count; p++) {
        const struct outlook_planting *planting = &given->planting[p];
        struct world_planting *hung = &world->planting[p];

        hung->crop = crop_index(world, planting->crop);
        hung->from = index_of(world, planting->on);
        hung->until = planting->harvest_on != DAYS_NONE && planting->harvest_on <= given->today
                          ? index_of(world, planting->harvest_on)
                          : world->count;
        hung->ground_m2 = planting->count * world->canopy[hung->crop].ground_m2;
        hung->harvest_on = planting->harvest_on;
        hung->z_shift = 0.0;
        if (planting->sown_on != DAYS_NONE)
            hung->z_shift = fmax(fmin(((double)planting->on - planting->sown_on - SEEDLING_DAYS) * SEEDLING_Z_PER_DAY,
                                      SEEDLING_Z_MOST), -SEEDLING_Z_MOST);
    }
    world->planting_count = given->planting_count;
}

static void crowd(const struct outlook_given *given, struct world *world)
{
    double most = OVERHANG_LEAST_M;

    for (size_t c = 0; c < world->crop_count; c++)
        most = fmax(most, world->canopy[c].overhang_m);
    world->reach_m2 = canopy_reach_m2(given->vessel, most);
    for (int i = 0; i < world->count; i++) {
        double wanted = 0.0, overhang = 0.0;

        for (size_t p = 0; p < world->planting_count; p++)
            if (i >= world->planting[p].from && i < world->planting[p].until) {
                wanted += world->planting[p].ground_m2;
                overhang = fmax(overhang, world->canopy[world->planting[p].crop].overhang_m);
            }
        world->crowd[i] =
            wanted > 0.0 ? canopy_crowded_m2(wanted, canopy_reach_m2(given->vessel, overhang)) / wanted : 1.0;
        world->bare_l[i] = BARE_SHARE * world->et0[i] * canopy_reach_m2(given->vessel, 0.0);
    }
}

/* Where the law lets nothing grow and yet something hangs, it has no say in what grows: a day of that is worth several of
 * its usual errors.
 */
static void set_wander(struct world *world)
{
    for (int i = 0; i < world->count; i++) {
        double units = 0.0;
        bool hangs = false;

        for (size_t p = 0; p < world->planting_count; p++)
            if (i >= world->planting[p].from && i < world->planting[p].until) {
                units = fmax(units, world->units[world->planting[p].crop][i]);
                hangs = true;
            }
        world->wander[i + 1] = world->wander[i] + 1.0 + (hangs ? STILL_TIMES * exp(-units / STILL_UNITS) : 0.0);
    }
}

double world_wander(const struct world *world, double from, double to)
{
    return to > from ? prefix_at(world, world->wander, to) - prefix_at(world, world->wander, from) : 0.0;
}

static void set_cuts(const struct outlook_given *given, struct world *world)
{
    for (size_t c = 0; c < given->cut_count; c++) {
        struct world_cut cut = {.day = index_of(world, days_of_instant(given->cut[c].at_ms)),
                                .planting = given->cut[c].planting,
                                .kept = given->cut[c].kept_fraction};
        size_t at = world->cut_count++;

        for (; at > 0 && world->cut[at - 1].day > cut.day; at--)
            world->cut[at] = world->cut[at - 1];
        world->cut[at] = cut;
    }
}

/* When the tank stood at start_mm: the fill, or else the earliest that is known of it. */
static int32_t earliest(const struct outlook_given *given)
{
    int32_t first = given->today;

    if (given->filled_on != DAYS_NONE)
        return given->filled_on < first ? given->filled_on : first;
    for (size_t i = 0; i < given->planting_count; i++)
        if (given->planting[i].on < first)
            first = given->planting[i].on;
    for (size_t i = 0; i < given->reading_count; i++)
        if (days_of_instant(given->reading[i].at_ms) < first)
            first = days_of_instant(given->reading[i].at_ms);
    for (size_t i = 0; i < given->added_count; i++)
        if (days_of_instant(given->added[i].at_ms) < first)
            first = days_of_instant(given->added[i].at_ms);
    return first;
}

int world_make(const struct outlook_given *given, struct world *world, struct fault *fault)
{
    int32_t filled = earliest(given), first = filled;

    /* Plants may have hung longer than this fill: they have grown since. */
    for (size_t i = 0; i < given->planting_count; i++)
        if (given->planting[i].on < first)
            first = given->planting[i].on;
    if (first < given->today - OUTLOOK_PAST)
        first = given->today - OUTLOOK_PAST;
    memset(world, 0, sizeof *world);
    world->off_c = given->climate.kind == OUTLOOK_OUTDOORS ? fmax(given->climate.normals_off_c, OFF_LEAST_C) : 0.0;
    world->first = first;
    world->today = given->today - first;
    world->count = world->today + OUTLOOK_HORIZON + 1; /* dates are looked for as far as that */
    world->start_t = filled < first ? first : filled;
    hang_plantings(given, world);
    if (given->climate.kind == OUTLOOK_INDOORS ? indoors(given, world, fault) : outdoors(given, world, fault))
        return -1;
    crowd(given, world);
    set_wander(world);
    set_cuts(given, world);
    return 0;
}

/* --------------------------------------------------------------- water use */

double world_units(const struct world *world, const struct candidate *candidate, size_t crop, int i)
{
    if (world->off_c == 0.0 || candidate->warmer == 0.0 || world->known[i])
        return world->units[crop][i];
    return canopy_growth_units(&world->canopy[crop], world->mean_c[i] + candidate->warmer * world->off_c, world->dli_mol[i]);
}

void world_use(const struct world *world, const struct candidate *candidate, double use_l[WORLD_DAYS],
               double z_today[OUTLOOK_PLANTINGS])
{
    memset(use_l, 0, (size_t)world->count * sizeof *use_l);
    for (size_t p = 0; p < world->planting_count; p++) {
        const struct world_planting *planting = &world->planting[p];
        const struct canopy *canopy = &world->canopy[planting->crop];
        double rate = canopy->rate * candidate->pace, z = canopy->z_start + planting->z_shift + candidate->size, step;
        size_t cut = 0;

        if (z_today)
            z_today[p] = z;
        for (int i = planting->from; i < planting->until; i++) {
            for (; cut < world->cut_count && world->cut[cut].day <= i; cut++)
                if (world->cut[cut].day == i && (world->cut[cut].planting < 0 || world->cut[cut].planting == (int)p))
                    z = canopy_cut(z, world->cut[cut].kept);
            if (z_today && i == world->today)
                z_today[p] = z;
            /* The middle of the day stands for it. */
            step = rate * world_units(world, candidate, planting->crop, i);
            use_l[i] += planting->ground_m2 * world->crowd[i] * world->et0[i] * canopy_cover(z + step / 2.0);
            z += step;
        }
    }
}

void prefix_make(const double *daily, int count, double *prefix)
{
    prefix[0] = 0.0;
    for (int i = 0; i < count; i++)
        prefix[i + 1] = prefix[i] + daily[i];
}

double prefix_at(const struct world *world, const double *prefix, double t)
{
    double at = fmax(fmin(t - world->first, (double)world->count), 0.0);
    int i = at >= world->count ? world->count - 1 : (int)at;

    return prefix[i] + (at - i) * (prefix[i + 1] - prefix[i]);
}
