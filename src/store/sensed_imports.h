/* sensed_imports.h - readings of a sensor that are being brought in, a slice at a time.
 *
 * All in the writer's jobs. Between begin and end the rows that carry the import's number (struct sensed, import) are in the file, but
 * no reader finds them, nor the sensor that was made for them; end lets all be seen at once, undo takes them away. One is under way
 * at most; what a crash left under way is undone after the next start (garden/readings_import.h).
 */
#ifndef TIDEMARK_STORE_SENSED_IMPORTS_H
#define TIDEMARK_STORE_SENSED_IMPORTS_H

#include "store/members.h"
#include "store/store.h"

/* The number of the one under way; 0: none. */
int sensed_import_under_way(struct db *db, int64_t *number, struct fault *fault);

/* FAULT_CONFLICT while one is under way. */
int sensed_import_begin(struct db *db, int64_t *number, struct fault *fault);

/* Makes a sensor (uid, name, hash, made_ms) that nobody sees until the end. Sets its key. */
int sensed_import_sensor(struct db *db, struct sensor_row *sensor, struct fault *fault);

/* Rows of this tank from one moment to another, both included, are about to be written. */
int sensed_import_slice(struct db *db, int64_t tank_key, int64_t from_ms, int64_t to_ms, struct fault *fault);

/* All is there: it is seen from this commit on, and the tanks concerned count as changed. */
int sensed_import_end(struct db *db, struct fault *fault);

/* Takes some of it away, about `rows`; *more: call again, in a job of its own. */
int sensed_import_undo(struct db *db, int64_t rows, bool *more, struct fault *fault);

extern const struct query sensed_imports_queries[];
extern const size_t sensed_imports_queries_count;

#endif
