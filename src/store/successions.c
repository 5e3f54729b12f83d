/* successions.c - kept successions in the file. */
#include "store/successions.h"

#include "store/rows.h"

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

static void read_succession(struct row *row, void *into)
{
    struct succession_row *succession = into;

    *succession = (struct succession_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .crop = row_text(row, 3),
        .plants = stmt_get_int(row->stmt, 4),
        .every_days = stmt_get_int(row->stmt, 5),
        .first_day = (int32_t)stmt_get_int(row->stmt, 6),
        .last_day = (int32_t)stmt_get_int(row->stmt, 7),
        .seedling_days = stmt_get_int(row->stmt, 8),
        .topup_days = stmt_get_int(row->stmt, 9),
        .made_ms = stmt_get_int(row->stmt, 10),
        .member_key = stmt_get_int(row->stmt, 11),
        .member_name = row_text(row, 12),
        .ended = stmt_get_int(row->stmt, 13) != 0,
    };
}

static void read_tank(struct row *row, void *into)
{
    const char **id = into;

    *id = row_text(row, 0);
}

static void read_step(struct row *row, void *into)
{
    struct succession_step_row *step = into;

    *step = (struct succession_step_row){(int32_t)stmt_get_int(row->stmt, 0), (int32_t)stmt_get_int(row->stmt, 1), stmt_get_int(row->stmt, 2)};
}

static int read_of(struct db *db, size_t query, int64_t key, row_reader *read, size_t size, struct list *rows, struct arena *arena,
                   struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &successions_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":succession", key);
    return rows_all(stmt, read, size, rows, arena, fault);
}

static int read_lists(struct db *db, void *row, struct arena *arena, struct fault *fault)
{
    struct succession_row *succession = row;

    return read_of(db, TANKS, succession->key, read_tank, sizeof(const char *), &succession->tanks, arena, fault) ||
                   read_of(db, STEPS, succession->key, read_step, sizeof(struct succession_step_row), &succession->steps, arena, fault)
               ? -1
               : 0;
}

int succession_rows_one(struct db *db, const char *id, struct succession_row *row, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &successions_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    found = rows_one(stmt, read_succession, row, arena, fault);
    return found == 1 && read_lists(db, row, arena, fault) ? -1 : found;
}

int succession_rows_list(struct db *db, bool open_only, struct list *rows, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &successions_queries[LIST], fault);
    struct succession_row *row;
    size_t kept = 0;

    if (!stmt || rows_all(stmt, read_succession, sizeof *row, rows, arena, fault))
        return -1;
    row = rows->item;
    for (size_t i = 0; i < rows->count; i++)
        if (!open_only || !row[i].ended)
            row[kept++] = row[i];
    rows->count = kept;
    return rows_fill(db, read_lists, sizeof *row, rows, arena, fault);
}
