/* backup.h - copies of the garden: on request, by a schedule, and a word when there is none or no room.
 *
 * A copy is a garden file like any other: stop the daemon, put it in the place of the old one, start again.
 */
#ifndef TIDEMARK_GARDEN_BACKUP_H
#define TIDEMARK_GARDEN_BACKUP_H

#include "garden/garden.h"
#include "store/backup.h"
#include "store/backup_files.h"

#define BACKUP_NIGHT_HOUR 3          /* of the garden's day: nobody logs then. Ours */
#define BACKUP_ROOM_LEAST ((int64_t)200 << 20) /* less than that, or than the garden thrice, is nearly full. Ours */

/* Makes a proven copy in the folder of garden->backups, or beside the garden file, and removes what is more than to be kept. */
int garden_backup(struct garden *garden, int64_t now_ms, struct backup_made *made, struct arena *arena, struct fault *fault);

/* When the next copy is due, by the last one (STORE_NO_INT: none): at night where it is one a day, else so many hours after. */
int64_t backup_due_ms(const struct backup_plan *plan, const char *zone, int64_t last_ms, int64_t now_ms);

/* How it stands with copies and room. */
struct backup_state {
    struct list files;            /* struct backup_file, newest first */
    int64_t last_ms, next_ms;     /* STORE_NO_INT: none, none planned */
    int64_t garden_bytes, free_bytes;
    bool old, no_room, failed, damaged;
    const char *why;              /* of the last failure; NULL: none */
};
int backup_state(struct garden *garden, int64_t now_ms, struct backup_state *state, struct arena *arena, struct fault *fault);

/* ---- the watch: a thread that checks the file after a start, and makes copies when they are due ---- */

int backup_watch_start(struct garden *garden, struct fault *fault);
void backup_watch_stop(struct backup_watch *watch);

/* What the watch found: whether the garden file is damaged, and why the last copy failed ("": it did not). */
void backup_watch_tell(struct backup_watch *watch, bool *damaged, char *why, size_t room);

#endif
