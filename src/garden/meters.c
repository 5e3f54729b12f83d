/* meters.c - checks of meters. */
#include "garden/meters.h"

#include "garden/clock.h"
#include "store/entries.h"

static int find(struct meter_check *check, struct fault *fault)
{
    const struct meter_check_row *row = &check->row;

    return ec_check_meter((enum ec_standard)row->standard, row->reading_ms_cm, row->temperature_c, row->compensated, &check->found,
                          fault);
}

static int add(struct db *db, void *context, struct fault *fault)
{
    return meter_checks_add(db, context, fault);
}

int garden_meter_check(struct garden *garden, const struct who *who, struct meter_check *check, struct arena *arena,
                       struct fault *fault)
{
    unsigned char bytes[16];
    char id[37];

    if (check->row.id && uuid_bytes(check->row.id, bytes))
        return fault_add(fault, FAULT_INPUT, "/id", "must be a UUID");
    if (!check->row.id) {
        clock_uuid(id);
        check->row.id = arena_text(arena, id);
    }
    check->row.member_key = who->member ? who->member : STORE_NO_INT;
    check->row.member_name = who->name;
    return find(check, fault) || store_write(garden->store, add, &check->row, fault) ? -1 : 0;
}

int garden_meter_checks(struct garden *garden, int64_t limit, struct list *checks, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    struct list rows;
    struct meter_check *check;
    int failed;

    if (!db)
        return -1;
    failed = meter_checks_list(db, limit, &rows, arena, fault);
    store_done(garden->store, db);
    if (failed)
        return -1;
    check = arena_take(arena, (rows.count + 1) * sizeof *check);
    if (!check)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *checks = (struct list){check, rows.count};
    for (size_t i = 0; i < rows.count; i++) {
        check[i].row = ((struct meter_check_row *)rows.item)[i];
        if (find(&check[i], fault))
            return -1;
    }
    return 0;
}
