/* cups.c - one cup of a tank: what hangs there and what happened to it. */
#include "api/cups.h"

#include <math.h>
#include <stdlib.h>

#include "api/standings.h"
#include "api/tanks.h"
#include "garden/log.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const whats[] = {"planted", "cut", "harvested", "lost", "replaced", "moved_in", "moved_out", "cleaned_out", NULL};
_Static_assert(COUNT(whats) == CUP_CLEANED_OUT + 2, "every deed has its name");

#define AT(member) offsetof(struct cup_deed, member)
static const struct field deed_fields[] = {
    {"what", FIELD_CHOICE, FIELD_REQUIRED, AT(what), .words = whats, .about = "What was done."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "When."},
    {"entry", FIELD_TEXT, FIELD_REQUIRED, AT(entry), .about = "The entry that says so."},
    {"crop", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(crop), .about = "The crop it was done to."},
    {"other_cup", FIELD_INTEGER, 0, AT(other_cup), .standard = (double)STORE_NO_INT, .about = "Of a move within the tank: the other cup."},
    {"other_tank", FIELD_TEXT, 0, AT(other_tank), .about = "Of a move to another tank: that one."},
    {"reason", FIELD_CHOICE, 0, AT(reason), .words = entry_reason_names, .standard = ENTRY_NONE, .about = "What it was lost to."},
};
#undef AT
static const struct shape deed_shape = {.name = "CupDeed", .size = sizeof(struct cup_deed), .field = deed_fields, .count = COUNT(deed_fields)};

struct cup_answer {
    struct cup_state state;
    struct list past;
};
#define AT(member) offsetof(struct cup_answer, member)
static const struct field answer_fields[] = {
    {"state", FIELD_OBJECT, FIELD_REQUIRED, AT(state), .shape = &cup_state_shape, .about = "What hangs there now."},
    {"past", FIELD_LIST, FIELD_REQUIRED, AT(past), .shape = &deed_shape, .about = "What happened to it, oldest first."},
};
#undef AT
const struct shape cup_answer_shape = {.name = "CupHistory", .size = sizeof(struct cup_answer), .field = answer_fields, .count = COUNT(answer_fields)};

static int answer_in(struct request *request, struct db *db, struct cup_answer *answer, struct fault *fault)
{
    struct standing_place place;
    struct standing *standing = arena_take(request->arena, sizeof *standing);
    struct list entries;
    char *end;
    long cup = strtol(request->part[1], &end, 10);

    if (!standing)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (tank_standing(request, db, &place, standing, fault))
        return -1;
    if (end == request->part[1] || *end || cup < 1 || (size_t)cup > standing->state.cups.count)
        return fault_add(fault, FAULT_ABSENT, "", "this lid has cups 1 to %zu", standing->state.cups.count);
    answer->state = ((const struct cup_state *)standing->state.cups.item)[cup - 1];
    if (entries_of_tank(db, standing->tank.key, &entries, request->arena, fault))
        return -1;
    return tank_cup_history(&standing->vessel, &entries, place.garden.time_zone, cup, &answer->past, request->arena, fault);
}

/* GET /api/v1/tanks/{tank}/cups/{cup} */
int tank_cup_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct cup_answer answer;
    int failed;

    if (!db)
        return -1;
    failed = answer_in(request, db, &answer, fault);
    store_done(store, db);
    return failed ? -1 : reply_json(reply, 200, shape_write(&cup_answer_shape, &answer), fault);
}
