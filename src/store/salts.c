/* salts.c - salts in the file, and what the log took from them. */
#include "store/salts.h"

#include "store/corrections.h"
#include "store/rows.h"

#define SALT_FIELDS "name, price_per_kg, stock_g, stock_ms, opened_day, caution"
#define SALT_COLUMNS "SELECT key, uid, " SALT_FIELDS " FROM salt "

enum { ADD, CHANGE, ONE, LIST, PARTS, DROP_PARTS, ADD_PART, WEIGHED };

const struct query salts_queries[] = {
    [ADD] = {"salt_add", "INSERT INTO salt (uid, " SALT_FIELDS ") VALUES (:uid, :name, :price, :stock, :stock_ms, :opened, :caution)"},
    [CHANGE] = {"salt_change",
                "UPDATE salt SET name = :name, price_per_kg = :price, stock_g = :stock, stock_ms = :stock_ms, opened_day = :opened, "
                "caution = :caution WHERE key = :key"},
    [ONE] = {"salt_one", SALT_COLUMNS "WHERE uid = :uid"},
    [LIST] = {"salt_list", SALT_COLUMNS "WHERE key > 0 ORDER BY key"},
    [PARTS] = {"salt_parts", "SELECT part, percent FROM salt_part WHERE salt = :key"},
    [DROP_PARTS] = {"salt_drop_parts", "DELETE FROM salt_part WHERE salt = :key"},
    [ADD_PART] = {"salt_add_part", "INSERT INTO salt_part (salt, part, percent) VALUES (:key, :part, :percent)"},
    /* Whether anything speaks of the entry: only then it has to be looked into. */
    [WEIGHED] = {"salt_weighed",
                 "SELECT s.grams, e.id, EXISTS (SELECT 1 FROM entry w WHERE w.withdraws = e.id) OR "
                 "EXISTS (SELECT 1 FROM entry a WHERE a.amends = e.id) "
                 "FROM entry_salt s JOIN entry e ON e.id = s.entry WHERE s.salt = :salt AND e.at_ms > :since_ms"},
};
const size_t salts_queries_count = sizeof salts_queries / sizeof *salts_queries;

static void bind_salt(sqlite3_stmt *stmt, const struct salt_row *salt)
{
    stmt_text(stmt, ":name", salt->name);
    stmt_real(stmt, ":price", salt->price_per_kg);
    stmt_real(stmt, ":stock", salt->stock_g);
    stmt_int(stmt, ":stock_ms", salt->stock_ms);
    stmt_int(stmt, ":opened", salt->opened_day == INT32_MIN ? STORE_NO_INT : salt->opened_day);
    stmt_text(stmt, ":caution", salt->caution);
}

static int add_parts(struct db *db, const struct salt_row *salt, struct fault *fault)
{
    const struct salt_part *part = salt->parts.item;

    for (size_t i = 0; i < salt->parts.count; i++) {
        STMT_HELD *add = stmt_take(db, &salts_queries[ADD_PART], fault);

        if (!add)
            return -1;
        stmt_int(add, ":key", salt->key);
        stmt_text(add, ":part", part[i].part);
        stmt_real(add, ":percent", part[i].percent);
        if (stmt_run(add, fault))
            return -1;
    }
    return 0;
}

int salt_rows_add(struct db *db, struct salt_row *salt, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &salts_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", salt->id);
    bind_salt(add, salt);
    if (stmt_run(add, fault))
        return -1;
    salt->key = db_last_id(db);
    return add_parts(db, salt, fault);
}

int salt_rows_change(struct db *db, const struct salt_row *salt, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &salts_queries[CHANGE], fault);
    STMT_HELD *drop = stmt_take(db, &salts_queries[DROP_PARTS], fault);

    if (!change || !drop)
        return -1;
    bind_salt(change, salt);
    stmt_int(change, ":key", salt->key);
    stmt_int(drop, ":key", salt->key);
    return stmt_run(change, fault) || stmt_run(drop, fault) || add_parts(db, salt, fault) ? -1 : 0;
}

static void read_part(struct row *row, void *into)
{
    struct salt_part *part = into;

    *part = (struct salt_part){row_text(row, 0), stmt_get_real(row->stmt, 1)};
}

static int read_parts(struct db *db, void *row, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &salts_queries[PARTS], fault);
    struct salt_row *salt = row;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", salt->key);
    return rows_all(stmt, read_part, sizeof(struct salt_part), &salt->parts, arena, fault);
}

static void read_salt(struct row *row, void *into)
{
    struct salt_row *salt = into;
    int64_t opened = stmt_get_int(row->stmt, 6);

    *salt = (struct salt_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .price_per_kg = stmt_get_real(row->stmt, 3),
        .stock_g = stmt_get_real(row->stmt, 4),
        .stock_ms = stmt_get_int(row->stmt, 5),
        .opened_day = opened == STORE_NO_INT ? INT32_MIN : (int32_t)opened,
        .caution = row_text(row, 7),
    };
}

int salt_rows_one(struct db *db, const char *id, struct salt_row *salt, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &salts_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = rows_one(stmt, read_salt, salt, arena, fault);
    return found == 1 && read_parts(db, salt, arena, fault) ? -1 : found;
}

int salt_rows_list(struct db *db, struct list *salts, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &salts_queries[LIST], fault);

    if (!stmt)
        return -1;
    if (rows_all(stmt, read_salt, sizeof(struct salt_row), salts, arena, fault))
        return -1;
    return rows_fill(db, read_parts, sizeof(struct salt_row), salts, arena, fault);
}

int salt_rows_weighed(struct db *db, const char *id, int64_t since_ms, double *grams, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &salts_queries[WEIGHED], fault);
    double sum = 0.0;
    int more;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":salt", id);
    stmt_int(stmt, ":since_ms", since_ms == STORE_NO_INT ? INT64_MIN + 1 : since_ms);
    while ((more = stmt_step(stmt, fault)) == 1) {
        int stands = 1;

        if (stmt_get_int(stmt, 2))
            stands = entry_stands(db, sqlite3_column_blob(stmt, 1), fault);
        if (stands < 0)
            return -1;
        if (stands)
            sum += stmt_get_real(stmt, 0);
    }
    if (!more)
        *grams = sum;
    return more;
}
