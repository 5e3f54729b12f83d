/* areas.c - areas over HTTP. */
#include "api/areas.h"

#include <string.h>

#include "api/lists.h"
#include "garden/areas.h"

#define AT(member) offsetof(struct area_row, member)
static const struct field area_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 1, 64, .about = "Made by the garden where left out."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, 100, .about = "What people call it."},
    {"within", FIELD_TEXT, FIELD_NULLABLE, AT(within), 1, 64, .about = "The area it lies in; areas go two deep."},
    {"walk_order", FIELD_NUMBER, 0, AT(walk_order), -1e6, 1e6, .about = "Where it comes on a round, lower first."},
    {"tanks", FIELD_INTEGER, FIELD_ANSWER_ONLY, AT(tanks), .about = "Tanks that stand directly in it."},
};
#undef AT
const struct shape area_shape = {.name = "Area", .size = sizeof(struct area_row), .field = area_fields,
                                 .count = sizeof area_fields / sizeof *area_fields, .about = "A named place in the garden."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(area_shape, "By age, those that lie in others behind all that do not.");
const struct shape areas_answer_shape = {.name = "Areas", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

/* GET /api/v1/areas */
int areas_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list all;
    struct list_answer answer;

    if (garden_areas(request->service->garden, &all, request->arena, fault) ||
        list_page(&all, sizeof(struct area_row), offsetof(struct area_row, id), request->asked, &answer, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&areas_answer_shape, &answer), fault);
}

/* POST /api/v1/areas */
int areas_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct area_row area = *(const struct area_row *)request->given;
    bool stored_before;

    if (garden_area_add(request->service->garden, &area, &stored_before, request->arena, fault))
        return -1;
    return reply_json(reply, stored_before ? 200 : 201, shape_write(&area_shape, &area), fault);
}

static int find(struct request *request, struct area_row *area, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    int found = db ? area_rows_one(db, request->part[0], area, request->arena, fault) : -1;

    store_done(store, db);
    return found == 1 ? 0 : found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such area");
}

/* PATCH /api/v1/areas/{area} */
int area_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct area_row area;

    if (find(request, &area, fault) || shape_patch(&area_shape, &area, request->document, request->arena, fault))
        return -1;
    area.id = request->part[0];
    if (garden_area_change(request->service->garden, &area, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&area_shape, &area), fault);
}

/* DELETE /api/v1/areas/{area} */
int area_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (garden_area_remove(request->service->garden, request->part[0], request->arena, fault))
        return -1;
    reply->status = 204;
    return 0;
}
