/* climates.h - the climate of a place as documents give it: monthly normals outdoors, or a room under lamps. */
#ifndef TIDEMARK_API_CLIMATES_H
#define TIDEMARK_API_CLIMATES_H

#include "api/shape.h"
#include "calc/outlook.h"

struct climate_given_document {
    int which;
    union {
        struct {
            double latitude_deg, elevation_m;
            struct list monthly; /* struct outlook_month */
            int cover;
            double normals_off_c;
        } outdoors;
        struct climate_indoor indoor;
    };
};
extern const struct shape climate_given_shape;

void climate_from_given(const struct climate_given_document *given, struct outlook_climate *climate);

#endif
