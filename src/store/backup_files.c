/* backup_files.c - copies in a folder. */
#include "store/backup_files.h"

#include <dirent.h>
#include <errno.h>
#include <libgen.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include "calc/days.h"

static const char *base_of(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash ? slash + 1 : path;
}

const char *backup_name(const char *garden_path, int64_t made_ms, struct arena *arena)
{
    int32_t day = days_of_instant(made_ms);
    struct civil date = days_to_civil(day);
    int second = (int)((made_ms - day * DAYS_MS) / 1000);

    return arena_format(arena, "%s.%04d-%02d-%02dT%02d%02d%02dZ.backup", base_of(garden_path), date.year, date.month, date.day, second / 3600,
                        second / 60 % 60, second % 60);
}

/* The moment that a name tells, or false for any other file. */
static bool moment_of(const char *name, const char *base, int64_t *made_ms)
{
    size_t length = strlen(base);
    struct civil date;
    int hour, minute, second, end = 0;
    int32_t day;

    if (strncmp(name, base, length) != 0)
        return false;
    name += length;
    if (strlen(name) != strlen(".2026-05-01T073000Z.backup") ||
        sscanf(name, ".%4d-%2d-%2dT%2d%2d%2dZ.backup%n", &date.year, &date.month, &date.day, &hour, &minute, &second, &end) != 6 || name[end] ||
        !days_from_civil(date, &day))
        return false;
    *made_ms = day * DAYS_MS + (hour * 3600 + minute * 60 + second) * (int64_t)1000;
    return end > 0;
}

static int newest_first(const void *a, const void *b)
{
    const struct backup_file *x = a, *y = b;

    return (x->made_ms < y->made_ms) - (x->made_ms > y->made_ms);
}

static int take(DIR *folder, const char *where, const char *base, struct list *files, struct arena *arena)
{
    size_t room = 0;
    struct dirent *entry;

    while ((entry = readdir(folder))) {
        struct backup_file file;
        struct stat status;
        char *path;

        if (!moment_of(entry->d_name, base, &file.made_ms))
            continue;
        path = arena_format(arena, "%s/%s", where, entry->d_name);
        file.name = arena_text(arena, entry->d_name);
        files->item = arena_grow(arena, files->item, files->count, &room, sizeof file);
        if (!path || !file.name || !files->item)
            return -1;
        if (stat(path, &status) || !S_ISREG(status.st_mode))
            continue;
        file.bytes = status.st_size;
        ((struct backup_file *)files->item)[files->count++] = file;
    }
    return 0;
}

int backup_files(const char *folder, const char *garden_path, struct list *files, struct arena *arena, struct fault *fault)
{
    DIR *opened = opendir(folder);
    int failed;

    *files = (struct list){NULL, 0};
    if (!opened)
        return fault_add(fault, FAULT_STORE, "", "the folder of backups cannot be read: %s", strerror(errno));
    failed = take(opened, folder, base_of(garden_path), files, arena);
    closedir(opened);
    if (failed)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (files->count)
        qsort(files->item, files->count, sizeof(struct backup_file), newest_first);
    return 0;
}

int backup_files_prune(const char *folder, const char *garden_path, size_t keep, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct list files;
    const struct backup_file *file;

    if (backup_files(folder, garden_path, &files, &arena, fault))
        return -1;
    file = files.item;
    for (size_t i = keep ? keep : 1; i < files.count; i++) {
        char *path = arena_format(&arena, "%s/%s", folder, file[i].name);

        if (!path || unlink(path))
            return fault_add(fault, path ? FAULT_STORE : FAULT_MEMORY, "", "an old backup cannot be removed: %s", path ? strerror(errno) : "out of memory");
    }
    return 0;
}

const char *backup_folder_of(const char *path, struct arena *arena)
{
    char *copy = arena_text(arena, path);

    return copy ? dirname(copy) : NULL;
}

int64_t backup_room(const char *path)
{
    struct statvfs room;

    return statvfs(path, &room) ? -1 : (int64_t)(room.f_bavail * room.f_frsize);
}

int64_t backup_size(const char *path)
{
    struct stat status;

    return stat(path, &status) ? -1 : (int64_t)status.st_size;
}
