/* nitrate.c - light and law for a garden's day. */
#include "garden/nitrate.h"

#include <math.h>

#include "calc/days.h"

struct nitrate_now nitrate_now(const struct garden_row *garden, int32_t today, const char *crop)
{
    int month = days_to_civil(today).month;
    struct nitrate_now now = {.winter = nitrate_winter(month), .cover = garden->place != PLACE_OPEN_AIR};
    double mol_m2_day = garden->indoor_ppfd_umol * garden->indoor_hours * 3600 / 1e6;

    if (garden->latitude_deg < 0)
        now.winter = !now.winter;
    now.little_light = garden->place == PLACE_LAMPS && !isnan(mol_m2_day) ? mol_m2_day < NITRATE_LITTLE_LIGHT_MOL : now.winter;
    now.limit_mg_kg = nitrate_limit_mg_kg(nitrate_food_of(crop), now.winter, now.cover);
    return now;
}
