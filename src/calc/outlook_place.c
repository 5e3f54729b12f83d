/* outlook_place.c - the climate of a place of which only the latitude is known. */
#include "calc/outlook.h"

#include <math.h>
#include <string.h>

#define GUESS_OFF_C 6.0 /* ours */
#define LAPSE_C_M 0.0065 /* the standard atmosphere's */

/* Means by eye, over land where people live: 27 C at the equator, 13 C at 45 degrees, 2 C at 60; a yearly swing that grows with
 * latitude. Winters differ most: by it January has -4 C at 52 degrees, where Berlin has 1 C, London 5 C, Calgary -8 C (from
 * memory). Ours. */
void outlook_guess_climate(double latitude_deg, double elevation_m, struct outlook_climate *climate)
{
    double phi = fabs(latitude_deg), mean_c = 27.0 - 0.007 * phi * phi, swing_c = 0.23 * phi;
    int warmest = latitude_deg >= 0.0 ? 6 : 0; /* July, January */

    memset(climate, 0, sizeof *climate);
    climate->kind = OUTLOOK_OUTDOORS;
    climate->latitude_deg = latitude_deg;
    climate->elevation_m = isnan(elevation_m) ? 0.0 : elevation_m;
    climate->normals_off_c = GUESS_OFF_C;
    mean_c -= LAPSE_C_M * climate->elevation_m;
    for (int month = 0; month < 12; month++) {
        double t_c = mean_c + swing_c * cos(2.0 * 3.14159265358979 * (month - warmest) / 12.0);

        climate->monthly[month] = (struct outlook_month){t_c - 5.0, t_c + 5.0, 70.0, 2.0, NAN};
    }
}
