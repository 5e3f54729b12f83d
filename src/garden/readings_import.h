/* readings_import.h - a logger's readings brought in a slice at a time, seen all at once (store/sensed_imports.h). */
#ifndef TIDEMARK_GARDEN_READINGS_IMPORT_H
#define TIDEMARK_GARDEN_READINGS_IMPORT_H

#include "garden/garden.h"

/* Rows a slice: other writes wait for one at most. Ours; some 60 ms on a busy machine. */
#define READINGS_SLICE 4096

/* Begins one, after what a broken one left is gone: *number goes into each row. For the sensor of this name; where there is none it
 * is made and nobody sees it before the end. */
int readings_import_begin(struct garden *garden, const char *sensor, int64_t now_ms, int64_t *number, int64_t *sensor_key, struct fault *fault);
int readings_import_end(struct garden *garden, struct fault *fault);

/* Takes away what is under way, some slices a commit. What cannot be taken away now stays unseen until the next start. */
int readings_import_undo(struct garden *garden, struct fault *fault);

/* After a start: undoes in the background what was under way when the daemon ended. */
void readings_import_resume(struct garden *garden);

#endif
