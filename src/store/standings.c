/* standings.c - kept standings in the file. */
#include "store/standings.h"

enum { PUT, ALL };

const struct query standings_queries[] = {
    [PUT] = {"standing_put", "INSERT OR REPLACE INTO standing (tank, changed, day, made) VALUES (:tank, :changed, :day, :made)"},
    [ALL] = {"standings_all", "SELECT tank, changed, day, made FROM standing ORDER BY tank"},
};
const size_t standings_queries_count = sizeof standings_queries / sizeof *standings_queries;

int standing_rows_put(struct db *db, const struct standing_row *row, struct fault *fault)
{
    STMT_HELD *put = stmt_take(db, &standings_queries[PUT], fault);

    if (!put)
        return -1;
    stmt_int(put, ":tank", row->tank_key);
    stmt_int(put, ":changed", row->changed);
    stmt_int(put, ":day", row->day);
    stmt_blob(put, ":made", row->made, row->length);
    return stmt_run(put, fault);
}

int standing_rows_all(struct db *db, standing_taker *take, void *context, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &standings_queries[ALL], fault);
    int more;

    if (!stmt)
        return -1;
    while ((more = stmt_step(stmt, fault)) == 1) {
        struct standing_row row = {stmt_get_int(stmt, 0), stmt_get_int(stmt, 1), (int32_t)stmt_get_int(stmt, 2), sqlite3_column_blob(stmt, 3), 0};

        row.length = (size_t)sqlite3_column_bytes(stmt, 3);
        if (take(context, &row, fault))
            return -1;
    }
    return more;
}
