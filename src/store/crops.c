/* crops.c - crops in the file. */
#include "store/crops.h"

#include "store/rows.h"
#include "store/tanks.h"

enum { ADD, CHANGE, ONE, LIST, RANGES, DROP_RANGES, ADD_RANGE };

const struct query crops_queries[] = {
    [ADD] = {"crop_add", "INSERT INTO crop (uid, name, fitness, resembles) VALUES (:uid, :name, :fitness, :resembles)"},
    [CHANGE] = {"crop_change", "UPDATE crop SET name = :name, fitness = :fitness, resembles = :resembles WHERE key = :key"},
    [ONE] = {"crop_one", "SELECT key, uid, name, fitness, resembles FROM crop WHERE uid = :uid"},
    [LIST] = {"crop_list", "SELECT key, uid, name, fitness, resembles FROM crop WHERE key > 0 ORDER BY key"},
    [RANGES] = {"crop_ranges", "SELECT quantity, low, high, source FROM crop_range WHERE crop = :key"},
    [DROP_RANGES] = {"crop_drop_ranges", "DELETE FROM crop_range WHERE crop = :key"},
    [ADD_RANGE] = {"crop_add_range",
                   "INSERT INTO crop_range (crop, quantity, low, high, source) VALUES (:key, :quantity, :low, :high, :source)"},
};
const size_t crops_queries_count = sizeof crops_queries / sizeof *crops_queries;

static int add_ranges(struct db *db, const struct crop_row *crop, struct fault *fault)
{
    const struct crop_row_range *range = crop->ranges.item;

    for (size_t i = 0; i < crop->ranges.count; i++) {
        STMT_HELD *add = stmt_take(db, &crops_queries[ADD_RANGE], fault);

        if (!add)
            return -1;
        stmt_int(add, ":key", crop->key);
        stmt_text(add, ":quantity", range[i].quantity);
        stmt_real(add, ":low", range[i].low);
        stmt_real(add, ":high", range[i].high);
        stmt_text(add, ":source", range[i].source);
        if (stmt_run(add, fault))
            return -1;
    }
    return tanks_touch(db, STORE_NO_INT, fault);
}

int crop_rows_add(struct db *db, struct crop_row *crop, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &crops_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", crop->id);
    stmt_text(add, ":name", crop->name);
    stmt_text(add, ":fitness", crop->fitness);
    stmt_text(add, ":resembles", crop->resembles);
    if (stmt_run(add, fault))
        return -1;
    crop->key = db_last_id(db);
    return add_ranges(db, crop, fault);
}

int crop_rows_change(struct db *db, const struct crop_row *crop, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &crops_queries[CHANGE], fault);
    STMT_HELD *drop = stmt_take(db, &crops_queries[DROP_RANGES], fault);

    if (!change || !drop)
        return -1;
    stmt_text(change, ":name", crop->name);
    stmt_text(change, ":fitness", crop->fitness);
    stmt_text(change, ":resembles", crop->resembles);
    stmt_int(change, ":key", crop->key);
    stmt_int(drop, ":key", crop->key);
    return stmt_run(change, fault) || stmt_run(drop, fault) || add_ranges(db, crop, fault) ? -1 : 0;
}

static void read_range(struct row *row, void *into)
{
    struct crop_row_range *range = into;

    *range = (struct crop_row_range){row_text(row, 0), stmt_get_real(row->stmt, 1), stmt_get_real(row->stmt, 2), row_text(row, 3)};
}

static int read_ranges(struct db *db, void *row, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &crops_queries[RANGES], fault);
    struct crop_row *crop = row;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", crop->key);
    return rows_all(stmt, read_range, sizeof(struct crop_row_range), &crop->ranges, arena, fault);
}

static void read_crop(struct row *row, void *into)
{
    struct crop_row *crop = into;

    *crop = (struct crop_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .fitness = row_text(row, 3),
        .resembles = row_text(row, 4),
    };
}

int crop_rows_one(struct db *db, const char *id, struct crop_row *crop, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &crops_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = rows_one(stmt, read_crop, crop, arena, fault);
    return found == 1 && read_ranges(db, crop, arena, fault) ? -1 : found;
}

int crop_rows_list(struct db *db, struct list *crops, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &crops_queries[LIST], fault);

    if (!stmt)
        return -1;
    if (rows_all(stmt, read_crop, sizeof(struct crop_row), crops, arena, fault))
        return -1;
    return rows_fill(db, read_ranges, sizeof(struct crop_row), crops, arena, fault);
}
