/* areas.c - areas in the file. */
#include "store/areas.h"

#include "store/rows.h"

#define AREA_COLUMNS \
    "SELECT a.key, a.uid, a.name, a.within, w.uid, a.walk_order, (SELECT count(*) FROM tank t WHERE t.area = a.key), " \
    "(SELECT count(*) FROM area i WHERE i.within = a.key) FROM area a LEFT JOIN area w ON w.key = a.within "

enum { ADD, CHANGE, REMOVE, ONE, LIST };

const struct query areas_queries[] = {
    [ADD] = {"area_add", "INSERT INTO area (uid, name, within, walk_order) VALUES (:uid, :name, :within, :walk_order)"},
    [CHANGE] = {"area_change", "UPDATE area SET name = :name, within = :within, walk_order = :walk_order WHERE key = :key"},
    [REMOVE] = {"area_remove", "DELETE FROM area WHERE key = :key"},
    [ONE] = {"area_one", AREA_COLUMNS "WHERE a.uid = :uid"},
    [LIST] = {"area_list", AREA_COLUMNS "WHERE a.key > 0 ORDER BY a.key"},
};
const size_t areas_queries_count = sizeof areas_queries / sizeof *areas_queries;

static void bind_area(sqlite3_stmt *stmt, const struct area_row *area)
{
    stmt_text(stmt, ":name", area->name);
    stmt_int(stmt, ":within", area->within_key);
    stmt_real(stmt, ":walk_order", area->walk_order);
}

int area_rows_add(struct db *db, struct area_row *area, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &areas_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", area->id);
    bind_area(add, area);
    if (stmt_run(add, fault))
        return -1;
    area->key = db_last_id(db);
    return 0;
}

int area_rows_change(struct db *db, const struct area_row *area, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &areas_queries[CHANGE], fault);

    if (!change)
        return -1;
    bind_area(change, area);
    stmt_int(change, ":key", area->key);
    return stmt_run(change, fault);
}

int area_rows_remove(struct db *db, int64_t key, struct fault *fault)
{
    STMT_HELD *remove = stmt_take(db, &areas_queries[REMOVE], fault);

    if (!remove)
        return -1;
    stmt_int(remove, ":key", key);
    return stmt_run(remove, fault);
}

static void read_area(struct row *row, void *into)
{
    struct area_row *area = into;

    *area = (struct area_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .within_key = stmt_get_int(row->stmt, 3),
        .within = row_text(row, 4),
        .walk_order = stmt_get_real(row->stmt, 5),
        .tanks = stmt_get_int(row->stmt, 6),
        .areas = stmt_get_int(row->stmt, 7),
    };
}

int area_rows_one(struct db *db, const char *id, struct area_row *area, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &areas_queries[ONE], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    return rows_one(stmt, read_area, area, arena, fault);
}

int area_rows_list(struct db *db, struct list *areas, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &areas_queries[LIST], fault);

    if (!stmt)
        return -1;
    return rows_all(stmt, read_area, sizeof(struct area_row), areas, arena, fault);
}
