/* backup.h - copies of the garden beside its file. */
#ifndef TIDEMARK_GARDEN_BACKUP_H
#define TIDEMARK_GARDEN_BACKUP_H

#include "garden/garden.h"
#include "store/backup.h"

/* Makes a proven copy beside the garden file, named after it and the moment: "roof.garden.2026-05-01T073000Z.backup".
 * A copy is a garden file like any other: stop the daemon, put it in the place of the old one, start again. */
int garden_backup(struct garden *garden, int64_t now_ms, struct backup_made *made, struct arena *arena, struct fault *fault);

#endif
