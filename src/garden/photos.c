/* photos.c - photos of entries. */
#include "garden/photos.h"

#include <stdio.h>
#include <string.h>

#include "format/jpeg.h"
#include "garden/resend.h"
#include "store/corrections.h"
#include "store/entries.h"
#include "store/tanks.h"

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

static int find_place(struct db *db, struct photo *photo, struct arena *arena, struct fault *fault)
{
    unsigned char id[16], place[16];
    char text[37];
    int stands;

    uuid_bytes(photo->row.entry, id);
    stands = entry_in_place(db, id, place, fault);
    photo->shown_with = NULL;
    if (stands <= 0)
        return stands;
    uuid_text(place, text);
    photo->shown_with = arena_text(arena, text);
    return photo->shown_with ? 0 : no_memory(fault);
}

/* ---- adding ---- */

struct photo_job {
    const struct who *who;
    struct photo *photo;
    const unsigned char *jpeg; /* stripped */
    bool stored_before;
    struct arena *arena;
};

/* 1: there and the same. */
static int check_resent(struct db *db, const struct photo_job *job, struct fault *fault)
{
    const struct photo_row *sent = &job->photo->row;
    struct photo_row there;
    unsigned char *jpeg;
    int found = photo_rows_one(db, sent->id, &there, &jpeg, job->arena, fault), removed;

    if (found < 0)
        return -1;
    if (!found) {
        removed = photo_rows_removed(db, sent->id, fault);
        return removed == 1 ? fault_add(fault, FAULT_CONFLICT, "/id", "this photo was removed from the garden") : removed;
    }
    if (strcmp(there.entry, sent->entry) != 0 || there.bytes != sent->bytes || memcmp(jpeg, job->jpeg, (size_t)there.bytes) != 0)
        return resend_conflict(fault);
    job->photo->row = there;
    return 1;
}

static int check_entry(struct db *db, const struct photo_job *job, struct fault *fault)
{
    struct photo_row *row = &job->photo->row;
    struct entry entry;
    int found = entries_one(db, row->entry, &entry, job->arena, fault);
    int64_t many;

    if (found < 0)
        return -1;
    if (!found)
        return fault_add(fault, FAULT_INPUT, "/entry", "there is no such entry");
    if (job->who->role != ROLE_KEEPER && entry.member_key != job->who->member)
        return fault_add(fault, FAULT_DENIED, "/entry", "only who logged it, or a keeper, may add a photo to it");
    many = photo_rows_of_entry(db, row->entry, fault);
    if (many < 0)
        return -1;
    if (many >= PHOTOS_OF_ENTRY)
        return fault_add(fault, FAULT_INPUT, "/entry", "it has %d photos already, which is the most", PHOTOS_OF_ENTRY);
    row->tank_key = entry.tank_key;
    row->kind = entry.kind;
    return 0;
}

static int add_in(struct db *db, void *context, struct fault *fault)
{
    struct photo_job *job = context;
    struct photo_row *row = &job->photo->row;
    int resent = check_resent(db, job, fault);

    if (resent < 0)
        return -1;
    job->stored_before = resent == 1;
    if (!resent && (check_entry(db, job, fault) || photo_rows_add(db, row, job->jpeg, fault) || tanks_touch(db, row->tank_key, fault) ||
                    photo_rows_one(db, row->id, row, NULL, job->arena, fault) != 1))
        return -1;
    return find_place(db, job->photo, job->arena, fault);
}

/* Both ids as they are kept: in small letters. */
static int normal_ids(struct photo_row *row, struct arena *arena, struct fault *fault)
{
    unsigned char bytes[16];
    char text[37];

    if (resend_give_id(&row->id, arena, fault))
        return -1;
    if (uuid_bytes(row->entry, bytes))
        return fault_add(fault, FAULT_INPUT, "/entry", "must be a UUID");
    uuid_text(bytes, text);
    row->entry = arena_text(arena, text);
    return row->entry ? 0 : no_memory(fault);
}

int garden_photo_add(struct garden *garden, const struct who *who, struct photo *photo, const unsigned char *jpeg, size_t length,
                     bool *stored_before, struct arena *arena, struct fault *fault)
{
    struct photo_job job = {.who = who, .photo = photo, .arena = arena};
    struct photo_row *row = &photo->row;
    struct fault about = {0};
    struct jpeg_size size;
    unsigned char *kept = arena_take(arena, length + 1);
    size_t bytes;

    if (!kept)
        return no_memory(fault);
    if (length > PHOTO_BYTES_MOST)
        return fault_add(fault, FAULT_INPUT, "/jpeg", "must be at most %d bytes, was %zu", PHOTO_BYTES_MOST, length);
    if (jpeg_strip(jpeg, length, kept, &bytes, &size, &about))
        return fault_under(fault, "/jpeg", &about);
    if (normal_ids(row, arena, fault))
        return -1;
    job.jpeg = kept;
    row->bytes = (int64_t)bytes;
    row->width_px = size.width_px;
    row->height_px = size.height_px;
    row->member_key = who->member ? who->member : STORE_NO_INT;
    row->device_key = who->device ? who->device : STORE_NO_INT;
    if (store_write(garden->store, add_in, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

/* ---- removing ---- */

struct removal {
    const struct who *who;
    const char *id;
    int64_t now_ms;
};

static int remove_in(struct db *db, void *context, struct fault *fault)
{
    ARENA_HELD arena = {0};
    const struct removal *removal = context;
    struct photo_row row;
    int found = photo_rows_one(db, removal->id, &row, NULL, &arena, fault), removed;

    if (found < 0)
        return -1;
    if (!found) {
        removed = photo_rows_removed(db, removal->id, fault);
        return removed == 1 ? 0 : removed < 0 ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such photo");
    }
    if (removal->who->role != ROLE_KEEPER && row.member_key != removal->who->member)
        return fault_add(fault, FAULT_DENIED, "", "only who added it, or a keeper, may remove a photo");
    return photo_rows_remove(db, &row, removal->now_ms, fault) || tanks_touch(db, row.tank_key, fault) ? -1 : 0;
}

int garden_photo_remove(struct garden *garden, const struct who *who, const char *id, int64_t now_ms, struct fault *fault)
{
    struct removal removal = {who, id, now_ms};

    return store_write_forgetting(garden->store, remove_in, &removal, fault);
}

/* ---- showing ---- */

int garden_photo_one(struct garden *garden, const struct who *who, const char *id, struct photo *photo, unsigned char **jpeg,
                     struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int found;

    if (!db)
        return -1;
    found = photo_rows_one(db, id, &photo->row, jpeg, arena, fault);
    if (found == 1 && find_place(db, photo, arena, fault))
        found = -1;
    store_done(garden->store, db);
    if (found < 0)
        return -1;
    if (!found || (!photo->shown_with && who->role != ROLE_KEEPER && photo->row.member_key != who->member))
        return fault_add(fault, FAULT_ABSENT, "", "there is no such photo");
    return 0;
}

static int keep_standing(struct db *db, const struct list *rows, struct list *photos, struct arena *arena, struct fault *fault)
{
    const struct photo_row *row = rows->item;
    struct photo *photo = arena_list(arena, photos, rows->count, sizeof *photo);

    if (!photo)
        return no_memory(fault);
    photos->count = 0;
    for (size_t i = 0; i < rows->count; i++) {
        photo[photos->count].row = row[i];
        if (find_place(db, &photo[photos->count], arena, fault))
            return -1;
        if (photo[photos->count].shown_with)
            photos->count++;
    }
    return 0;
}

int garden_photos_page(struct garden *garden, const struct photo_page *page, struct list *photos, int64_t *last_key, struct arena *arena,
                       struct fault *fault)
{
    struct photo_page more = *page;
    struct db *db = store_read(garden->store, fault);
    struct list rows;
    int failed;

    if (!db)
        return -1;
    more.limit++; /* one more tells whether there are more */
    failed = photo_rows_page(db, &more, &rows, arena, fault);
    *last_key = 0;
    if (!failed && rows.count > (size_t)page->limit) {
        rows.count--;
        *last_key = ((struct photo_row *)rows.item)[rows.count - 1].key;
    }
    if (!failed)
        failed = keep_standing(db, &rows, photos, arena, fault);
    store_done(garden->store, db);
    return failed;
}
