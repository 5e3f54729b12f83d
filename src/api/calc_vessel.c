/* calc_vessel.c - what a vessel holds at a waterline, and back. */
#include "api/calc.h"

#include <math.h>

#include "api/vessels.h"
#include "calc/vessel.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct given {
    struct vessel_given vessel;
    double waterline_mm, volume_l;
};

#define AT(member) offsetof(struct given, member)
static const struct field given_fields[] = {
    {"vessel", FIELD_ONE_OF, FIELD_REQUIRED, AT(vessel), .shape = &vessel_given_shape, .about = "Its inside measures."},
    {"waterline_mm", FIELD_NUMBER, FIELD_NULLABLE, AT(waterline_mm), 0, 20000, .standard = NAN, .about = "Height of the solution above the floor, mm."},
    {"volume_l", FIELD_NUMBER, FIELD_NULLABLE, AT(volume_l), 0, 1e7, .standard = NAN, .about = "Instead of waterline_mm: what is in it, L."},
};
#undef AT

static int one_of_both(const void *read, struct fault *fault)
{
    const struct given *given = read;

    if (isnan(given->waterline_mm) == isnan(given->volume_l))
        return fault_add(fault, FAULT_INPUT, "", "give either waterline_mm or volume_l");
    return 0;
}

const struct shape calc_vessel_shape = {.name = "VesselQuestion", .size = sizeof(struct given), .field = given_fields,
                                        .count = COUNT(given_fields), .rule = one_of_both,
                                        .about = "A vessel and either a waterline or a volume."};

#define AT(member) offsetof(struct vessel_level, member)
static const struct field answer_fields[] = {
    {"waterline_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(waterline_mm), .standard = NAN, .about = "Above the floor, mm."},
    {"volume_l", FIELD_NUMBER, FIELD_REQUIRED, AT(volume_l), .standard = NAN, .about = "Between floor and waterline, nothing hanging in it, L."},
    {"surface_cm2", FIELD_NUMBER, FIELD_REQUIRED, AT(surface_cm2), .standard = NAN, .about = "Of the water, cm2."},
    {"brim_l", FIELD_NUMBER, FIELD_REQUIRED, AT(brim_l), .standard = NAN, .about = "At the rim, or at the last point poured, L."},
    {"solution_kg", FIELD_NUMBER, FIELD_REQUIRED, AT(solution_kg), .standard = NAN, .about = "Mass of volume_l, kg."},
};
#undef AT
const struct shape calc_vessel_answer_shape = {.name = "VesselLevel", .size = sizeof(struct vessel_level), .field = answer_fields,
                                               .count = COUNT(answer_fields), .about = "What a waterline means."};

/* POST /api/v1/calc/vessel */
int calc_vessel_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct vessel vessel = vessel_from_given(&given->vessel);
    struct fault inner = {0};
    struct vessel_level level;

    if (vessel_check(&vessel, &inner))
        return fault_under(fault, "/vessel", &inner);
    if (isnan(given->volume_l) ? vessel_at_waterline(&vessel, given->waterline_mm, &level, fault)
                               : vessel_at_volume(&vessel, given->volume_l, &level, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&calc_vessel_answer_shape, &level), fault);
}
