/* harvests.c - harvested tanks in the file. */
#include "store/harvests.h"

enum { TANKS };

const struct query harvests_queries[] = {
    [TANKS] = {"harvested_tanks", "SELECT key, vessel, uid, code, name, lamp_w FROM tank WHERE key IN "
                                  "(SELECT tank FROM entry WHERE kind = 4 AND at_ms >= :from_ms AND at_ms < :to_ms) ORDER BY key"},
};
const size_t harvests_queries_count = sizeof harvests_queries / sizeof *harvests_queries;

int harvested_tanks(struct db *db, int64_t from_ms, int64_t to_ms, struct list *tanks, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &harvests_queries[TANKS], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":from_ms", from_ms);
    stmt_int(stmt, ":to_ms", to_ms);
    *tanks = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        struct harvested_tank *tank;

        tanks->item = arena_grow(arena, tanks->item, tanks->count, &room, sizeof *tank);
        if (!tanks->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        tank = (struct harvested_tank *)tanks->item + tanks->count++;
        *tank = (struct harvested_tank){stmt_get_int(stmt, 0), stmt_get_int(stmt, 1), arena_text(arena, stmt_get_text(stmt, 2)),
                                        arena_text(arena, stmt_get_text(stmt, 3)), arena_text(arena, stmt_get_text(stmt, 4)), stmt_get_real(stmt, 5)};
        if (!tank->id || !tank->code || !tank->name)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    return more;
}
