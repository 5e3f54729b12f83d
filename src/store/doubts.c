/* doubts.c - doubted stretches in the file. */
#include "store/doubts.h"

#include "store/rows.h"

#define DOUBT_COLUMNS \
    "SELECT d.key, d.uid, d.tank, t.uid, d.sensor, s.uid, d.from_ms, d.to_ms, d.why, d.member, m.uid, m.name, d.told_ms, d.lifted_ms " \
    "FROM doubt d JOIN tank t ON t.key = d.tank LEFT JOIN sensor s ON s.key = d.sensor LEFT JOIN member m ON m.key = d.member "

enum { ADD, LIFT, ONE, LIST, OF_TANK };

const struct query doubts_queries[] = {
    [ADD] = {"doubt_add", "INSERT INTO doubt (uid, tank, sensor, from_ms, to_ms, why, member, told_ms, lifted_ms) "
                          "VALUES (:uid, :tank, :sensor, :from_ms, :to_ms, :why, :member, :told_ms, :lifted_ms)"},
    [LIFT] = {"doubt_lift", "UPDATE doubt SET lifted_ms = :at_ms WHERE key = :key AND lifted_ms IS NULL"},
    [ONE] = {"doubt_one", DOUBT_COLUMNS "WHERE d.uid = :uid"},
    [LIST] = {"doubt_list", DOUBT_COLUMNS "WHERE d.key > :after ORDER BY d.key LIMIT :limit"},
    [OF_TANK] = {"doubts_of_tank", "SELECT tank, sensor, from_ms, to_ms FROM doubt WHERE tank = :tank AND lifted_ms IS NULL ORDER BY from_ms"},
};
const size_t doubts_queries_count = sizeof doubts_queries / sizeof *doubts_queries;

int doubts_add(struct db *db, struct doubt_row *doubt, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &doubts_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", doubt->id);
    stmt_int(add, ":tank", doubt->tank_key);
    stmt_int(add, ":sensor", doubt->sensor_key);
    stmt_int(add, ":from_ms", doubt->from_ms);
    stmt_int(add, ":to_ms", doubt->to_ms);
    stmt_text(add, ":why", doubt->why);
    stmt_int(add, ":member", doubt->member_key);
    stmt_int(add, ":told_ms", doubt->told_ms);
    stmt_int(add, ":lifted_ms", doubt->lifted_ms);
    if (stmt_run(add, fault))
        return -1;
    doubt->key = db_last_id(db);
    return 0;
}

int doubts_lift(struct db *db, int64_t key, int64_t at_ms, struct fault *fault)
{
    STMT_HELD *lift = stmt_take(db, &doubts_queries[LIFT], fault);

    if (!lift)
        return -1;
    stmt_int(lift, ":key", key);
    stmt_int(lift, ":at_ms", at_ms);
    return stmt_run(lift, fault);
}

static void read_doubt(struct row *row, void *into)
{
    struct doubt_row *doubt = into;

    *doubt = (struct doubt_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .tank_key = stmt_get_int(row->stmt, 2),
        .tank = row_text(row, 3),
        .sensor_key = stmt_get_int(row->stmt, 4),
        .sensor = row_text(row, 5),
        .from_ms = stmt_get_int(row->stmt, 6),
        .to_ms = stmt_get_int(row->stmt, 7),
        .why = row_text(row, 8),
        .member_key = stmt_get_int(row->stmt, 9),
        .member = row_text(row, 10),
        .member_name = row_text(row, 11),
        .told_ms = stmt_get_int(row->stmt, 12),
        .lifted_ms = stmt_get_int(row->stmt, 13),
    };
}

int doubts_one(struct db *db, const char *id, struct doubt_row *doubt, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &doubts_queries[ONE], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    return rows_one(stmt, read_doubt, doubt, arena, fault);
}

int doubts_list(struct db *db, int64_t after_key, int64_t limit, struct list *doubts, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &doubts_queries[LIST], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":after", after_key);
    stmt_int(stmt, ":limit", limit);
    return rows_all(stmt, read_doubt, sizeof(struct doubt_row), doubts, arena, fault);
}

static void read_stretch(struct row *row, void *into)
{
    struct doubt_row *doubt = into;

    *doubt = (struct doubt_row){
        .tank_key = stmt_get_int(row->stmt, 0), .sensor_key = stmt_get_int(row->stmt, 1), .from_ms = stmt_get_int(row->stmt, 2), .to_ms = stmt_get_int(row->stmt, 3)};
}

int doubts_of_tank(struct db *db, int64_t tank_key, struct list *doubts, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &doubts_queries[OF_TANK], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", tank_key);
    return rows_all(stmt, read_stretch, sizeof(struct doubt_row), doubts, arena, fault);
}

bool doubts_cover(const struct list *doubts, int64_t sensor_key, int64_t at_ms)
{
    const struct doubt_row *doubt = doubts->item;

    for (size_t i = 0; i < doubts->count; i++)
        if (at_ms >= doubt[i].from_ms && at_ms <= doubt[i].to_ms && (doubt[i].sensor_key == STORE_NO_INT || doubt[i].sensor_key == sensor_key))
            return true;
    return false;
}
