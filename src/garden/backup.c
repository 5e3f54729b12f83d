/* backup.c - making copies, and knowing how old the last one is. */
#include "garden/backup.h"

#include "garden/clock.h"

#define HOUR_MS ((int64_t)60 * 60 * 1000)

static const char *folder_of(struct garden *garden, struct arena *arena)
{
    return garden->backups.folder ? garden->backups.folder : backup_folder_of(store_path(garden->store), arena);
}

int garden_backup(struct garden *garden, int64_t now_ms, struct backup_made *made, struct arena *arena, struct fault *fault)
{
    const char *folder = folder_of(garden, arena), *name = backup_name(store_path(garden->store), now_ms, arena);
    const char *path = folder && name ? arena_format(arena, "%s/%s", folder, name) : NULL;

    if (!path)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (store_backup(garden->store, path, made, arena, fault))
        return -1;
    return garden->backups.folder && garden->backups.keep ? backup_files_prune(folder, store_path(garden->store), garden->backups.keep, fault) : 0;
}

int64_t backup_due_ms(const struct backup_plan *plan, const char *zone, int64_t last_ms, int64_t now_ms)
{
    int32_t day;
    int64_t night_ms;

    if (last_ms == STORE_NO_INT)
        return now_ms;
    if (plan->every_h != 24)
        return last_ms + plan->every_h * HOUR_MS;
    day = clock_day(zone, last_ms);
    night_ms = clock_day_start_ms(zone, day) + BACKUP_NIGHT_HOUR * HOUR_MS;
    return night_ms > last_ms ? night_ms : clock_day_start_ms(zone, day + 1) + BACKUP_NIGHT_HOUR * HOUR_MS;
}

/* A new garden has some days before a missing copy is worth a word. */
static bool too_old(const struct backup_plan *plan, const struct garden_row *row, int64_t last_ms, int64_t now_ms)
{
    return plan->warn_days && now_ms - (last_ms == STORE_NO_INT ? row->made_ms : last_ms) > plan->warn_days * 24 * HOUR_MS;
}

int backup_state(struct garden *garden, int64_t now_ms, struct backup_state *state, struct arena *arena, struct fault *fault)
{
    const char *path = store_path(garden->store), *folder = folder_of(garden, arena);
    int64_t room, other;
    struct garden_row row;
    char why[200] = "";

    *state = (struct backup_state){.last_ms = STORE_NO_INT, .next_ms = STORE_NO_INT};
    if (!folder)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (garden_settings(garden, &row, arena, fault) || backup_files(folder, path, &state->files, arena, fault))
        return -1;
    if (state->files.count)
        state->last_ms = ((const struct backup_file *)state->files.item)->made_ms;
    if (garden->watch) {
        backup_watch_tell(garden->watch, &state->damaged, why, sizeof why);
        if (garden->backups.folder)
            state->next_ms = backup_due_ms(&garden->backups, row.time_zone, state->last_ms, now_ms);
    }
    state->failed = why[0] != '\0';
    state->why = state->failed ? arena_text(arena, why) : NULL;
    state->garden_bytes = backup_size(path);
    room = backup_room(folder);
    other = backup_room(path);
    state->free_bytes = room < other ? room : other;
    state->old = too_old(&garden->backups, &row, state->last_ms, now_ms);
    state->no_room = state->free_bytes >= 0 && (state->free_bytes < BACKUP_ROOM_LEAST || state->free_bytes < 3 * state->garden_bytes);
    return 0;
}
