/* round_days.c - weekdays of rounds, and rounds put off, in the file. */
#include "store/round_days.h"

#include "store/rows.h"

#define PUTOFF_COLUMNS                                                                                                             \
    "SELECT p.key, p.uid, p.area, a.uid, a.name, p.day, p.until_day, p.days, p.member, m.uid, m.name, p.told_ms FROM round_putoff p " \
    "LEFT JOIN area a ON a.key = p.area LEFT JOIN member m ON m.key = p.member "

enum { LIST, DROP, ADD, PUTOFF_ADD, PUTOFF_MOVE, PUTOFF_ONE, PUTOFFS_FROM };

const struct query round_days_queries[] = {
    [LIST] = {"round_days_list", "SELECT d.area, a.uid, a.name, d.weekdays FROM round_days d LEFT JOIN area a ON a.key = d.area "
                                 "WHERE ifnull(d.area, 0) >= 0 ORDER BY ifnull(d.area, 0)"},
    [DROP] = {"round_days_drop", "DELETE FROM round_days WHERE ifnull(area, 0) = ifnull(:area, 0)"},
    [ADD] = {"round_days_add", "INSERT INTO round_days (area, weekdays) VALUES (:area, :weekdays)"},
    [PUTOFF_ADD] = {"round_putoff_add", "INSERT INTO round_putoff (uid, area, day, days, until_day, member, told_ms) "
                                        "VALUES (:uid, :area, :day, :days, :until_day, :member, :told_ms)"},
    [PUTOFF_MOVE] = {"round_putoff_move", "UPDATE round_putoff SET until_day = :until_day WHERE key = :key"},
    [PUTOFF_ONE] = {"round_putoff_one", PUTOFF_COLUMNS "WHERE p.uid = :uid"},
    [PUTOFFS_FROM] = {"round_putoffs_from", PUTOFF_COLUMNS "WHERE p.until_day >= :day"},
};
const size_t round_days_queries_count = sizeof round_days_queries / sizeof *round_days_queries;

static void read_days(struct row *row, void *into)
{
    *(struct round_days_row *)into = (struct round_days_row){
        .area_key = stmt_get_int(row->stmt, 0),
        .area = row_text(row, 1),
        .area_name = row_text(row, 2),
        .weekdays = stmt_get_int(row->stmt, 3),
    };
}

int round_days_list(struct db *db, struct list *days, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &round_days_queries[LIST], fault);

    return stmt ? rows_all(stmt, read_days, sizeof(struct round_days_row), days, arena, fault) : -1;
}

int round_days_set(struct db *db, int64_t area_key, int64_t weekdays, struct fault *fault)
{
    STMT_HELD *drop = stmt_take(db, &round_days_queries[DROP], fault), *add = stmt_take(db, &round_days_queries[ADD], fault);

    if (!drop || !add)
        return -1;
    stmt_int(drop, ":area", area_key);
    if (stmt_run(drop, fault) || !weekdays)
        return weekdays ? -1 : 0;
    stmt_int(add, ":area", area_key);
    stmt_int(add, ":weekdays", weekdays);
    return stmt_run(add, fault);
}

int round_putoffs_add(struct db *db, struct round_putoff_row *putoff, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &round_days_queries[PUTOFF_ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", putoff->id);
    stmt_int(add, ":area", putoff->area_key);
    stmt_int(add, ":day", putoff->day);
    stmt_int(add, ":days", putoff->days);
    stmt_int(add, ":until_day", putoff->until_day);
    stmt_int(add, ":member", putoff->member_key);
    stmt_int(add, ":told_ms", putoff->told_ms);
    if (stmt_run(add, fault))
        return -1;
    putoff->key = db_last_id(db);
    return 0;
}

int round_putoffs_move(struct db *db, int64_t key, int32_t until_day, struct fault *fault)
{
    STMT_HELD *move = stmt_take(db, &round_days_queries[PUTOFF_MOVE], fault);

    if (!move)
        return -1;
    stmt_int(move, ":key", key);
    stmt_int(move, ":until_day", until_day);
    return stmt_run(move, fault);
}

static void read_putoff(struct row *row, void *into)
{
    *(struct round_putoff_row *)into = (struct round_putoff_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .area_key = stmt_get_int(row->stmt, 2),
        .area = row_text(row, 3),
        .area_name = row_text(row, 4),
        .day = (int32_t)stmt_get_int(row->stmt, 5),
        .until_day = (int32_t)stmt_get_int(row->stmt, 6),
        .days = stmt_get_int(row->stmt, 7),
        .member_key = stmt_get_int(row->stmt, 8),
        .member = row_text(row, 9),
        .member_name = row_text(row, 10),
        .told_ms = stmt_get_int(row->stmt, 11),
    };
}

int round_putoffs_one(struct db *db, const char *id, struct round_putoff_row *putoff, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &round_days_queries[PUTOFF_ONE], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    return rows_one(stmt, read_putoff, putoff, arena, fault);
}

int round_putoffs_from(struct db *db, int32_t day, struct list *putoffs, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &round_days_queries[PUTOFFS_FROM], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":day", day);
    return rows_all(stmt, read_putoff, sizeof(struct round_putoff_row), putoffs, arena, fault);
}
