/* harvests.c - harvested tanks in the file. */
#include "store/harvests.h"

#include "store/rows.h"

enum { TANKS, FILLED, NTH, NTH_FILL };

const struct query harvests_queries[] = {
    [TANKS] = {"harvested_tanks", "SELECT key, vessel, uid, code, name, lamp_w FROM tank WHERE key IN "
                                  "(SELECT tank FROM entry WHERE kind = 4 AND at_ms >= :from_ms AND at_ms < :to_ms) ORDER BY key"},
    [FILLED] = {"filled_tanks", "SELECT key, vessel, uid, code, name, lamp_w FROM tank WHERE key IN "
                                "(SELECT tank FROM entry WHERE kind = 0 AND at_ms >= :from_ms AND at_ms < :to_ms) ORDER BY key"},
    [NTH] = {"harvest_nth", "SELECT at_ms FROM entry WHERE kind = 4 AND at_ms >= :from_ms AND at_ms < :to_ms ORDER BY at_ms DESC, id DESC LIMIT 1 OFFSET :skip"},
    [NTH_FILL] = {"fill_nth", "SELECT at_ms FROM entry WHERE kind = 0 AND at_ms >= :from_ms AND at_ms < :to_ms ORDER BY at_ms DESC, id DESC LIMIT 1 OFFSET :skip"},
};
const size_t harvests_queries_count = sizeof harvests_queries / sizeof *harvests_queries;

static void read_tank(struct row *row, void *into)
{
    struct harvested_tank *tank = into;

    *tank = (struct harvested_tank){stmt_get_int(row->stmt, 0), stmt_get_int(row->stmt, 1), row_text(row, 2),
                                    row_text(row, 3),           row_text(row, 4),           stmt_get_real(row->stmt, 5)};
}

static int read_tanks(struct db *db, size_t query, int64_t from_ms, int64_t to_ms, struct list *tanks, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &harvests_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":from_ms", from_ms);
    stmt_int(stmt, ":to_ms", to_ms);
    return rows_all(stmt, read_tank, sizeof(struct harvested_tank), tanks, arena, fault);
}

int harvested_tanks(struct db *db, int64_t from_ms, int64_t to_ms, struct list *tanks, struct arena *arena, struct fault *fault)
{
    return read_tanks(db, TANKS, from_ms, to_ms, tanks, arena, fault);
}

int filled_tanks(struct db *db, int64_t from_ms, int64_t to_ms, struct list *tanks, struct arena *arena, struct fault *fault)
{
    return read_tanks(db, FILLED, from_ms, to_ms, tanks, arena, fault);
}

static int nth(struct db *db, size_t query, int64_t *from_ms, int64_t to_ms, int64_t n, bool *all, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &harvests_queries[query], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":from_ms", *from_ms);
    stmt_int(stmt, ":to_ms", to_ms);
    stmt_int(stmt, ":skip", n - 1);
    found = stmt_step(stmt, fault);
    if (found < 0)
        return -1;
    *all = !found;
    if (found)
        *from_ms = stmt_get_int(stmt, 0);
    return 0;
}

int harvests_newest(struct db *db, int64_t *from_ms, int64_t to_ms, int64_t n, bool *all, struct fault *fault)
{
    return nth(db, NTH, from_ms, to_ms, n, all, fault);
}

int fills_newest(struct db *db, int64_t *from_ms, int64_t to_ms, int64_t n, bool *all, struct fault *fault)
{
    return nth(db, NTH_FILL, from_ms, to_ms, n, all, fault);
}
