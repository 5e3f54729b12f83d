/* backup_files.h - the copies of a garden that lie in a folder, and the room that is left. */
#ifndef TIDEMARK_BACKUP_FILES_H
#define TIDEMARK_BACKUP_FILES_H

#include "store/arena.h"
#include "store/store.h"

/* "roof.garden.2026-05-01T073000Z.backup": the garden file's own name, the moment in UTC. */
const char *backup_name(const char *garden_path, int64_t made_ms, struct arena *arena);

struct backup_file {
    const char *name;
    int64_t made_ms, bytes;
};

/* Copies of this garden file in a folder, newest first: struct backup_file. Files of other names are not looked at. */
int backup_files(const char *folder, const char *garden_path, struct list *files, struct arena *arena, struct fault *fault);

/* Removes all but the newest `keep` of them, at least one. */
int backup_files_prune(const char *folder, const char *garden_path, size_t keep, struct fault *fault);

/* The folder that a path lies in. */
const char *backup_folder_of(const char *path, struct arena *arena);

/* Bytes free for us where this path lies, and bytes of the file with its log; -1: not known. */
int64_t backup_room(const char *path);
int64_t backup_size(const char *path);

#endif
