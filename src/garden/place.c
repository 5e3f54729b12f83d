/* place.c - climate of a place. */
#include "garden/place.h"

#include <math.h>
#include <string.h>

static void told_months(const struct garden_row *garden, struct outlook_month monthly[12])
{
    const struct month_row *month = garden->months.item;

    for (int i = 0; i < 12; i++)
        monthly[i] = (struct outlook_month){month[i].tmin_c, month[i].tmax_c, month[i].rh_percent, month[i].wind_m_s,
                                            month[i].sunshine_h};
}

bool place_climate(const struct garden_row *garden, struct outlook_climate *climate, bool *told)
{
    memset(climate, 0, sizeof *climate);
    *told = true;
    if (garden->place == PLACE_LAMPS) {
        climate->kind = OUTLOOK_INDOORS;
        climate->indoor = (struct climate_indoor){garden->indoor_temperature_c, garden->indoor_rh_percent,
                                                  garden->indoor_ppfd_umol, garden->indoor_hours};
        return !isnan(garden->indoor_temperature_c) && !isnan(garden->indoor_rh_percent) && !isnan(garden->indoor_ppfd_umol) &&
               !isnan(garden->indoor_hours);
    }
    if (isnan(garden->latitude_deg))
        return false;
    outlook_guess_climate(garden->latitude_deg, garden->elevation_m, climate);
    climate->cover = garden->place == PLACE_UNDER_COVER ? OUTLOOK_UNDER_COVER : OUTLOOK_OPEN_AIR;
    *told = garden->months.count == 12;
    if (*told) {
        told_months(garden, climate->monthly);
        climate->normals_off_c = 0;
    }
    return true;
}
