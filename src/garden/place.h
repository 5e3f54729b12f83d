/* place.h - the climate of the garden's place, as it was told or estimated. */
#ifndef TIDEMARK_PLACE_H
#define TIDEMARK_PLACE_H

#include "calc/outlook.h"
#include "store/gardens.h"

/* The climate of a garden. false where nothing can be said (neither normals, latitude nor lamps told). *told tells
 * whether people gave it. */
bool place_climate(const struct garden_row *garden, struct outlook_climate *climate, bool *told);

#endif
