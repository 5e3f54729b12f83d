/* rounds.c - rounds in the file. */
#include "store/rounds.h"

#include <string.h>

#include "store/rows.h"

#define ROUND_COLUMNS \
    "SELECT r.key, r.uid, r.day, r.area, a.uid, r.area_name, r.made_ms, r.member, m.uid, m.name " \
    "FROM round r LEFT JOIN area a ON a.key = r.area LEFT JOIN member m ON m.key = r.member "

enum { ADD, ADD_STOP, ADD_SALT, ADD_ACT, ONE, LIST, SINCE, STOPS, SALTS, ACTS, ENTRIES };

const struct query rounds_queries[] = {
    [ADD] = {"round_add", "INSERT INTO round (uid, day, area, area_name, made_ms, member) VALUES (:uid, :day, :area, :area_name, :made_ms, :member)"},
    [ADD_STOP] = {"round_add_stop",
                  "INSERT INTO round_stop (round, place, tank, reason, act, also, when_p10, when_p50, when_p90, days, value, low, high, crop, "
                  "litres, to_mm, share, strength, grams_known, acid_ml, cautions) VALUES (:round, :place, :tank, :reason, :act, :also, :p10, "
                  ":p50, :p90, :days, :value, :low, :high, :crop, :litres, :to_mm, :share, :strength, :grams_known, :acid_ml, :cautions)"},
    [ADD_SALT] = {"round_add_salt", "INSERT INTO round_salt (round, place, salt, grams) VALUES (:round, :place, :salt, :grams)"},
    [ADD_ACT] = {"round_add_act",
                 "INSERT INTO round_act (round, seq, uid, what, place, at_ms, member) VALUES (:round, "
                 "(SELECT coalesce(max(seq), 0) + 1 FROM round_act WHERE round = :round), :uid, :what, :place, :at_ms, :member)"},
    [ONE] = {"round_one", ROUND_COLUMNS "WHERE r.uid = :uid"},
    [LIST] = {"round_list", ROUND_COLUMNS "WHERE r.key < :before ORDER BY r.key DESC LIMIT :limit"},
    [SINCE] = {"rounds_since", ROUND_COLUMNS "WHERE r.made_ms >= :made_ms ORDER BY r.made_ms, r.key"},
    [STOPS] = {"round_stops",
               "SELECT s.place, s.tank, t.uid, t.code, t.name, t.area, a.uid, a.name, s.reason, s.act, s.also, s.when_p10, s.when_p50, "
               "s.when_p90, s.days, s.value, s.low, s.high, s.crop, s.litres, s.to_mm, s.share, s.strength, s.grams_known, s.acid_ml, "
               "s.cautions FROM round_stop s LEFT JOIN tank t ON t.key = s.tank LEFT JOIN area a ON a.key = t.area "
               "WHERE s.round = :round ORDER BY s.place"},
    [SALTS] = {"round_salts", "SELECT place, salt, grams FROM round_salt WHERE round = :round ORDER BY place, salt"},
    [ACTS] = {"round_acts",
              "SELECT c.uid, c.what, c.place, c.at_ms, c.member, m.uid, m.name FROM round_act c LEFT JOIN member m ON m.key = c.member "
              "WHERE c.round = :round ORDER BY c.seq"},
    [ENTRIES] = {"round_entries",
                 "SELECT e.id, e.kind, e.at_ms, e.received_ms, e.member, m.uid, m.name, e.waterline_mm IS NOT NULL, e.withdraws IS NOT NULL "
                 "FROM entry e LEFT JOIN member m ON m.key = e.member WHERE e.tank = :tank AND e.at_ms BETWEEN :from_ms AND :to_ms "
                 "AND e.sensor IS NULL ORDER BY e.at_ms, e.id"},
};
const size_t rounds_queries_count = sizeof rounds_queries / sizeof *rounds_queries;

int round_rows_add(struct db *db, struct round_row *round, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &rounds_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", round->id);
    stmt_int(add, ":day", round->day);
    stmt_int(add, ":area", round->area_key);
    stmt_text(add, ":area_name", round->area_name);
    stmt_int(add, ":made_ms", round->made_ms);
    stmt_int(add, ":member", round->member_key);
    if (stmt_run(add, fault))
        return -1;
    round->key = db_last_id(db);
    return 0;
}

static void bind_day(sqlite3_stmt *stmt, const char *name, int32_t day)
{
    stmt_int(stmt, name, day == INT32_MIN ? STORE_NO_INT : day);
}

int round_stops_add(struct db *db, int64_t round, const struct round_stop_row *stop, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &rounds_queries[ADD_STOP], fault);

    if (!add)
        return -1;
    stmt_int(add, ":round", round);
    stmt_int(add, ":place", stop->place);
    stmt_int(add, ":tank", stop->tank_key);
    stmt_text(add, ":reason", stop->reason);
    stmt_int(add, ":act", stop->act);
    stmt_int(add, ":also", stop->also);
    bind_day(add, ":p10", stop->p10);
    bind_day(add, ":p50", stop->p50);
    bind_day(add, ":p90", stop->p90);
    stmt_real(add, ":days", stop->days);
    stmt_real(add, ":value", stop->value);
    stmt_real(add, ":low", stop->low);
    stmt_real(add, ":high", stop->high);
    stmt_text(add, ":crop", stop->crop);
    stmt_real(add, ":litres", stop->litres);
    stmt_real(add, ":to_mm", stop->to_mm);
    stmt_real(add, ":share", stop->share);
    stmt_text(add, ":strength", stop->strength);
    stmt_int(add, ":grams_known", stop->grams_known);
    stmt_real(add, ":acid_ml", stop->acid_ml);
    stmt_int(add, ":cautions", stop->cautions);
    return stmt_run(add, fault);
}

int round_salts_add(struct db *db, int64_t round, const struct round_salt_row *salt, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &rounds_queries[ADD_SALT], fault);

    if (!add)
        return -1;
    stmt_int(add, ":round", round);
    stmt_int(add, ":place", salt->place);
    stmt_text(add, ":salt", salt->salt);
    stmt_real(add, ":grams", salt->grams);
    return stmt_run(add, fault);
}

int round_acts_add(struct db *db, int64_t round, const struct round_act_row *act, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &rounds_queries[ADD_ACT], fault);

    if (!add)
        return -1;
    stmt_int(add, ":round", round);
    stmt_text(add, ":uid", act->id);
    stmt_int(add, ":what", act->what);
    stmt_int(add, ":place", act->place);
    stmt_int(add, ":at_ms", act->at_ms);
    stmt_int(add, ":member", act->member_key);
    return stmt_run(add, fault);
}

/* ---- reading ---- */

static void read_round(struct row *row, void *into)
{
    struct round_row *round = into;

    *round = (struct round_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .day = (int32_t)stmt_get_int(row->stmt, 2),
        .area_key = stmt_get_int(row->stmt, 3),
        .area = row_text(row, 4),
        .area_name = row_text(row, 5),
        .made_ms = stmt_get_int(row->stmt, 6),
        .member_key = stmt_get_int(row->stmt, 7),
        .member = row_text(row, 8),
        .member_name = row_text(row, 9),
    };
}

static int32_t get_day(sqlite3_stmt *stmt, int column)
{
    int64_t day = stmt_get_int(stmt, column);

    return day == STORE_NO_INT ? INT32_MIN : (int32_t)day;
}

static void read_stop(struct row *row, void *into)
{
    struct round_stop_row *stop = into;

    *stop = (struct round_stop_row){
        .place = stmt_get_int(row->stmt, 0),
        .tank_key = stmt_get_int(row->stmt, 1),
        .tank = row_text(row, 2),
        .code = row_text(row, 3),
        .tank_name = row_text(row, 4),
        .area_key = stmt_get_int(row->stmt, 5),
        .area = row_text(row, 6),
        .area_name = row_text(row, 7),
        .reason = row_text(row, 8),
        .act = stmt_get_int(row->stmt, 9),
        .also = stmt_get_int(row->stmt, 10),
        .p10 = get_day(row->stmt, 11),
        .p50 = get_day(row->stmt, 12),
        .p90 = get_day(row->stmt, 13),
        .days = stmt_get_real(row->stmt, 14),
        .value = stmt_get_real(row->stmt, 15),
        .low = stmt_get_real(row->stmt, 16),
        .high = stmt_get_real(row->stmt, 17),
        .crop = row_text(row, 18),
        .litres = stmt_get_real(row->stmt, 19),
        .to_mm = stmt_get_real(row->stmt, 20),
        .share = stmt_get_real(row->stmt, 21),
        .strength = row_text(row, 22),
        .grams_known = stmt_get_int(row->stmt, 23) != 0,
        .acid_ml = stmt_get_real(row->stmt, 24),
        .cautions = stmt_get_int(row->stmt, 25),
    };
}

static void read_salt(struct row *row, void *into)
{
    struct round_salt_row *salt = into;

    *salt = (struct round_salt_row){stmt_get_int(row->stmt, 0), row_text(row, 1), stmt_get_real(row->stmt, 2)};
}

static void read_act(struct row *row, void *into)
{
    struct round_act_row *act = into;

    *act = (struct round_act_row){
        .id = row_text(row, 0),
        .what = stmt_get_int(row->stmt, 1),
        .place = stmt_get_int(row->stmt, 2),
        .at_ms = stmt_get_int(row->stmt, 3),
        .member_key = stmt_get_int(row->stmt, 4),
        .member = row_text(row, 5),
        .member_name = row_text(row, 6),
    };
}

static void read_entry(struct row *row, void *into)
{
    struct round_entry *entry = into;

    *entry = (struct round_entry){
        .kind = stmt_get_int(row->stmt, 1),
        .at_ms = stmt_get_int(row->stmt, 2),
        .received_ms = stmt_get_int(row->stmt, 3),
        .member_key = stmt_get_int(row->stmt, 4),
        .member = row_text(row, 5),
        .member_name = row_text(row, 6),
        .level = stmt_get_int(row->stmt, 7) != 0,
        .withdraws = stmt_get_int(row->stmt, 8) != 0,
    };
    memcpy(entry->id, sqlite3_column_blob(row->stmt, 0), sizeof entry->id);
}

int round_rows_one(struct db *db, const char *id, struct round_row *round, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &rounds_queries[ONE], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    return rows_one(stmt, read_round, round, arena, fault);
}

int round_rows_list(struct db *db, int64_t before_key, int64_t limit, struct list *rounds, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &rounds_queries[LIST], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":before", before_key);
    stmt_int(stmt, ":limit", limit);
    return rows_all(stmt, read_round, sizeof(struct round_row), rounds, arena, fault);
}

int round_rows_since(struct db *db, int64_t made_ms, struct list *rounds, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &rounds_queries[SINCE], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":made_ms", made_ms);
    return rows_all(stmt, read_round, sizeof(struct round_row), rounds, arena, fault);
}

static int read_of(struct db *db, size_t query, int64_t round, size_t size,
                   row_reader *read, struct list *rows, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &rounds_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":round", round);
    return rows_all(stmt, read, size, rows, arena, fault);
}

int round_stops_of(struct db *db, int64_t round, struct list *stops, struct arena *arena, struct fault *fault)
{
    return read_of(db, STOPS, round, sizeof(struct round_stop_row), read_stop, stops, arena, fault);
}

int round_salts_of(struct db *db, int64_t round, struct list *salts, struct arena *arena, struct fault *fault)
{
    return read_of(db, SALTS, round, sizeof(struct round_salt_row), read_salt, salts, arena, fault);
}

int round_acts_of(struct db *db, int64_t round, struct list *acts, struct arena *arena, struct fault *fault)
{
    return read_of(db, ACTS, round, sizeof(struct round_act_row), read_act, acts, arena, fault);
}

int round_entries(struct db *db, int64_t tank_key, int64_t from_ms, int64_t to_ms, struct list *entries, struct arena *arena,
                  struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &rounds_queries[ENTRIES], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", tank_key);
    stmt_int(stmt, ":from_ms", from_ms);
    stmt_int(stmt, ":to_ms", to_ms);
    return rows_all(stmt, read_entry, sizeof(struct round_entry), entries, arena, fault);
}
