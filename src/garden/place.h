/* place.h - the climate of the garden's place, as it was told or estimated. */
#ifndef TIDEMARK_PLACE_H
#define TIDEMARK_PLACE_H

#include "calc/outlook.h"
#include "store/gardens.h"

/* Monthly normals by latitude and height, for a garden that told nothing else: see place.c. A first guess that the tank's
 * own readings correct. */
void place_estimate(double latitude_deg, double elevation_m, struct outlook_month monthly[12]);

/* The climate of a garden. false where nothing can be said (neither normals, latitude nor lamps told). *told tells
 * whether people gave it. */
bool place_climate(const struct garden_row *garden, struct outlook_climate *climate, bool *told);

#endif
