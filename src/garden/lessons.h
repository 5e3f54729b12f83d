/* lessons.h - a garden learns: what its finished fills taught about a crop sharpens the outlook of the next. */
#ifndef TIDEMARK_LESSONS_H
#define TIDEMARK_LESSONS_H

#include "calc/outlook.h"
#include "store/entries.h"
#include "store/tanks.h"

/* Called in the job that logs a clean-out: learns from the fill that ends with it. A fill that teaches nothing (too few
 * readings, no plants, no climate known) is no fault. */
int lessons_learn(struct db *db, const struct entry *clean_out, struct arena *arena, struct fault *fault);

/* What this garden knows of a crop: all NAN where it has learnt nothing yet. */
int lessons_prior(struct db *db, const char *crop, struct outlook_prior *prior, struct arena *arena, struct fault *fault);

/* The prior of so many lessons (struct lesson); pure. */
struct outlook_prior lessons_sum(const struct list *lessons);

#endif
