/* backup.h - copies of the garden over HTTP: a file on the daemon's machine, and one document of everything. */
#ifndef TIDEMARK_API_BACKUP_H
#define TIDEMARK_API_BACKUP_H

#include "api/request.h"
#include "api/shape.h"

extern const struct shape backup_shape, backups_shape;

/* Words for what somebody should see to: const char *. */
struct backup_state;
int backup_warnings(const struct backup_state *state, struct list *warnings, struct arena *arena, struct fault *fault);

int backup_post(struct request *request, struct reply *reply, struct fault *fault);
int backups_get(struct request *request, struct reply *reply, struct fault *fault);
int export_get(struct request *request, struct reply *reply, struct fault *fault);

/* The whole export as text; 0 or -1 with a fault. */
int export_write(struct db *db, FILE *out, struct fault *fault);

#endif
