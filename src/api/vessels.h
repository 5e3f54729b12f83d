/* vessels.h - vessels over HTTP; the vessel's shape is shared with the calculations. */
#ifndef TIDEMARK_API_VESSELS_H
#define TIDEMARK_API_VESSELS_H

#include "api/request.h"
#include "api/shape.h"
#include "calc/vessel.h"

/* A vessel as documents give it: by its walls, or by what was poured into it. */
struct vessel_given {
    int which;  /* enum vessel_shape */
    int tag;    /* the word "shape", read again */
    union {
        struct {
            double floor_mm[2], rim_mm[2], height_mm, corner_mm;
        } box;
        struct {
            double floor_mm, rim_mm, height_mm;
        } round;
        struct {
            struct list points; /* struct vessel_point */
            double height_mm;
        } poured;
    };
};
extern const struct shape vessel_given_shape;

/* The calculation's vessel; borrows the points. */
struct vessel vessel_from_given(const struct vessel_given *given);

/* A stored vessel with its lid and cups, as answered and as sent. */
struct vessel_document {
    const char *id, *name;
    struct vessel_given shape;
    struct lid_document {
        double lid_mm[2], corner_mm, hole_mm, edge_mm, spacing_mm;
        int pattern;
    } lid;
    bool lid_given;
    struct list cups; /* struct lid_cup */
    struct cup_document {
        double height_mm, top_mm, bottom_mm, medium_fraction;
    } cup;
    bool cup_given;
    double start_mm, low_mm;
    double start_volume_l, brim_l, start_mass_kg, height_mm;
    int64_t cup_count;
};
extern const struct shape vessel_shape;
struct vessel_document *vessel_document_of(const struct vessel_row *row, struct arena *arena, struct fault *fault);

int vessels_list_get(struct request *request, struct reply *reply, struct fault *fault);
int vessels_post(struct request *request, struct reply *reply, struct fault *fault);
int vessel_get(struct request *request, struct reply *reply, struct fault *fault);
int vessel_patch(struct request *request, struct reply *reply, struct fault *fault);

extern const struct shape vessels_answer_shape;

#endif
