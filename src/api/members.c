/* members.c - members over HTTP. */
#include "api/members.h"

#include "api/lists.h"

#include <stdlib.h>
#include <string.h>

#include "api/entries.h"
#include "calc/days.h"
#include "garden/clock.h"

const char *const role_words[] = {"visitor", "grower", "keeper", NULL};

struct member_document {
    const char *id, *name;
    int role; /* index of role_words */
    int32_t joined_on;
    bool removed;
};

#define AT(member) offsetof(struct member_document, member)
static const struct field member_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 1, 64, .about = "Made by the garden where left out."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, PEOPLE_NAME_MOST, .about = "What the others call them."},
    {"role", FIELD_CHOICE, FIELD_REQUIRED, AT(role), .words = role_words, .standard = -1, .about = "What they may do: everything, log, or look."},
    {"joined_on", FIELD_DATE, 0, AT(joined_on), .about = "The day they joined; today where left out."},
    {"removed", FIELD_BOOL, 0, AT(removed), .about = "True: all their devices are shut out; what they logged stays."},
};
#undef AT
const struct shape member_shape = {.name = "Member", .size = sizeof(struct member_document), .field = member_fields,
                                   .count = sizeof member_fields / sizeof *member_fields, .about = "A member of the garden."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(member_shape, "By age.");
const struct shape members_answer_shape = {.name = "Members", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static struct member_document document_of(const struct member_row *row, const char *zone)
{
    return (struct member_document){.id = row->id,
                                    .name = row->name,
                                    .role = row->role - ROLE_VISITOR,
                                    .joined_on = clock_day(zone, row->joined_ms),
                                    .removed = row->removed_ms != STORE_NO_INT};
}

static const char *zone_of(struct request *request, struct fault *fault)
{
    struct garden_row row;

    return garden_settings(request->service->garden, &row, request->arena, fault) ? NULL : row.time_zone;
}

static int read_members(struct request *request, struct db *db, int64_t after_key, int64_t limit, struct list *rows, struct fault *fault)
{
    return members_list(db, after_key, limit, rows, request->arena, fault);
}

/* GET /api/v1/members */
int members_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const char *zone = zone_of(request, fault);
    struct list rows;
    const struct member_row *row;
    struct member_document *documents;
    struct list_answer answer;

    if (!zone || list_rows(request, read_members, sizeof *row, offsetof(struct member_row, key), &rows, &answer.next, fault))
        return -1;
    row = rows.item;
    documents = arena_take(request->arena, (rows.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < rows.count; i++)
        documents[i] = document_of(&row[i], zone);
    answer.items = (struct list){documents, rows.count};
    return reply_json(reply, 200, shape_write(&members_answer_shape, &answer), fault);
}

static int answer_member(struct request *request, struct reply *reply, unsigned status, const struct member_row *row, struct fault *fault)
{
    const char *zone = zone_of(request, fault);
    struct member_document document;

    if (!zone)
        return -1;
    document = document_of(row, zone);
    return reply_json(reply, status, shape_write(&member_shape, &document), fault);
}

/* POST /api/v1/members: a member without a device yet; an invite brings them one. */
int members_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct member_document *given = request->given;
    const struct member_told told = {.id = given->id, .name = given->name, .role = given->role + ROLE_VISITOR,
                                     .joined_day = given->joined_on == FIELD_NO_DATE ? DAYS_NONE : given->joined_on, .removed = given->removed};
    struct member_row row;
    bool stored_before;

    if (people_member_add(request->service->garden, &told, &row, &stored_before, request->arena, fault))
        return -1;
    return answer_member(request, reply, stored_before ? 200 : 201, &row, fault);
}

/* PATCH /api/v1/members/{member} */
int member_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct member_document document = {.name = "as it is", .role = 0, .joined_on = FIELD_NO_DATE}; /* stand in for what is not named, and are not read */
    struct member_change change = {.removed = -1};
    struct member_row row;

    if (shape_patch(&member_shape, &document, request->document, request->arena, fault))
        return -1;
    if (json_object_get(request->document, "id") || json_object_get(request->document, "joined_on"))
        return fault_add(fault, FAULT_INPUT, json_object_get(request->document, "id") ? "/id" : "/joined_on", "stays as it is");
    if (json_object_get(request->document, "name"))
        change.name = document.name;
    if (json_object_get(request->document, "role"))
        change.role = document.role + ROLE_VISITOR;
    if (json_object_get(request->document, "removed"))
        change.removed = document.removed;
    if (people_member_change(request->service->garden, request->part[0], &change, &row, request->arena, fault))
        return -1;
    return answer_member(request, reply, 200, &row, fault);
}
