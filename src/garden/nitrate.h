/* nitrate.h - whether leaves may hold much nitrate now, and what the law would let them hold.
 *
 * "Now" is the garden's day; light decides, and under the sky the half year does: the law's own winter half on the northern side of the
 * globe, the other half on the southern.
 */
#ifndef TIDEMARK_GARDEN_NITRATE_H
#define TIDEMARK_GARDEN_NITRATE_H

#include "calc/nitrate.h"
#include "store/gardens.h"

/* Under lamps: less light than this a day is little. Ours: lettuce under lamps is commonly given 12 to 17 mol/m2. */
#define NITRATE_LITTLE_LIGHT_MOL 12.0

struct nitrate_now {
    bool little_light;
    bool winter, cover;  /* as the law counts them */
    double limit_mg_kg;  /* NAN: no limit for this crop */
};

/* crop: a built-in id, or the one an own crop resembles. */
struct nitrate_now nitrate_now(const struct garden_row *garden, int32_t today, const char *crop);

#endif
