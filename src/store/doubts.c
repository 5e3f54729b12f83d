/* doubts.c - doubted stretches in the file. */
#include "store/doubts.h"

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
    [OF_TANK] = {"doubts_of_tank", "SELECT sensor, from_ms, to_ms FROM doubt WHERE tank = :tank AND lifted_ms IS NULL ORDER BY from_ms"},
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

static const char *text_of(sqlite3_stmt *stmt, int column, struct arena *arena, bool *failed)
{
    const char *text = stmt_get_text(stmt, column), *copy = arena_text(arena, text);

    *failed |= text && !copy;
    return copy;
}

static int read_doubt(sqlite3_stmt *stmt, struct doubt_row *doubt, struct arena *arena, struct fault *fault)
{
    bool failed = false;

    *doubt = (struct doubt_row){
        .key = stmt_get_int(stmt, 0),
        .id = text_of(stmt, 1, arena, &failed),
        .tank_key = stmt_get_int(stmt, 2),
        .tank = text_of(stmt, 3, arena, &failed),
        .sensor_key = stmt_get_int(stmt, 4),
        .sensor = text_of(stmt, 5, arena, &failed),
        .from_ms = stmt_get_int(stmt, 6),
        .to_ms = stmt_get_int(stmt, 7),
        .why = text_of(stmt, 8, arena, &failed),
        .member_key = stmt_get_int(stmt, 9),
        .member = text_of(stmt, 10, arena, &failed),
        .member_name = text_of(stmt, 11, arena, &failed),
        .told_ms = stmt_get_int(stmt, 12),
        .lifted_ms = stmt_get_int(stmt, 13),
    };
    return failed ? fault_add(fault, FAULT_MEMORY, "", "out of memory") : 0;
}

int doubts_one(struct db *db, const char *id, struct doubt_row *doubt, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &doubts_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = stmt_step(stmt, fault);
    return found == 1 && read_doubt(stmt, doubt, arena, fault) ? -1 : found;
}

int doubts_list(struct db *db, int64_t after_key, int64_t limit, struct list *doubts, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &doubts_queries[LIST], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":after", after_key);
    stmt_int(stmt, ":limit", limit);
    *doubts = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        doubts->item = arena_grow(arena, doubts->item, doubts->count, &room, sizeof(struct doubt_row));
        if (!doubts->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        if (read_doubt(stmt, (struct doubt_row *)doubts->item + doubts->count++, arena, fault))
            return -1;
    }
    return more;
}

int doubts_of_tank(struct db *db, int64_t tank_key, struct list *doubts, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &doubts_queries[OF_TANK], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", tank_key);
    *doubts = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        doubts->item = arena_grow(arena, doubts->item, doubts->count, &room, sizeof(struct doubt_row));
        if (!doubts->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        ((struct doubt_row *)doubts->item)[doubts->count++] =
            (struct doubt_row){.tank_key = tank_key, .sensor_key = stmt_get_int(stmt, 0), .from_ms = stmt_get_int(stmt, 1), .to_ms = stmt_get_int(stmt, 2)};
    }
    return more;
}

bool doubts_cover(const struct list *doubts, int64_t sensor_key, int64_t at_ms)
{
    const struct doubt_row *doubt = doubts->item;

    for (size_t i = 0; i < doubts->count; i++)
        if (at_ms >= doubt[i].from_ms && at_ms <= doubt[i].to_ms && (doubt[i].sensor_key == STORE_NO_INT || doubt[i].sensor_key == sensor_key))
            return true;
    return false;
}
