/* duties.c - duties in the file. */
#include "store/duties.h"

#include "store/rows.h"

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

static void read_duty(struct row *row, void *into)
{
    struct duty_row *duty = into;

    *duty = (struct duty_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .member_key = stmt_get_int(row->stmt, 2),
        .member = row_text(row, 3),
        .member_name = row_text(row, 4),
        .tank_key = stmt_get_int(row->stmt, 5),
        .tank = row_text(row, 6),
        .tank_name = row_text(row, 7),
        .area_key = stmt_get_int(row->stmt, 8),
        .area = row_text(row, 9),
        .area_name = row_text(row, 10),
        .from_day = (int32_t)stmt_get_int(row->stmt, 11),
        .to_day = (int32_t)stmt_get_int(row->stmt, 12),
        .given_back_ms = stmt_get_int(row->stmt, 13),
    };
}

int duty_rows_one(struct db *db, const char *id, struct duty_row *duty, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &duties_queries[ONE], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    return rows_one(stmt, read_duty, duty, arena, fault);
}

int duty_rows_from(struct db *db, int32_t day, struct list *duties, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &duties_queries[FROM], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":day", day);
    return rows_all(stmt, read_duty, sizeof(struct duty_row), duties, arena, fault);
}
