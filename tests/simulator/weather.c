/* weather.c - real daily weather, or an invented one. */
#include "simulator/weather.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846

/* Invented; figures in the manner of cool-oceanic to hot-dry places, both hemispheres. */
const struct sim_climate sim_climates[] = {
    {"invented cool coast", 53.0, 10, 10.5, 7.0, 7.5, 0.45, 3.5, 0.98},
    {"invented continent", 48.0, 300, 10.0, 11.0, 11.0, 0.35, 2.5, 0.95},
    {"invented inland sea", 41.0, 50, 16.0, 8.5, 10.0, 0.20, 2.8, 0.90},
    {"invented dry upland", 34.0, 1200, 17.0, 10.0, 15.0, 0.08, 2.6, 0.75},
    {"invented wet tropics", -6.0, 20, 26.5, 1.0, 8.0, 0.50, 1.6, 1.00},
    {"invented far south", -38.0, 80, 14.5, 6.0, 10.5, 0.30, 3.2, 0.94},
};
const size_t sim_climate_count = sizeof sim_climates / sizeof *sim_climates;
const struct sim_climate sim_mild_winter = {"invented mild coast", 50.0, 20, 13.0, 4.5, 6.5, 0.40, 3.5, 0.97};

static uint64_t next(struct dice *dice)
{
    uint64_t z = dice->state += UINT64_C(0x9E3779B97F4A7C15);

    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

double dice_even(struct dice *dice, double low, double high)
{
    return low + (high - low) * ((double)(next(dice) >> 11) / 9007199254740992.0);
}

double dice_normal(struct dice *dice)
{
    double u = dice_even(dice, 1e-12, 1.0), v = dice_even(dice, 0.0, 2.0 * PI);

    return sqrt(-2.0 * log(u)) * cos(v);
}

size_t dice_of(struct dice *dice, size_t count)
{
    return (size_t)(next(dice) % count);
}

double sim_sky_mj_m2(double latitude_deg, int day_of_year, double *daylight_h)
{
    double g = 2.0 * PI * (day_of_year - 1) / 365.0, lat = latitude_deg * PI / 180.0;
    double distance = 1.000110 + 0.034221 * cos(g) + 0.001280 * sin(g) + 0.000719 * cos(2 * g) + 0.000077 * sin(2 * g);
    double dec = 0.006918 - 0.399912 * cos(g) + 0.070257 * sin(g) - 0.006758 * cos(2 * g) + 0.000907 * sin(2 * g);
    double c = -tan(lat) * tan(dec), h = c <= -1.0 ? PI : c >= 1.0 ? 0.0 : acos(c);

    if (daylight_h)
        *daylight_h = 24.0 * h / PI;
    return 86400.0 * 1361.0 / PI / 1e6 * distance * (h * sin(lat) * sin(dec) + cos(lat) * cos(dec) * sin(h));
}

/* Magnus form over water (Sonntag 1990, from memory). */
static double saturated_kpa(double t_c)
{
    return 0.6112 * exp(17.62 * t_c / (243.12 + t_c));
}

/* The normals that a grower finds in a table, and 0.25 + 0.5 n/N turned round for the hours of sunshine. */
static void take_means(struct sim_place *place)
{
    static const int first[13] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365};

    for (int m = 0; m < 12; m++) {
        struct sim_month sum = {0};
        double days = 0.0;

        for (int i = 0; i < SIM_DAYS; i++) {
            const struct sim_day *day = &place->day[i];
            double daylight, sky, mean_e;

            if (i % 365 < first[m] || i % 365 >= first[m + 1])
                continue;
            sky = sim_sky_mj_m2(place->latitude_deg, i % 365 + 1, &daylight);
            mean_e = (saturated_kpa(day->tmin_c) + saturated_kpa(day->tmax_c)) / 2.0;
            sum.tmin_c += day->tmin_c;
            sum.tmax_c += day->tmax_c;
            sum.wind_m_s += day->wind_m_s;
            sum.rh_percent += fmin(100.0 * day->vapour_kpa / mean_e, 100.0);
            sum.sunshine_h += sky > 0.1 ? fmax(fmin((day->solar_mj_m2 / sky - 0.25) / 0.5, 1.0), 0.0) * daylight : 0.0;
            days += 1.0;
        }
        place->month[m] = (struct sim_month){sum.tmin_c / days, sum.tmax_c / days, sum.rh_percent / days, sum.wind_m_s / days,
                                             sum.sunshine_h / days};
    }
}

bool sim_place_read(struct sim_place *place, const char *path, const char *location, double latitude_deg, double elevation_m,
                    uint64_t seed)
{
    FILE *file = fopen(path, "r");
    struct dice dice = {seed};
    char line[256];
    int days = 0;

    if (!file)
        return false;
    memset(place, 0, sizeof *place);
    snprintf(place->name, sizeof place->name, "%s", location);
    place->latitude_deg = latitude_deg;
    place->elevation_m = elevation_m;
    while (days < SIM_DAYS && fgets(line, sizeof line, file)) {
        size_t named = strlen(location);
        int year, month, date;
        double rain, tmax, tmin, wind, clear;
        struct sim_day *day = &place->day[days];

        if (strncmp(line, location, named) != 0 || line[named] != ',')
            continue;
        if (sscanf(line + named + 1, "%d%*c%d%*c%d,%lf,%lf,%lf,%lf", &year, &month, &date, &rain, &tmax, &tmin, &wind) != 7)
            continue;
        if (month == 2 && date == 29)
            continue;
        tmax = fmax(tmax, tmin);
        clear = rain > 1.0 ? 0.30 : 0.72 * (1.0 - exp(-0.02 * pow(tmax - tmin + 3.0, 1.9))); /* ours, after the usual form */
        clear = fmax(fmin(clear + 0.08 * dice_normal(&dice), 0.78), 0.10);
        *day = (struct sim_day){.tmin_c = tmin, .tmax_c = tmax, .rain_mm = rain, .wind_m_s = wind};
        day->solar_mj_m2 = clear * sim_sky_mj_m2(latitude_deg, days % 365 + 1, NULL);
        day->vapour_kpa = saturated_kpa(tmin - 0.5 + 1.2 * dice_normal(&dice));
        days++;
    }
    fclose(file);
    if (days < SIM_DAYS)
        return false;
    take_means(place);
    return true;
}

void sim_place_invent(struct sim_place *place, const struct sim_climate *climate, uint64_t seed)
{
    struct dice dice = {seed};
    double warm = 0.0, season = 0.0;
    bool wet = false;

    memset(place, 0, sizeof *place);
    snprintf(place->name, sizeof place->name, "%s", climate->name);
    place->latitude_deg = climate->latitude_deg;
    place->elevation_m = climate->elevation_m;
    for (int i = 0; i < SIM_DAYS; i++) {
        struct sim_day *day = &place->day[i];
        double turn = (climate->latitude_deg < 0.0 ? -1.0 : 1.0) * -cos(2.0 * PI * (i % 365 - 18) / 365.0);
        double mean, range, clear;

        wet = dice_even(&dice, 0.0, 1.0) < (wet ? 0.35 + 0.65 * climate->wet_share : 0.65 * climate->wet_share);
        warm = 0.72 * warm + 0.69 * dice_normal(&dice);
        season = 0.97 * season + 0.24 * dice_normal(&dice);
        mean = climate->mean_c + climate->swing_c * turn + 2.4 * warm + 1.0 * season - (wet ? 0.8 : 0.0);
        range = fmax(climate->range_c * (wet ? 0.65 : 1.1) + 1.6 * dice_normal(&dice), 1.5);
        clear = fmax(fmin((wet ? 0.33 : 0.62) + 0.10 * dice_normal(&dice), 0.78), 0.08);
        *day = (struct sim_day){.tmin_c = mean - range / 2.0, .tmax_c = mean + range / 2.0};
        day->rain_mm = wet ? -5.0 * log(dice_even(&dice, 1e-6, 1.0)) : 0.0;
        day->wind_m_s = climate->wind_m_s * exp(0.35 * dice_normal(&dice));
        day->solar_mj_m2 = clear * sim_sky_mj_m2(climate->latitude_deg, i % 365 + 1, NULL);
        day->vapour_kpa = climate->moist * saturated_kpa(day->tmin_c + 0.8 * dice_normal(&dice));
    }
    take_means(place);
}
