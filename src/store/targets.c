/* targets.c - targets in the file. */
#include "store/targets.h"

#include "store/rows.h"

enum { ADD, CHANGE, ONE, LIST, PARTS, DROP_PARTS, ADD_PART };

const struct query targets_queries[] = {
    [ADD] = {"target_add", "INSERT INTO target (uid, name, source, stage) VALUES (:uid, :name, :source, :stage)"},
    [CHANGE] = {"target_change", "UPDATE target SET name = :name, source = :source, stage = :stage WHERE key = :key"},
    [ONE] = {"target_one", "SELECT key, uid, name, source, stage FROM target WHERE uid = :uid"},
    [LIST] = {"target_list", "SELECT key, uid, name, source, stage FROM target WHERE key > 0 ORDER BY key"},
    [PARTS] = {"target_parts", "SELECT part, mg_l FROM target_part WHERE target = :key"},
    [DROP_PARTS] = {"target_drop_parts", "DELETE FROM target_part WHERE target = :key"},
    [ADD_PART] = {"target_add_part", "INSERT INTO target_part (target, part, mg_l) VALUES (:key, :part, :mg_l)"},
};
const size_t targets_queries_count = sizeof targets_queries / sizeof *targets_queries;

static int add_parts(struct db *db, const struct target_row *target, struct fault *fault)
{
    const struct target_part *part = target->parts.item;

    for (size_t i = 0; i < target->parts.count; i++) {
        STMT_HELD *add = stmt_take(db, &targets_queries[ADD_PART], fault);

        if (!add)
            return -1;
        stmt_int(add, ":key", target->key);
        stmt_text(add, ":part", part[i].part);
        stmt_real(add, ":mg_l", part[i].mg_l);
        if (stmt_run(add, fault))
            return -1;
    }
    return 0;
}

int target_rows_add(struct db *db, struct target_row *target, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &targets_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", target->id);
    stmt_text(add, ":name", target->name);
    stmt_text(add, ":source", target->source);
    stmt_int(add, ":stage", target->stage);
    if (stmt_run(add, fault))
        return -1;
    target->key = db_last_id(db);
    return add_parts(db, target, fault);
}

int target_rows_change(struct db *db, const struct target_row *target, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &targets_queries[CHANGE], fault);
    STMT_HELD *drop = stmt_take(db, &targets_queries[DROP_PARTS], fault);

    if (!change || !drop)
        return -1;
    stmt_text(change, ":name", target->name);
    stmt_text(change, ":source", target->source);
    stmt_int(change, ":stage", target->stage);
    stmt_int(change, ":key", target->key);
    stmt_int(drop, ":key", target->key);
    return stmt_run(change, fault) || stmt_run(drop, fault) || add_parts(db, target, fault) ? -1 : 0;
}

static void read_part(struct row *row, void *into)
{
    struct target_part *part = into;

    *part = (struct target_part){row_text(row, 0), stmt_get_real(row->stmt, 1)};
}

static int read_parts(struct db *db, void *row, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &targets_queries[PARTS], fault);
    struct target_row *target = row;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", target->key);
    return rows_all(stmt, read_part, sizeof(struct target_part), &target->parts, arena, fault);
}

static void read_target(struct row *row, void *into)
{
    struct target_row *target = into;

    *target = (struct target_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .source = row_text(row, 3),
        .stage = stmt_get_int(row->stmt, 4),
    };
}

int target_rows_one(struct db *db, const char *id, struct target_row *target, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &targets_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = rows_one(stmt, read_target, target, arena, fault);
    return found == 1 && read_parts(db, target, arena, fault) ? -1 : found;
}

int target_rows_list(struct db *db, struct list *targets, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &targets_queries[LIST], fault);

    if (!stmt)
        return -1;
    if (rows_all(stmt, read_target, sizeof(struct target_row), targets, arena, fault))
        return -1;
    return rows_fill(db, read_parts, sizeof(struct target_row), targets, arena, fault);
}
