/* weather.h - years of daily weather for simulated tanks: real records, or an invented climate drawn from a seed.
 * Shares nothing with src/calc.
 */
#ifndef TIDEMARK_TESTS_SIMULATOR_WEATHER_H
#define TIDEMARK_TESTS_SIMULATOR_WEATHER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Numbers that only look random: the same seed gives the same ones everywhere (splitmix64). */
struct dice {
    uint64_t state;
};
double dice_even(struct dice *dice, double low, double high);
double dice_normal(struct dice *dice);
size_t dice_of(struct dice *dice, size_t count);

struct sim_day {
    double tmin_c, tmax_c, rain_mm, wind_m_s, solar_mj_m2, vapour_kpa;
};

#define SIM_YEARS 4
#define SIM_YEAR_DAYS 365
#define SIM_DAYS (SIM_YEARS * SIM_YEAR_DAYS)

struct sim_month {
    double tmin_c, tmax_c, rh_percent, wind_m_s, sunshine_h;
};

struct sim_place {
    char name[32];
    double latitude_deg, elevation_m;
    struct sim_day day[SIM_DAYS];     /* from 1 January on, leap days left out */
    struct sim_month month[12];       /* means over all years: what a grower would look up */
};

/* Clear-sky light of a day above the air, MJ/m2, by the eccentric orbit's series (Spencer, Fourier series representation of the
 * position of the sun, Search 2(5), 1971, from memory): another formula than the one in src/calc.
 */
double sim_sky_mj_m2(double latitude_deg, int day_of_year, double *daylight_h);

/* A place by its name out of a CSV with date, precipitation, temp_max, temp_min, wind, and perhaps location: the daily
 * records of Seattle and New York, 2012 to 2015, that the npm package vega-datasets carries (from NOAA). Light comes from
 * wetness and the range of warmth with scatter, humidity from the minimum with scatter: neither is in the record.
 * Returns false where the file is not there.
 */
bool sim_place_read(struct sim_place *place, const char *path, const char *location, double latitude_deg, double elevation_m,
                    uint64_t seed);

/* An invented climate: wet and dry spells by a Markov chain, warmth and light by first-order autoregression around a sine. */
struct sim_climate {
    const char *name;
    double latitude_deg, elevation_m;
    double mean_c, swing_c, range_c; /* of the year, half its course, of the day */
    double wet_share, wind_m_s, moist; /* moist: vapour pressure over that at the minimum */
};
extern const struct sim_climate sim_climates[];
extern const size_t sim_climate_count;
extern const struct sim_climate sim_mild_winter; /* no latitude tells that: far milder than others of its own */
void sim_place_invent(struct sim_place *place, const struct sim_climate *climate, uint64_t seed);

#endif
