/* import_garden.h - what holds of a whole garden that is brought in, beyond its single rows. */
#ifndef TIDEMARK_GARDEN_IMPORT_GARDEN_H
#define TIDEMARK_GARDEN_IMPORT_GARDEN_H

#include "garden/garden.h"

/* Called for each fault: which list ("entries"), which row of it (by id; "" for the list), which member ("/shape"), what is wrong. */
typedef void import_wrong(void *context, const char *list, const char *id, const char *at, const char *what);

/* Holds settings, vessels, areas and the log of a file under way against the rules that their own addresses keep. 0 or -1. */
int import_garden_check(struct db *db, bool (*go_on)(void *context), import_wrong *wrong, void *context, struct fault *fault);

/* After another garden took this one's place: nothing that was remembered of the old one holds. */
void garden_replaced(struct garden *garden);

#endif
