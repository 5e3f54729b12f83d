/* climate.h - what the air asks of the leaves: reference evaporation.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread.
 * Symbols: t_c air temperature, degrees C; *_kpa vapour pressure; radiation in MJ per m2 and day (or
 * hour in the hourly form); latitude positive north; longitudes positive WEST, as the source has them.
 *
 * Source of everything that is not marked otherwise: Crop evapotranspiration, FAO Irrigation and
 * Drainage Paper 56 (1998); numbers in brackets are its equations.
 *
 * How the fields of POST /api/v1/calc/reference-et map:
 *   date                     .day (days.h); everything else by its own name in struct climate_given, NAN when absent
 *   et0_mm_day .. daylight_h by their own names in struct climate_day
 *   method                   climate_method_key[.method]
 *   filled_in                climate_filled_key[i] for each bit (1u << i) set in .filled_in
 */
#ifndef TIDEMARK_CLIMATE_H
#define TIDEMARK_CLIMATE_H

#include <stdbool.h>
#include <stdint.h>

#include "calc/days.h"
#include "calc/fault.h"

/* ---------------------------------------------------------------- one day */

/* Where the place lies, for radiation estimated from temperature [50] and humidity from the minimum [48]. */
enum climate_situation {
    CLIMATE_INLAND,  /* k 0.16 */
    CLIMATE_COAST,   /* k 0.19 */
};

/* What is known of one day. NAN: not known. Only the place, the day, tmin_c and tmax_c must be known. */
struct climate_given {
    double latitude_deg;  /* -90 to 90 */
    double elevation_m;   /* -430 to 6000 */
    int32_t day;
    enum climate_situation situation;
    bool arid;            /* the dew point then lies 2 C below the minimum when humidity is unknown [48, annex 6] */
    double tmin_c, tmax_c; /* -60 to 60, tmin <= tmax */
    /* Humidity: the best that is known is taken, in this order. */
    double ea_kpa;                        /* 0 to 12 */
    double tdew_c;                        /* -60 to 60 [14] */
    double twet_c, tdry_c;                /* psychrometer [15], with psychrometer_a */
    double psychrometer_a;                /* NAN: 0.000662, aspirated */
    double rh_min_percent, rh_max_percent; /* 0 to 100 [17]; the maximum alone [18] */
    double rh_mean_percent;               /* [19] */
    /* Wind: NAN: 2 m/s. */
    double wind_m_s;      /* 0 to 60 */
    double wind_height_m; /* 0.5 to 200; NAN: 2 m [47] */
    /* Radiation: measured, or from sunshine [35], or from temperature [50]. */
    double solar_mj_m2;   /* 0 to 50 */
    double sunshine_h;    /* 0 to 24 */
};

/* All unknown, inland, at sea level on the equator: fill in what there is. */
void climate_given_init(struct climate_given *given);

enum climate_method {
    CLIMATE_PENMAN_MONTEITH, /* [6] */
    CLIMATE_HARGREAVES       /* [52]: neither humidity nor wind nor radiation known */
};
extern const char *const climate_method_key[]; /* "penman-monteith", "hargreaves" */

/* What had to be estimated. */
enum climate_filled {
    CLIMATE_FILLED_HUMIDITY,    /* from the minimum temperature */
    CLIMATE_FILLED_WIND,        /* 2 m/s, the mean of 2000 stations */
    CLIMATE_FILLED_SOLAR,       /* from the range of temperature */
    CLIMATE_FILLED_WIND_HEIGHT  /* taken as 2 m */
};
#define CLIMATE_FILLED_COUNT 4
extern const char *const climate_filled_key[CLIMATE_FILLED_COUNT]; /* "humidity", "wind", "solar", "wind_height" */

struct climate_day {
    double et0_mm_day; /* never below 0 */
    enum climate_method method;
    double ra_mj_m2, rso_mj_m2, rs_mj_m2, rns_mj_m2, rnl_mj_m2, rn_mj_m2;
    double daylight_h;     /* 0 in polar night, 24 in polar day */
    double u2_m_s, es_kpa, ea_kpa, delta_kpa_c, gamma_kpa_c, pressure_kpa;
    double hargreaves_mm_day; /* for comparison, always there */
    unsigned filled_in;    /* bits 1u << enum climate_filled */
};

/* Reference evaporation of one day, soil heat 0 [42].
 *
 * With neither humidity nor wind nor radiation known the method is Hargreaves [52]; with any of them,
 * Penman-Monteith with the rest estimated as the source says, and named in filled_in. Wind at 2 m is
 * kept at 0.5 m/s or more. Where the sun does not rise (or hardly), radiation is 0, Rs/Rso is
 * taken as 0.5 (ours, middle of the source's range for nights) and nothing is NaN.
 *
 * Returns 0, or -1 with FAULT_INPUT and a pointer for every field out of range; *day untouched then.
 */
int climate_reference_et(const struct climate_given *given, struct climate_day *day, struct fault *fault);

/* --------------------------------------------------------------- one hour */

struct climate_hour_given {
    double latitude_deg, elevation_m;
    double longitude_west_deg, zone_longitude_west_deg; /* of the place; of the middle of its time zone */
    int32_t day;
    double clock_h;    /* middle of the period, 0 to 24, standard time */
    double length_h;   /* 0.1 to 1 */
    double t_c;
    double rh_percent;
    double u2_m_s;
    double solar_mj_m2;         /* in the period */
    double night_rs_over_rso;   /* used when the sun is below 0.3 rad at the middle or down; 0.3 to 1 */
};

struct climate_hour {
    double et0_mm; /* in the period; may be slightly below 0 at night, as the source allows */
    double ra_mj_m2, rso_mj_m2, rnl_mj_m2, rn_mj_m2, g_mj_m2;
    double omega_rad, omega1_rad, omega2_rad; /* the sun's angle from noon: middle, start, end */
    double seasonal_b_rad, seasonal_correction_h; /* [33, 32] */
    double delta_kpa_c, ea_kpa, vpd_kpa;
};

/* Reference evaporation of one hour or less [53]. Returns 0, or -1 with FAULT_INPUT. */
int climate_reference_et_hour(const struct climate_hour_given *given, struct climate_hour *hour, struct fault *fault);

/* ------------------------------------------------------------------ parts
 * The steps by themselves, for tests and for callers that need only one. They trust what they are given:
 * temperatures from -100 to 100 C, latitudes -90 to 90; the results are finite there.
 */
double climate_pressure_kpa(double elevation_m);               /* [7] */
double climate_psychrometric_kpa_c(double pressure_kpa);       /* [8] */
double climate_saturation_kpa(double t_c);                     /* [11] */
double climate_slope_kpa_c(double t_c);                        /* [13] */
double climate_wet_bulb_ea_kpa(double twet_c, double tdry_c, double a, double pressure_kpa); /* [15, 16] */
double climate_wind_2m_m_s(double wind_m_s, double height_m);  /* [47] */
double climate_earth_sun(int day_of_year);                     /* dr [23] */
double climate_declination_rad(int day_of_year);               /* [24] */
double climate_sunset_rad(double latitude_rad, double declination_rad); /* [25], 0 to pi */
double climate_ra_mj_m2(double latitude_deg, int day_of_year); /* [21] */
double climate_daylight_h(double latitude_deg, int day_of_year); /* [34] */
double climate_rs_from_sunshine(double sunshine_h, double daylight_h, double ra_mj_m2); /* [35] */
double climate_rs_from_temperature(double tmin_c, double tmax_c, double k, double ra_mj_m2); /* [50], not above 0.75 Ra */
double climate_rs_from_station(double station_rs, double station_ra, double ra_mj_m2);  /* [49] */
double climate_rs_on_island(double ra_mj_m2);                  /* [51], monthly means only */
double climate_rso_mj_m2(double elevation_m, double ra_mj_m2); /* [37] */
double climate_rnl_mj_m2(double tmin_c, double tmax_c, double ea_kpa, double rs_over_rso); /* [39] */
double climate_soil_heat_month(double t_previous_c, double t_next_c); /* [43] */
double climate_soil_heat_month_so_far(double t_previous_c, double t_c); /* [44] */
double climate_hargreaves_mm_day(double tmin_c, double tmax_c, double ra_mj_m2); /* [52] */
double climate_kc_between(const double stage_days[4], double kc_ini, double kc_mid, double kc_end, double day); /* [66] */

/* ---------------------------------------------------------------- indoors */

struct climate_indoor {
    double temperature_c; /* 0 to 45 */
    double rh_percent;    /* 5 to 100 */
    double ppfd_umol;     /* 0 to 2000, umol per m2 and s at the leaves */
    double hours;         /* of light a day, 0 to 24 */
};

/* What a closed lettuce canopy under lamps gives off, mm/day, standing for reference evaporation there.
 * Penman-Monteith with a surface resistance of 60 (1500 + PPFD)/(200 + PPFD) s/m and a leaf boundary layer
 * of 100 s/m (Plant factories; crop transpiration and energy balance, Agricultural Systems 153, 2017: the
 * first seen in a published model's source, the second from memory); at night stomata close to a tenth (ours).
 * Returns 0, or -1 with FAULT_INPUT.
 */
int climate_indoor_et_mm_day(const struct climate_indoor *indoor, double *et_mm_day, struct fault *fault);

#endif
