/* calc_planning.c - how many plants one fill carries, before anything is filled. */
#include "api/calc.h"

#include <math.h>

#include "api/climates.h"
#include "api/outlooks.h"
#include "api/vessels.h"
#include "calc/planning.h"
#include "garden/lessons.h"
#include "garden/standing.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define NUMBER(name, at, flags, least, most, text) {name, FIELD_NUMBER, flags, at, least, most, .standard = NAN, .about = text}

struct given {
    struct vessel_given vessel;
    double start_mm, low_mm;
    const char *crop;
    int32_t on;
    int64_t most;
    struct climate_given_document climate;
    bool climate_given;
};

#define AT(member) offsetof(struct given, member)
static const struct field given_fields[] = {
    {"vessel", FIELD_ONE_OF, FIELD_REQUIRED, AT(vessel), .shape = &vessel_given_shape, .about = "Its inside measures."},
    NUMBER("start_mm", AT(start_mm), FIELD_REQUIRED, 0, 3000, "The waterline it is filled to, mm."),
    NUMBER("low_mm", AT(low_mm), FIELD_REQUIRED, 0, 3000, "The waterline at which it runs low, mm."),
    {"crop", FIELD_TEXT, FIELD_REQUIRED, AT(crop), 1, 64, .about = "The crop's slug."},
    {"on", FIELD_DATE, FIELD_REQUIRED, AT(on), .about = "The day of planting."},
    {"most", FIELD_INTEGER, 0, AT(most), 1, PLANNING_PLANTS, .standard = 24, .about = "Plants looked at."},
    {"climate", FIELD_ONE_OF, FIELD_NULLABLE, AT(climate), .shape = &climate_given_shape, .given = AT(climate_given), .about = "Of the place; the garden's own where left out."},
};
#undef AT
const struct shape calc_planning_shape = {.name = "PlanningQuestion", .size = sizeof(struct given), .field = given_fields,
                                          .count = COUNT(given_fields), .about = "A vessel, a crop, a day."};

struct row_document {
    int64_t plants;
    double carries, ground_share;
    struct outlook_spread litres;
};
struct answer {
    struct list rows;
    int64_t plants_at_90, plants_at_50, plants_by_spacing;
    double start_l, usable_l, solution_kg, floor_kg_m2;
    struct outlook_dates harvest_on;
};

#define AT(member) offsetof(struct row_document, member)
static const struct field row_fields[] = {
    {"plants", FIELD_INTEGER, FIELD_REQUIRED, AT(plants), .about = "So many plants."},
    NUMBER("carries", AT(carries), FIELD_REQUIRED, 0, 0, "Probability that one fill lasts to their first harvest."),
    {"litres", FIELD_OBJECT, FIELD_REQUIRED, AT(litres), .shape = &spread_shape, .about = "What all of them drink until then, L."},
    NUMBER("ground_share", AT(ground_share), FIELD_REQUIRED, 0, 0, "Of the ground that each would like: crowded plants stay smaller by about this."),
};
#undef AT
static const struct shape row_shape = {.name = "PlanningRow", .size = sizeof(struct row_document), .field = row_fields, .count = COUNT(row_fields)};

#define AT(member) offsetof(struct answer, member)
static const struct field answer_fields[] = {
    {"rows", FIELD_LIST, FIELD_REQUIRED, AT(rows), .shape = &row_shape, .about = "One plant, two plants, and so on."},
    {"plants_at_90", FIELD_INTEGER, FIELD_REQUIRED, AT(plants_at_90), .about = "The most that one fill carries with nine chances in ten; 0: not even one."},
    {"plants_at_50", FIELD_INTEGER, FIELD_REQUIRED, AT(plants_at_50), .about = "The most with even chances."},
    {"plants_by_spacing", FIELD_INTEGER, FIELD_REQUIRED, AT(plants_by_spacing), .about = "That the surface has room for at the crop's usual spacing."},
    NUMBER("start_l", AT(start_l), FIELD_REQUIRED, 0, 0, "At the start, L."),
    NUMBER("usable_l", AT(usable_l), FIELD_REQUIRED, 0, 0, "Between start and low, L."),
    NUMBER("solution_kg", AT(solution_kg), FIELD_REQUIRED, 0, 0, "Mass of the solution at the start, kg."),
    NUMBER("floor_kg_m2", AT(floor_kg_m2), FIELD_REQUIRED, 0, 0, "What it loads the floor with, kg/m2."),
    {"harvest_on", FIELD_OBJECT, FIELD_REQUIRED, AT(harvest_on), .shape = &dates_shape, .about = "The first harvest."},
};
#undef AT
const struct shape calc_planning_answer_shape = {.name = "Planning", .size = sizeof(struct answer), .field = answer_fields,
                                                 .count = COUNT(answer_fields), .about = "How many plants one fill carries."};

/* The garden's own climate and what it has learnt of the crop. */
static int from_garden(struct request *request, const struct given *given, struct planning_given *asked, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct standing_place place;
    int failed;

    if (!db)
        return -1;
    failed = standing_place(db, request->now_ms, &place, request->arena, fault) ||
             lessons_prior(db, given->crop, &asked->prior, request->arena, fault);
    store_done(store, db);
    if (failed)
        return -1;
    if (given->climate_given)
        climate_from_given(&given->climate, &asked->climate);
    else if (place.climate_known)
        asked->climate = place.climate;
    else
        return fault_add(fault, FAULT_INPUT, "/climate", "is needed: the garden has not told where it stands");
    return 0;
}

static int tell(struct reply *reply, const struct planning *planning, struct arena *arena, struct fault *fault)
{
    struct row_document *rows = arena_take(arena, (size_t)planning->count * sizeof *rows);
    struct answer answer = {.plants_at_90 = planning->plants_at_90,
                            .plants_at_50 = planning->plants_at_50,
                            .plants_by_spacing = planning->plants_by_spacing,
                            .start_l = planning->start_l,
                            .usable_l = planning->usable_l,
                            .solution_kg = planning->solution_kg,
                            .floor_kg_m2 = planning->floor_kg_m2,
                            .harvest_on = planning->harvest_on};

    if (!rows)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (int i = 0; i < planning->count; i++)
        rows[i] = (struct row_document){planning->row[i].plants, planning->row[i].carries, planning->row[i].ground_share,
                                        planning->row[i].litres};
    answer.rows = (struct list){rows, (size_t)planning->count};
    return reply_json(reply, 200, shape_write(&calc_planning_answer_shape, &answer), fault);
}

/* POST /api/v1/calc/planning */
int calc_planning_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct vessel vessel = vessel_from_given(&given->vessel);
    struct planning *planning = arena_take(request->arena, sizeof *planning);
    struct planning_given asked = {.vessel = &vessel,
                                   .start_mm = given->start_mm,
                                   .low_mm = given->low_mm,
                                   .crop = crops_find(given->crop),
                                   .on = given->on,
                                   .most = (int)given->most};

    if (!planning)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (!asked.crop)
        return fault_add(fault, FAULT_INPUT, "/crop", "is no crop known here");
    if (from_garden(request, given, &asked, fault) || planning_make(&asked, planning, fault))
        return -1;
    return tell(reply, planning, request->arena, fault);
}
