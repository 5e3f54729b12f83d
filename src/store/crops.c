/* crops.c - crops in the file. */
#include "store/crops.h"

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

static int read_ranges(struct db *db, struct crop_row *crop, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &crops_queries[RANGES], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", crop->key);
    while ((more = stmt_step(stmt, fault)) == 1) {
        struct crop_row_range *range;

        crop->ranges.item = arena_grow(arena, crop->ranges.item, crop->ranges.count, &room, sizeof *range);
        if (!crop->ranges.item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        range = (struct crop_row_range *)crop->ranges.item + crop->ranges.count++;
        *range = (struct crop_row_range){arena_text(arena, stmt_get_text(stmt, 0)), stmt_get_real(stmt, 1), stmt_get_real(stmt, 2),
                                         arena_text(arena, stmt_get_text(stmt, 3))};
        if (!range->quantity)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    return more;
}

static int read_crop(struct db *db, sqlite3_stmt *stmt, struct crop_row *crop, struct arena *arena, struct fault *fault)
{
    *crop = (struct crop_row){
        .key = stmt_get_int(stmt, 0),
        .id = arena_text(arena, stmt_get_text(stmt, 1)),
        .name = arena_text(arena, stmt_get_text(stmt, 2)),
        .fitness = arena_text(arena, stmt_get_text(stmt, 3)),
        .resembles = arena_text(arena, stmt_get_text(stmt, 4)),
    };
    if (!crop->id)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return read_ranges(db, crop, arena, fault);
}

int crop_rows_one(struct db *db, const char *id, struct crop_row *crop, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &crops_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = stmt_step(stmt, fault);
    return found == 1 && read_crop(db, stmt, crop, arena, fault) ? -1 : found;
}

int crop_rows_list(struct db *db, struct list *crops, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &crops_queries[LIST], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    *crops = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        crops->item = arena_grow(arena, crops->item, crops->count, &room, sizeof(struct crop_row));
        if (!crops->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        if (read_crop(db, stmt, (struct crop_row *)crops->item + crops->count++, arena, fault))
            return -1;
    }
    return more;
}
