/* photos.c - photos over HTTP.
 *
 * A picture comes as base64 in a JSON document, like every other write: no page elsewhere can make a browser send that
 * content type, and the outbox, the checks and the export need no second way. It goes out as the JPEG that it is.
 */
#include "api/photos.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "api/entries.h"
#include "api/lists.h"
#include "garden/log.h"
#include "garden/photos.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define BASE64 sodium_base64_VARIANT_ORIGINAL
#define BASE64_MOST ((PHOTO_BYTES_MOST + 2) / 3 * 4)

struct photo_document {
    struct photo photo;
    const char *jpeg; /* base64 */
};

#define AT(member) offsetof(struct photo_document, member)
static const struct field photo_fields[] = {
    {"id", FIELD_TEXT, 0, AT(photo.row.id), 36, 36, .about = "A UUID made by the client, best version 7: sent twice, a photo is kept once."},
    {"entry", FIELD_TEXT, FIELD_REQUIRED, AT(photo.row.entry), 36, 36, .about = "The entry it belongs to."},
    {"jpeg", FIELD_TEXT, FIELD_REQUIRED | FIELD_BODY_ONLY, AT(jpeg), 8, BASE64_MOST, .about = "The picture in base64: a baseline or progressive JPEG of at most 500,000 bytes, 4096 pixels wide and high. Exif, XMP, comments and profiles are taken out."},
    {"tank", FIELD_TEXT, FIELD_ANSWER_ONLY, AT(photo.row.tank), .about = "The entry's tank."},
    {"kind", FIELD_CHOICE, FIELD_ANSWER_ONLY, AT(photo.row.kind), .words = entry_kind_names, .standard = ENTRY_NONE, .about = "The entry's kind."},
    {"shown_with", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(photo.shown_with), .about = "The entry that stands in the place of its own, or that itself; null: it was taken back."},
    {"received_at", FIELD_INSTANT, FIELD_ANSWER_ONLY, AT(photo.row.received_ms), .about = "When the garden got it."},
    {"member", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(photo.row.member), .about = "Who sent it; null: the host itself."},
    {"member_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(photo.row.member_name), .about = "Their name."},
    {"width_px", FIELD_INTEGER, FIELD_ANSWER_ONLY, AT(photo.row.width_px), .about = "Pixels."},
    {"height_px", FIELD_INTEGER, FIELD_ANSWER_ONLY, AT(photo.row.height_px), .about = "Pixels."},
    {"bytes", FIELD_INTEGER, FIELD_ANSWER_ONLY, AT(photo.row.bytes), .about = "Of the picture as it is kept."},
};
#undef AT
const struct shape photo_shape = {.name = "Photo", .size = sizeof(struct photo_document), .field = photo_fields, .count = COUNT(photo_fields),
                                  .about = "A picture of what an entry tells; the picture itself is at /api/v1/photos/{photo}."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(photo_shape, "As they came in, newest first; without those whose entry was taken back.");
const struct shape photos_answer_shape = {.name = "Photos", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

struct photos_ask {
    const char *tank, *after;
    int kind;
    int64_t limit;
};
#define AT(member) offsetof(struct photos_ask, member)
static const struct field ask_fields[] = {
    {"tank", FIELD_TEXT, 0, AT(tank), 1, 64, .about = "Only this tank's, by id or short code."},
    {"kind", FIELD_CHOICE, 0, AT(kind), .words = entry_kind_names, .standard = ENTRY_NONE, .about = "Only of entries of this kind."},
    {"after", FIELD_TEXT, 0, AT(after), 1, 80, .about = "Cursor from the page before."},
    {"limit", FIELD_INTEGER, 0, AT(limit), 1, 500, .standard = 50, .about = "Most items to answer."},
};
#undef AT
const struct shape photos_ask_shape = {.size = sizeof(struct photos_ask), .field = ask_fields, .count = COUNT(ask_fields)};

/* ---- lists ---- */

static int find_tank(struct request *request, const char *tank, int64_t *key, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db;
    struct tank_row row;
    int found;

    if (!tank)
        return 0;
    db = store_read(store, fault);
    if (!db)
        return -1;
    found = tanks_one(db, tank, &row, request->arena, fault);
    store_done(store, db);
    *key = row.key;
    return found == 1 ? 0 : found < 0 ? -1 : fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
}

static int read_cursor(const char *after, int64_t *before_key, struct fault *fault)
{
    char *end;

    if (!after)
        return 0;
    *before_key = strtoll(after, &end, 10);
    return *end || end == after ? fault_add(fault, FAULT_INPUT, "/after", "is not a cursor from this list") : 0;
}

/* GET /api/v1/photos: what there is, without the pictures. */
int photos_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct photos_ask *ask = request->asked;
    struct photo_page page = {.tank_key = STORE_NO_INT, .before_key = INT64_MAX, .limit = ask->limit, .kind = ask->kind};
    struct list_answer answer = {{NULL, 0}, NULL};
    struct photo_document *documents;
    struct list photos;
    int64_t last;

    if (find_tank(request, ask->tank, &page.tank_key, fault) || read_cursor(ask->after, &page.before_key, fault) ||
        garden_photos_page(request->service->garden, &page, &photos, &last, request->arena, fault))
        return -1;
    documents = arena_list(request->arena, &answer.items, photos.count, sizeof *documents);
    if (last)
        answer.next = arena_format(request->arena, "%lld", (long long)last);
    if (!documents || (last && !answer.next))
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < photos.count; i++)
        documents[i].photo = ((struct photo *)photos.item)[i];
    return reply_json(reply, 200, shape_write(&photos_answer_shape, &answer), fault);
}

/* ---- one ---- */

/* POST /api/v1/photos */
int photos_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct photo_document document = *(const struct photo_document *)request->given;
    size_t text_length = strlen(document.jpeg), room = text_length / 4 * 3 + 3, length;
    unsigned char *jpeg = arena_take(request->arena, room);
    const char *end;
    bool stored_before;

    if (!jpeg)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (sodium_base642bin(jpeg, room, document.jpeg, text_length, NULL, &length, &end, BASE64) || *end)
        return fault_add(fault, FAULT_INPUT, "/jpeg", "is not base64");
    document.photo.row.received_ms = request->now_ms;
    if (garden_photo_add(request->service->garden, &request->who, &document.photo, jpeg, length, &stored_before, request->arena, fault))
        return -1;
    return reply_json(reply, stored_before ? 200 : 201, shape_write(&photo_shape, &document), fault);
}

/* GET /api/v1/photos/{photo}: the JPEG. What an id shows never changes, so the id is the tag. */
int photo_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct photo photo;
    unsigned char *jpeg;

    if (garden_photo_one(request->service->garden, &request->who, request->part[0], &photo, &jpeg, request->arena, fault))
        return -1;
    reply->bytes = malloc((size_t)photo.row.bytes);
    reply->etag = arena_format(request->arena, "\"%s\"", photo.row.id);
    if (!reply->bytes || !reply->etag)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    memcpy(reply->bytes, jpeg, (size_t)photo.row.bytes);
    reply->length = (size_t)photo.row.bytes;
    reply->type = "image/jpeg";
    return reply_header(request, reply, "Cache-Control", "private, max-age=86400", fault);
}

/* DELETE /api/v1/photos/{photo} */
int photo_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (garden_photo_remove(request->service->garden, &request->who, request->part[0], request->now_ms, fault))
        return -1;
    reply->status = 204;
    return 0;
}
