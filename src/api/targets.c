/* targets.c - targets over HTTP. */
#include "api/targets.h"

#include <math.h>

#include "api/lists.h"
#include "garden/targets.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* Stronger than any published solution, weak enough to catch a percentage typed for mg/L. Ours. */
#define MG_L_MOST 5000

static const char *const stages[] = {"seedling", "growing", "finishing", NULL};

#define AT(member) offsetof(struct garden_target, member)
static const struct field target_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 1, 64, .about = "Made by the garden where left out."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, 100, .about = "What people call it."},
    {"source", FIELD_TEXT, FIELD_NULLABLE, AT(source), 1, 300, .about = "Where its figures come from, and how far to trust them."},
    {"stage", FIELD_CHOICE, FIELD_NULLABLE, AT(stage), .words = stages, .standard = -1, .about = "Which stage of growth it is meant for; null: any."},
    {"mg_l", FIELD_MAP, FIELD_REQUIRED, AT(mg_l), 0, MG_L_MOST, .words = target_part_key,
     .about = "mg/L of each element aimed at; n_nh4_max: most of the nitrogen as ammonium."},
    {"builtin", FIELD_BOOL, FIELD_ANSWER_ONLY, AT(builtin), .about = "A published one, which stays as it is."},
};
#undef AT
const struct shape target_shape = {.name = "Target", .size = sizeof(struct garden_target), .field = target_fields,
                                   .count = COUNT(target_fields), .about = "Concentrations to aim at."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(target_shape, "Published ones first, then by age.");
const struct shape targets_answer_shape = {.name = "Targets", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

/* GET /api/v1/targets */
int targets_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list all;
    struct list_answer answer;

    if (garden_targets(request->service->garden, &all, request->arena, fault) ||
        list_page(&all, sizeof(struct garden_target), offsetof(struct garden_target, id), request->asked, &answer, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&targets_answer_shape, &answer), fault);
}

/* POST /api/v1/targets */
int targets_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct garden_target target = *(const struct garden_target *)request->given;
    bool stored_before;

    if (garden_target_add(request->service->garden, &target, &stored_before, request->arena, fault))
        return -1;
    return reply_json(reply, stored_before ? 200 : 201, shape_write(&target_shape, &target), fault);
}

/* PATCH /api/v1/targets/{target} */
int target_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct garden_target target;
    int found = db ? garden_target_one(db, request->part[0], &target, request->arena, fault) : -1;

    store_done(store, db);
    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such target");
    if (shape_patch(&target_shape, &target, request->document, request->arena, fault))
        return -1;
    target.id = request->part[0];
    if (garden_target_change(request->service->garden, &target, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&target_shape, &target), fault);
}
