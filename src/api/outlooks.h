/* outlooks.h - outlooks as documents. */
#ifndef TIDEMARK_API_OUTLOOKS_H
#define TIDEMARK_API_OUTLOOKS_H

#include "api/shape.h"
#include "calc/outlook.h"

/* struct outlook_dates, struct outlook_spread: null where DAYS_NONE. */
extern const struct shape dates_shape, spread_shape;

struct outlook_answer {
    struct outlook_dates low_on, harvest_on;
    bool harvest_given;
    struct outlook_spread use_l_day;
    double carries_to_harvest, waterline_now_mm;
    struct list waterline; /* struct outlook_waterline */
    struct {
        double vigour, pace;
    } learned;
    struct list surprises;
};
extern const struct shape outlook_shape;

/* In the arena; NULL when out of memory. */
struct outlook_answer *outlook_answer_of(const struct outlook *outlook, struct arena *arena);

/* The whole document; NULL when out of memory. */
json_t *outlook_document(const struct outlook *outlook, struct arena *arena);

#endif
