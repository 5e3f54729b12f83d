/* duties.c - duties over HTTP. */
#include "api/duties.h"

#include "api/lists.h"
#include "garden/duties.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

#define AT(member) offsetof(struct duty_row, member)
static const struct field duty_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 36, 36, .about = "A UUID; made by the garden where left out."},
    {"member", FIELD_TEXT, 0, AT(member), 1, 64, .about = "Whose it is; left out: who asks."},
    {"member_name", FIELD_TEXT, FIELD_ANSWER_ONLY, AT(member_name), .about = "Their name."},
    {"tank", FIELD_TEXT, FIELD_NULLABLE, AT(tank), 1, 64, .about = "The tank, by id or short code; or:"},
    {"tank_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(tank_name), .about = "Its name."},
    {"area", FIELD_TEXT, FIELD_NULLABLE, AT(area), 1, 64, .about = "The area, with all that is in it."},
    {"area_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(area_name), .about = "Its name."},
    {"from", FIELD_DATE, 0, AT(from_day), .about = "The first day; left out: today."},
    {"to", FIELD_DATE, 0, AT(to_day), .about = "The last day; left out: the Sunday of that week."},
};
#undef AT
const struct shape duty_shape = {.name = "Duty", .size = sizeof(struct duty_row), .field = duty_fields, .count = COUNT(duty_fields),
                                 .about = "A tank or an area that is somebody's to look after for a while."};

struct duty_change {
    const char *member;
    int32_t from_day, to_day;
};
#define AT(member) offsetof(struct duty_change, member)
static const struct field change_fields[] = {
    {"member", FIELD_TEXT, FIELD_REQUIRED, AT(member), 1, 64, .about = "Whose it is."},
    {"from", FIELD_DATE, FIELD_REQUIRED, AT(from_day), .about = "The first day."},
    {"to", FIELD_DATE, FIELD_REQUIRED, AT(to_day), .about = "The last day."},
};
#undef AT
const struct shape duty_change_shape = {.name = "DutyChange", .size = sizeof(struct duty_change), .field = change_fields, .count = COUNT(change_fields)};

struct duties_ask {
    struct list_ask list;
    int32_t from_day;
    const char *tank;
};
static const struct field ask_fields[] = {
    {"after", FIELD_TEXT, 0, offsetof(struct duties_ask, list.after), 1, 80, .about = "Cursor from the page before."},
    {"limit", FIELD_INTEGER, 0, offsetof(struct duties_ask, list.limit), 1, 500, .standard = 500, .about = "Most items to answer."},
    {"tank", FIELD_TEXT, 0, offsetof(struct duties_ask, tank), 1, 64, .about = "Only those that this tank stands under, nearest first: its own, its area's, those of the area around; the first that has begun counts."},
    {"from", FIELD_DATE, 0, offsetof(struct duties_ask, from_day), .about = "Those that end on this day or later; left out: today."},
};
const struct shape duties_ask_shape = {.size = sizeof(struct duties_ask), .field = ask_fields, .count = COUNT(ask_fields)};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(duty_shape, "By their last day; of one tank: nearest first.");
const struct shape duties_answer_shape = {.name = "Duties", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

/* GET /api/v1/duties */
int duties_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct duties_ask *ask = request->asked;
    int32_t from = ask->from_day;
    struct list all;
    struct list_answer answer;

    if ((from == FIELD_NO_DATE && garden_today(request->service->garden, request->now_ms, &from, fault)) ||
        garden_duties(request->service->garden, from, ask->tank, &all, request->arena, fault) ||
        list_page(&all, sizeof(struct duty_row), offsetof(struct duty_row, id), &ask->list, &answer, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&duties_answer_shape, &answer), fault);
}

/* POST /api/v1/duties */
int duties_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct duty_row duty = *(const struct duty_row *)request->given;
    bool stored_before;
    int32_t today;

    if (garden_today(request->service->garden, request->now_ms, &today, fault) ||
        garden_duty_add(request->service->garden, &request->who, today, &duty, &stored_before, request->arena, fault))
        return -1;
    return reply_json(reply, stored_before ? 200 : 201, shape_write(&duty_shape, &duty), fault);
}

static int find(struct request *request, struct duty_row *duty, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    int found = db ? duty_rows_one(db, request->part[0], duty, request->arena, fault) : -1;

    store_done(store, db);
    return found == 1 ? 0 : found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such duty");
}

/* PATCH /api/v1/duties/{duty} */
int duty_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct duty_row duty;
    struct duty_change change;

    if (find(request, &duty, fault))
        return -1;
    change = (struct duty_change){duty.member, duty.from_day, duty.to_day};
    if (shape_patch(&duty_change_shape, &change, request->document, request->arena, fault))
        return -1;
    duty.member = change.member;
    duty.from_day = change.from_day;
    duty.to_day = change.to_day;
    if (garden_duty_change(request->service->garden, &request->who, &duty, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&duty_shape, &duty), fault);
}

/* DELETE /api/v1/duties/{duty} */
int duty_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (garden_duty_give_back(request->service->garden, &request->who, request->part[0], request->now_ms, request->arena, fault))
        return -1;
    reply->status = 204;
    return 0;
}
