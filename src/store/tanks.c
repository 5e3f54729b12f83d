/* tanks.c - tanks in the file. */
#include "store/tanks.h"

#include <string.h>

#include "store/rows.h"

#define TANK_COLUMNS \
    "SELECT t.key, t.uid, t.code, t.name, t.area, a.uid, a.name, t.vessel, v.uid, t.walk_order, t.retired, t.changed, t.lamp_w " \
    "FROM tank t JOIN vessel v ON v.key = t.vessel LEFT JOIN area a ON a.key = t.area "

enum { ADD, CHANGE, BY_UID, BY_CODE, BY_KEY, LIST, MARKS, MARK, AREA, OF_AREA, WALK, TOUCH, TOUCH_ALL };

const struct query tanks_queries[] = {
    [ADD] = {"tank_add",
             "INSERT INTO tank (uid, code, name, area, vessel, walk_order, lamp_w) "
             "VALUES (:uid, :code, :name, :area, :vessel, :walk_order, :lamp_w)"},
    [CHANGE] = {"tank_change",
                "UPDATE tank SET name = :name, area = :area, vessel = :vessel, walk_order = :walk_order, retired = :retired, lamp_w = :lamp_w, "
                "changed = changed + 1 WHERE key = :key"},
    [BY_UID] = {"tank_by_uid", TANK_COLUMNS "WHERE t.uid = :name"},
    [BY_CODE] = {"tank_by_code", TANK_COLUMNS "WHERE t.code = upper(:name)"},
    [BY_KEY] = {"tank_by_key", TANK_COLUMNS "WHERE t.key = :key"},
    [MARKS] = {"tank_marks", "SELECT key, changed FROM tank WHERE retired = 0 ORDER BY key"},
    [MARK] = {"tank_mark", "SELECT key, changed FROM tank WHERE key = :key"},
    [LIST] = {"tank_list", TANK_COLUMNS "WHERE t.key > :after ORDER BY t.key LIMIT :limit"},
    [AREA] = {"tank_area_key", "SELECT key FROM area WHERE uid = :uid"},
    [OF_AREA] = {"tanks_of_area", TANK_COLUMNS "WHERE t.area IS :area ORDER BY t.key"},
    [WALK] = {"tank_walk", "UPDATE tank SET walk_order = :walk_order, changed = changed + 1 WHERE key = :key AND walk_order <> :walk_order"},
    [TOUCH] = {"tank_touch", "UPDATE tank SET changed = changed + 1 WHERE key = :key"},
    [TOUCH_ALL] = {"tank_touch_all", "UPDATE tank SET changed = changed + 1"},
};
const size_t tanks_queries_count = sizeof tanks_queries / sizeof *tanks_queries;

int tanks_add(struct db *db, struct tank_row *tank, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &tanks_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", tank->id);
    stmt_text(add, ":code", tank->code);
    stmt_text(add, ":name", tank->name);
    stmt_int(add, ":area", tank->area_key);
    stmt_int(add, ":vessel", tank->vessel_key);
    stmt_real(add, ":walk_order", tank->walk_order);
    stmt_real(add, ":lamp_w", tank->lamp_w);
    if (stmt_run(add, fault))
        return -1;
    tank->key = db_last_id(db);
    return 0;
}

int tanks_change(struct db *db, const struct tank_row *tank, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &tanks_queries[CHANGE], fault);

    if (!change)
        return -1;
    stmt_int(change, ":key", tank->key);
    stmt_text(change, ":name", tank->name);
    stmt_int(change, ":area", tank->area_key);
    stmt_int(change, ":vessel", tank->vessel_key);
    stmt_real(change, ":walk_order", tank->walk_order);
    stmt_real(change, ":lamp_w", tank->lamp_w);
    stmt_int(change, ":retired", tank->retired);
    return stmt_run(change, fault);
}

static void read_tank(struct row *row, void *into)
{
    struct tank_row *tank = into;

    *tank = (struct tank_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .code = row_text(row, 2),
        .name = row_text(row, 3),
        .area_key = stmt_get_int(row->stmt, 4),
        .area = row_text(row, 5),
        .area_name = row_text(row, 6),
        .vessel_key = stmt_get_int(row->stmt, 7),
        .vessel = row_text(row, 8),
        .walk_order = stmt_get_real(row->stmt, 9),
        .retired = stmt_get_int(row->stmt, 10) != 0,
        .changed = stmt_get_int(row->stmt, 11),
        .lamp_w = stmt_get_real(row->stmt, 12),
    };
}

static int one_by(struct db *db, size_t query, const char *name, struct tank_row *tank, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &tanks_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":name", name);
    return rows_one(stmt, read_tank, tank, arena, fault);
}

int tanks_one(struct db *db, const char *id_or_code, struct tank_row *tank, struct arena *arena, struct fault *fault)
{
    /* A UUID is longer than any code. */
    return one_by(db, strlen(id_or_code) < 16 ? BY_CODE : BY_UID, id_or_code, tank, arena, fault);
}

int tanks_by_key(struct db *db, int64_t key, struct tank_row *tank, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &tanks_queries[BY_KEY], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    return rows_one(stmt, read_tank, tank, arena, fault);
}

static void read_mark(struct row *row, void *into)
{
    struct tank_mark *mark = into;

    *mark = (struct tank_mark){stmt_get_int(row->stmt, 0), stmt_get_int(row->stmt, 1)};
}

int tanks_marks(struct db *db, struct list *marks, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &tanks_queries[MARKS], fault);

    return stmt ? rows_all(stmt, read_mark, sizeof(struct tank_mark), marks, arena, fault) : -1;
}

int tanks_mark(struct db *db, int64_t key, struct tank_mark *mark, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &tanks_queries[MARK], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    return rows_one(stmt, read_mark, mark, arena, fault);
}

int tanks_list(struct db *db, int64_t after_key, int64_t limit, struct list *tanks, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &tanks_queries[LIST], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":after", after_key);
    stmt_int(stmt, ":limit", limit);
    return rows_all(stmt, read_tank, sizeof(struct tank_row), tanks, arena, fault);
}

int tanks_of_area(struct db *db, int64_t area_key, struct list *tanks, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &tanks_queries[OF_AREA], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":area", area_key);
    return rows_all(stmt, read_tank, sizeof(struct tank_row), tanks, arena, fault);
}

int tanks_walk(struct db *db, int64_t key, double walk_order, struct fault *fault)
{
    STMT_HELD *walk = stmt_take(db, &tanks_queries[WALK], fault);

    if (!walk)
        return -1;
    stmt_int(walk, ":key", key);
    stmt_real(walk, ":walk_order", walk_order);
    return stmt_run(walk, fault);
}

int tanks_area_key(struct db *db, const char *area, int64_t *key, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &tanks_queries[AREA], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", area);
    found = stmt_step(stmt, fault);
    if (found == 1)
        *key = stmt_get_int(stmt, 0);
    return found;
}

int tanks_touch(struct db *db, int64_t key, struct fault *fault)
{
    STMT_HELD *touch = stmt_take(db, &tanks_queries[key == STORE_NO_INT ? TOUCH_ALL : TOUCH], fault);

    if (!touch)
        return -1;
    if (key != STORE_NO_INT)
        stmt_int(touch, ":key", key);
    return stmt_run(touch, fault);
}
