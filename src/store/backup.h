/* backup.h - a whole copy of the garden file, proven before it bears its name. */
#ifndef TIDEMARK_STORE_BACKUP_H
#define TIDEMARK_STORE_BACKUP_H

#include "store/arena.h"
#include "store/store.h"

struct backup_made {
    const char *path;
    int64_t bytes, entries, tanks, members; /* of the copy */
};

/* Copies the file as it is at one moment to path, which must not be there yet. The copy is written under another name,
 * read whole (integrity, foreign keys, counts against the file it came from), flushed to the disk, and only then
 * renamed; on a fault nothing is left.
 *
 * Done on a connection of its own that only reads: logging goes on meanwhile, and the one writer stays the only one
 * that writes to the garden file.
 * FAULT_CONFLICT when path is there already, FAULT_FULL when the disk has no room.
 */
int store_backup(struct store *store, const char *path, struct backup_made *made, struct arena *arena, struct fault *fault);

/* A proven copy beside a file whose schema is about to change, "roof.garden.version-3.backup"; for migrations.c. */
int backup_before_change(struct db *writer, int version, struct fault *fault);

#endif
