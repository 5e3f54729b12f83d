/* vessels.c - vessels over HTTP. */
#include "api/vessels.h"

#include <math.h>

#include "api/lists.h"
#include "calc/lid.h"
#include "garden/tank_state.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- a vessel by its walls or by what was poured ---- */

static const char *const shape_words[] = {"box", "round", "poured", NULL};
static const char *const box_word[] = {"box", NULL};
static const char *const round_word[] = {"round", NULL};
static const char *const poured_word[] = {"poured", NULL};

#define LENGTH_MOST 20000
#define LENGTH(name, at, flags, about_) {name, FIELD_NUMBER, flags, at, 0, LENGTH_MOST, .standard = NAN, .about = about_}

static const struct field pair_fields[] = {
    LENGTH(NULL, 0, FIELD_REQUIRED, "Length, mm."),
    LENGTH(NULL, sizeof(double), FIELD_REQUIRED, "Width, mm."),
};
static const struct shape pair_shape = {.size = 2 * sizeof(double), .field = pair_fields, .count = 2, .tuple = true};

static const struct field point_fields[] = {
    LENGTH(NULL, offsetof(struct vessel_point, waterline_mm), FIELD_REQUIRED, "Waterline, mm."),
    {NULL, FIELD_NUMBER, FIELD_REQUIRED, offsetof(struct vessel_point, volume_l), 0, 100000, .standard = NAN, .about = "Poured in so far, L."},
};
static const struct shape point_shape = {.size = sizeof(struct vessel_point), .field = point_fields, .count = 2, .tuple = true};

#define AT(member) offsetof(struct vessel_given, member)
static const struct field box_fields[] = {
    {"shape", FIELD_CHOICE, FIELD_REQUIRED, AT(tag), .words = box_word, .about = "Flat walls, tapered or not."},
    {"floor_mm", FIELD_OBJECT, FIELD_REQUIRED, AT(box.floor_mm), .shape = &pair_shape, .about = "Inside length and width of the floor, mm."},
    {"rim_mm", FIELD_OBJECT, FIELD_REQUIRED, AT(box.rim_mm), .shape = &pair_shape, .about = "Inside length and width at the rim, mm."},
    LENGTH("height_mm", AT(box.height_mm), FIELD_REQUIRED, "From the floor to the rim, mm."),
    LENGTH("corner_mm", AT(box.corner_mm), 0, "Radius of the upright corners, mm."),
};
static const struct field round_fields[] = {
    {"shape", FIELD_CHOICE, FIELD_REQUIRED, AT(tag), .words = round_word, .about = "A bucket or barrel."},
    LENGTH("floor_mm", AT(round.floor_mm), FIELD_REQUIRED, "Inside diameter of the floor, mm."),
    LENGTH("rim_mm", AT(round.rim_mm), FIELD_REQUIRED, "Inside diameter at the rim, mm."),
    LENGTH("height_mm", AT(round.height_mm), FIELD_REQUIRED, "From the floor to the rim, mm."),
};
static const struct field poured_fields[] = {
    {"shape", FIELD_CHOICE, FIELD_REQUIRED, AT(tag), .words = poured_word, .about = "Measured by pouring known volumes in."},
    {"points", FIELD_LIST, FIELD_REQUIRED, AT(poured.points), 2, VESSEL_POINTS, .shape = &point_shape, .about = "[waterline in mm, litres so far], rising."},
    LENGTH("height_mm", AT(poured.height_mm), 0, "From the floor to the lid, mm; the last waterline where left out."),
};
#undef AT
static const struct shape box_shape = {.name = "BoxVessel", .size = sizeof(struct vessel_given), .field = box_fields, .count = COUNT(box_fields)};
static const struct shape round_shape = {.name = "RoundVessel", .size = sizeof(struct vessel_given), .field = round_fields, .count = COUNT(round_fields)};
static const struct shape poured_shape = {.name = "PouredVessel", .size = sizeof(struct vessel_given), .field = poured_fields, .count = COUNT(poured_fields)};
static const struct shape *const vessel_variants[] = {&box_shape, &round_shape, &poured_shape, NULL};
const struct shape vessel_given_shape = {.name = "VesselShape", .size = sizeof(struct vessel_given), .variants = vessel_variants,
                                         .tag = "shape", .tag_values = shape_words};

struct vessel vessel_from_given(const struct vessel_given *given)
{
    switch (given->which) {
    case VESSEL_BOX:
        return (struct vessel){.shape = VESSEL_BOX,
                               .floor_mm = {given->box.floor_mm[0], given->box.floor_mm[1]},
                               .rim_mm = {given->box.rim_mm[0], given->box.rim_mm[1]},
                               .height_mm = given->box.height_mm,
                               .corner_mm = given->box.corner_mm};
    case VESSEL_ROUND:
        return (struct vessel){.shape = VESSEL_ROUND,
                               .floor_mm = {given->round.floor_mm, NAN},
                               .rim_mm = {given->round.rim_mm, NAN},
                               .height_mm = given->round.height_mm,
                               .corner_mm = NAN};
    default:
        return (struct vessel){.shape = VESSEL_POURED,
                               .height_mm = given->poured.height_mm,
                               .corner_mm = NAN,
                               .points = given->poured.points.item,
                               .point_count = given->poured.points.count};
    }
}

/* ---- the stored vessel ---- */

static const char *const patterns[] = {"square", "staggered", "best", NULL};

#define AT(member) offsetof(struct lid_document, member)
static const struct field lid_fields[] = {
    {"lid_mm", FIELD_OBJECT, FIELD_REQUIRED, AT(lid_mm), .shape = &pair_shape, .about = "Length and width, mm."},
    LENGTH("corner_mm", AT(corner_mm), 0, "Radius of its corners, mm."),
    LENGTH("hole_mm", AT(hole_mm), FIELD_REQUIRED, "Diameter of the cup holes, mm."),
    LENGTH("edge_mm", AT(edge_mm), FIELD_REQUIRED, "Clear strip along the edge, mm."),
    LENGTH("spacing_mm", AT(spacing_mm), FIELD_REQUIRED, "Least distance between centres, mm."),
    {"pattern", FIELD_CHOICE, FIELD_REQUIRED, AT(pattern), .words = patterns, .standard = -1, .about = "How the holes lie."},
};
#undef AT
static const struct shape lid_shape = {.name = "Lid", .size = sizeof(struct lid_document), .field = lid_fields, .count = COUNT(lid_fields)};

#define AT(member) offsetof(struct cup_document, member)
static const struct field cup_fields[] = {
    {"height_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(height_mm), 10, 500, .standard = NAN, .about = "From the lid down to the cup's bottom, mm."},
    {"top_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(top_mm), 10, 1000, .standard = NAN, .about = "Width at the top, mm."},
    {"bottom_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(bottom_mm), 5, 1000, .standard = NAN, .about = "Width at the bottom, mm."},
    {"medium_fraction", FIELD_NUMBER, 0, AT(medium_fraction), 0, 1, .standard = NAN, .about = "Solid share of what fills it."},
};
#undef AT
static const struct shape cup_shape = {.name = "Cup", .size = sizeof(struct cup_document), .field = cup_fields, .count = COUNT(cup_fields)};

static const struct field place_fields[] = {
    LENGTH("x_mm", offsetof(struct lid_cup, x_mm), FIELD_REQUIRED, "Of its centre, from the marked corner along the length, mm."),
    LENGTH("y_mm", offsetof(struct lid_cup, y_mm), FIELD_REQUIRED, "The same along the width, mm."),
};
static const struct shape place_shape = {.name = "CupPlace", .size = sizeof(struct lid_cup), .field = place_fields, .count = 2};

#define AT(member) offsetof(struct vessel_document, member)
static const struct field vessel_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 1, 64, .about = "Made by the garden where left out."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, 100, .about = "What people call it."},
    {"shape", FIELD_ONE_OF, FIELD_REQUIRED, AT(shape), .shape = &vessel_given_shape, .about = "Inside measures."},
    {"lid", FIELD_OBJECT, FIELD_NULLABLE, AT(lid), .shape = &lid_shape, .about = "Its lid.", .given = AT(lid_given)},
    {"cups", FIELD_LIST, 0, AT(cups), 0, LID_CUPS, .shape = &place_shape, .about = "Where the cups hang; laid out where left out and a lid is given."},
    {"cup", FIELD_OBJECT, FIELD_NULLABLE, AT(cup), .shape = &cup_shape, .about = "The net cups, all alike.", .given = AT(cup_given)},
    LENGTH("start_mm", AT(start_mm), 0, "Starting waterline; half-way up the cups where left out, mm."),
    LENGTH("low_mm", AT(low_mm), 0, "Waterline at which it runs low, mm."),
    {"height_mm", FIELD_NUMBER, FIELD_ANSWER_ONLY, AT(height_mm), .standard = NAN, .about = "Of the lid's underside above the floor, mm."},
    {"start_volume_l", FIELD_NUMBER, FIELD_ANSWER_ONLY, AT(start_volume_l), .standard = NAN, .about = "Solution at the start, cups hung in, L."},
    {"brim_l", FIELD_NUMBER, FIELD_ANSWER_ONLY, AT(brim_l), .standard = NAN, .about = "To the brim, L."},
    {"start_mass_kg", FIELD_NUMBER, FIELD_ANSWER_ONLY, AT(start_mass_kg), .standard = NAN, .about = "Of the solution at the start, kg."},
    {"cup_count", FIELD_INTEGER, FIELD_ANSWER_ONLY, AT(cup_count), .about = "Cups in the lid."},
};
#undef AT
const struct shape vessel_shape = {.name = "Vessel", .size = sizeof(struct vessel_document), .field = vessel_fields,
                                   .count = COUNT(vessel_fields), .about = "A shape that holds water, with its lid and cups."};

static void give_shape(const struct vessel_row *row, struct vessel_given *given)
{
    given->which = row->shape;
    if (row->shape == VESSEL_BOX) {
        given->box.floor_mm[0] = row->floor_l_mm;
        given->box.floor_mm[1] = row->floor_w_mm;
        given->box.rim_mm[0] = row->rim_l_mm;
        given->box.rim_mm[1] = row->rim_w_mm;
        given->box.height_mm = row->height_mm;
        given->box.corner_mm = row->corner_mm;
    } else if (row->shape == VESSEL_ROUND) {
        given->round.floor_mm = row->floor_l_mm;
        given->round.rim_mm = row->rim_l_mm;
        given->round.height_mm = row->height_mm;
    } else {
        given->poured.points = row->points;
        given->poured.height_mm = row->height_mm;
    }
}

struct vessel_document *vessel_document_of(const struct vessel_row *row, struct arena *arena, struct fault *fault)
{
    struct vessel_document *document = arena_take(arena, sizeof *document);
    struct vessel vessel = tank_vessel(row);
    struct vessel_cups cups = tank_cups(row);
    struct vessel_level level;

    if (!document) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    *document = (struct vessel_document){.id = row->id, .name = row->name, .cups = row->cups, .start_mm = row->start_mm,
                                         .low_mm = row->low_mm, .height_mm = row->height_mm,
                                         .cup_count = (int64_t)row->cups.count};
    give_shape(row, &document->shape);
    document->lid_given = !isnan(row->lid_l_mm);
    document->lid = (struct lid_document){{row->lid_l_mm, row->lid_w_mm}, row->lid_corner_mm, row->hole_mm, row->edge_mm,
                                          row->spacing_mm, row->pattern};
    document->cup_given = !isnan(row->cup_height_mm);
    document->cup = (struct cup_document){row->cup_height_mm, row->cup_top_mm, row->cup_bottom_mm, row->cup_medium_fraction};
    document->start_volume_l = document->brim_l = NAN;
    if (vessel_at_waterline(&vessel, vessel_height_mm(&vessel), &level, NULL) == 0)
        document->brim_l = level.brim_l;
    vessel_solution_l(&vessel, &cups, row->start_mm, &document->start_volume_l, NULL);
    document->start_mass_kg = document->start_volume_l * VESSEL_KG_PER_L;
    return document;
}

static struct vessel_row row_of(const struct vessel_document *document)
{
    struct vessel vessel = vessel_from_given(&document->shape);

    return (struct vessel_row){
        .id = document->id,
        .name = document->name,
        .shape = (int)vessel.shape,
        .floor_l_mm = vessel.shape == VESSEL_POURED ? (double)NAN : vessel.floor_mm[0],
        .floor_w_mm = vessel.shape == VESSEL_BOX ? vessel.floor_mm[1] : (double)NAN,
        .rim_l_mm = vessel.shape == VESSEL_POURED ? (double)NAN : vessel.rim_mm[0],
        .rim_w_mm = vessel.shape == VESSEL_BOX ? vessel.rim_mm[1] : (double)NAN,
        .height_mm = vessel.height_mm,
        .corner_mm = vessel.corner_mm,
        .points = vessel.shape == VESSEL_POURED ? document->shape.poured.points : (struct list){NULL, 0},
        .lid_l_mm = document->lid.lid_mm[0],
        .lid_w_mm = document->lid.lid_mm[1],
        .lid_corner_mm = document->lid.corner_mm,
        .hole_mm = document->lid.hole_mm,
        .edge_mm = document->lid.edge_mm,
        .spacing_mm = document->lid.spacing_mm,
        .pattern = document->lid.pattern,
        .cups = document->cups,
        .cup_height_mm = document->cup.height_mm,
        .cup_top_mm = document->cup.top_mm,
        .cup_bottom_mm = document->cup.bottom_mm,
        .cup_medium_fraction = document->cup.medium_fraction,
        .start_mm = document->start_mm,
        .low_mm = document->low_mm,
    };
}

/* ---- lists ---- */

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(vessel_shape, "By age.");
const struct shape vessels_answer_shape = {.name = "Vessels", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static int read_vessels(struct request *request, struct db *db, int64_t after_key, int64_t limit, struct list *rows, struct fault *fault)
{
    return vessels_list(db, after_key, limit, rows, request->arena, fault);
}

/* GET /api/v1/vessels */
int vessels_list_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list rows;
    struct list_answer answer;
    const struct vessel_row *row;
    struct vessel_document *documents;

    if (list_rows(request, read_vessels, sizeof *row, offsetof(struct vessel_row, key), &rows, &answer.next, fault))
        return -1;
    row = rows.item;
    documents = arena_take(request->arena, (rows.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < rows.count; i++) {
        const struct vessel_document *document = vessel_document_of(&row[i], request->arena, fault);

        if (!document)
            return -1;
        documents[i] = *document;
    }
    answer.items = (struct list){documents, rows.count};
    return reply_json(reply, 200, shape_write(&vessels_answer_shape, &answer), fault);
}

static int answer_row(struct request *request, struct reply *reply, unsigned status, const struct vessel_row *row, struct fault *fault)
{
    const struct vessel_document *document = vessel_document_of(row, request->arena, fault);

    return document ? reply_json(reply, status, shape_write(&vessel_shape, document), fault) : -1;
}

/* POST /api/v1/vessels */
int vessels_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct vessel_row row = row_of(request->given);
    bool stored_before;

    if (garden_vessel_add(request->service->garden, &row, &stored_before, request->arena, fault))
        return -1;
    return answer_row(request, reply, stored_before ? 200 : 201, &row, fault);
}

static int find(struct request *request, struct vessel_row *row, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    int found;

    if (!db)
        return -1;
    found = vessels_one(db, request->part[0], row, request->arena, fault);
    store_done(store, db);
    return found == 1 ? 0 : found < 0 ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such vessel");
}

/* GET /api/v1/vessels/{vessel} */
int vessel_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct vessel_row row;

    return find(request, &row, fault) ? -1 : answer_row(request, reply, 200, &row, fault);
}

/* PATCH /api/v1/vessels/{vessel} */
int vessel_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct vessel_row row;
    struct vessel_document *document;
    const char *id;

    if (find(request, &row, fault))
        return -1;
    id = row.id;
    document = vessel_document_of(&row, request->arena, fault);
    if (!document || shape_patch(&vessel_shape, document, request->document, request->arena, fault))
        return -1;
    row = row_of(document);
    row.id = id;
    /* A new lid without new places has its cups laid out anew. */
    if (json_object_get(request->document, "lid") && !json_object_get(request->document, "cups"))
        row.cups = (struct list){NULL, 0};
    if (garden_vessel_change(request->service->garden, &row, request->arena, fault))
        return -1;
    return answer_row(request, reply, 200, &row, fault);
}
