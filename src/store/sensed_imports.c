/* sensed_imports.c - readings that are being brought in, in the file. */
#include "store/sensed_imports.h"

enum { UNDER_WAY, BEGIN, SPARE, MAKE_SPARE, SET_SPARE, SLICE, TOUCH, END, FIRST, TAKE, DROP, DROP_ALL, GIVE_UP };

const struct query sensed_imports_queries[] = {
    [UNDER_WAY] = {"sensed_import_under_way", "SELECT coalesce(under_way, 0) FROM sensed_import WHERE one = 1"},
    [BEGIN] = {"sensed_import_begin", "UPDATE sensed_import SET last = last + 1, under_way = last + 1 WHERE one = 1 AND under_way IS NULL RETURNING under_way"},
    [SPARE] = {"sensed_import_spare", "SELECT spare FROM sensed_import WHERE one = 1"},
    [MAKE_SPARE] = {"sensed_import_make_spare", "UPDATE sensor SET uid = :uid, name = :name, key_hash = :hash, made_ms = :made_ms WHERE key = :key"},
    [SET_SPARE] = {"sensed_import_set_spare", "UPDATE sensed_import SET spare = :key WHERE one = 1"},
    [SLICE] = {"sensed_import_slice", "INSERT INTO sensed_import_slice (tank, from_ms, to_ms) VALUES (:tank, :from_ms, :to_ms)"},
    [TOUCH] = {"sensed_import_touch", "UPDATE tank SET changed = changed + 1 WHERE key IN (SELECT tank FROM sensed_import_slice WHERE place > 0)"},
    [END] = {"sensed_import_end", "UPDATE sensed_import SET under_way = NULL, spare = NULL WHERE one = 1"},
    [FIRST] = {"sensed_import_first", "SELECT place, tank, from_ms, to_ms FROM sensed_import_slice WHERE place > 0 ORDER BY place LIMIT 1"},
    [TAKE] = {"sensed_import_take", "DELETE FROM sensed WHERE tank = :tank AND at_ms BETWEEN :from_ms AND :to_ms "
                                    "AND odd >> 8 = (SELECT under_way FROM sensed_import WHERE one = 1)"},
    [DROP] = {"sensed_import_drop", "DELETE FROM sensed_import_slice WHERE place = :place"},
    [DROP_ALL] = {"sensed_import_drop_all", "DELETE FROM sensed_import_slice"},
    /* The sensor stays as a spare: taking it out of the file would look through all readings for it. */
    [GIVE_UP] = {"sensed_import_give_up", "UPDATE sensed_import SET under_way = NULL WHERE one = 1"},
};
const size_t sensed_imports_queries_count = sizeof sensed_imports_queries / sizeof *sensed_imports_queries;

static int run(struct db *db, size_t query, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_imports_queries[query], fault);

    return stmt ? stmt_run(stmt, fault) : -1;
}

/* STORE_NO_INT where it says NULL, or there is no row. */
static int read_number(struct db *db, size_t query, int64_t *number, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_imports_queries[query], fault);
    int found = stmt ? stmt_step(stmt, fault) : -1;

    *number = found == 1 ? stmt_get_int(stmt, 0) : STORE_NO_INT;
    return found < 0 ? -1 : 0;
}

int sensed_import_under_way(struct db *db, int64_t *number, struct fault *fault)
{
    return read_number(db, UNDER_WAY, number, fault);
}

int sensed_import_begin(struct db *db, int64_t *number, struct fault *fault)
{
    if (read_number(db, BEGIN, number, fault))
        return -1;
    return *number == STORE_NO_INT ? fault_add(fault, FAULT_CONFLICT, "", "another import is under way; wait for it, or cancel it") : 0;
}

int sensed_import_sensor(struct db *db, struct sensor_row *sensor, struct fault *fault)
{
    STMT_HELD *stmt = NULL;
    int64_t spare;

    if (read_number(db, SPARE, &spare, fault))
        return -1;
    if (spare == STORE_NO_INT) {
        if (sensors_add(db, sensor, fault))
            return -1;
        stmt = stmt_take(db, &sensed_imports_queries[SET_SPARE], fault);
    } else {
        sensor->key = spare;
        stmt = stmt_take(db, &sensed_imports_queries[MAKE_SPARE], fault);
        if (stmt) {
            stmt_text(stmt, ":uid", sensor->id);
            stmt_text(stmt, ":name", sensor->name);
            stmt_blob(stmt, ":hash", sensor->hash, MEMBER_HASH);
            stmt_int(stmt, ":made_ms", sensor->made_ms);
        }
    }
    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", sensor->key);
    return stmt_run(stmt, fault);
}

int sensed_import_slice(struct db *db, int64_t tank_key, int64_t from_ms, int64_t to_ms, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_imports_queries[SLICE], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", tank_key);
    stmt_int(stmt, ":from_ms", from_ms);
    stmt_int(stmt, ":to_ms", to_ms);
    return stmt_run(stmt, fault);
}

int sensed_import_end(struct db *db, struct fault *fault)
{
    return run(db, TOUCH, fault) || run(db, END, fault) || run(db, DROP_ALL, fault) ? -1 : 0;
}

struct slice {
    int64_t place, tank_key, from_ms, to_ms;
};

static int first_slice(struct db *db, struct slice *slice, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_imports_queries[FIRST], fault);
    int found = stmt ? stmt_step(stmt, fault) : -1;

    if (found == 1)
        *slice = (struct slice){stmt_get_int(stmt, 0), stmt_get_int(stmt, 1), stmt_get_int(stmt, 2), stmt_get_int(stmt, 3)};
    return found;
}

static int take_slice(struct db *db, const struct slice *slice, int64_t *taken, struct fault *fault)
{
    STMT_HELD *take = stmt_take(db, &sensed_imports_queries[TAKE], fault);
    STMT_HELD *drop = stmt_take(db, &sensed_imports_queries[DROP], fault);

    if (!take || !drop)
        return -1;
    stmt_int(take, ":tank", slice->tank_key);
    stmt_int(take, ":from_ms", slice->from_ms);
    stmt_int(take, ":to_ms", slice->to_ms);
    stmt_int(drop, ":place", slice->place);
    if (stmt_run(take, fault))
        return -1;
    *taken += db_changes(db);
    return stmt_run(drop, fault);
}

int sensed_import_undo(struct db *db, int64_t rows, bool *more, struct fault *fault)
{
    struct slice slice = {0};
    int64_t taken = 0;

    *more = true;
    for (int64_t slices = 0; taken < rows && slices < rows; slices++) {
        int found = first_slice(db, &slice, fault);

        if (found < 0)
            return -1;
        if (!found) {
            *more = false;
            return run(db, GIVE_UP, fault);
        }
        if (take_slice(db, &slice, &taken, fault))
            return -1;
    }
    return 0;
}
