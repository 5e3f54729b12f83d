/* feeds.c - calendar feeds in the file. */
#include "store/feeds.h"

#include "store/rows.h"

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

static void read_feed(struct row *row, void *into)
{
    struct feed_row *feed = into;

    *feed = (struct feed_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .member_key = stmt_get_int(row->stmt, 3),
        .member = row_text(row, 4),
        .member_removed_ms = stmt_get_int(row->stmt, 5),
        .made_ms = stmt_get_int(row->stmt, 6),
        .last_used_ms = stmt_get_int(row->stmt, 7),
        .revoked_ms = stmt_get_int(row->stmt, 8),
    };
}

int feed_rows_one(struct db *db, const char *id, struct feed_row *feed, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &feeds_queries[ONE], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    return rows_one(stmt, read_feed, feed, arena, fault);
}

int feed_rows_by_hash(struct db *db, const unsigned char hash[MEMBER_HASH], struct feed_row *feed, struct arena *arena,
                      struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &feeds_queries[BY_HASH], fault);

    if (!stmt)
        return -1;
    stmt_blob(stmt, ":hash", hash, MEMBER_HASH);
    return rows_one(stmt, read_feed, feed, arena, fault);
}

int feed_rows_list(struct db *db, struct list *feeds, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &feeds_queries[LIST], fault);

    if (!stmt)
        return -1;
    return rows_all(stmt, read_feed, sizeof(struct feed_row), feeds, arena, fault);
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
