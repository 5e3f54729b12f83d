/* nitrate.h - how much nitrate the European Union lets leaves hold that are sold, by crop, time of year and cover.
 *
 * Pure, no allocation; the table is constant. A garden that sells nothing has no limit; the figures then say what is much.
 * Source: Commission Regulation (EC) 1881/2006, annex, section 1, as amended by (EU) 1258/2011 (read); replaced on 25 May 2023 by
 * (EU) 2023/915, in force (that it repeals the former: read; that it keeps these figures: from memory).
 */
#ifndef TIDEMARK_NITRATE_H
#define TIDEMARK_NITRATE_H

#include <stdbool.h>
#include <stddef.h>

#define NITRATE_SOURCE                                                                                                       \
    "Commission Regulation (EU) 2023/915, before it (EC) 1881/2006, annex, section 1 (figures read there; that they were kept: from memory)"

enum nitrate_food { NITRATE_NONE, NITRATE_SPINACH, NITRATE_LETTUCE, NITRATE_ICEBERG, NITRATE_ROCKET };

/* The food that a built-in crop is to that law, by its id. Chard, pak choi, herbs and the rest have no limit there. */
enum nitrate_food nitrate_food_of(const char *crop);

/* Whether a month (1 to 12) is of the half year from 1 October to 31 March. */
bool nitrate_winter(int month);

/* mg NO3 a kg fresh; NAN where there is no limit.
 *   winter  harvested from 1 October to 31 March
 *   cover   grown under glass, foil or a roof; under lamps too
 */
double nitrate_limit_mg_kg(enum nitrate_food food, bool winter, bool cover);

#endif
