/* units.h - exact unit definitions, both ways.
 *
 * Everything inside is in mm, litres, grams and degrees C; these are what pages and imports convert
 * from and to. Pure: no clock, no locale, no allocation; safe from any thread.
 * Sources: NIST Special Publication 811 (2008), appendix B (inch, pound, US gallon of 231 cubic inches: exact);
 * United Kingdom Units of Measurement Regulations (1995), schedule (imperial gallon, 4.54609 L: exact).
 */
#ifndef TIDEMARK_UNITS_H
#define TIDEMARK_UNITS_H

#include "calc/fault.h"

#define UNITS_MM_PER_IN 25.4
#define UNITS_L_PER_US_GAL 3.785411784
#define UNITS_L_PER_IMP_GAL 4.54609
#define UNITS_ML_PER_US_FL_OZ 29.5735295625
#define UNITS_ML_PER_IMP_FL_OZ 28.4130625
#define UNITS_ML_PER_US_CUP 236.5882365
#define UNITS_G_PER_LB 453.59237
#define UNITS_G_PER_OZ 28.349523125

enum units_quantity { UNITS_LENGTH, UNITS_VOLUME, UNITS_MASS, UNITS_TEMPERATURE };

enum unit {
    UNIT_MM, UNIT_CM, UNIT_M, UNIT_IN, UNIT_FT,
    UNIT_L, UNIT_ML, UNIT_US_GAL, UNIT_IMP_GAL, UNIT_US_FL_OZ, UNIT_IMP_FL_OZ, UNIT_US_CUP,
    UNIT_G, UNIT_KG, UNIT_MG, UNIT_LB, UNIT_OZ,
    UNIT_C, UNIT_F
};
#define UNIT_COUNT 19

/* "mm", "in", "l", "us_gal", "imp_gal", "us_fl_oz", "g", "lb", "oz", "c", "f", ...: as in settings. */
extern const char *const unit_key[UNIT_COUNT];

/* What the unit measures. */
enum units_quantity units_quantity(enum unit unit);

/* To mm, L, g or C, and from them. Any finite value; NAN and infinities pass through. */
double units_to_base(enum unit unit, double value);
double units_from_base(enum unit unit, double value);

/* The unit of this key in *unit. Returns 0, or -1 with FAULT_INPUT at "" where there is none. */
int units_find(const char *key, enum unit *unit, struct fault *fault);

/* One unit into another of the same quantity. Returns 0, or -1 with FAULT_INPUT at "" where the quantities differ or
 * the value is not finite; *converted is untouched then.
 */
int units_convert(double value, enum unit from, enum unit to, double *converted, struct fault *fault);

#endif
