/* vessels.c - vessels in the file. */
#include "store/vessels.h"

#include "store/rows.h"

#define VESSEL_FIELDS \
    "name, shape, floor_l_mm, floor_w_mm, rim_l_mm, rim_w_mm, height_mm, corner_mm, lid_l_mm, lid_w_mm, lid_corner_mm, " \
    "hole_mm, edge_mm, spacing_mm, pattern, cup_height_mm, cup_top_mm, cup_bottom_mm, cup_medium_fraction, start_mm, low_mm"
#define VESSEL_COLUMNS "SELECT key, uid, " VESSEL_FIELDS " FROM vessel "

enum { ADD, CHANGE, TOUCH, ONE, BY_KEY, LIST, DROP_POINTS, DROP_CUPS, ADD_POINT, ADD_CUP, POINTS, CUPS };

const struct query vessels_queries[] = {
    [ADD] = {"vessel_add",
             "INSERT INTO vessel (uid, " VESSEL_FIELDS ") VALUES (:uid, :name, :shape, :floor_l, :floor_w, :rim_l, :rim_w, :height, "
             ":corner, :lid_l, :lid_w, :lid_corner, :hole, :edge, :spacing, :pattern, :cup_height, :cup_top, :cup_bottom, "
             ":cup_medium, :start, :low)"},
    [CHANGE] = {"vessel_change",
                "UPDATE vessel SET name = :name, shape = :shape, floor_l_mm = :floor_l, floor_w_mm = :floor_w, rim_l_mm = :rim_l, "
                "rim_w_mm = :rim_w, height_mm = :height, corner_mm = :corner, lid_l_mm = :lid_l, lid_w_mm = :lid_w, "
                "lid_corner_mm = :lid_corner, hole_mm = :hole, edge_mm = :edge, spacing_mm = :spacing, pattern = :pattern, "
                "cup_height_mm = :cup_height, cup_top_mm = :cup_top, cup_bottom_mm = :cup_bottom, cup_medium_fraction = :cup_medium, "
                "start_mm = :start, low_mm = :low WHERE key = :key"},
    [TOUCH] = {"vessel_touch_tanks", "UPDATE tank SET changed = changed + 1 WHERE vessel = :key"},
    [ONE] = {"vessel_one", VESSEL_COLUMNS "WHERE uid = :uid"},
    [BY_KEY] = {"vessel_by_key", VESSEL_COLUMNS "WHERE key = :key"},
    [LIST] = {"vessel_list", VESSEL_COLUMNS "WHERE key > :after ORDER BY key LIMIT :limit"},
    [DROP_POINTS] = {"vessel_drop_points", "DELETE FROM vessel_point WHERE vessel = :key"},
    [DROP_CUPS] = {"vessel_drop_cups", "DELETE FROM vessel_cup WHERE vessel = :key"},
    [ADD_POINT] = {"vessel_add_point",
                   "INSERT INTO vessel_point (vessel, place, waterline_mm, volume_l) VALUES (:key, :place, :waterline, :volume)"},
    [ADD_CUP] = {"vessel_add_cup", "INSERT INTO vessel_cup (vessel, cup, x_mm, y_mm) VALUES (:key, :cup, :x, :y)"},
    [POINTS] = {"vessel_points", "SELECT waterline_mm, volume_l FROM vessel_point WHERE vessel = :key ORDER BY place"},
    [CUPS] = {"vessel_cups", "SELECT x_mm, y_mm FROM vessel_cup WHERE vessel = :key ORDER BY cup"},
};
const size_t vessels_queries_count = sizeof vessels_queries / sizeof *vessels_queries;

static void bind_vessel(sqlite3_stmt *stmt, const struct vessel_row *vessel)
{
    stmt_text(stmt, ":name", vessel->name);
    stmt_int(stmt, ":shape", vessel->shape);
    stmt_real(stmt, ":floor_l", vessel->floor_l_mm);
    stmt_real(stmt, ":floor_w", vessel->floor_w_mm);
    stmt_real(stmt, ":rim_l", vessel->rim_l_mm);
    stmt_real(stmt, ":rim_w", vessel->rim_w_mm);
    stmt_real(stmt, ":height", vessel->height_mm);
    stmt_real(stmt, ":corner", vessel->corner_mm);
    stmt_real(stmt, ":lid_l", vessel->lid_l_mm);
    stmt_real(stmt, ":lid_w", vessel->lid_w_mm);
    stmt_real(stmt, ":lid_corner", vessel->lid_corner_mm);
    stmt_real(stmt, ":hole", vessel->hole_mm);
    stmt_real(stmt, ":edge", vessel->edge_mm);
    stmt_real(stmt, ":spacing", vessel->spacing_mm);
    stmt_int(stmt, ":pattern", vessel->pattern < 0 ? STORE_NO_INT : vessel->pattern);
    stmt_real(stmt, ":cup_height", vessel->cup_height_mm);
    stmt_real(stmt, ":cup_top", vessel->cup_top_mm);
    stmt_real(stmt, ":cup_bottom", vessel->cup_bottom_mm);
    stmt_real(stmt, ":cup_medium", vessel->cup_medium_fraction);
    stmt_real(stmt, ":start", vessel->start_mm);
    stmt_real(stmt, ":low", vessel->low_mm);
}

static int add_points(struct db *db, const struct vessel_row *vessel, struct fault *fault)
{
    const struct vessel_point *point = vessel->points.item;

    for (size_t i = 0; i < vessel->points.count; i++) {
        STMT_HELD *add = stmt_take(db, &vessels_queries[ADD_POINT], fault);

        if (!add)
            return -1;
        stmt_int(add, ":key", vessel->key);
        stmt_int(add, ":place", (int64_t)i);
        stmt_real(add, ":waterline", point[i].waterline_mm);
        stmt_real(add, ":volume", point[i].volume_l);
        if (stmt_run(add, fault))
            return -1;
    }
    return 0;
}

static int add_cups(struct db *db, const struct vessel_row *vessel, struct fault *fault)
{
    const struct lid_cup *cup = vessel->cups.item;

    for (size_t i = 0; i < vessel->cups.count; i++) {
        STMT_HELD *add = stmt_take(db, &vessels_queries[ADD_CUP], fault);

        if (!add)
            return -1;
        stmt_int(add, ":key", vessel->key);
        stmt_int(add, ":cup", (int64_t)i + 1);
        stmt_real(add, ":x", cup[i].x_mm);
        stmt_real(add, ":y", cup[i].y_mm);
        if (stmt_run(add, fault))
            return -1;
    }
    return 0;
}

int vessels_add(struct db *db, struct vessel_row *vessel, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &vessels_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", vessel->id);
    bind_vessel(add, vessel);
    if (stmt_run(add, fault))
        return -1;
    vessel->key = db_last_id(db);
    return add_points(db, vessel, fault) || add_cups(db, vessel, fault) ? -1 : 0;
}

/* Runs a query that has only :key. */
static int run_by_key(struct db *db, size_t query, int64_t key, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &vessels_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    return stmt_run(stmt, fault);
}

int vessels_change(struct db *db, const struct vessel_row *vessel, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &vessels_queries[CHANGE], fault);

    if (!change)
        return -1;
    bind_vessel(change, vessel);
    stmt_int(change, ":key", vessel->key);
    if (stmt_run(change, fault) || run_by_key(db, DROP_POINTS, vessel->key, fault) ||
        run_by_key(db, DROP_CUPS, vessel->key, fault) || run_by_key(db, TOUCH, vessel->key, fault))
        return -1;
    return add_points(db, vessel, fault) || add_cups(db, vessel, fault) ? -1 : 0;
}

/* Pairs of numbers by vessel: points and cups are read alike. */
static void read_pair(struct row *row, void *into)
{
    double *pair = into;

    pair[0] = stmt_get_real(row->stmt, 0);
    pair[1] = stmt_get_real(row->stmt, 1);
}

static int read_pairs(struct db *db, size_t query, int64_t key, struct list *pairs, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &vessels_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    return rows_all(stmt, read_pair, 2 * sizeof(double), pairs, arena, fault);
}

_Static_assert(sizeof(struct vessel_point) == 2 * sizeof(double), "points are read as pairs");
_Static_assert(sizeof(struct lid_cup) == 2 * sizeof(double), "cups are read as pairs");

static void read_vessel(struct row *row, void *into)
{
    struct vessel_row *vessel = into;
    int64_t pattern = stmt_get_int(row->stmt, 16);

    *vessel = (struct vessel_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .shape = (int)stmt_get_int(row->stmt, 3),
        .floor_l_mm = stmt_get_real(row->stmt, 4),
        .floor_w_mm = stmt_get_real(row->stmt, 5),
        .rim_l_mm = stmt_get_real(row->stmt, 6),
        .rim_w_mm = stmt_get_real(row->stmt, 7),
        .height_mm = stmt_get_real(row->stmt, 8),
        .corner_mm = stmt_get_real(row->stmt, 9),
        .lid_l_mm = stmt_get_real(row->stmt, 10),
        .lid_w_mm = stmt_get_real(row->stmt, 11),
        .lid_corner_mm = stmt_get_real(row->stmt, 12),
        .hole_mm = stmt_get_real(row->stmt, 13),
        .edge_mm = stmt_get_real(row->stmt, 14),
        .spacing_mm = stmt_get_real(row->stmt, 15),
        .pattern = pattern == STORE_NO_INT ? -1 : (int)pattern,
        .cup_height_mm = stmt_get_real(row->stmt, 17),
        .cup_top_mm = stmt_get_real(row->stmt, 18),
        .cup_bottom_mm = stmt_get_real(row->stmt, 19),
        .cup_medium_fraction = stmt_get_real(row->stmt, 20),
        .start_mm = stmt_get_real(row->stmt, 21),
        .low_mm = stmt_get_real(row->stmt, 22),
    };
}

static int read_lists(struct db *db, void *row, struct arena *arena, struct fault *fault)
{
    struct vessel_row *vessel = row;

    return read_pairs(db, POINTS, vessel->key, &vessel->points, arena, fault) ||
                   read_pairs(db, CUPS, vessel->key, &vessel->cups, arena, fault)
               ? -1
               : 0;
}

int vessels_one(struct db *db, const char *id, struct vessel_row *vessel, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &vessels_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = rows_one(stmt, read_vessel, vessel, arena, fault);
    return found == 1 && read_lists(db, vessel, arena, fault) ? -1 : found;
}

int vessels_by_key(struct db *db, int64_t key, struct vessel_row *vessel, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &vessels_queries[BY_KEY], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    found = rows_one(stmt, read_vessel, vessel, arena, fault);
    return found == 1 && read_lists(db, vessel, arena, fault) ? -1 : found;
}

int vessels_list(struct db *db, int64_t after_key, int64_t limit, struct list *vessels, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &vessels_queries[LIST], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":after", after_key);
    stmt_int(stmt, ":limit", limit);
    if (rows_all(stmt, read_vessel, sizeof(struct vessel_row), vessels, arena, fault))
        return -1;
    return rows_fill(db, read_lists, sizeof(struct vessel_row), vessels, arena, fault);
}
