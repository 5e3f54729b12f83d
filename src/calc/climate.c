/* climate.c - reference evaporation by FAO Irrigation and Drainage Paper 56 (1998); numbers in brackets are
 * its equations. Checked against its worked examples and Annex 2.
 */
#include "calc/climate.h"

#include <math.h>

#define PI 3.14159265358979323846
#define SOLAR_CONSTANT 0.0820         /* MJ per m2 and minute [21] */
#define STEFAN_BOLTZMANN_DAY 4.903e-9 /* MJ per K4, m2 and day [39] */
#define KELVIN_RADIATION 273.16       /* as the source has it in [39] */
#define KELVIN_AIR 273.0              /* as the source has it in [6] and [53] */
#define MM_PER_MJ 0.408               /* [20] */
#define K_INLAND 0.16                 /* [50] */
#define K_COAST 0.19                  /* [50] */
#define WIND_UNKNOWN_M_S 2.0          /* chapter 3, missing wind: mean of 2000 stations */
#define WIND_LEAST_M_S 0.5            /* chapter 3: still air moves a little under a warm crop */
#define ARID_DEW_POINT_BELOW_C 2.0    /* annex 6: 2 to 3 C below the minimum */
#define ASPIRATED 0.000662            /* [16] */
#define SUN_HARDLY_UP_MJ_M2 0.05      /* ours: below it Rs/Rso means nothing */
#define RS_OVER_RSO_UNKNOWN 0.5       /* ours, middle of what the source gives for nights */
#define SUN_LOW_RAD 0.3               /* [chapter 3, hourly]: below it the ratio of the afternoon holds on */

const char *const climate_method_key[] = {"penman-monteith", "hargreaves"};
const char *const climate_filled_key[CLIMATE_FILLED_COUNT] = {"humidity", "wind", "solar", "wind_height"};

static double bounded(double value, double least, double most)
{
    return value < least ? least : value > most ? most : value;
}

static double radians(double degrees)
{
    return degrees * PI / 180.0;
}

/* ------------------------------------------------------------------ parts */

double climate_pressure_kpa(double elevation_m)
{
    return 101.3 * pow((293.0 - 0.0065 * elevation_m) / 293.0, 5.26);
}

double climate_psychrometric_kpa_c(double pressure_kpa)
{
    return 0.000665 * pressure_kpa;
}

double climate_saturation_kpa(double t_c)
{
    return 0.6108 * exp(17.27 * t_c / (t_c + 237.3));
}

double climate_slope_kpa_c(double t_c)
{
    return 4098.0 * climate_saturation_kpa(t_c) / ((t_c + 237.3) * (t_c + 237.3));
}

double climate_wet_bulb_ea_kpa(double twet_c, double tdry_c, double a, double pressure_kpa)
{
    return climate_saturation_kpa(twet_c) - a * pressure_kpa * (tdry_c - twet_c);
}

double climate_wind_2m_m_s(double wind_m_s, double height_m)
{
    return wind_m_s * 4.87 / log(67.8 * height_m - 5.42);
}

double climate_earth_sun(int day_of_year)
{
    return 1.0 + 0.033 * cos(2.0 * PI * day_of_year / 365.0);
}

double climate_declination_rad(int day_of_year)
{
    return 0.409 * sin(2.0 * PI * day_of_year / 365.0 - 1.39);
}

double climate_sunset_rad(double latitude_rad, double declination_rad)
{
    /* Outside -1 to 1 the sun stays up, or down, all day. */
    return acos(bounded(-tan(latitude_rad) * tan(declination_rad), -1.0, 1.0));
}

double climate_ra_mj_m2(double latitude_deg, int day_of_year)
{
    double phi = radians(latitude_deg);
    double delta = climate_declination_rad(day_of_year);
    double sunset = climate_sunset_rad(phi, delta);
    double ra = 1440.0 / PI * SOLAR_CONSTANT * climate_earth_sun(day_of_year) *
                (sunset * sin(phi) * sin(delta) + cos(phi) * cos(delta) * sin(sunset));

    return fmax(ra, 0.0);
}

double climate_daylight_h(double latitude_deg, int day_of_year)
{
    return 24.0 / PI * climate_sunset_rad(radians(latitude_deg), climate_declination_rad(day_of_year));
}

double climate_rs_from_sunshine(double sunshine_h, double daylight_h, double ra_mj_m2)
{
    double share = daylight_h > 0.0 ? bounded(sunshine_h / daylight_h, 0.0, 1.0) : 0.0;

    return (0.25 + 0.50 * share) * ra_mj_m2;
}

double climate_rs_from_temperature(double tmin_c, double tmax_c, double k, double ra_mj_m2)
{
    return fmin(k * sqrt(fmax(tmax_c - tmin_c, 0.0)), 0.75) * ra_mj_m2;
}

double climate_rs_from_station(double station_rs, double station_ra, double ra_mj_m2)
{
    return station_ra > 0.0 ? station_rs / station_ra * ra_mj_m2 : 0.0;
}

double climate_rs_on_island(double ra_mj_m2)
{
    return fmax(0.7 * ra_mj_m2 - 4.0, 0.0);
}

double climate_rso_mj_m2(double elevation_m, double ra_mj_m2)
{
    return (0.75 + 0.00002 * elevation_m) * ra_mj_m2;
}

/* The share of clear sky's longwave loss; 0.05 (from memory, the standardised form of 2005) keeps a dark day a loss. */
static double cloud_term(double rs_over_rso)
{
    return fmax(1.35 * fmin(rs_over_rso, 1.0) - 0.35, 0.05);
}

static double humidity_term(double ea_kpa)
{
    return fmax(0.34 - 0.14 * sqrt(fmax(ea_kpa, 0.0)), 0.0);
}

double climate_rnl_mj_m2(double tmin_c, double tmax_c, double ea_kpa, double rs_over_rso)
{
    double warm = pow(tmax_c + KELVIN_RADIATION, 4.0), cold = pow(tmin_c + KELVIN_RADIATION, 4.0);

    return STEFAN_BOLTZMANN_DAY * (warm + cold) / 2.0 * humidity_term(ea_kpa) * cloud_term(rs_over_rso);
}

double climate_soil_heat_month(double t_previous_c, double t_next_c)
{
    return 0.07 * (t_next_c - t_previous_c);
}

double climate_soil_heat_month_so_far(double t_previous_c, double t_c)
{
    return 0.14 * (t_c - t_previous_c);
}

double climate_hargreaves_mm_day(double tmin_c, double tmax_c, double ra_mj_m2)
{
    double mean = (tmin_c + tmax_c) / 2.0;

    return fmax(0.0023 * (mean + 17.8) * sqrt(fmax(tmax_c - tmin_c, 0.0)) * MM_PER_MJ * ra_mj_m2, 0.0);
}

double climate_kc_between(const double stage_days[4], double kc_ini, double kc_mid, double kc_end, double day)
{
    double grows = stage_days[0], full = grows + stage_days[1], fades = full + stage_days[2];

    if (day <= grows)
        return kc_ini;
    if (day < full)
        return kc_ini + (day - grows) / stage_days[1] * (kc_mid - kc_ini);
    if (day <= fades || !(stage_days[3] > 0.0))
        return kc_mid;
    return kc_mid + fmin((day - fades) / stage_days[3], 1.0) * (kc_end - kc_mid);
}

/* ---------------------------------------------------------------- one day */

void climate_given_init(struct climate_given *given)
{
    *given = (struct climate_given){
        .tmin_c = NAN, .tmax_c = NAN, .ea_kpa = NAN, .tdew_c = NAN, .twet_c = NAN, .tdry_c = NAN, .psychrometer_a = NAN,
        .rh_min_percent = NAN, .rh_max_percent = NAN, .rh_mean_percent = NAN, .wind_m_s = NAN, .wind_height_m = NAN,
        .solar_mj_m2 = NAN, .sunshine_h = NAN,
    };
}

/* A value that must be known, or (known false) may be NAN, and its range. */
static void check(double value, bool needed, double least, double most, const char *at, struct fault *fault)
{
    /* Asked this way round, so that a needed NaN is refused too. */
    if ((!needed && isnan(value)) || (value >= least && value <= most))
        return;
    fault_add(fault, FAULT_INPUT, at, "must be from %g to %g, was %g", least, most, value);
}

static int check_day(const struct climate_given *given, struct fault *fault)
{
    struct fault found = {0};

    check(given->latitude_deg, true, -90.0, 90.0, "/latitude_deg", &found);
    check(given->elevation_m, true, -430.0, 6000.0, "/elevation_m", &found);
    check(given->tmin_c, true, -60.0, 60.0, "/tmin_c", &found);
    check(given->tmax_c, true, -60.0, 60.0, "/tmax_c", &found);
    if (given->tmin_c > given->tmax_c)
        fault_add(&found, FAULT_INPUT, "/tmin_c", "must not be above tmax_c, was %g above %g", given->tmin_c, given->tmax_c);
    check(given->ea_kpa, false, 0.0, 12.0, "/ea_kpa", &found);
    check(given->tdew_c, false, -60.0, 60.0, "/tdew_c", &found);
    check(given->twet_c, false, -60.0, 60.0, "/twet_c", &found);
    check(given->tdry_c, false, -60.0, 60.0, "/tdry_c", &found);
    check(given->psychrometer_a, false, 0.0001, 0.01, "/psychrometer_a", &found);
    check(given->rh_min_percent, false, 0.0, 100.0, "/rh_min_percent", &found);
    check(given->rh_max_percent, false, 0.0, 100.0, "/rh_max_percent", &found);
    check(given->rh_mean_percent, false, 0.0, 100.0, "/rh_mean_percent", &found);
    check(given->wind_m_s, false, 0.0, 60.0, "/wind_m_s", &found);
    check(given->wind_height_m, false, 0.5, 200.0, "/wind_height_m", &found);
    check(given->solar_mj_m2, false, 0.0, 50.0, "/solar_mj_m2", &found);
    check(given->sunshine_h, false, 0.0, 24.0, "/sunshine_h", &found);
    if (!found.count)
        return 0;
    return fault_under(fault, "", &found);
}

static bool known_humidity(const struct climate_given *given)
{
    return !isnan(given->ea_kpa) || !isnan(given->tdew_c) || (!isnan(given->twet_c) && !isnan(given->tdry_c)) ||
           !isnan(given->rh_max_percent) || !isnan(given->rh_mean_percent);
}

/* Actual vapour pressure by the best that is known, in the source's order. */
static double actual_pressure(const struct climate_given *given, double pressure_kpa, double es_kpa)
{
    double cold = climate_saturation_kpa(given->tmin_c), warm = climate_saturation_kpa(given->tmax_c);

    if (!isnan(given->ea_kpa))
        return given->ea_kpa;
    if (!isnan(given->tdew_c))
        return climate_saturation_kpa(given->tdew_c); /* [14] */
    if (!isnan(given->twet_c) && !isnan(given->tdry_c))
        return fmax(climate_wet_bulb_ea_kpa(given->twet_c, given->tdry_c,
                                            isnan(given->psychrometer_a) ? ASPIRATED : given->psychrometer_a, pressure_kpa),
                    0.0);
    if (!isnan(given->rh_max_percent) && !isnan(given->rh_min_percent))
        return (cold * given->rh_max_percent + warm * given->rh_min_percent) / 200.0; /* [17] */
    if (!isnan(given->rh_max_percent))
        return cold * given->rh_max_percent / 100.0; /* [18] */
    if (!isnan(given->rh_mean_percent))
        return es_kpa * given->rh_mean_percent / 100.0; /* [19] */
    return climate_saturation_kpa(given->tmin_c - (given->arid ? ARID_DEW_POINT_BELOW_C : 0.0)); /* [48] */
}

static double wind_2m(const struct climate_given *given, unsigned *filled)
{
    if (isnan(given->wind_m_s)) {
        *filled |= 1u << CLIMATE_FILLED_WIND;
        return WIND_UNKNOWN_M_S;
    }
    if (isnan(given->wind_height_m)) {
        *filled |= 1u << CLIMATE_FILLED_WIND_HEIGHT;
        return fmax(given->wind_m_s, WIND_LEAST_M_S);
    }
    /* At 2 m the profile gives a factor of 1.0002; a reading at 2 m is a reading at 2 m. */
    if (given->wind_height_m == 2.0)
        return fmax(given->wind_m_s, WIND_LEAST_M_S);
    return fmax(climate_wind_2m_m_s(given->wind_m_s, given->wind_height_m), WIND_LEAST_M_S);
}

static double solar(const struct climate_given *given, const struct climate_day *day, unsigned *filled)
{
    if (!isnan(given->solar_mj_m2))
        return given->solar_mj_m2;
    if (!isnan(given->sunshine_h))
        return climate_rs_from_sunshine(given->sunshine_h, day->daylight_h, day->ra_mj_m2);
    *filled |= 1u << CLIMATE_FILLED_SOLAR;
    return fmin(climate_rs_from_temperature(given->tmin_c, given->tmax_c,
                                            given->situation == CLIMATE_COAST ? K_COAST : K_INLAND, day->ra_mj_m2),
                day->rso_mj_m2);
}

static double penman_monteith_mm_day(const struct climate_day *day, double t_c)
{
    double drying = day->gamma_kpa_c * 900.0 / (t_c + KELVIN_AIR) * day->u2_m_s * fmax(day->es_kpa - day->ea_kpa, 0.0);
    double et0 = (MM_PER_MJ * day->delta_kpa_c * day->rn_mj_m2 + drying) /
                 (day->delta_kpa_c + day->gamma_kpa_c * (1.0 + 0.34 * day->u2_m_s)); /* [6] */

    return fmax(et0, 0.0);
}

int climate_reference_et(const struct climate_given *given, struct climate_day *day, struct fault *fault)
{
    struct climate_day found = {0};
    double mean, ratio;
    int j;

    if (check_day(given, fault))
        return -1;
    j = days_of_year(given->day);
    mean = (given->tmin_c + given->tmax_c) / 2.0; /* [9] */
    found.pressure_kpa = climate_pressure_kpa(given->elevation_m);
    found.gamma_kpa_c = climate_psychrometric_kpa_c(found.pressure_kpa);
    found.delta_kpa_c = climate_slope_kpa_c(mean);
    found.es_kpa = (climate_saturation_kpa(given->tmin_c) + climate_saturation_kpa(given->tmax_c)) / 2.0; /* [12] */
    found.ea_kpa = actual_pressure(given, found.pressure_kpa, found.es_kpa);
    if (!known_humidity(given))
        found.filled_in |= 1u << CLIMATE_FILLED_HUMIDITY;
    found.u2_m_s = wind_2m(given, &found.filled_in);
    found.ra_mj_m2 = climate_ra_mj_m2(given->latitude_deg, j);
    found.daylight_h = climate_daylight_h(given->latitude_deg, j);
    found.rso_mj_m2 = climate_rso_mj_m2(given->elevation_m, found.ra_mj_m2);
    found.rs_mj_m2 = solar(given, &found, &found.filled_in);
    ratio = found.rso_mj_m2 > SUN_HARDLY_UP_MJ_M2 ? found.rs_mj_m2 / found.rso_mj_m2 : RS_OVER_RSO_UNKNOWN;
    found.rns_mj_m2 = 0.77 * found.rs_mj_m2; /* [38] */
    found.rnl_mj_m2 = climate_rnl_mj_m2(given->tmin_c, given->tmax_c, found.ea_kpa, ratio);
    found.rn_mj_m2 = found.rns_mj_m2 - found.rnl_mj_m2; /* [40] */
    found.hargreaves_mm_day = climate_hargreaves_mm_day(given->tmin_c, given->tmax_c, found.ra_mj_m2);
    if (!known_humidity(given) && isnan(given->wind_m_s) && isnan(given->solar_mj_m2) && isnan(given->sunshine_h)) {
        found.method = CLIMATE_HARGREAVES;
        found.et0_mm_day = found.hargreaves_mm_day;
    } else {
        found.method = CLIMATE_PENMAN_MONTEITH;
        found.et0_mm_day = penman_monteith_mm_day(&found, mean);
    }
    *day = found;
    return 0;
}

/* --------------------------------------------------------------- one hour */

static int check_hour(const struct climate_hour_given *given, struct fault *fault)
{
    struct fault found = {0};

    check(given->latitude_deg, true, -90.0, 90.0, "/latitude_deg", &found);
    check(given->elevation_m, true, -430.0, 6000.0, "/elevation_m", &found);
    check(given->longitude_west_deg, true, -180.0, 360.0, "/longitude_west_deg", &found);
    check(given->zone_longitude_west_deg, true, -180.0, 360.0, "/zone_longitude_west_deg", &found);
    check(given->clock_h, true, 0.0, 24.0, "/clock_h", &found);
    check(given->length_h, true, 0.1, 1.0, "/length_h", &found);
    check(given->t_c, true, -60.0, 60.0, "/t_c", &found);
    check(given->rh_percent, true, 0.0, 100.0, "/rh_percent", &found);
    check(given->u2_m_s, true, 0.0, 60.0, "/u2_m_s", &found);
    check(given->solar_mj_m2, true, 0.0, 6.0, "/solar_mj_m2", &found);
    check(given->night_rs_over_rso, true, 0.3, 1.0, "/night_rs_over_rso", &found);
    if (!found.count)
        return 0;
    return fault_under(fault, "", &found);
}

/* Ra of the period [28]; the sun's angles at its middle, start and end [29 to 33]. */
static void sun_of_hour(const struct climate_hour_given *given, struct climate_hour *hour, double *sunset)
{
    int j = days_of_year(given->day);
    double b = 2.0 * PI * (j - 81) / 364.0;
    double phi = radians(given->latitude_deg), delta = climate_declination_rad(j);
    double clock_offset_h = 0.06667 * (given->zone_longitude_west_deg - given->longitude_west_deg);
    double from, to;

    hour->seasonal_b_rad = b;
    hour->seasonal_correction_h = 0.1645 * sin(2.0 * b) - 0.1255 * cos(b) - 0.025 * sin(b);
    hour->omega_rad = PI / 12.0 * (given->clock_h + clock_offset_h + hour->seasonal_correction_h - 12.0);
    hour->omega1_rad = hour->omega_rad - PI * given->length_h / 24.0;
    hour->omega2_rad = hour->omega_rad + PI * given->length_h / 24.0;
    *sunset = climate_sunset_rad(phi, delta);
    /* The part of the period in which the sun is up. */
    from = bounded(hour->omega1_rad, -*sunset, *sunset);
    to = bounded(hour->omega2_rad, -*sunset, *sunset);
    hour->ra_mj_m2 = fmax(720.0 / PI * SOLAR_CONSTANT * climate_earth_sun(j) *
                              ((to - from) * sin(phi) * sin(delta) + cos(phi) * cos(delta) * (sin(to) - sin(from))),
                          0.0);
}

int climate_reference_et_hour(const struct climate_hour_given *given, struct climate_hour *hour, struct fault *fault)
{
    struct climate_hour found = {0};
    double sunset, ratio, gamma, drying, saturation;
    bool day;

    if (check_hour(given, fault))
        return -1;
    sun_of_hour(given, &found, &sunset);
    found.rso_mj_m2 = climate_rso_mj_m2(given->elevation_m, found.ra_mj_m2);
    day = fabs(found.omega_rad) < sunset;
    /* With a low sun the ratio is noise: the one from the afternoon holds on. */
    ratio = fabs(found.omega_rad) < sunset - SUN_LOW_RAD && found.rso_mj_m2 > 0.0 ? given->solar_mj_m2 / found.rso_mj_m2
                                                                                   : given->night_rs_over_rso;
    saturation = climate_saturation_kpa(given->t_c);
    found.ea_kpa = saturation * given->rh_percent / 100.0; /* [54] */
    found.vpd_kpa = saturation - found.ea_kpa;
    found.delta_kpa_c = climate_slope_kpa_c(given->t_c);
    gamma = climate_psychrometric_kpa_c(climate_pressure_kpa(given->elevation_m));
    found.rnl_mj_m2 = climate_rnl_mj_m2(given->t_c, given->t_c, found.ea_kpa, ratio) / 24.0 * given->length_h;
    found.rn_mj_m2 = 0.77 * given->solar_mj_m2 - found.rnl_mj_m2;
    found.g_mj_m2 = (day ? 0.1 : 0.5) * found.rn_mj_m2; /* [45, 46] */
    drying = gamma * 37.0 / (given->t_c + KELVIN_AIR) * given->u2_m_s * found.vpd_kpa * given->length_h;
    found.et0_mm = (MM_PER_MJ * found.delta_kpa_c * (found.rn_mj_m2 - found.g_mj_m2) + drying) /
                   (found.delta_kpa_c + gamma * (1.0 + 0.34 * given->u2_m_s)); /* [53] */
    *hour = found;
    return 0;
}

/* ---------------------------------------------------------------- indoors */

#define LEAF_BOUNDARY_S_M 100.0    /* Agricultural Systems 153 (2017), from memory */
#define DARK_RESISTANCE_TIMES 10.0 /* ours: stomata close to a tenth in the dark */
#define PAR_UMOL_PER_J 4.6         /* white light, from memory */
#define LAMP_ABSORBED 0.85         /* of the light that falls on a closed canopy, ours */
#define CLOSED_LEAF_AREA 3.0       /* m2 of leaf per m2, a closed lettuce canopy (ASHRAE Transactions 127(2), 2021: 2.2 to 3.6) */
#define AIR_HEAT_KJ_M3 1.2         /* density x specific heat of air, kJ per m3 and K */
#define LATENT_MJ_KG 2.45

/* Latent heat flux of the closed canopy, W/m2, with light of this strength. */
static double lamp_latent_w_m2(const struct climate_indoor *indoor, double ppfd, double times)
{
    double delta = climate_slope_kpa_c(indoor->temperature_c);
    double saturation = climate_saturation_kpa(indoor->temperature_c);
    double deficit = saturation * (1.0 - indoor->rh_percent / 100.0);
    double gamma = climate_psychrometric_kpa_c(climate_pressure_kpa(0.0));
    /* Leaves lie in parallel, each with two sides for heat. */
    double ra = LEAF_BOUNDARY_S_M / (2.0 * CLOSED_LEAF_AREA);
    double rs = times * 60.0 * (1500.0 + ppfd) / (200.0 + ppfd) / CLOSED_LEAF_AREA;
    double rn = LAMP_ABSORBED * ppfd / PAR_UMOL_PER_J;

    return (delta * rn + AIR_HEAT_KJ_M3 * 1000.0 * deficit / ra) / (delta + gamma * (1.0 + rs / ra));
}

int climate_indoor_et_mm_day(const struct climate_indoor *indoor, double *et_mm_day, struct fault *fault)
{
    struct fault found = {0};
    double light, dark;

    check(indoor->temperature_c, true, 0.0, 45.0, "/temperature_c", &found);
    check(indoor->rh_percent, true, 5.0, 100.0, "/rh_percent", &found);
    check(indoor->ppfd_umol, true, 0.0, 2000.0, "/ppfd_umol", &found);
    check(indoor->hours, true, 0.0, 24.0, "/hours", &found);
    if (found.count)
        return fault_under(fault, "", &found);
    light = lamp_latent_w_m2(indoor, indoor->ppfd_umol, 1.0) * indoor->hours;
    dark = lamp_latent_w_m2(indoor, 0.0, DARK_RESISTANCE_TIMES) * (24.0 - indoor->hours);
    *et_mm_day = (light + dark) * 3600.0 / (LATENT_MJ_KG * 1e6);
    return 0;
}
