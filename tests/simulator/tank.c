/* tank.c - growth, thirst and a grower's notebook, by laws of its own. */
#include "simulator/tank.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846

/* How large and how quick beside lettuce: invented, in the order of the trade's spacing and days. */
static const struct sim_crop {
    const char *id;
    double size, pace, spread_m2;
    bool cut;
    double least_c;
} crops[] = {
    {"lettuce-leaf", 1.0, 1.0, 0.060, true, 3.5},       {"lettuce-butterhead", 1.1, 0.95, 0.060, false, 3.5},
    {"lettuce-romaine", 1.3, 0.9, 0.065, false, 3.5},   {"lettuce-batavia", 1.4, 0.9, 0.07, false, 3.5},
    {"pak-choi", 1.0, 1.05, 0.055, false, 4.0},         {"chard", 1.6, 0.85, 0.09, true, 4.0},
    {"kale", 2.2, 0.8, 0.13, true, 4.0},                {"spinach", 0.45, 1.0, 0.026, true, 2.5},
    {"basil", 1.1, 1.0, 0.065, true, 9.0},              {"coriander", 0.5, 0.9, 0.032, true, 4.0},
    {"mint", 1.7, 0.9, 0.10, true, 5.0},                {"parsley", 0.9, 0.75, 0.050, true, 4.0},
    {"mustard-mizuna", 0.8, 1.1, 0.048, true, 4.0},     {"rocket", 0.4, 1.1, 0.028, true, 4.0},
    {"chives", 0.7, 0.65, 0.034, true, 4.0},
};

/* ---------------------------------------------------------------- the vessel */

/* Litres below a waterline, in slices of a millimetre. */
static double litres(const struct sim_tank *tank, double mm)
{
    double sum = 0.0;

    for (double at = 0.0; at < mm; at += 1.0) {
        double slice = fmin(1.0, mm - at), part = (at + slice / 2.0) / tank->height_mm;
        double a = tank->floor_mm[0] + part * (tank->rim_mm[0] - tank->floor_mm[0]);
        double b = tank->floor_mm[1] + part * (tank->rim_mm[1] - tank->floor_mm[1]);
        double plan = tank->shape == SIM_ROUND ? PI / 4.0 * a * a : a * b;

        /* A poured one has bulging walls. */
        if (tank->shape == SIM_POURED)
            plan *= 1.0 + 0.12 * sin(PI * part);
        sum += plan * slice / 1e6;
    }
    return sum;
}

static double surface_l_mm(const struct sim_tank *tank, double mm)
{
    double at = fmax(fmin(mm, tank->height_mm - 0.5), 0.5);

    return litres(tank, at + 0.5) - litres(tank, at - 0.5);
}

static void draw_vessel(struct sim_tank *tank, struct dice *dice)
{
    double taper = dice_even(dice, 1.0, 1.18);

    tank->shape = (enum sim_shape)dice_of(dice, 3);
    if (tank->shape == SIM_ROUND) {
        tank->floor_mm[0] = tank->floor_mm[1] = dice_even(dice, 200, 420);
        tank->height_mm = dice_even(dice, 220, 420);
    } else {
        tank->floor_mm[0] = dice_even(dice, 350, 1100);
        tank->floor_mm[1] = dice_even(dice, 260, 600);
        tank->height_mm = dice_even(dice, 140, 400);
    }
    for (int i = 0; i < 2; i++)
        tank->rim_mm[i] = tank->floor_mm[i] * taper;
    tank->start_mm = floor(tank->height_mm - dice_even(dice, 25, 45));
    tank->low_mm = floor(tank->start_mm * dice_even(dice, 0.12, 0.35));
    for (int i = 0; i < 12; i++) {
        tank->point_mm[i] = tank->height_mm * (i + 1) / 12.0;
        tank->point_l[i] = litres(tank, tank->point_mm[i]);
    }
}

/* ------------------------------------------------------------- the truth */

struct truth {
    const struct sim_crop *crop;
    enum { TWO_STEP, EXPOLINEAR, STAGES } law;
    bool by_taylor;
    double age_days, stage_days[2]; /* stages: until growth sets in, and until full cover */
    double mass_g;      /* structural dry mass of a plant; expolinear: leaf area index of its own ground */
    double store_g;     /* two-step: assimilate not yet built in */
    double leaf_factor, quick, thirst; /* of this tank: other seed, other hand, shade, wind on a roof */
    double ground_m2;   /* a plant's */
    double catch_share; /* of the rain on the lid that gets in */
    double shelter;     /* share of light that reaches it */
};

static double leaf_index(const struct truth *truth)
{
    return truth->law == TWO_STEP ? 0.075 * 0.93 * truth->leaf_factor * truth->mass_g / truth->ground_m2 : truth->mass_g;
}

/* Assimilate is made by the leaves, kept, built into structure, and breathed away: six steps a day. */
static void grow_two_step(struct truth *truth, double t_c, double warm, double par_mj)
{
    const double dt_s = 14400.0;

    for (int step = 0; step < 6; step++) {
        double caught = 1.0 - exp(-0.9 * leaf_index(truth)), light_j = par_mj * 1e6 / 6.0;
        double photo = 17e-6 * light_j * fmin(warm, 1.1) * caught * truth->ground_m2 * 0.62; /* in the CO2 of outdoor air */
        double room = truth->store_g / (truth->store_g + truth->mass_g + 1e-9);
        double built = 5e-6 * pow(1.6, (t_c - 20.0) / 10.0) * room * truth->mass_g * dt_s * truth->quick;
        double upkeep = (3.47e-7 * 0.93 + 1.16e-7 * 0.07) * pow(2.0, (t_c - 25.0) / 10.0) * truth->mass_g * dt_s;

        built = fmin(built, fmax(truth->store_g, 0.0));
        truth->mass_g += built;
        truth->store_g = fmax(truth->store_g + 0.68 * photo - built / 0.8 - upkeep, 0.0);
    }
}

/* Leaves multiply until they shade each other, then grow in a line. */
static void grow_expolinear(struct truth *truth, double warm, double par_mj)
{
    double lai = leaf_index(truth), light = par_mj / (par_mj + 3.0) * 1.4;

    if (lai < 6.0)
        truth->mass_g += 0.30 * truth->quick * 0.9 * fmin(warm, 1.15) * light * (1.0 - exp(-0.75 * lai)) / 0.75;
}

/* Cover by age alone, as a leaf area that covers so much. */
static void grow_by_stages(struct truth *truth, double warm)
{
    double part = (truth->age_days - truth->stage_days[0]) / truth->stage_days[1];
    double cover = 0.12 + 0.83 * fmax(fmin(part, 1.0), 0.0);

    truth->mass_g = -log(1.0 - cover) / 0.7;
    truth->age_days += fmin(warm, 1.2);
}

/* One day of growth. par_mj: light of 400 to 700 nm in a day. */
static void grow(struct truth *truth, double t_c, double par_mj)
{
    double warm = fmax(t_c - truth->crop->least_c, 0.0) / (20.0 - truth->crop->least_c);

    if (t_c > 29.0)
        warm *= fmax(1.0 - (t_c - 29.0) / 10.0, 0.0);
    if (truth->law == TWO_STEP)
        grow_two_step(truth, t_c, warm, par_mj);
    else if (truth->law == EXPOLINEAR)
        grow_expolinear(truth, warm, par_mj);
    else
        grow_by_stages(truth, warm);
}

/* Millimetres from the plants' ground in a day. solar and net in MJ/m2. */
static double thirst_mm(const struct truth *truth, double t_c, double vapour_kpa, double wind, double solar_mj, double pressure_kpa)
{
    double lai = leaf_index(truth), cover = 1.0 - exp(-0.7 * lai);
    double e = 0.6112 * exp(17.62 * t_c / (243.12 + t_c)), slope = e * 17.62 * 243.12 / ((243.12 + t_c) * (243.12 + t_c));
    double gamma = 0.0665 * pressure_kpa / 101.3, latent = 2.501 - 0.00236 * t_c;
    double net = fmax(0.72 * solar_mj - 1.8, 0.1 * solar_mj);

    if (truth->by_taylor)
        return truth->thirst * 1.26 * slope / (slope + gamma) * net * cover / latent;
    {
        double vpd = fmax(e - vapour_kpa, 0.05), air_s_m = 180.0 / fmax(wind, 0.6);
        double umol = solar_mj * 2.05e6 / 43200.0, stomata = 60.0 * (1500.0 + umol) / (200.0 + umol);
        double surface = stomata / fmax(fmin(lai, 3.0) * 0.6, 0.4);
        double watts = (slope * net * 1e6 / 43200.0 + 1.2 * 1013.0 * vpd / air_s_m) /
                       (slope + gamma * (1.0 + surface / air_s_m));

        return truth->thirst * fmax(watts, 0.0) * cover * 43200.0 / (latent * 1e6);
    }
}

/* ---------------------------------------------------------- the notebook */

static void write_down(struct sim_tank *tank, struct dice *dice, double t, double level_mm)
{
    double read = floor(level_mm + 2.0 * dice_normal(dice) + 0.5), meant = read;

    if (tank->reading_count == SIM_READINGS)
        return;
    if (dice_even(dice, 0.0, 1.0) < 0.012) { /* a slip: two digits swapped, or a key pressed twice */
        int whole = (int)read;

        read = dice_of(dice, 2) ? whole / 100 * 100 + whole % 10 * 10 + whole / 10 % 10 : whole * 10 + whole % 10;
    }
    read = fmin(fmax(read, 0.0), 2999.0);
    tank->slip_mm[tank->reading_count] = read - meant;
    tank->reading_t[tank->reading_count] = t;
    tank->reading_mm[tank->reading_count++] = read;
}

/* The notebook for one day, from its level at the start to that at the end. */
static void day_in_notebook(struct sim_tank *tank, struct dice *dice, int day, double from_mm, double to_mm, double every)
{
    double last = tank->reading_count ? tank->reading_t[tank->reading_count - 1] : -10.0;

    if (day - last + dice_even(dice, -0.5, 0.5) < every || dice_even(dice, 0.0, 1.0) < 0.15)
        return;
    {
        double hour = dice_even(dice, 6.5, 20.0);
        /* Plants drink by day: half a sine from 5 to 21. */
        double part = hour <= 5.0 ? 0.0 : hour >= 21.0 ? 1.0 : 0.5 - 0.5 * cos(PI * (hour - 5.0) / 16.0);

        write_down(tank, dice, day + hour / 24.0, from_mm + part * (to_mm - from_mm));
    }
}

static double level_of(const struct sim_tank *tank, double volume_l, double near_mm)
{
    double mm = near_mm;

    for (int i = 0; i < 40; i++) {
        double off = litres(tank, fmax(mm, 0.0)) - volume_l;

        if (fabs(off) < 1e-6)
            break;
        mm = fmax(fmin(mm - off / surface_l_mm(tank, mm), tank->height_mm), 0.0);
    }
    return mm;
}

/* Ground a plant gets: its own spread, less where the lid and a strip around it are too small for all. */
static double ground_of(const struct sim_tank *tank, const struct sim_crop *crop, double strip_mm)
{
    double a = tank->rim_mm[0] + 2.0 * strip_mm, b = tank->rim_mm[1] + 2.0 * strip_mm;
    double all = (tank->shape == SIM_ROUND ? PI / 4.0 * a * b : a * b) / 1e6;

    return fmin(crop->spread_m2, all / tank->plants);
}

/* What people do with this tank: how often they look, and the days (-1: none) of the few things that they do to it. */
struct habits {
    double every_days;
    int top_up, unlogged, cut;
};

static void draw_crop(struct sim_tank *tank, struct truth *truth, double plan_m2, struct dice *dice)
{
    static const char *const laws[] = {[TWO_STEP] = "two-step", [EXPOLINEAR] = "expolinear", [STAGES] = "stages"};

    truth->crop = &crops[dice_of(dice, 3) == 0 ? dice_of(dice, 4) : dice_of(dice, sizeof crops / sizeof *crops)];
    tank->crop = truth->crop->id;
    tank->plants = (int)fmax(floor(plan_m2 / truth->crop->spread_m2 * dice_even(dice, 0.6, 2.2) + 0.5), 1.0);
    truth->law = dice_of(dice, 5) == 0 ? STAGES : dice_of(dice, 2) ? TWO_STEP : EXPOLINEAR;
    truth->stage_days[0] = dice_even(dice, 2, 12);
    truth->stage_days[1] = dice_even(dice, 14, 32) / truth->crop->pace;
    truth->by_taylor = dice_of(dice, 2);
    tank->growth = laws[truth->law];
    tank->transpiration = truth->by_taylor ? "Priestley-Taylor" : "surface resistance";
    truth->ground_m2 = ground_of(tank, truth->crop, dice_even(dice, 20, 130));
    truth->leaf_factor = fmin(truth->crop->size, 1.0) * exp(0.12 * dice_normal(dice));
    truth->quick = truth->crop->pace * exp(0.15 * dice_normal(dice));
    truth->thirst = exp(0.2 * dice_normal(dice));
    truth->shelter = dice_even(dice, 0.65, 1.0);
    truth->catch_share = dice_of(dice, 2) ? dice_even(dice, 0.0, 0.10) : 0.0;
    truth->mass_g = (truth->law == TWO_STEP ? 0.12 : 0.06) * exp(0.5 * dice_normal(dice));
    truth->store_g = truth->law == TWO_STEP ? 0.3 * truth->mass_g : 0.0;
}

static void draw_habits(struct sim_tank *tank, const struct truth *truth, struct habits *habits, struct dice *dice)
{
    habits->every_days = dice_even(dice, 0.8, 4.5);
    habits->top_up = dice_of(dice, 4) == 0 ? (int)dice_even(dice, 8, 40) : -1;
    habits->unlogged = dice_of(dice, 8) == 0 ? (int)dice_even(dice, 5, 45) : -1;
    habits->cut = truth->crop->cut && dice_of(dice, 3) == 0 ? (int)dice_even(dice, 25, 45) : -1;
    tank->tells_weather = tank->place && dice_of(dice, 2);
    tank->tells_humidity = dice_of(dice, 2);
}

/* A day of planting in the growing part of the year, or a room. */
static void draw_season(struct sim_tank *tank, struct truth *truth, struct dice *dice)
{
    if (!tank->place) {
        tank->indoor_c = dice_even(dice, 18, 26);
        tank->indoor_rh = dice_even(dice, 45, 75);
        tank->indoor_ppfd = dice_even(dice, 120, 350);
        tank->indoor_hours = floor(dice_even(dice, 12, 18));
        truth->catch_share = 0.0;
        truth->shelter = 1.0;
        return;
    }
    for (int tries = 0; tries < 200; tries++) {
        const struct sim_month *soon;

        tank->first = (int)dice_of(dice, SIM_DAYS - SIM_TANK_DAYS);
        soon = &tank->place->month[(tank->first + 25) % SIM_YEAR_DAYS * 12 / SIM_YEAR_DAYS];
        if ((soon->tmin_c + soon->tmax_c) / 2.0 > truth->crop->least_c + 5.0)
            return;
    }
}

#define LAMP_PAR_J_UMOL (1.0 / 4.6e6) /* MJ per umol of white light */
#define LAMP_HEAT 1.35                /* all that a lamp gives off to the leaves, over its light */

/* The air around the leaves on one day; *par_mj the light they grow by. */
static struct sim_day air_of_day(const struct sim_tank *tank, const struct truth *truth, int day, double *mean_c, double *warm_c,
                                 double *par_mj)
{
    struct sim_day air;

    if (tank->place) {
        air = tank->place->day[tank->first + day];
        air.solar_mj_m2 *= truth->shelter;
        *mean_c = (air.tmin_c + air.tmax_c) / 2.0;
        *warm_c = 0.7 * air.tmax_c + 0.3 * air.tmin_c; /* they drink by day */
        *par_mj = 0.5 * air.solar_mj_m2;
        return air;
    }
    *par_mj = tank->indoor_ppfd * tank->indoor_hours * 3600.0 * LAMP_PAR_J_UMOL;
    *mean_c = *warm_c = tank->indoor_c;
    air = (struct sim_day){.wind_m_s = 0.8, .solar_mj_m2 = *par_mj * LAMP_HEAT};
    air.vapour_kpa = tank->indoor_rh / 100.0 * 0.6112 * exp(17.62 * *mean_c / (243.12 + *mean_c));
    return air;
}

static void cut_back(struct sim_tank *tank, struct truth *truth, int day, struct dice *dice)
{
    double kept = dice_even(dice, 0.2, 0.5);

    tank->cut_t[tank->cut_count] = day + 0.01;
    tank->cut_kept[tank->cut_count++] = floor(kept * 20.0 + 0.5) / 20.0;
    truth->mass_g *= kept;
    truth->store_g *= kept;
    truth->age_days = fmin(truth->age_days, truth->stage_days[0] + kept * truth->stage_days[1]);
    tank->last_meddling = day;
}

/* In the evening, by no more than 20 mm, written down to a tenth of a litre and 5 %. Returns the litres. */
static double top_up(struct sim_tank *tank, int day, double level_mm, struct dice *dice)
{
    double poured = fmin(tank->start_mm - level_mm, 20.0) * surface_l_mm(tank, level_mm);

    tank->added_t[tank->added_count] = day + 0.95;
    tank->added_l[tank->added_count++] = floor(poured * exp(0.05 * dice_normal(dice)) * 10.0 + 0.5) / 10.0;
    tank->last_meddling = day;
    return poured;
}

/* What a day takes from the tank and rain brings, litres. */
static double day_takes(const struct sim_tank *tank, const struct truth *truth, const struct sim_day *air, double mean_c, double warm_c,
                        double plan_m2, struct dice *dice)
{
    double pressure = tank->place ? 101.3 * exp(-tank->place->elevation_m / 8400.0) : 101.3;
    double mm = thirst_mm(truth, warm_c, air->vapour_kpa, air->wind_m_s, air->solar_mj_m2, pressure);
    double by_leaves = mm * exp(0.05 * dice_normal(dice)) * truth->ground_m2 * tank->plants;

    return by_leaves + 0.04 * plan_m2 * mean_c / 20.0 /* through the gaps of the lid */ - truth->catch_share * air->rain_mm * plan_m2;
}

static void live(struct sim_tank *tank, struct truth *truth, const struct habits *habits, double plan_m2, struct dice *dice)
{
    double level = tank->start_mm + dice_normal(dice) * 1.5, volume = litres(tank, level);

    for (int i = 0; i < SIM_TANK_DAYS; i++) {
        double before = level, mean_c, warm_c, par_mj;
        struct sim_day air = air_of_day(tank, truth, i, &mean_c, &warm_c, &par_mj);

        tank->level_mm[i] = level;
        if (i == habits->cut)
            cut_back(tank, truth, i, dice);
        volume -= day_takes(tank, truth, &air, mean_c, warm_c, plan_m2, dice);
        if (i == habits->unlogged) {
            volume += dice_even(dice, 8, 25) * surface_l_mm(tank, level);
            tank->last_meddling = tank->unlogged_day = i;
        }
        volume = fmax(fmin(volume, litres(tank, tank->height_mm)), 0.0);
        level = level_of(tank, volume, level);
        day_in_notebook(tank, dice, i, before, level, habits->every_days);
        if (i == habits->top_up && level < tank->start_mm - 15.0) {
            volume += top_up(tank, i, level, dice);
            level = level_of(tank, volume, level);
        }
        grow(truth, mean_c, par_mj);
        if (level <= tank->low_mm) {
            tank->low_day = i;
            return;
        }
    }
}

void sim_tank_draw(struct sim_tank *tank, const struct sim_place *place, uint64_t seed)
{
    struct dice dice = {seed};
    struct truth truth;
    struct habits habits;
    double plan_m2;

    memset(tank, 0, sizeof *tank);
    memset(&truth, 0, sizeof truth);
    tank->place = place;
    tank->low_day = tank->last_meddling = tank->unlogged_day = -1;
    draw_vessel(tank, &dice);
    plan_m2 = (tank->shape == SIM_ROUND ? PI / 4.0 : 1.0) * tank->rim_mm[0] * tank->rim_mm[1] / 1e6;
    draw_crop(tank, &truth, plan_m2, &dice);
    draw_habits(tank, &truth, &habits, &dice);
    draw_season(tank, &truth, &dice);
    live(tank, &truth, &habits, plan_m2, &dice);
}

double sim_by_hand(const struct sim_tank *tank, double t)
{
    double x[3], y[3], mx = 0.0, my = 0.0, up = 0.0, down = 0.0;
    int found = 0;

    for (int i = tank->reading_count - 1; i >= 0 && found < 3; i--)
        if (tank->reading_t[i] < t) {
            x[found] = tank->reading_t[i];
            y[found++] = tank->reading_mm[i];
        }
    if (found < 3)
        return -1.0;
    for (int i = 0; i < 3; i++) {
        mx += x[i] / 3.0;
        my += y[i] / 3.0;
    }
    for (int i = 0; i < 3; i++) {
        up += (x[i] - mx) * (y[i] - my);
        down += (x[i] - mx) * (x[i] - mx);
    }
    return up < 0.0 ? mx + (tank->low_mm - my) * down / up : -1.0;
}
