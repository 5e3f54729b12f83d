/* ec_meter.c - scales, temperature and calibration of conductivity meters. */
#include "calc/ec_meter.h"

#include <math.h>
#include <stdio.h>

const char *const ec_scale_text[EC_SCALES] = {"mS/cm", "uS/cm", "ppm (x 0.5)", "ppm (x 0.7)"};

static const double per_ms_cm[EC_SCALES] = {[EC_MS_CM] = 1.0, [EC_US_CM] = 1000.0, [EC_PPM_500] = 500.0, [EC_PPM_700] = 700.0};

double ec_to_ms_cm(double reading, enum ec_scale scale)
{
    return reading / per_ms_cm[scale];
}

double ec_from_ms_cm(double ms_cm, enum ec_scale scale)
{
    return ms_cm * per_ms_cm[scale];
}

/* f25 of natural waters, 0 to 35 C. Source: ISO 7888 / EN 27888; 0 to 12 C as read in a meter's manual, the rest from memory. */
static const double natural_water[] = {
    1.918, 1.857, 1.800, 1.745, 1.693, 1.643, 1.596, 1.551, 1.508, 1.467, 1.428, 1.390, 1.354, 1.320, 1.287, 1.256, 1.225, 1.196,
    1.168, 1.141, 1.116, 1.091, 1.067, 1.044, 1.021, 1.000, 0.979, 0.959, 0.940, 0.921, 0.903, 0.886, 0.869, 0.853, 0.837, 0.822,
};

int ec_factor_to_25(enum ec_compensation compensation, double t_c, double *factor, struct fault *fault)
{
    double most = compensation == EC_ISO7888 ? 35.0 : 40.0;
    int below;

    if (!(t_c >= 0.0 && t_c <= most))
        return fault_add(fault, FAULT_INPUT, "/temperature_c", "must be from 0 to %g degrees C, was %g", most, t_c);
    if (compensation == EC_NONE) {
        *factor = 1.0;
    } else if (compensation == EC_LINEAR_2) {
        *factor = 1.0 / (1.0 + 0.02 * (t_c - 25.0));
    } else {
        below = t_c >= 35.0 ? 34 : (int)t_c;
        *factor = natural_water[below] + (t_c - below) * (natural_water[below + 1] - natural_water[below]);
    }
    return 0;
}

int ec_at_25(double raw_ms_cm, double t_c, double *ec_ms_cm, struct fault *fault)
{
    double factor = 1.0;

    if (!(raw_ms_cm >= 0.0 && raw_ms_cm <= 500.0))
        return fault_add(fault, FAULT_INPUT, "/reading_ms_cm", "must be from 0 to 500 mS/cm, was %g", raw_ms_cm);
    if (ec_factor_to_25(EC_LINEAR_2, t_c, &factor, fault))
        return -1;
    *ec_ms_cm = raw_ms_cm * factor;
    return 0;
}

/* Potassium chloride at 5, 15, 25, 35 C against its value at 25 C. Source: CRC Handbook of Chemistry and Physics, standard KCl
 * solutions for calibrating conductivity cells, 0.01 and 0.1 mol/kg (after Pure Appl. Chem. 73:1783, 2001). The cubic
 * through them is within 0.3 % of a meter manual's table at 10 and 20 C.
 */
static const double kcl_at[2][4] = {
    {0.89096 / 1.40823, 1.14145 / 1.40823, 1.0, 1.68779 / 1.40823},
    {8.1837 / 12.8246, 10.4371 / 12.8246, 1.0, 15.316 / 12.8246},
};
static const double kcl_at_25_ms_cm[2] = {1.413, 12.88}; /* 0.01 and 0.1 mol/L: a meter manual's calibration table */

static double kcl_ms_cm(enum ec_standard standard, double t_c)
{
    double sum = 0.0;

    for (int i = 0; i < 4; i++) {
        double weight = 1.0;

        for (int k = 0; k < 4; k++)
            if (k != i)
                weight *= (t_c - (5.0 + 10.0 * k)) / (10.0 * (i - k));
        sum += weight * kcl_at[standard][i];
    }
    return sum * kcl_at_25_ms_cm[standard];
}

int ec_check_meter(enum ec_standard standard, double reading_ms_cm, double t_c, bool compensated, struct ec_check *check,
                   struct fault *fault)
{
    int bad = 0;

    if (!(t_c >= 5.0 && t_c <= 35.0))
        bad = fault_add(fault, FAULT_INPUT, "/temperature_c", "must be from 5 to 35 degrees C, was %g", t_c);
    if (!(reading_ms_cm > 0.0 && reading_ms_cm <= 500.0))
        bad = fault_add(fault, FAULT_INPUT, "/reading_ms_cm", "must be above 0 and at most 500 mS/cm, was %g", reading_ms_cm);
    if (bad)
        return -1;
    check->expected_ms_cm = compensated ? kcl_at_25_ms_cm[standard] : kcl_ms_cm(standard, t_c);
    check->off_percent = 100.0 * (reading_ms_cm / check->expected_ms_cm - 1.0);
    check->correction = check->expected_ms_cm / reading_ms_cm;
    check->good = fabs(check->off_percent) <= 2.0;
    if (check->good)
        snprintf(check->said, sizeof check->said, "The meter reads within 2 %% of the standard: good.");
    else if (fabs(check->off_percent) > 30.0)
        snprintf(check->said, sizeof check->said,
                 "The meter is off by %+.0f %%: wrong standard, wrong scale, or a dirty or dry probe.", check->off_percent);
    else
        snprintf(check->said, sizeof check->said,
                 "The meter reads %.1f %% too %s: clean the probe, calibrate it, check again with fresh standard.",
                 fabs(check->off_percent), check->off_percent > 0.0 ? "high" : "low");
    return 0;
}
