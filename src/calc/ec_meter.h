/* ec_meter.h - what a conductivity meter's number means: scale, temperature, calibration.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread.
 */
#ifndef TIDEMARK_EC_METER_H
#define TIDEMARK_EC_METER_H

#include "calc/fault.h"

enum ec_scale {
    EC_MS_CM, /* mS/cm = dS/m */
    EC_US_CM,
    EC_PPM_500, /* "ppm", 0.5 of uS/cm: common practice, no source */
    EC_PPM_700  /* "ppm", 0.7 of uS/cm: common practice, no source */
};
#define EC_SCALES 4

/* "mS/cm", "uS/cm", "ppm (x 0.5)", "ppm (x 0.7)" */
extern const char *const ec_scale_text[EC_SCALES];

double ec_to_ms_cm(double reading, enum ec_scale scale);
double ec_from_ms_cm(double ms_cm, enum ec_scale scale);

enum ec_compensation {
    EC_NONE,    /* the meter shows what it measures */
    EC_ISO7888, /* the curve for natural waters */
    EC_LINEAR_2 /* 2 % per degree, what most hand meters do (common practice) */
};

/* Factor from EC at t_c to EC at 25 C. ISO7888: t_c 0 to 35, the standard's table (0 to 12 C read in a meter's manual, the rest
 * from memory), linear between whole degrees; LINEAR_2: 1 / (1 + 0.02 (t - 25)), t_c 0 to 40; NONE: 1.
 *
 * Returns 0, or -1 with FAULT_INPUT at "/temperature_c".
 */
int ec_factor_to_25(enum ec_compensation compensation, double t_c, double *factor, struct fault *fault);

/* A reading of a meter with `compensation`, turned into EC at 25 C. Readings that the meter has compensated already are
 * taken as they are (pass EC_NONE and 25); raw readings are multiplied by the linear factor, which fits nutrient solutions within
 * 0.7 % from 15 C on, 2 % from 10 to 35 C, better than the curve for natural waters.
 */
int ec_at_25(double raw_ms_cm, double t_c, double *ec_ms_cm, struct fault *fault);

/* A check against a potassium chloride standard at the liquid's temperature t_c (the label's table). */
enum ec_standard { EC_STANDARD_0_01, EC_STANDARD_0_1 }; /* mol/L KCl: 1.413 and 12.88 mS/cm at 25 C */

struct ec_check {
    double expected_ms_cm; /* at t_c raw, or at 25 C for a compensating meter */
    double off_percent;
    double correction; /* multiply readings by this */
    bool good;         /* within 2 %; ours */
    char said[160];
};

/* reading_ms_cm as shown; compensated: the meter shows EC at 25 C. t_c 5 to 35. Returns 0; -1 with FAULT_INPUT at
 * "/temperature_c", "/reading_ms_cm".
 */
int ec_check_meter(enum ec_standard standard, double reading_ms_cm, double t_c, bool compensated, struct ec_check *check, struct fault *fault);

#endif
