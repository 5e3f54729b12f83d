/* advice.h - what a tank wants of people, from how it stands. */
#ifndef TIDEMARK_ADVICE_H
#define TIDEMARK_ADVICE_H

#include "garden/standing.h"

/* Fills standing->advice from the rest of it and the entries it was folded from, most urgent first. */
int advice_make(struct standing *standing, const struct standing_place *place, const struct list *entries, struct arena *arena,
                struct fault *fault);

#endif
