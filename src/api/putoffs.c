/* putoffs.c - matters that people put off, over HTTP. Today tells which are in force. */
#include "api/today.h"
#include "garden/putoffs.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct putoff_document {
    const char *id, *tank, *member, *member_name;
    int reason;
    int64_t days;
    int32_t until;
};

#define AT(member) offsetof(struct putoff_document, member)
static const struct field putoff_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 36, 36, .about = "A UUID made by the client, or by the garden."},
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), 1, 64, .about = "The tank's id, or its short code."},
    {"reason", FIELD_CHOICE, FIELD_REQUIRED, AT(reason), .words = advice_reason_names, .standard = -1, .about = "What it asks for now, and may wait."},
    {"days", FIELD_INTEGER, FIELD_REQUIRED, AT(days), 1, PUTOFF_DAYS_MOST, .about = "For how many days; 1: until tomorrow."},
    {"until", FIELD_DATE, FIELD_ANSWER_ONLY, AT(until), .standard = FIELD_NO_DATE, .about = "From this day on it is shown again."},
    {"member", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(member), .about = "Who put it off."},
    {"member_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(member_name), .about = "Their name."},
};
#undef AT
const struct shape putoff_shape = {.name = "PutOff", .size = sizeof(struct putoff_document), .field = putoff_fields, .count = COUNT(putoff_fields),
                                   .about = "A matter of a tank that may wait; it comes back on its day, or as soon as it is worse."};

/* POST /api/v1/putoffs */
int putoffs_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct putoff_document document = *(const struct putoff_document *)request->given;
    struct putoff_row row = {.id = document.id, .tank = document.tank, .reason = advice_reason_names[document.reason], .days = document.days};
    bool stored_before;

    if (garden_put_off(request->service->garden, &request->who, &row, request->now_ms, &stored_before, request->arena, fault))
        return -1;
    document.id = row.id;
    document.tank = row.tank;
    document.until = row.until_day;
    document.member = row.member;
    document.member_name = row.member_name;
    return reply_json(reply, stored_before ? 200 : 201, shape_write(&putoff_shape, &document), fault);
}

/* DELETE /api/v1/putoffs/{putoff} */
int putoff_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (garden_putoff_lift(request->service->garden, request->part[0], fault))
        return -1;
    reply->status = 204;
    return 0;
}
