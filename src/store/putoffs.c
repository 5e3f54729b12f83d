/* putoffs.c - matters put off, in the file. */
#include "store/putoffs.h"

#include <stdlib.h>

#include "store/rows.h"

#define PUTOFF_COLUMNS \
    "SELECT p.key, p.uid, p.tank, t.uid, p.reason, p.days, p.from_day, p.until_day, p.urgency, p.value, p.entry, p.member, m.uid, m.name, " \
    "p.told_ms, p.lifted_ms FROM putoff p JOIN tank t ON t.key = p.tank LEFT JOIN member m ON m.key = p.member "

enum { ADD, LIFT, ONE, ON };

const struct query putoffs_queries[] = {
    [ADD] = {"putoff_add", "INSERT INTO putoff (uid, tank, reason, days, from_day, until_day, urgency, value, entry, member, told_ms) "
                           "VALUES (:uid, :tank, :reason, :days, :from_day, :until_day, :urgency, :value, :entry, :member, :told_ms)"},
    [LIFT] = {"putoff_lift", "UPDATE putoff SET lifted_ms = :at_ms WHERE key = :key AND lifted_ms IS NULL"},
    [ONE] = {"putoff_one", PUTOFF_COLUMNS "WHERE p.uid = :uid"},
    [ON] = {"putoffs_on", PUTOFF_COLUMNS "WHERE p.lifted_ms IS NULL AND p.until_day > :day"},
};
const size_t putoffs_queries_count = sizeof putoffs_queries / sizeof *putoffs_queries;

int putoffs_add(struct db *db, struct putoff_row *putoff, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &putoffs_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", putoff->id);
    stmt_int(add, ":tank", putoff->tank_key);
    stmt_text(add, ":reason", putoff->reason);
    stmt_int(add, ":days", putoff->days);
    stmt_int(add, ":from_day", putoff->from_day);
    stmt_int(add, ":until_day", putoff->until_day);
    stmt_real(add, ":urgency", putoff->urgency);
    stmt_real(add, ":value", putoff->value);
    stmt_text(add, ":entry", putoff->entry);
    stmt_int(add, ":member", putoff->member_key);
    stmt_int(add, ":told_ms", putoff->told_ms);
    if (stmt_run(add, fault))
        return -1;
    putoff->key = db_last_id(db);
    return 0;
}

int putoffs_lift(struct db *db, int64_t key, int64_t at_ms, struct fault *fault)
{
    STMT_HELD *lift = stmt_take(db, &putoffs_queries[LIFT], fault);

    if (!lift)
        return -1;
    stmt_int(lift, ":key", key);
    stmt_int(lift, ":at_ms", at_ms);
    return stmt_run(lift, fault);
}

static void read_putoff(struct row *row, void *into)
{
    struct putoff_row *putoff = into;

    *putoff = (struct putoff_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .tank_key = stmt_get_int(row->stmt, 2),
        .tank = row_text(row, 3),
        .reason = row_text(row, 4),
        .days = stmt_get_int(row->stmt, 5),
        .from_day = (int32_t)stmt_get_int(row->stmt, 6),
        .until_day = (int32_t)stmt_get_int(row->stmt, 7),
        .urgency = stmt_get_real(row->stmt, 8),
        .value = stmt_get_real(row->stmt, 9),
        .entry = row_text(row, 10),
        .member_key = stmt_get_int(row->stmt, 11),
        .member = row_text(row, 12),
        .member_name = row_text(row, 13),
        .told_ms = stmt_get_int(row->stmt, 14),
        .lifted_ms = stmt_get_int(row->stmt, 15),
    };
}

int putoffs_one(struct db *db, const char *id, struct putoff_row *putoff, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &putoffs_queries[ONE], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    return rows_one(stmt, read_putoff, putoff, arena, fault);
}

static int by_tank(const void *a, const void *b)
{
    const struct putoff_row *one = a, *other = b;

    if (one->tank_key != other->tank_key)
        return one->tank_key < other->tank_key ? -1 : 1;
    return one->key < other->key ? -1 : 1;
}

int putoffs_on(struct db *db, int32_t day, struct list *putoffs, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &putoffs_queries[ON], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":day", day);
    if (rows_all(stmt, read_putoff, sizeof(struct putoff_row), putoffs, arena, fault))
        return -1;
    if (putoffs->count)
        qsort(putoffs->item, putoffs->count, sizeof(struct putoff_row), by_tank);
    return 0;
}
