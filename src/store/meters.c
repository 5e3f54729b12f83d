/* meters.c - meter checks in the file. */
#include "store/meters.h"

#include "store/rows.h"

enum { ADD, LIST };

const struct query meters_queries[] = {
    [ADD] = {"meter_check_add",
             "INSERT OR IGNORE INTO meter_check (uid, meter, at_ms, member, standard, reading_ms_cm, temperature_c, compensated) "
             "VALUES (:uid, :meter, :at_ms, :member, :standard, :reading, :temperature, :compensated)"},
    [LIST] = {"meter_checks",
              "SELECT c.key, c.uid, c.meter, c.at_ms, c.member, m.name, c.standard, c.reading_ms_cm, c.temperature_c, c.compensated "
              "FROM meter_check c LEFT JOIN member m ON m.key = c.member ORDER BY c.at_ms DESC, c.key DESC LIMIT :limit"},
};
const size_t meters_queries_count = sizeof meters_queries / sizeof *meters_queries;

int meter_checks_add(struct db *db, const struct meter_check_row *check, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &meters_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", check->id);
    stmt_text(add, ":meter", check->meter);
    stmt_int(add, ":at_ms", check->at_ms);
    stmt_int(add, ":member", check->member_key);
    stmt_int(add, ":standard", check->standard);
    stmt_real(add, ":reading", check->reading_ms_cm);
    stmt_real(add, ":temperature", check->temperature_c);
    stmt_int(add, ":compensated", check->compensated);
    return stmt_run(add, fault);
}

static void read_check(struct row *row, void *into)
{
    struct meter_check_row *check = into;

    *check = (struct meter_check_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .meter = row_text(row, 2),
        .at_ms = stmt_get_int(row->stmt, 3),
        .member_key = stmt_get_int(row->stmt, 4),
        .member_name = row_text(row, 5),
        .standard = (int)stmt_get_int(row->stmt, 6),
        .reading_ms_cm = stmt_get_real(row->stmt, 7),
        .temperature_c = stmt_get_real(row->stmt, 8),
        .compensated = stmt_get_int(row->stmt, 9) != 0,
    };
}

int meter_checks_list(struct db *db, int64_t limit, struct list *checks, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &meters_queries[LIST], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":limit", limit);
    return rows_all(stmt, read_check, sizeof(struct meter_check_row), checks, arena, fault);
}
