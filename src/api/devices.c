/* devices.c - devices over HTTP: a keeper sees all, others their own. */
#include "api/devices.h"

#include <string.h>

#include "api/entries.h"
#include "api/lists.h"
#include "api/members.h"
#include "api/who.h"

struct device_document {
    const char *id, *member, *member_name, *name;
    int64_t paired_at, last_used_at;
    bool revoked, this;
};

#define AT(member) offsetof(struct device_document, member)
static const struct field device_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "The device's id."},
    {"member", FIELD_TEXT, FIELD_REQUIRED, AT(member), .about = "Whose it is."},
    {"member_name", FIELD_TEXT, FIELD_REQUIRED, AT(member_name), .about = "Their name."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "What its owner called it."},
    {"paired_at", FIELD_INSTANT, FIELD_REQUIRED, AT(paired_at), .about = "When it was paired."},
    {"last_used_at", FIELD_INSTANT, FIELD_NULLABLE, AT(last_used_at), .about = "When it last asked for anything, to ten minutes."},
    {"revoked", FIELD_BOOL, FIELD_REQUIRED, AT(revoked), .about = "Shut out."},
    {"this", FIELD_BOOL, FIELD_REQUIRED, AT(this), .about = "The one that asks."},
};
#undef AT
static const struct shape device_shape = {.name = "Device", .size = sizeof(struct device_document), .field = device_fields,
                                          .count = sizeof device_fields / sizeof *device_fields, .about = "A paired device."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(device_shape, "By age.");
const struct shape devices_answer_shape = {.name = "Devices", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static int read_devices(struct request *request, struct db *db, int64_t after_key, int64_t limit, struct list *rows, struct fault *fault)
{
    return devices_list(db, request->who.role == ROLE_KEEPER ? STORE_NO_INT : request->who.member, after_key, limit, rows, request->arena,
                        fault);
}

/* GET /api/v1/devices */
int devices_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list rows;
    const struct device_row *row;
    struct device_document *documents;
    struct list_answer answer;

    if (list_rows(request, read_devices, sizeof *row, offsetof(struct device_row, key), &rows, &answer.next, fault))
        return -1;
    row = rows.item;
    documents = arena_take(request->arena, (rows.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < rows.count; i++)
        documents[i] = (struct device_document){
            .id = row[i].id,
            .member = row[i].member,
            .member_name = row[i].member_name,
            .name = row[i].name,
            .paired_at = row[i].paired_ms,
            .last_used_at = row[i].last_used_ms,
            .revoked = row[i].revoked_ms != STORE_NO_INT,
            .this = row[i].key == request->who.device,
        };
    answer.items = (struct list){documents, rows.count};
    return reply_json(reply, 200, shape_write(&devices_answer_shape, &answer), fault);
}

/* DELETE /api/v1/devices/{device}: shut out from the next request on. */
int device_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    bool own = request->who.device_id && strcmp(request->who.device_id, request->part[0]) == 0;

    if (people_revoke_device(request->service->garden, &request->who, request->part[0], fault) ||
        (own && who_set_cookie(request, reply, NULL, fault)))
        return -1;
    reply->status = 204;
    return 0;
}
