/* doubts.c - stretches of sensors' readings that people do not believe, over HTTP. */
#include "api/entries.h"
#include "api/lists.h"
#include "api/readings.h"
#include "garden/readings.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

#define AT(member) offsetof(struct doubt_row, member)
static const struct field doubt_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 36, 36, .about = "A UUID made by the client, or by the garden."},
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), 1, 64, .about = "The tank's id, or its short code."},
    {"sensor", FIELD_TEXT, FIELD_NULLABLE, AT(sensor), 1, 64, .about = "The sensor, by its id; null: any at this tank."},
    {"from", FIELD_INSTANT, FIELD_REQUIRED, AT(from_ms), .about = "The first moment that is not believed."},
    {"to", FIELD_INSTANT, FIELD_REQUIRED, AT(to_ms), .about = "The last."},
    {"why", FIELD_TEXT, FIELD_NULLABLE, AT(why), 1, 500, .about = "What was the matter."},
    {"member", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(member), .about = "Who doubted it."},
    {"member_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(member_name), .about = "Their name."},
    {"told_at", FIELD_INSTANT, FIELD_ANSWER_ONLY, AT(told_ms), .about = "When."},
    {"lifted_at", FIELD_INSTANT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(lifted_ms), .about = "Believed again since then; null: it is not."},
};
#undef AT
const struct shape doubt_shape = {.name = "Doubt", .size = sizeof(struct doubt_row), .field = doubt_fields, .count = COUNT(doubt_fields),
                                  .about = "A stretch of a sensor's readings that people do not believe; the readings stay."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(doubt_shape, "By age, lifted ones too.");
const struct shape doubts_answer_shape = {.name = "Doubts", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static int read_doubts(struct request *request, struct db *db, int64_t after_key, int64_t limit, struct list *rows, struct fault *fault)
{
    return doubts_list(db, after_key, limit, rows, request->arena, fault);
}

/* GET /api/v1/doubts */
int doubts_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list_answer answer;

    if (list_rows(request, read_doubts, sizeof(struct doubt_row), offsetof(struct doubt_row, key), &answer.items, &answer.next, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&doubts_answer_shape, &answer), fault);
}

/* POST /api/v1/doubts */
int doubts_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct doubt_row doubt = *(const struct doubt_row *)request->given;
    bool stored_before;

    if (garden_doubt(request->service->garden, &request->who, &doubt, &stored_before, request->arena, fault))
        return -1;
    return reply_json(reply, stored_before ? 200 : 201, shape_write(&doubt_shape, &doubt), fault);
}

/* DELETE /api/v1/doubts/{doubt} */
int doubt_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (garden_doubt_lift(request->service->garden, &request->who, request->part[0], fault))
        return -1;
    reply->status = 204;
    return 0;
}
