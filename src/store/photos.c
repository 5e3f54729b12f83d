/* photos.c - photos in the file. */
#include "store/photos.h"

#include <assert.h>
#include <string.h>

#include "store/entries.h"
#include "store/rows.h"

#define COLUMNS                                                                                                                 \
    "SELECT p.key, p.id, p.entry, t.uid, p.kind, p.tank, p.member, m.uid, m.name, p.received_ms, p.width_px, p.height_px, "      \
    "length(p.jpeg)"
#define FROM " FROM photo p JOIN tank t ON t.key = p.tank LEFT JOIN member m ON m.key = p.member "
#define NEWEST "ORDER BY p.key DESC LIMIT :limit"
#define JPEG 13

enum { ADD, ONE, ONE_WHOLE, OF_ENTRY, GLANCE, REMOVE, FORGET, REMOVED, ALL, OF_TANK, OF_KIND };

const struct query photos_queries[] = {
    [ADD] = {"photo_add", "INSERT INTO photo (id, entry, tank, kind, member, device, received_ms, width_px, height_px, jpeg) "
                          "VALUES (:id, :entry, :tank, :kind, :member, :device, :received_ms, :width_px, :height_px, :jpeg)"},
    [ONE] = {"photo_one", COLUMNS FROM "WHERE p.id = :id"},
    [ONE_WHOLE] = {"photo_one_whole", COLUMNS ", p.jpeg" FROM "WHERE p.id = :id"},
    [OF_ENTRY] = {"photos_of_entry", "SELECT count(*) FROM photo WHERE entry = :entry"},
    [GLANCE] = {"photos_glance", "SELECT count(*), (SELECT id FROM photo WHERE tank = :tank ORDER BY key DESC LIMIT 1) FROM photo WHERE tank = :tank"},
    [REMOVE] = {"photo_remove", "DELETE FROM photo WHERE key = :key"},
    [FORGET] = {"photo_forget", "INSERT INTO photo_removed (id, removed_ms) VALUES (:id, :removed_ms)"},
    [REMOVED] = {"photo_was_removed", "SELECT 1 FROM photo_removed WHERE id = :id"},
    [ALL] = {"photos_page", COLUMNS FROM "WHERE p.key < :before " NEWEST},
    [OF_TANK] = {"photos_page_of_tank", COLUMNS FROM "WHERE p.tank = :tank AND p.key < :before AND (:kind IS NULL OR +p.kind = :kind) " NEWEST},
    [OF_KIND] = {"photos_page_of_kind", COLUMNS FROM "WHERE p.kind = :kind AND p.key < :before " NEWEST},
};
const size_t photos_queries_count = sizeof photos_queries / sizeof *photos_queries;

static void bind_uuid(sqlite3_stmt *stmt, const char *name, const char *id)
{
    unsigned char bytes[16];
    int bad = uuid_bytes(id, bytes);

    assert(!bad);
    (void)bad;
    stmt_blob(stmt, name, bytes, sizeof bytes);
}

int photo_rows_add(struct db *db, const struct photo_row *photo, const void *jpeg, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &photos_queries[ADD], fault);

    if (!add)
        return -1;
    bind_uuid(add, ":id", photo->id);
    bind_uuid(add, ":entry", photo->entry);
    stmt_int(add, ":tank", photo->tank_key);
    stmt_int(add, ":kind", photo->kind);
    stmt_int(add, ":member", photo->member_key);
    stmt_int(add, ":device", photo->device_key);
    stmt_int(add, ":received_ms", photo->received_ms);
    stmt_int(add, ":width_px", photo->width_px);
    stmt_int(add, ":height_px", photo->height_px);
    stmt_blob(add, ":jpeg", jpeg, (size_t)photo->bytes);
    return stmt_run(add, fault);
}

static void read_photo(struct row *row, void *into)
{
    struct photo_row *photo = into;

    *photo = (struct photo_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_uuid(row, 1),
        .entry = row_uuid(row, 2),
        .tank = row_text(row, 3),
        .kind = (int)stmt_get_int(row->stmt, 4),
        .tank_key = stmt_get_int(row->stmt, 5),
        .member_key = stmt_get_int(row->stmt, 6),
        .device_key = STORE_NO_INT, /* kept, but nobody asks */
        .member = row_text(row, 7),
        .member_name = row_text(row, 8),
        .received_ms = stmt_get_int(row->stmt, 9),
        .width_px = stmt_get_int(row->stmt, 10),
        .height_px = stmt_get_int(row->stmt, 11),
        .bytes = stmt_get_int(row->stmt, 12),
    };
}

struct whole_photo {
    struct photo_row row;
    unsigned char *jpeg;
};

static void read_whole(struct row *row, void *into)
{
    struct whole_photo *whole = into;
    size_t bytes;

    read_photo(row, &whole->row);
    bytes = (size_t)whole->row.bytes;
    whole->jpeg = arena_take(row->arena, bytes);
    if (whole->jpeg)
        memcpy(whole->jpeg, sqlite3_column_blob(row->stmt, JPEG), bytes);
    row->failed |= !whole->jpeg;
}

int photo_rows_one(struct db *db, const char *id, struct photo_row *photo, unsigned char **jpeg, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = NULL;
    unsigned char bytes[16];
    struct whole_photo whole;
    int found;

    if (uuid_bytes(id, bytes))
        return 0;
    stmt = stmt_take(db, &photos_queries[jpeg ? ONE_WHOLE : ONE], fault);
    if (!stmt)
        return -1;
    stmt_blob(stmt, ":id", bytes, sizeof bytes);
    if (!jpeg)
        return rows_one(stmt, read_photo, photo, arena, fault);
    found = rows_one(stmt, read_whole, &whole, arena, fault);
    if (found == 1) {
        *photo = whole.row;
        *jpeg = whole.jpeg;
    }
    return found;
}

int photo_rows_remove(struct db *db, const struct photo_row *photo, int64_t now_ms, struct fault *fault)
{
    STMT_HELD *removes = stmt_take(db, &photos_queries[REMOVE], fault);
    STMT_HELD *forget = stmt_take(db, &photos_queries[FORGET], fault);

    if (!removes || !forget)
        return -1;
    stmt_int(removes, ":key", photo->key);
    bind_uuid(forget, ":id", photo->id);
    stmt_int(forget, ":removed_ms", now_ms);
    return stmt_run(removes, fault) || stmt_run(forget, fault) ? -1 : 0;
}

int photo_rows_removed(struct db *db, const char *id, struct fault *fault)
{
    STMT_HELD *stmt = NULL;
    unsigned char bytes[16];

    if (uuid_bytes(id, bytes))
        return 0;
    stmt = stmt_take(db, &photos_queries[REMOVED], fault);
    if (!stmt)
        return -1;
    stmt_blob(stmt, ":id", bytes, sizeof bytes);
    return stmt_step(stmt, fault);
}

int64_t photo_rows_of_entry(struct db *db, const char *entry, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &photos_queries[OF_ENTRY], fault);

    if (!stmt)
        return -1;
    bind_uuid(stmt, ":entry", entry);
    return stmt_step(stmt, fault) == 1 ? stmt_get_int(stmt, 0) : -1;
}

struct glance {
    int64_t count;
    const char *newest;
};

static void read_glance(struct row *row, void *into)
{
    struct glance *glance = into;

    *glance = (struct glance){stmt_get_int(row->stmt, 0), row_uuid(row, 1)};
}

int photo_rows_glance(struct db *db, int64_t tank_key, int64_t *count, const char **newest, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &photos_queries[GLANCE], fault);
    struct glance glance;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", tank_key);
    if (rows_one(stmt, read_glance, &glance, arena, fault) != 1)
        return -1;
    *count = glance.count;
    *newest = glance.newest;
    return 0;
}

int photo_rows_page(struct db *db, const struct photo_page *page, struct list *photos, struct arena *arena, struct fault *fault)
{
    bool of_tank = page->tank_key != STORE_NO_INT;
    STMT_HELD *stmt = stmt_take(db, &photos_queries[of_tank ? OF_TANK : page->kind >= 0 ? OF_KIND : ALL], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":before", page->before_key);
    stmt_int(stmt, ":limit", page->limit);
    if (of_tank)
        stmt_int(stmt, ":tank", page->tank_key);
    if (of_tank || page->kind >= 0)
        stmt_int(stmt, ":kind", page->kind >= 0 ? page->kind : STORE_NO_INT);
    return rows_all(stmt, read_photo, sizeof(struct photo_row), photos, arena, fault);
}
