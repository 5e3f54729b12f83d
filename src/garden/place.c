/* place.c - climate of a place. */
#include "garden/place.h"

#include <math.h>
#include <string.h>

/* Zonal means by eye, over land: about 27 C at the equator, 11 C at 45 degrees, 0 C at 60; a yearly swing that grows with
 * latitude; air that cools 6.5 C each kilometre (the standard atmosphere's lapse). Ours, good to some 5 C. */
void place_estimate(double latitude_deg, double elevation_m, struct outlook_month monthly[12])
{
    double phi = fabs(latitude_deg), mean_c = 27 - 0.0076 * phi * phi, swing_c = 0.27 * phi;
    int warmest = latitude_deg >= 0 ? 6 : 0; /* July, January */

    if (!isnan(elevation_m))
        mean_c -= 0.0065 * elevation_m;
    for (int month = 0; month < 12; month++) {
        double t_c = mean_c + swing_c * cos(2 * 3.14159265358979 * (month - warmest) / 12);

        monthly[month] = (struct outlook_month){t_c - 5, t_c + 5, 70, 2, NAN};
    }
}

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
    climate->kind = OUTLOOK_OUTDOORS;
    climate->latitude_deg = garden->latitude_deg;
    climate->elevation_m = isnan(garden->elevation_m) ? 0 : garden->elevation_m;
    climate->cover = garden->place == PLACE_UNDER_COVER ? OUTLOOK_UNDER_COVER : OUTLOOK_OPEN_AIR;
    *told = garden->months.count == 12;
    if (*told)
        told_months(garden, climate->monthly);
    else
        place_estimate(garden->latitude_deg, garden->elevation_m, climate->monthly);
    return true;
}
