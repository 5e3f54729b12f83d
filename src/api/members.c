/* members.c - members over HTTP. */
#include "api/members.h"

#include <stdlib.h>
#include <string.h>

#include "api/entries.h"
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
    {"id", FIELD_TEXT, FIELD_ANSWER_ONLY, AT(id), .about = "The member's id."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, PEOPLE_NAME_MOST, .about = "What the others call them."},
    {"role", FIELD_CHOICE, FIELD_REQUIRED, AT(role), .words = role_words, .standard = -1, .about = "What they may do: everything, log, or look."},
    {"joined_on", FIELD_DATE, FIELD_ANSWER_ONLY, AT(joined_on), .about = "The day they joined."},
    {"removed", FIELD_BOOL, 0, AT(removed), .about = "True: all their devices are shut out; what they logged stays."},
};
#undef AT
const struct shape member_shape = {.name = "Member", .size = sizeof(struct member_document), .field = member_fields,
                                   .count = sizeof member_fields / sizeof *member_fields, .about = "A member of the garden."};

struct members_answer {
    struct list items; /* struct member_document */
    const char *next;
};
#define AT(member) offsetof(struct members_answer, member)
static const struct field answer_fields[] = {
    {"items", FIELD_LIST, FIELD_REQUIRED, AT(items), .shape = &member_shape, .about = "By age."},
    {"next", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(next), .about = "Cursor of the next page."},
};
#undef AT
const struct shape members_answer_shape = {.name = "Members", .size = sizeof(struct members_answer), .field = answer_fields, .count = 2};

int people_after(const char *after, int64_t *key, struct fault *fault)
{
    char *end;

    *key = 0;
    if (!after)
        return 0;
    *key = strtoll(after, &end, 10);
    return *end || end == after ? fault_add(fault, FAULT_INPUT, "/after", "is not a cursor from this list") : 0;
}

/* One more than limit was asked for: it tells that there are more. */
const char *people_next(struct arena *arena, int64_t key, size_t *count, int64_t limit)
{
    if (*count <= (size_t)limit)
        return NULL;
    *count = (size_t)limit;
    return arena_format(arena, "%lld", (long long)key);
}

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

static int read_members(struct request *request, struct list *rows, struct fault *fault)
{
    const struct entries_ask *ask = request->asked;
    struct store *store = request->service->garden->store;
    struct db *db;
    int64_t after;
    int failed;

    if (people_after(ask->after, &after, fault))
        return -1;
    db = store_read(store, fault);
    if (!db)
        return -1;
    failed = members_list(db, after, ask->limit + 1, rows, request->arena, fault);
    store_done(store, db);
    return failed;
}

/* GET /api/v1/members */
int members_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct entries_ask *ask = request->asked;
    const char *zone = zone_of(request, fault);
    struct list rows;
    const struct member_row *row;
    struct member_document *documents;
    struct members_answer answer;

    if (!zone || read_members(request, &rows, fault))
        return -1;
    row = rows.item;
    answer.next = people_next(request->arena, rows.count > (size_t)ask->limit ? row[ask->limit - 1].key : 0, &rows.count, ask->limit);
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
    struct member_row row;

    if (given->removed)
        return fault_add(fault, FAULT_INPUT, "/removed", "a new member is not removed");
    if (people_member_add(request->service->garden, given->name, given->role + ROLE_VISITOR, &row, request->arena, fault))
        return -1;
    return answer_member(request, reply, 201, &row, fault);
}

/* PATCH /api/v1/members/{member} */
int member_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct member_document document = {.name = "as it is", .role = 0}; /* stand in for what is not named, and are not read */
    struct member_change change = {.removed = -1};
    struct member_row row;

    if (shape_patch(&member_shape, &document, request->document, request->arena, fault))
        return -1;
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
