/* mixes.c - mixes under way in the file. */
#include "store/mixes.h"

#include <assert.h>

#include "store/entries.h"

/* A mix is logged when the entry of its id is there: no counter to keep in step. */
#define COLUMNS                                                                                                                  \
    "SELECT m.key, m.id, t.uid, t.name, m.tank, m.member, p.name, m.kind, m.begun_ms, m.received_ms, m.told_ms, m.volume_l, "     \
    "m.steps, (SELECT count(*) FROM mix_step s WHERE s.mix = m.key AND s.done = 1), "                                             \
    "CASE WHEN EXISTS (SELECT 1 FROM entry e WHERE e.id = m.id) THEN 3 ELSE m.state END"
#define FROM " FROM mix m LEFT JOIN tank t ON t.key = m.tank LEFT JOIN member p ON p.key = m.member "
#define SHEET 15

enum { ADD, ONE, OPEN, STATE, TOLD, TICK, TICKS };

const struct query mixes_queries[] = {
    [ADD] = {"mix_add", "INSERT INTO mix (id, tank, kind, member, device, begun_ms, received_ms, told_ms, volume_l, steps, sheet, state) "
                        "VALUES (:id, :tank, :kind, :member, :device, :begun_ms, :received_ms, :received_ms, :volume_l, :steps, :sheet, 0)"},
    [ONE] = {"mix_one", COLUMNS ", m.sheet" FROM "WHERE m.id = :id"},
    [OPEN] = {"mixes_open", COLUMNS FROM "WHERE m.state = 0 AND m.told_ms >= :since AND NOT EXISTS (SELECT 1 FROM entry e WHERE e.id = m.id) "
                                         "ORDER BY m.told_ms DESC LIMIT :limit"},
    [STATE] = {"mix_state", "UPDATE mix SET state = :state, told_ms = max(told_ms, :told_ms) WHERE key = :key"},
    [TOLD] = {"mix_told", "UPDATE mix SET told_ms = max(told_ms, :told_ms) WHERE key = :key"},
    [TICK] = {"mix_tick", "INSERT INTO mix_step (mix, step, done, grams, at_ms, member, device) "
                          "VALUES (:mix, :step, :done, :grams, :at_ms, :member, :device) "
                          "ON CONFLICT (mix, step) DO UPDATE SET done = excluded.done, grams = excluded.grams, at_ms = excluded.at_ms, "
                          "member = excluded.member, device = excluded.device WHERE excluded.at_ms >= mix_step.at_ms"},
    [TICKS] = {"mix_ticks", "SELECT s.step, s.done, s.grams, s.at_ms, s.member, p.name FROM mix_step s "
                            "LEFT JOIN member p ON p.key = s.member WHERE s.mix = :mix ORDER BY s.step"},
};
const size_t mixes_queries_count = sizeof mixes_queries / sizeof *mixes_queries;

int mix_rows_add(struct db *db, const struct mix_row *mix, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &mixes_queries[ADD], fault);
    unsigned char id[16];
    int bad = uuid_bytes(mix->id, id);

    assert(!bad);
    (void)bad;
    if (!add)
        return -1;
    stmt_blob(add, ":id", id, sizeof id);
    stmt_int(add, ":tank", mix->tank_key);
    stmt_int(add, ":kind", mix->kind);
    stmt_int(add, ":member", mix->member_key);
    stmt_int(add, ":device", mix->device_key);
    stmt_int(add, ":begun_ms", mix->begun_ms);
    stmt_int(add, ":received_ms", mix->received_ms);
    stmt_real(add, ":volume_l", mix->volume_l);
    stmt_int(add, ":steps", mix->steps);
    stmt_text(add, ":sheet", mix->sheet);
    return stmt_run(add, fault);
}

static int read_mix(sqlite3_stmt *stmt, bool with_sheet, struct mix_row *mix, struct arena *arena, struct fault *fault)
{
    char id[37];

    uuid_text(sqlite3_column_blob(stmt, 1), id);
    *mix = (struct mix_row){
        .key = stmt_get_int(stmt, 0),
        .id = arena_text(arena, id),
        .tank = arena_text(arena, stmt_get_text(stmt, 2)),
        .tank_name = arena_text(arena, stmt_get_text(stmt, 3)),
        .tank_key = stmt_get_int(stmt, 4),
        .member_key = stmt_get_int(stmt, 5),
        .member_name = arena_text(arena, stmt_get_text(stmt, 6)),
        .device_key = STORE_NO_INT, /* kept, but nobody asks */
        .kind = (int)stmt_get_int(stmt, 7),
        .begun_ms = stmt_get_int(stmt, 8),
        .received_ms = stmt_get_int(stmt, 9),
        .told_ms = stmt_get_int(stmt, 10),
        .volume_l = stmt_get_real(stmt, 11),
        .steps = stmt_get_int(stmt, 12),
        .done = stmt_get_int(stmt, 13),
        .state = (int)stmt_get_int(stmt, 14),
        .sheet = with_sheet ? arena_text(arena, stmt_get_text(stmt, SHEET)) : NULL,
    };
    if (!mix->id || (with_sheet && !mix->sheet))
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return 0;
}

int mix_rows_one(struct db *db, const char *id, struct mix_row *mix, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = NULL;
    unsigned char bytes[16];
    int found;

    if (uuid_bytes(id, bytes))
        return 0;
    stmt = stmt_take(db, &mixes_queries[ONE], fault);
    if (!stmt)
        return -1;
    stmt_blob(stmt, ":id", bytes, sizeof bytes);
    found = stmt_step(stmt, fault);
    if (found == 1 && read_mix(stmt, true, mix, arena, fault))
        return -1;
    return found;
}

int mix_rows_open(struct db *db, int64_t since_ms, int64_t limit, struct list *mixes, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &mixes_queries[OPEN], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":since", since_ms);
    stmt_int(stmt, ":limit", limit);
    *mixes = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        mixes->item = arena_grow(arena, mixes->item, mixes->count, &room, sizeof(struct mix_row));
        if (!mixes->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        if (read_mix(stmt, false, (struct mix_row *)mixes->item + mixes->count, arena, fault))
            return -1;
        mixes->count++;
    }
    return more;
}

static int run_told(struct db *db, int which, int64_t key, int state, int64_t told_ms, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &mixes_queries[which], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    stmt_int(stmt, ":told_ms", told_ms);
    if (which == STATE)
        stmt_int(stmt, ":state", state);
    return stmt_run(stmt, fault);
}

int mix_rows_state(struct db *db, int64_t key, int state, int64_t told_ms, struct fault *fault)
{
    return run_told(db, STATE, key, state, told_ms, fault);
}

int mix_rows_told(struct db *db, int64_t key, int64_t told_ms, struct fault *fault)
{
    return run_told(db, TOLD, key, 0, told_ms, fault);
}

int mix_ticks_put(struct db *db, int64_t mix_key, const struct mix_tick *tick, struct fault *fault)
{
    STMT_HELD *put = stmt_take(db, &mixes_queries[TICK], fault);

    if (!put)
        return -1;
    stmt_int(put, ":mix", mix_key);
    stmt_int(put, ":step", tick->step);
    stmt_int(put, ":done", tick->done);
    stmt_real(put, ":grams", tick->grams);
    stmt_int(put, ":at_ms", tick->at_ms);
    stmt_int(put, ":member", tick->member_key);
    stmt_int(put, ":device", tick->device_key);
    return stmt_run(put, fault);
}

int mix_ticks_list(struct db *db, int64_t mix_key, struct list *ticks, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &mixes_queries[TICKS], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":mix", mix_key);
    *ticks = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        ticks->item = arena_grow(arena, ticks->item, ticks->count, &room, sizeof(struct mix_tick));
        if (!ticks->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        ((struct mix_tick *)ticks->item)[ticks->count++] = (struct mix_tick){
            .step = stmt_get_int(stmt, 0),
            .done = stmt_get_int(stmt, 1) == 1,
            .grams = stmt_get_real(stmt, 2),
            .at_ms = stmt_get_int(stmt, 3),
            .member_key = stmt_get_int(stmt, 4),
            .device_key = STORE_NO_INT,
            .member_name = arena_text(arena, stmt_get_text(stmt, 5)),
        };
    }
    return more;
}
