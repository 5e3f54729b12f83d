/* nitrate.c - the table of limits. */
#include "calc/nitrate.h"

#include <math.h>
#include <string.h>

enum nitrate_food nitrate_food_of(const char *crop)
{
    if (strncmp(crop, "lettuce-", 8) == 0)
        return NITRATE_LETTUCE;
    if (strcmp(crop, "spinach") == 0)
        return NITRATE_SPINACH;
    return strcmp(crop, "rocket") == 0 ? NITRATE_ROCKET : NITRATE_NONE;
}

bool nitrate_winter(int month)
{
    return month >= 10 || month <= 3;
}

double nitrate_limit_mg_kg(enum nitrate_food food, bool winter, bool cover)
{
    /* [food][winter][cover] */
    static const double limit[][2][2] = {
        [NITRATE_SPINACH] = {{3500, 3500}, {3500, 3500}},
        [NITRATE_LETTUCE] = {{3000, 4000}, {4000, 5000}},
        [NITRATE_ICEBERG] = {{2000, 2500}, {2000, 2500}},
        [NITRATE_ROCKET] = {{6000, 6000}, {7000, 7000}},
    };

    return food == NITRATE_NONE ? (double)NAN : limit[food][winter][cover];
}
