/* round_days.c - planned rounds over HTTP. */
#include "api/round_days.h"

#include "garden/round_days.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- weekdays ---- */

static const char *const weekdays[] = {"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", NULL};
static const struct field weekday_field[] = {{NULL, FIELD_CHOICE, FIELD_REQUIRED, 0, .words = weekdays, .standard = -1, .about = "A weekday."}};
static const struct shape weekday_shape = {.size = sizeof(int), .field = weekday_field, .count = 1};

struct days_sent {
    struct list weekdays; /* int */
};
static const struct field sent_fields[] = {
    {"weekdays", FIELD_LIST, FIELD_REQUIRED, offsetof(struct days_sent, weekdays), 0, 7, .shape = &weekday_shape, .about = "All of them, in any order; none: no round is planned there."}};
const struct shape round_days_sent_shape = {.name = "RoundDaysSent", .size = sizeof(struct days_sent), .field = sent_fields, .count = 1,
                                            .about = "The weekdays on which a round is walked."};

struct days_document {
    const char *area, *area_name;
    struct list weekdays; /* int */
};
#define AT(member) offsetof(struct days_document, member)
static const struct field days_fields[] = {
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "The area, by id; null: the whole garden."},
    {"area_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area_name), .about = "Its name."},
    {"weekdays", FIELD_LIST, FIELD_REQUIRED, AT(weekdays), .shape = &weekday_shape, .about = "Monday first."},
};
#undef AT
const struct shape round_days_shape = {.name = "RoundDays", .size = sizeof(struct days_document), .field = days_fields, .count = COUNT(days_fields),
                                       .about = "The weekdays on which a round is walked, of the whole garden or of an area with what lies in it."};

struct days_answer {
    struct list items; /* struct days_document */
};
static const struct field answer_fields[] = {{"items", FIELD_LIST, FIELD_REQUIRED, offsetof(struct days_answer, items), .shape = &round_days_shape,
                                              .about = "The whole garden first, then areas by age; only those with a day, and all at once."}};
const struct shape round_days_answer_shape = {.name = "RoundDaysList", .size = sizeof(struct days_answer), .field = answer_fields, .count = 1};

static int document_of(const struct round_days_row *row, struct days_document *document, struct arena *arena, struct fault *fault)
{
    int *day;

    *document = (struct days_document){.area = row->area, .area_name = row->area_name};
    day = arena_list(arena, &document->weekdays, 7, sizeof *day);
    if (!day)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    document->weekdays.count = 0;
    for (int i = 0; i < 7; i++)
        if ((row->weekdays >> i) & 1)
            day[document->weekdays.count++] = i;
    return 0;
}

/* GET /api/v1/round-days */
int round_days_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list rows;
    struct days_answer answer;
    struct days_document *document;

    if (garden_round_days(request->service->garden, &rows, request->arena, fault))
        return -1;
    document = arena_list(request->arena, &answer.items, rows.count, sizeof *document);
    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < rows.count; i++)
        if (document_of((const struct round_days_row *)rows.item + i, &document[i], request->arena, fault))
            return -1;
    return reply_json(reply, 200, shape_write(&round_days_answer_shape, &answer), fault);
}

/* PATCH /api/v1/round-days/{area} */
int round_days_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct days_sent *sent = request->given;
    const int *day = sent->weekdays.item;
    struct round_days_row row;
    struct days_document document;
    int64_t bits = 0;

    for (size_t i = 0; i < sent->weekdays.count; i++)
        bits |= INT64_C(1) << day[i];
    if (garden_round_days_set(request->service->garden, request->part[0], bits, &row, request->arena, fault) ||
        document_of(&row, &document, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&round_days_shape, &document), fault);
}

/* ---- putting off ---- */

#define AT(member) offsetof(struct round_putoff_row, member)
static const struct field putoff_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 36, 36, .about = "A UUID made by the client, or by the garden."},
    {"area", FIELD_TEXT, FIELD_NULLABLE, AT(area), 1, 64, .about = "The area whose round is due today; left out: the whole garden's."},
    {"area_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(area_name), .about = "Its name."},
    {"days", FIELD_INTEGER, FIELD_REQUIRED, AT(days), 1, ROUND_PUTOFF_DAYS_MOST, .about = "For how many days; 1: until tomorrow."},
    {"day", FIELD_DATE, FIELD_ANSWER_ONLY, AT(day), .about = "The round day that is meant."},
    {"until", FIELD_DATE, FIELD_ANSWER_ONLY, AT(until_day), .about = "It is walked on this day instead."},
    {"member", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(member), .about = "Who put it off."},
    {"member_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(member_name), .about = "Their name."},
};
#undef AT
const struct shape round_putoff_shape = {.name = "RoundPutOff", .size = sizeof(struct round_putoff_row), .field = putoff_fields,
                                         .count = COUNT(putoff_fields), .about = "A planned round that is walked on a later day."};

/* POST /api/v1/round-putoffs */
int round_putoffs_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct round_putoff_row putoff = *(const struct round_putoff_row *)request->given;
    bool stored_before;

    if (garden_round_put_off(request->service->garden, &request->who, &putoff, request->now_ms, &stored_before, request->arena, fault))
        return -1;
    return reply_json(reply, stored_before ? 200 : 201, shape_write(&round_putoff_shape, &putoff), fault);
}

/* DELETE /api/v1/round-putoffs/{putoff} */
int round_putoff_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (garden_round_putoff_lift(request->service->garden, request->part[0], request->now_ms, fault))
        return -1;
    reply->status = 204;
    return 0;
}
