/* feeds.c - calendar feeds in the file. */
#include "store/feeds.h"

#define FEED_COLUMNS \
    "SELECT f.key, f.uid, f.name, f.member, m.uid, m.removed_ms, f.made_ms, f.last_used_ms, f.revoked_ms " \
    "FROM feed f LEFT JOIN member m ON m.key = f.member "

enum { ADD, ONE, BY_HASH, LIST, USED, REVOKE };

const struct query feeds_queries[] = {
    [ADD] = {"feed_add", "INSERT INTO feed (uid, name, member, key_hash, made_ms) VALUES (:uid, :name, :member, :hash, :made_ms)"},
    [ONE] = {"feed_one", FEED_COLUMNS "WHERE f.uid = :uid"},
    [BY_HASH] = {"feed_by_hash", FEED_COLUMNS "WHERE f.key_hash = :hash"},
    [LIST] = {"feed_list", FEED_COLUMNS "WHERE f.key > 0 ORDER BY f.key"},
    [USED] = {"feed_used", "UPDATE feed SET last_used_ms = :now_ms WHERE key = :key"},
    [REVOKE] = {"feed_revoke", "UPDATE feed SET revoked_ms = :now_ms WHERE key = :key AND revoked_ms IS NULL"},
};
const size_t feeds_queries_count = sizeof feeds_queries / sizeof *feeds_queries;

int feed_rows_add(struct db *db, struct feed_row *feed, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &feeds_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", feed->id);
    stmt_text(add, ":name", feed->name);
    stmt_int(add, ":member", feed->member_key);
    stmt_blob(add, ":hash", feed->hash, MEMBER_HASH);
    stmt_int(add, ":made_ms", feed->made_ms);
    if (stmt_run(add, fault))
        return -1;
    feed->key = db_last_id(db);
    return 0;
}

static int read_feed(sqlite3_stmt *stmt, struct feed_row *feed, struct arena *arena, struct fault *fault)
{
    *feed = (struct feed_row){
        .key = stmt_get_int(stmt, 0),
        .id = arena_text(arena, stmt_get_text(stmt, 1)),
        .name = arena_text(arena, stmt_get_text(stmt, 2)),
        .member_key = stmt_get_int(stmt, 3),
        .member = arena_text(arena, stmt_get_text(stmt, 4)),
        .member_removed_ms = stmt_get_int(stmt, 5),
        .made_ms = stmt_get_int(stmt, 6),
        .last_used_ms = stmt_get_int(stmt, 7),
        .revoked_ms = stmt_get_int(stmt, 8),
    };
    if (!feed->id || !feed->name)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return 0;
}

int feed_rows_one(struct db *db, const char *id, struct feed_row *feed, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &feeds_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = stmt_step(stmt, fault);
    return found == 1 && read_feed(stmt, feed, arena, fault) ? -1 : found;
}

int feed_rows_by_hash(struct db *db, const unsigned char hash[MEMBER_HASH], struct feed_row *feed, struct arena *arena,
                      struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &feeds_queries[BY_HASH], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_blob(stmt, ":hash", hash, MEMBER_HASH);
    found = stmt_step(stmt, fault);
    return found == 1 && read_feed(stmt, feed, arena, fault) ? -1 : found;
}

int feed_rows_list(struct db *db, struct list *feeds, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &feeds_queries[LIST], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    *feeds = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        feeds->item = arena_grow(arena, feeds->item, feeds->count, &room, sizeof(struct feed_row));
        if (!feeds->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        if (read_feed(stmt, (struct feed_row *)feeds->item + feeds->count++, arena, fault))
            return -1;
    }
    return more;
}

static int stamp(struct db *db, size_t query, int64_t key, int64_t now_ms, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &feeds_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    stmt_int(stmt, ":now_ms", now_ms);
    return stmt_run(stmt, fault);
}

int feed_rows_used(struct db *db, int64_t key, int64_t now_ms, struct fault *fault)
{
    return stamp(db, USED, key, now_ms, fault);
}

int feed_rows_revoke(struct db *db, int64_t key, int64_t now_ms, struct fault *fault)
{
    return stamp(db, REVOKE, key, now_ms, fault);
}
