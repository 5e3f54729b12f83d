/* duties.c - duties in the file. */
#include "store/duties.h"

#define DUTY_COLUMNS \
    "SELECT d.key, d.uid, d.member, m.uid, m.name, d.tank, t.uid, t.name, d.area, a.uid, a.name, d.from_day, d.to_day, d.given_back_ms " \
    "FROM duty d LEFT JOIN member m ON m.key = d.member LEFT JOIN tank t ON t.key = d.tank LEFT JOIN area a ON a.key = d.area "

enum { ADD, CHANGE, ONE, FROM };

const struct query duties_queries[] = {
    [ADD] = {"duty_add", "INSERT INTO duty (uid, member, tank, area, from_day, to_day) VALUES (:uid, :member, :tank, :area, :from_day, :to_day)"},
    [CHANGE] = {"duty_change", "UPDATE duty SET member = :member, from_day = :from_day, to_day = :to_day, given_back_ms = :given_back_ms WHERE key = :key"},
    [ONE] = {"duty_one", DUTY_COLUMNS "WHERE d.uid = :uid"},
    [FROM] = {"duties_from", DUTY_COLUMNS "WHERE d.given_back_ms IS NULL AND d.to_day >= :day AND m.removed_ms IS NULL ORDER BY d.to_day, d.key"},
};
const size_t duties_queries_count = sizeof duties_queries / sizeof *duties_queries;

int duty_rows_add(struct db *db, struct duty_row *duty, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &duties_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", duty->id);
    stmt_int(add, ":member", duty->member_key);
    stmt_int(add, ":tank", duty->tank_key);
    stmt_int(add, ":area", duty->area_key);
    stmt_int(add, ":from_day", duty->from_day);
    stmt_int(add, ":to_day", duty->to_day);
    if (stmt_run(add, fault))
        return -1;
    duty->key = db_last_id(db);
    return 0;
}

int duty_rows_change(struct db *db, const struct duty_row *duty, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &duties_queries[CHANGE], fault);

    if (!change)
        return -1;
    stmt_int(change, ":key", duty->key);
    stmt_int(change, ":member", duty->member_key);
    stmt_int(change, ":from_day", duty->from_day);
    stmt_int(change, ":to_day", duty->to_day);
    stmt_int(change, ":given_back_ms", duty->given_back_ms);
    return stmt_run(change, fault);
}

static int read_duty(sqlite3_stmt *stmt, struct duty_row *duty, struct arena *arena, struct fault *fault)
{
    *duty = (struct duty_row){
        .key = stmt_get_int(stmt, 0),
        .id = arena_text(arena, stmt_get_text(stmt, 1)),
        .member_key = stmt_get_int(stmt, 2),
        .member = arena_text(arena, stmt_get_text(stmt, 3)),
        .member_name = arena_text(arena, stmt_get_text(stmt, 4)),
        .tank_key = stmt_get_int(stmt, 5),
        .tank = arena_text(arena, stmt_get_text(stmt, 6)),
        .tank_name = arena_text(arena, stmt_get_text(stmt, 7)),
        .area_key = stmt_get_int(stmt, 8),
        .area = arena_text(arena, stmt_get_text(stmt, 9)),
        .area_name = arena_text(arena, stmt_get_text(stmt, 10)),
        .from_day = (int32_t)stmt_get_int(stmt, 11),
        .to_day = (int32_t)stmt_get_int(stmt, 12),
        .given_back_ms = stmt_get_int(stmt, 13),
    };
    if (!duty->id || !duty->member || !duty->member_name || (!duty->tank_name && !duty->area_name))
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return 0;
}

int duty_rows_one(struct db *db, const char *id, struct duty_row *duty, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &duties_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = stmt_step(stmt, fault);
    return found == 1 && read_duty(stmt, duty, arena, fault) ? -1 : found;
}

int duty_rows_from(struct db *db, int32_t day, struct list *duties, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &duties_queries[FROM], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":day", day);
    *duties = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        duties->item = arena_grow(arena, duties->item, duties->count, &room, sizeof(struct duty_row));
        if (!duties->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        if (read_duty(stmt, (struct duty_row *)duties->item + duties->count++, arena, fault))
            return -1;
    }
    return more;
}
