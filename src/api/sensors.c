/* sensors.c - sensors over HTTP. A key is shown once, when it is made; it may post readings to its tanks, nothing else. */
#include "api/sensors.h"

#include "api/entries.h"
#include "api/lists.h"
#include "api/members.h"

struct sensor_document {
    const char *id, *name, *key;
    struct list tanks; /* const char * */
    int64_t made_at, last_used_at;
    bool revoked;
};

static const struct field tank_field[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED, 0, 1, 64, .about = "A tank, by id or short code."}};
static const struct shape tank_shape_item = {.size = sizeof(const char *), .field = tank_field, .count = 1};

#define AT(member) offsetof(struct sensor_document, member)
static const struct field sensor_fields[] = {
    {"id", FIELD_TEXT, FIELD_ANSWER_ONLY, AT(id), .about = "The sensor's id."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, PEOPLE_NAME_MOST, .about = "What to call it."},
    {"tanks", FIELD_LIST, FIELD_REQUIRED, AT(tanks), 1, 100, .shape = &tank_shape_item, .about = "The tanks that it may post readings to."},
    {"key", FIELD_TEXT, FIELD_ANSWER_ONLY, AT(key), .about = "Sent as Authorization: Bearer KEY; shown this once."},
    {"made_at", FIELD_INSTANT, FIELD_ANSWER_ONLY, AT(made_at), .about = "When it was made."},
    {"last_used_at", FIELD_INSTANT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(last_used_at), .about = "When it last posted, to ten minutes."},
    {"revoked", FIELD_BOOL, FIELD_ANSWER_ONLY, AT(revoked), .about = "Shut out."},
};
#undef AT
const struct shape sensor_shape = {.name = "Sensor", .size = sizeof(struct sensor_document), .field = sensor_fields,
                                   .count = sizeof sensor_fields / sizeof *sensor_fields, .about = "A program that posts readings."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(sensor_shape, "By age.");
const struct shape sensors_answer_shape = {.name = "Sensors", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static struct sensor_document document_of(const struct sensor_row *row, const char *key)
{
    return (struct sensor_document){.id = row->id,
                                    .name = row->name,
                                    .key = key,
                                    .tanks = row->tanks,
                                    .made_at = row->made_ms,
                                    .last_used_at = row->last_used_ms,
                                    .revoked = row->revoked_ms != STORE_NO_INT};
}

static int read_sensors(struct request *request, struct db *db, int64_t after_key, int64_t limit, struct list *rows, struct fault *fault)
{
    return sensors_list(db, after_key, limit, rows, request->arena, fault);
}

/* GET /api/v1/sensors */
int sensors_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list rows;
    const struct sensor_row *row;
    struct sensor_document *documents;
    struct list_answer answer;

    if (list_rows(request, read_sensors, sizeof *row, offsetof(struct sensor_row, key), &rows, &answer.next, fault))
        return -1;
    row = rows.item;
    documents = arena_take(request->arena, (rows.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < rows.count; i++)
        documents[i] = document_of(&row[i], NULL);
    answer.items = (struct list){documents, rows.count};
    return reply_json(reply, 200, shape_write(&sensors_answer_shape, &answer), fault);
}

/* POST /api/v1/sensors */
int sensors_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct sensor_document *given = request->given;
    struct sensor_document document;
    struct sensor_row row;
    char key[TOKEN_TEXT];

    if (people_sensor_add(request->service->garden, given->name, &given->tanks, &row, key, request->arena, fault))
        return -1;
    document = document_of(&row, key);
    return reply_json(reply, 201, shape_write(&sensor_shape, &document), fault);
}

/* POST /api/v1/sensors/{sensor}/key */
int sensor_key_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct sensor_document document;
    struct sensor_row row;
    char key[TOKEN_TEXT];

    if (people_sensor_rekey(request->service->garden, request->part[0], &row, key, request->arena, fault))
        return -1;
    document = document_of(&row, key);
    return reply_json(reply, 201, shape_write(&sensor_shape, &document), fault);
}

/* DELETE /api/v1/sensors/{sensor} */
int sensor_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (people_revoke_sensor(request->service->garden, request->part[0], fault))
        return -1;
    reply->status = 204;
    return 0;
}
