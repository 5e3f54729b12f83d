/* waters.c - source waters in the file. */
#include "store/waters.h"

#include "store/rows.h"

#define WATER_FIELDS \
    "name, analysed_day, method, ph, alkalinity_mg_caco3_l, hardness_mg_caco3_l, ec_ms_cm, ca_mg_l, mg_mg_l, na_mg_l, k_mg_l, " \
    "nh4_mg_l, cl_mg_l, so4_mg_l, no3_mg_l, po4_mg_l, si_mg_l, b_mg_l"
#define WATER_COLUMNS "SELECT key, uid, " WATER_FIELDS " FROM water "

enum { ADD, CHANGE, ONE, LIST };

const struct query waters_queries[] = {
    [ADD] = {"water_add",
             "INSERT INTO water (uid, " WATER_FIELDS ") VALUES (:uid, :name, :analysed, :method, :ph, :alkalinity, :hardness, :ec, :ca, "
             ":mg, :na, :k, :nh4, :cl, :so4, :no3, :po4, :si, :b)"},
    [CHANGE] = {"water_change",
                "UPDATE water SET name = :name, analysed_day = :analysed, method = :method, ph = :ph, "
                "alkalinity_mg_caco3_l = :alkalinity, hardness_mg_caco3_l = :hardness, ec_ms_cm = :ec, ca_mg_l = :ca, mg_mg_l = :mg, "
                "na_mg_l = :na, k_mg_l = :k, nh4_mg_l = :nh4, cl_mg_l = :cl, so4_mg_l = :so4, no3_mg_l = :no3, po4_mg_l = :po4, "
                "si_mg_l = :si, b_mg_l = :b WHERE key = :key"},
    [ONE] = {"water_one", WATER_COLUMNS "WHERE uid = :uid"},
    [LIST] = {"water_list", WATER_COLUMNS "WHERE key > 0 ORDER BY key"},
};
const size_t waters_queries_count = sizeof waters_queries / sizeof *waters_queries;

/* In the order of enum water_value and of the columns. */
static const char *const value_names[WATER_VALUES] = {":ph", ":alkalinity", ":hardness", ":ec", ":ca", ":mg", ":na", ":k",
                                                      ":nh4", ":cl", ":so4", ":no3", ":po4", ":si", ":b"};

static void bind_water(sqlite3_stmt *stmt, const struct water_row *water)
{
    stmt_text(stmt, ":name", water->name);
    stmt_int(stmt, ":analysed", water->analysed_day == INT32_MIN ? STORE_NO_INT : water->analysed_day);
    stmt_int(stmt, ":method", water->method < 0 ? STORE_NO_INT : water->method);
    for (int i = 0; i < WATER_VALUES; i++)
        stmt_real(stmt, value_names[i], water->value[i]);
}

int water_rows_add(struct db *db, struct water_row *water, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &waters_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", water->id);
    bind_water(add, water);
    if (stmt_run(add, fault))
        return -1;
    water->key = db_last_id(db);
    return 0;
}

int water_rows_change(struct db *db, const struct water_row *water, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &waters_queries[CHANGE], fault);

    if (!change)
        return -1;
    bind_water(change, water);
    stmt_int(change, ":key", water->key);
    return stmt_run(change, fault);
}

static void read_water(struct row *row, void *into)
{
    struct water_row *water = into;
    int64_t day = stmt_get_int(row->stmt, 3), method = stmt_get_int(row->stmt, 4);

    *water = (struct water_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .analysed_day = day == STORE_NO_INT ? INT32_MIN : (int32_t)day,
        .method = method == STORE_NO_INT ? -1 : (int)method,
    };
    for (int i = 0; i < WATER_VALUES; i++)
        water->value[i] = stmt_get_real(row->stmt, 5 + i);
}

int water_rows_one(struct db *db, const char *id, struct water_row *water, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &waters_queries[ONE], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    return rows_one(stmt, read_water, water, arena, fault);
}

int water_rows_list(struct db *db, struct list *waters, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &waters_queries[LIST], fault);

    if (!stmt)
        return -1;
    return rows_all(stmt, read_water, sizeof(struct water_row), waters, arena, fault);
}
