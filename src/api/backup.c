/* backup.c - proven copies of the garden file: on request, and how it stands with them. */
#include "api/backup.h"

#include <string.h>

#include "garden/backup.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct backup_document {
    const char *file;
    int64_t made_ms, bytes, entries, tanks, members;
};

#define AT(member) offsetof(struct backup_document, member)
static const struct field backup_fields[] = {
    {"file", FIELD_TEXT, FIELD_REQUIRED, AT(file), .about = "Its name, in the folder of backups on the daemon's machine."},
    {"made_at", FIELD_INSTANT, FIELD_REQUIRED, AT(made_ms), .about = "When it was asked for."},
    {"bytes", FIELD_INTEGER, FIELD_REQUIRED, AT(bytes), .about = "Its size."},
    {"entries", FIELD_INTEGER, FIELD_REQUIRED, AT(entries), .about = "Entries of the log in it."},
    {"tanks", FIELD_INTEGER, FIELD_REQUIRED, AT(tanks), .about = "Tanks in it."},
    {"members", FIELD_INTEGER, FIELD_REQUIRED, AT(members), .about = "Members in it."},
};
#undef AT
const struct shape backup_shape = {.name = "Backup", .size = sizeof(struct backup_document), .field = backup_fields, .count = COUNT(backup_fields),
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

/* ---- how it stands ---- */

#define AT(member) offsetof(struct backup_file, member)
static const struct field file_fields[] = {
    {"file", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name, in the folder of backups on the daemon's machine."},
    {"made_at", FIELD_INSTANT, FIELD_REQUIRED, AT(made_ms), .about = "When it was made."},
    {"bytes", FIELD_INTEGER, FIELD_REQUIRED, AT(bytes), .about = "Its size."},
};
#undef AT
static const struct shape file_shape = {.name = "BackupFile", .size = sizeof(struct backup_file), .field = file_fields, .count = COUNT(file_fields)};

static const struct field warning_field[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED, 0, .about = "backup_old, backup_failed, disk_full or file_damaged."}};
static const struct shape warning_shape = {.size = sizeof(const char *), .field = warning_field, .count = 1};

struct backups_document {
    struct list items, warnings;
    int64_t next_ms, garden_bytes, free_bytes;
    const char *why;
};
#define AT(member) offsetof(struct backups_document, member)
static const struct field backups_fields[] = {
    {"items", FIELD_LIST, FIELD_REQUIRED, AT(items), .shape = &file_shape, .about = "Copies in the folder of backups, newest first."},
    {"warnings", FIELD_LIST, FIELD_REQUIRED, AT(warnings), .shape = &warning_shape, .about = "What somebody should see to."},
    {"next_at", FIELD_INSTANT, FIELD_REQUIRED | FIELD_NULLABLE, AT(next_ms), .about = "When the next copy is due; null: none is planned."},
    {"garden_bytes", FIELD_INTEGER, FIELD_REQUIRED, AT(garden_bytes), .about = "Size of the garden file."},
    {"free_bytes", FIELD_INTEGER, FIELD_REQUIRED, AT(free_bytes), .about = "Room left on its disk, or on that of the copies, whichever is less."},
    {"why", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(why), .about = "Why the last planned copy failed; null: it did not."},
};
#undef AT
const struct shape backups_shape = {.name = "Backups", .size = sizeof(struct backups_document), .field = backups_fields, .count = COUNT(backups_fields)};

int backup_warnings(const struct backup_state *state, struct list *warnings, struct arena *arena, struct fault *fault)
{
    const struct {
        bool is;
        const char *word;
    } all[] = {{state->old, "backup_old"}, {state->failed, "backup_failed"}, {state->no_room, "disk_full"}, {state->damaged, "file_damaged"}};
    const char **word = arena_take(arena, COUNT(all) * sizeof *word);

    if (!word)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *warnings = (struct list){word, 0};
    for (size_t i = 0; i < COUNT(all); i++)
        if (all[i].is)
            word[warnings->count++] = all[i].word;
    return 0;
}

/* GET /api/v1/backups */
int backups_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct backup_state state;
    struct backups_document document;

    if (backup_state(request->service->garden, request->now_ms, &state, request->arena, fault))
        return -1;
    document = (struct backups_document){.items = state.files, .next_ms = state.next_ms, .garden_bytes = state.garden_bytes,
                                         .free_bytes = state.free_bytes, .why = state.why};
    if (backup_warnings(&state, &document.warnings, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&backups_shape, &document), fault);
}
