/* backup.c - naming and making copies of the garden. */
#include "garden/backup.h"

#include "calc/days.h"

int garden_backup(struct garden *garden, int64_t now_ms, struct backup_made *made, struct arena *arena, struct fault *fault)
{
    int32_t day = days_of_instant(now_ms);
    struct civil date = days_to_civil(day);
    int second = (int)((now_ms - day * DAYS_MS) / 1000);
    const char *path = arena_format(arena, "%s.%04d-%02d-%02dT%02d%02d%02dZ.backup", store_path(garden->store), date.year, date.month,
                                    date.day, second / 3600, second / 60 % 60, second % 60);

    return path ? store_backup(garden->store, path, made, arena, fault) : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}
