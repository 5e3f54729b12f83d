/* migrations.h - bringing a garden file up to date. */
#ifndef TIDEMARK_MIGRATIONS_H
#define TIDEMARK_MIGRATIONS_H

#include "store/connection.h"

/* "Tide" in ASCII: stands in the file's header, so that file(1) and we know our own. */
#define GARDEN_APPLICATION_ID 0x54696465

/* Runs what is missing, each step in one transaction with its version. Refuses files that are not gardens and
 * gardens of a newer version. */
int migrations_run(struct db *writer, struct fault *fault);

/* How many there are: the version of a file that is up to date. */
int migrations_count(void);

#endif
