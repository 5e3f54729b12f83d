/* successions.c - kept successions in the file. */
#include "store/successions.h"

enum { ADD, ADD_TANK, ADD_STEP, CHANGE, ONE, LIST, TANKS, STEPS };

#define COLUMNS "SELECT s.key, s.uid, s.name, s.crop, s.plants, s.every_days, s.first_day, s.last_day, s.seedling_days, s.topup_days, s.made_ms, " \
                "s.member, m.name, s.ended FROM succession s LEFT JOIN member m ON m.key = s.member "

const struct query successions_queries[] = {
    [ADD] = {"succession_add",
             "INSERT INTO succession (uid, name, crop, plants, every_days, first_day, last_day, seedling_days, topup_days, made_ms, member) "
             "VALUES (:uid, :name, :crop, :plants, :every_days, :first_day, :last_day, :seedling_days, :topup_days, :made_ms, :member)"},
    [ADD_TANK] = {"succession_add_tank", "INSERT INTO succession_tank (succession, tank) SELECT s.key, t.key FROM succession s, tank t "
                                         "WHERE s.uid = :uid AND t.uid = :tank"},
    [ADD_STEP] = {"succession_add_step", "INSERT INTO succession_step (succession, place, plant_day, harvest_day, plants) "
                                         "SELECT key, :place, :plant_day, :harvest_day, :plants FROM succession WHERE uid = :uid"},
    [CHANGE] = {"succession_change", "UPDATE succession SET name = :name, ended = :ended WHERE uid = :uid"},
    [ONE] = {"succession_one", COLUMNS "WHERE s.uid = :uid"},
    [LIST] = {"successions", COLUMNS "WHERE s.key > 0 ORDER BY s.key"},
    [TANKS] = {"succession_tanks", "SELECT t.uid FROM succession_tank l JOIN tank t ON t.key = l.tank WHERE l.succession = :succession ORDER BY l.tank"},
    [STEPS] = {"succession_steps", "SELECT plant_day, harvest_day, plants FROM succession_step WHERE succession = :succession ORDER BY place"},
};
const size_t successions_queries_count = sizeof successions_queries / sizeof *successions_queries;

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

static int add_row(struct db *db, const struct succession_row *row, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &successions_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", row->id);
    stmt_text(add, ":name", row->name);
    stmt_text(add, ":crop", row->crop);
    stmt_int(add, ":plants", row->plants);
    stmt_int(add, ":every_days", row->every_days);
    stmt_int(add, ":first_day", row->first_day);
    stmt_int(add, ":last_day", row->last_day);
    stmt_int(add, ":seedling_days", row->seedling_days);
    stmt_int(add, ":topup_days", row->topup_days);
    stmt_int(add, ":made_ms", row->made_ms);
    stmt_int(add, ":member", row->member_key);
    return stmt_run(add, fault);
}

static int add_tank(struct db *db, const char *id, const char *tank, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &successions_queries[ADD_TANK], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", id);
    stmt_text(add, ":tank", tank);
    return stmt_run(add, fault);
}

static int add_step(struct db *db, const char *id, int64_t place, const struct succession_step_row *step, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &successions_queries[ADD_STEP], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", id);
    stmt_int(add, ":place", place);
    stmt_int(add, ":plant_day", step->plant_day);
    stmt_int(add, ":harvest_day", step->harvest_day);
    stmt_int(add, ":plants", step->plants);
    return stmt_run(add, fault);
}

int succession_rows_add(struct db *db, const struct succession_row *row, struct fault *fault)
{
    const char *const *tank = row->tanks.item;
    const struct succession_step_row *step = row->steps.item;

    if (add_row(db, row, fault))
        return -1;
    for (size_t i = 0; i < row->tanks.count; i++)
        if (add_tank(db, row->id, tank[i], fault))
            return -1;
    for (size_t i = 0; i < row->steps.count; i++)
        if (add_step(db, row->id, (int64_t)i + 1, &step[i], fault))
            return -1;
    return 0;
}

int succession_rows_change(struct db *db, const struct succession_row *row, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &successions_queries[CHANGE], fault);

    if (!change)
        return -1;
    stmt_text(change, ":uid", row->id);
    stmt_text(change, ":name", row->name);
    stmt_int(change, ":ended", row->ended);
    return stmt_run(change, fault);
}

static void read_row(sqlite3_stmt *stmt, struct succession_row *row, struct arena *arena)
{
    *row = (struct succession_row){
        .key = stmt_get_int(stmt, 0),
        .id = arena_text(arena, stmt_get_text(stmt, 1)),
        .name = arena_text(arena, stmt_get_text(stmt, 2)),
        .crop = arena_text(arena, stmt_get_text(stmt, 3)),
        .plants = stmt_get_int(stmt, 4),
        .every_days = stmt_get_int(stmt, 5),
        .first_day = (int32_t)stmt_get_int(stmt, 6),
        .last_day = (int32_t)stmt_get_int(stmt, 7),
        .seedling_days = stmt_get_int(stmt, 8),
        .topup_days = stmt_get_int(stmt, 9),
        .made_ms = stmt_get_int(stmt, 10),
        .member_key = stmt_get_int(stmt, 11),
        .member_name = arena_text(arena, stmt_get_text(stmt, 12)),
        .ended = stmt_get_int(stmt, 13) != 0,
    };
}

static int read_tanks(struct db *db, struct succession_row *row, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &successions_queries[TANKS], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":succession", row->key);
    while ((more = stmt_step(stmt, fault)) == 1) {
        row->tanks.item = arena_grow(arena, row->tanks.item, row->tanks.count, &room, sizeof(const char *));
        if (!row->tanks.item)
            return no_memory(fault);
        ((const char **)row->tanks.item)[row->tanks.count++] = arena_text(arena, stmt_get_text(stmt, 0));
    }
    return more;
}

static int read_steps(struct db *db, struct succession_row *row, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &successions_queries[STEPS], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":succession", row->key);
    while ((more = stmt_step(stmt, fault)) == 1) {
        row->steps.item = arena_grow(arena, row->steps.item, row->steps.count, &room, sizeof(struct succession_step_row));
        if (!row->steps.item)
            return no_memory(fault);
        ((struct succession_step_row *)row->steps.item)[row->steps.count++] =
            (struct succession_step_row){(int32_t)stmt_get_int(stmt, 0), (int32_t)stmt_get_int(stmt, 1), stmt_get_int(stmt, 2)};
    }
    return more;
}

int succession_rows_one(struct db *db, const char *id, struct succession_row *row, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &successions_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = stmt_step(stmt, fault);
    if (found == 1)
        read_row(stmt, row, arena);
    return found == 1 && (read_tanks(db, row, arena, fault) || read_steps(db, row, arena, fault)) ? -1 : found;
}

int succession_rows_list(struct db *db, bool open_only, struct list *rows, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &successions_queries[LIST], fault);
    size_t room = 0;
    int more;

    *rows = (struct list){NULL, 0};
    if (!stmt)
        return -1;
    while ((more = stmt_step(stmt, fault)) == 1) {
        struct succession_row *row;

        rows->item = arena_grow(arena, rows->item, rows->count, &room, sizeof *row);
        if (!rows->item)
            return no_memory(fault);
        row = (struct succession_row *)rows->item + rows->count++;
        read_row(stmt, row, arena);
        if (open_only && row->ended) {
            rows->count--;
            continue;
        }
        if (read_tanks(db, row, arena, fault) || read_steps(db, row, arena, fault))
            return -1;
    }
    return more;
}
