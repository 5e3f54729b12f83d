/* walk.c - the order in which one walks past what is in one place. */
#include "api/walk.h"

#include "garden/walk.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

#define AT(member) offsetof(struct tank_row, member)
static const struct field tank_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "The tank's id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"walk_order", FIELD_NUMBER, FIELD_REQUIRED, AT(walk_order), .about = "Where it comes, lower first."},
};
#undef AT
static const struct shape tank_shape = {.name = "WalkTank", .size = sizeof(struct tank_row), .field = tank_fields, .count = COUNT(tank_fields)};

#define AT(member) offsetof(struct area_row, member)
static const struct field area_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "The area's id."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"walk_order", FIELD_NUMBER, FIELD_REQUIRED, AT(walk_order), .about = "Where it comes, lower first."},
};
#undef AT
static const struct shape area_shape = {.name = "WalkArea", .size = sizeof(struct area_row), .field = area_fields, .count = COUNT(area_fields)};

#define AT(member) offsetof(struct walk, member)
static const struct field walk_fields[] = {
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "The area; null: what lies in none."},
    {"name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(name), .about = "Its name."},
    {"tanks", FIELD_LIST, FIELD_REQUIRED, AT(tanks), .shape = &tank_shape, .about = "Tanks in use that stand directly in it, in walking order."},
    {"areas", FIELD_LIST, FIELD_REQUIRED, AT(areas), .shape = &area_shape, .about = "Areas that lie directly in it, in walking order."},
};
#undef AT
const struct shape walk_shape = {.name = "Walk", .size = sizeof(struct walk), .field = walk_fields, .count = COUNT(walk_fields),
                                 .about = "The order in which one walks past what is in one place."};

static const struct field id_field[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED, 0, 1, 64, .about = "An id."}};
static const struct shape id_shape = {.size = sizeof(const char *), .field = id_field, .count = 1};

struct walk_sent {
    struct walk_change change;
};
#define AT(member) offsetof(struct walk_sent, change.member)
#define LIST(name, about_) {#name, FIELD_LIST, 0, AT(name), 0, 2000, .shape = &id_shape, .about = about_}
static const struct field sent_fields[] = {
    LIST(tanks, "The ids of all tanks there, in their new order."),
    LIST(tanks_were, "Their order as it was seen: refused where somebody else changed it meanwhile."),
    LIST(areas, "The ids of all areas there, in their new order."),
    LIST(areas_were, "Their order as it was seen."),
};
#undef AT
const struct shape walk_sent_shape = {.name = "WalkChange", .size = sizeof(struct walk_sent), .field = sent_fields, .count = COUNT(sent_fields),
                                      .about = "A new walking order of a whole place."};

/* GET /api/v1/walk/{area} */
int walk_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct walk walk;

    if (garden_walk(request->service->garden, request->part[0], &walk, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&walk_shape, &walk), fault);
}

/* PATCH /api/v1/walk/{area} */
int walk_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct walk_change change = ((const struct walk_sent *)request->given)->change;
    struct walk walk;

    change.tanks_given = json_object_get(request->document, "tanks") != NULL;
    change.areas_given = json_object_get(request->document, "areas") != NULL;
    if (!change.tanks_given && !change.areas_given)
        return fault_add(fault, FAULT_INPUT, "", "needs the new order of the tanks or of the areas");
    if (garden_walk_change(request->service->garden, request->part[0], &change, &walk, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&walk_shape, &walk), fault);
}
