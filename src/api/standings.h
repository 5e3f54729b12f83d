/* standings.h - how a tank stands, as documents: its state, what it asks for, its small drawing. */
#ifndef TIDEMARK_API_STANDINGS_H
#define TIDEMARK_API_STANDINGS_H

#include "api/shape.h"
#include "garden/standing.h"

struct advice_document {
    int reason;
    struct outlook_dates when;
    bool when_given;
    struct advice_with with;
    int act;
};
extern const struct shape advice_shape, advice_with_shape;

/* struct advice_document for each; empty when out of memory. */
struct list advice_documents(const struct advice *advice, size_t count, struct arena *arena);

struct state_document {
    int phase;
    int32_t filled_on;
    struct observed waterline, ec, ph, temperature;
    double air_gap_mm, volume_l, height_mm, start_mm, low_mm, ceiling_mm;
    int64_t last_reading_ms;
    struct list cups, flags;
    const char *water, *target;
};
extern const struct shape state_shape, cup_state_shape; /* the latter: struct cup_state */
struct state_document state_document_of(const struct tank_state *state, const char *zone);

/* struct standing_last. */
extern const struct shape last_shape;

/* struct standing_drawing. */
extern const struct shape drawing_shape;

#endif
