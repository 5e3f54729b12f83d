/* mixes.c - mixes under way in the file. */
#include "store/mixes.h"

#include <assert.h>

#include "store/entries.h"
#include "store/rows.h"

/* A mix is logged when the entry of its id is there: no counter to keep in step. */
#define COLUMNS                                                                                                                  \
    "SELECT m.key, m.id, t.uid, t.name, m.tank, m.member, p.name, m.kind, m.begun_ms, m.received_ms, m.told_ms, m.volume_l, "     \
    "m.steps, (SELECT count(*) FROM mix_step s WHERE s.mix = m.key AND s.done = 1), "                                             \
    "CASE WHEN EXISTS (SELECT 1 FROM entry e WHERE e.id = m.id) THEN 3 ELSE m.state END, m.off_day"
#define FROM " FROM mix m LEFT JOIN tank t ON t.key = m.tank LEFT JOIN member p ON p.key = m.member "
#define SHEET 16

enum { ADD, ONE, OPEN, OPEN_OF_TANK, PUT_OFF, STATE, TOLD, TICK, TICKS };

const struct query mixes_queries[] = {
    [ADD] = {"mix_add", "INSERT INTO mix (id, tank, kind, member, device, begun_ms, received_ms, told_ms, volume_l, steps, sheet, state) "
                        "VALUES (:id, :tank, :kind, :member, :device, :begun_ms, :received_ms, :received_ms, :volume_l, :steps, :sheet, 0)"},
    [ONE] = {"mix_one", COLUMNS ", m.sheet" FROM "WHERE m.id = :id"},
    [OPEN] = {"mixes_open", COLUMNS FROM "WHERE m.state = 0 AND m.told_ms >= :since AND NOT EXISTS (SELECT 1 FROM entry e WHERE e.id = m.id) "
                                         "ORDER BY m.told_ms DESC LIMIT :limit"},
    [OPEN_OF_TANK] = {"mixes_open_of_tank", COLUMNS FROM "WHERE m.tank = :tank AND m.state = 0 AND m.told_ms >= :since "
                                                         "AND NOT EXISTS (SELECT 1 FROM entry e WHERE e.id = m.id) ORDER BY m.told_ms DESC LIMIT :limit"},
    [PUT_OFF] = {"mix_put_off", "UPDATE mix SET off_day = :off_day WHERE key = :key"},
    [STATE] = {"mix_state", "UPDATE mix SET state = :state, told_ms = max(told_ms, :told_ms) WHERE key = :key"},
    [TOLD] = {"mix_told", "UPDATE mix SET told_ms = max(told_ms, :told_ms), off_day = NULL WHERE key = :key"},
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

static void read_mix(struct row *row, void *into)
{
    struct mix_row *mix = into;
    int64_t off_day = stmt_get_int(row->stmt, 15);

    *mix = (struct mix_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_uuid(row, 1),
        .tank = row_text(row, 2),
        .tank_name = row_text(row, 3),
        .tank_key = stmt_get_int(row->stmt, 4),
        .member_key = stmt_get_int(row->stmt, 5),
        .member_name = row_text(row, 6),
        .device_key = STORE_NO_INT, /* kept, but nobody asks */
        .kind = (int)stmt_get_int(row->stmt, 7),
        .begun_ms = stmt_get_int(row->stmt, 8),
        .received_ms = stmt_get_int(row->stmt, 9),
        .told_ms = stmt_get_int(row->stmt, 10),
        .volume_l = stmt_get_real(row->stmt, 11),
        .steps = stmt_get_int(row->stmt, 12),
        .done = stmt_get_int(row->stmt, 13),
        .state = (int)stmt_get_int(row->stmt, 14),
        .off_day = off_day == STORE_NO_INT ? INT32_MIN : (int32_t)off_day,
    };
}

static void read_mix_whole(struct row *row, void *into)
{
    struct mix_row *mix = into;

    read_mix(row, mix);
    mix->sheet = row_text(row, SHEET);
}

int mix_rows_one(struct db *db, const char *id, struct mix_row *mix, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = NULL;
    unsigned char bytes[16];

    if (uuid_bytes(id, bytes))
        return 0;
    stmt = stmt_take(db, &mixes_queries[ONE], fault);
    if (!stmt)
        return -1;
    stmt_blob(stmt, ":id", bytes, sizeof bytes);
    return rows_one(stmt, read_mix_whole, mix, arena, fault);
}

int mix_rows_open(struct db *db, int64_t since_ms, int64_t limit, struct list *mixes, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &mixes_queries[OPEN], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":since", since_ms);
    stmt_int(stmt, ":limit", limit);
    return rows_all(stmt, read_mix, sizeof(struct mix_row), mixes, arena, fault);
}

int mix_rows_open_of_tank(struct db *db, int64_t tank_key, int64_t since_ms, int64_t limit, struct list *mixes, struct arena *arena,
                          struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &mixes_queries[OPEN_OF_TANK], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", tank_key);
    stmt_int(stmt, ":since", since_ms);
    stmt_int(stmt, ":limit", limit);
    return rows_all(stmt, read_mix, sizeof(struct mix_row), mixes, arena, fault);
}

int mix_rows_put_off(struct db *db, int64_t key, int32_t off_day, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &mixes_queries[PUT_OFF], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    stmt_int(stmt, ":off_day", off_day == INT32_MIN ? STORE_NO_INT : off_day);
    return stmt_run(stmt, fault);
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

static void read_tick(struct row *row, void *into)
{
    struct mix_tick *tick = into;

    *tick = (struct mix_tick){
        .step = stmt_get_int(row->stmt, 0),
        .done = stmt_get_int(row->stmt, 1) == 1,
        .grams = stmt_get_real(row->stmt, 2),
        .at_ms = stmt_get_int(row->stmt, 3),
        .member_key = stmt_get_int(row->stmt, 4),
        .device_key = STORE_NO_INT,
        .member_name = row_text(row, 5),
    };
}

int mix_ticks_list(struct db *db, int64_t mix_key, struct list *ticks, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &mixes_queries[TICKS], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":mix", mix_key);
    return rows_all(stmt, read_tick, sizeof(struct mix_tick), ticks, arena, fault);
}
