/* backup.c - proven copies of the garden file, on request. */
#include "api/backup.h"

#include <string.h>

#include "garden/backup.h"

struct backup_document {
    const char *file;
    int64_t made_ms, bytes, entries, tanks, members;
};

#define AT(member) offsetof(struct backup_document, member)
static const struct field backup_fields[] = {
    {"file", FIELD_TEXT, FIELD_REQUIRED, AT(file), .about = "Its name, in the folder of the garden file on the daemon's machine."},
    {"made_at", FIELD_INSTANT, FIELD_REQUIRED, AT(made_ms), .about = "When it was asked for."},
    {"bytes", FIELD_INTEGER, FIELD_REQUIRED, AT(bytes), .about = "Its size."},
    {"entries", FIELD_INTEGER, FIELD_REQUIRED, AT(entries), .about = "Entries of the log in it."},
    {"tanks", FIELD_INTEGER, FIELD_REQUIRED, AT(tanks), .about = "Tanks in it."},
    {"members", FIELD_INTEGER, FIELD_REQUIRED, AT(members), .about = "Members in it."},
};
#undef AT
const struct shape backup_shape = {.name = "Backup", .size = sizeof(struct backup_document), .field = backup_fields,
                                   .count = sizeof backup_fields / sizeof *backup_fields,
                                   .about = "A copy of the garden file that was read whole before it got its name."};

/* POST /api/v1/backup */
int backup_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct backup_made made;
    struct backup_document document;
    const char *slash;

    if (garden_backup(request->service->garden, request->now_ms, &made, request->arena, fault))
        return -1;
    slash = strrchr(made.path, '/'); /* the folder is the daemon's own affair */
    document = (struct backup_document){slash ? slash + 1 : made.path, request->now_ms, made.bytes, made.entries, made.tanks, made.members};
    return reply_json(reply, 201, shape_write(&backup_shape, &document), fault);
}
