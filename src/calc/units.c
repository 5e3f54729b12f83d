/* units.c - the table of units.h. */
#include "calc/units.h"

#include <math.h>
#include <string.h>

const char *const unit_key[UNIT_COUNT] = {
    "mm", "cm", "m",  "in", "ft", "l",  "ml", "us_gal", "imp_gal", "us_fl_oz", "imp_fl_oz", "us_cup",
    "g",  "kg", "mg", "lb", "oz", "c",  "f",
};

/* base = (value - zero) x factor */
static const struct {
    enum units_quantity quantity;
    double factor, zero;
} units[UNIT_COUNT] = {
    [UNIT_MM] = {UNITS_LENGTH, 1.0, 0.0},
    [UNIT_CM] = {UNITS_LENGTH, 10.0, 0.0},
    [UNIT_M] = {UNITS_LENGTH, 1000.0, 0.0},
    [UNIT_IN] = {UNITS_LENGTH, UNITS_MM_PER_IN, 0.0},
    [UNIT_FT] = {UNITS_LENGTH, 12.0 * UNITS_MM_PER_IN, 0.0},
    [UNIT_L] = {UNITS_VOLUME, 1.0, 0.0},
    [UNIT_ML] = {UNITS_VOLUME, 1e-3, 0.0},
    [UNIT_US_GAL] = {UNITS_VOLUME, UNITS_L_PER_US_GAL, 0.0},
    [UNIT_IMP_GAL] = {UNITS_VOLUME, UNITS_L_PER_IMP_GAL, 0.0},
    [UNIT_US_FL_OZ] = {UNITS_VOLUME, 1e-3 * UNITS_ML_PER_US_FL_OZ, 0.0},
    [UNIT_IMP_FL_OZ] = {UNITS_VOLUME, 1e-3 * UNITS_ML_PER_IMP_FL_OZ, 0.0},
    [UNIT_US_CUP] = {UNITS_VOLUME, 1e-3 * UNITS_ML_PER_US_CUP, 0.0},
    [UNIT_G] = {UNITS_MASS, 1.0, 0.0},
    [UNIT_KG] = {UNITS_MASS, 1000.0, 0.0},
    [UNIT_MG] = {UNITS_MASS, 1e-3, 0.0},
    [UNIT_LB] = {UNITS_MASS, UNITS_G_PER_LB, 0.0},
    [UNIT_OZ] = {UNITS_MASS, UNITS_G_PER_OZ, 0.0},
    [UNIT_C] = {UNITS_TEMPERATURE, 1.0, 0.0},
    [UNIT_F] = {UNITS_TEMPERATURE, 5.0 / 9.0, 32.0},
};

enum units_quantity units_quantity(enum unit unit)
{
    return units[unit].quantity;
}

double units_to_base(enum unit unit, double value)
{
    return (value - units[unit].zero) * units[unit].factor;
}

double units_from_base(enum unit unit, double value)
{
    return value / units[unit].factor + units[unit].zero;
}

int units_find(const char *key, enum unit *unit, struct fault *fault)
{
    for (int i = 0; i < UNIT_COUNT; i++)
        if (strcmp(unit_key[i], key) == 0) {
            *unit = (enum unit)i;
            return 0;
        }
    return fault_add(fault, FAULT_INPUT, "", "there is no unit \"%.20s\"", key);
}

int units_convert(double value, enum unit from, enum unit to, double *converted, struct fault *fault)
{
    double made;

    if (units[from].quantity != units[to].quantity)
        return fault_add(fault, FAULT_INPUT, "", "%s cannot be turned into %s", unit_key[from], unit_key[to]);
    made = units_from_base(to, units_to_base(from, value));
    if (!isfinite(made))
        return fault_add(fault, FAULT_INPUT, "", "must be a finite number");
    *converted = made;
    return 0;
}
