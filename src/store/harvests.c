/* harvests.c - harvested tanks in the file. */
#include "store/harvests.h"

#include "store/rows.h"

enum { TANKS };

const struct query harvests_queries[] = {
    [TANKS] = {"harvested_tanks", "SELECT key, vessel, uid, code, name, lamp_w FROM tank WHERE key IN "
                                  "(SELECT tank FROM entry WHERE kind = 4 AND at_ms >= :from_ms AND at_ms < :to_ms) ORDER BY key"},
};
const size_t harvests_queries_count = sizeof harvests_queries / sizeof *harvests_queries;

static void read_tank(struct row *row, void *into)
{
    struct harvested_tank *tank = into;

    *tank = (struct harvested_tank){stmt_get_int(row->stmt, 0), stmt_get_int(row->stmt, 1), row_text(row, 2),
                                    row_text(row, 3),           row_text(row, 4),           stmt_get_real(row->stmt, 5)};
}

int harvested_tanks(struct db *db, int64_t from_ms, int64_t to_ms, struct list *tanks, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &harvests_queries[TANKS], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":from_ms", from_ms);
    stmt_int(stmt, ":to_ms", to_ms);
    return rows_all(stmt, read_tank, sizeof(struct harvested_tank), tanks, arena, fault);
}
