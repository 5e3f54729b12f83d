/* garden.h - one garden: its file, its settings, its vessels and tanks, and the rules over them.
 *
 * Safe from any thread. Texts that come back live in the arena that was given.
 */
#ifndef TIDEMARK_GARDEN_H
#define TIDEMARK_GARDEN_H

#include "calc/fault.h"
#include "store/arena.h"
#include "store/gardens.h"
#include "store/store.h"
#include "store/tanks.h"
#include "store/vessels.h"

/* Where copies go, how often, how many stay; told by options. All 0: beside the file, on request alone, all stay, no warning. */
struct backup_plan {
    const char *folder; /* NULL: beside the garden file, and only on request */
    int every_h;        /* hours; 24: at night */
    size_t keep;        /* 0: all */
    int warn_days;      /* a last copy older than that is worth a warning; 0: never */
};

struct garden {
    struct store *store;
    struct people *people;            /* who asked lately (garden/people.h) */
    struct standing_cache *standings; /* what was worked out of each tank (garden/standing.h) */
    struct standing_keeper *keeper;   /* works them out beforehand; NULL: nobody does (garden/standing_keeper.h) */
    struct jobs *jobs;                /* long work under way (garden/jobs.h) */
    struct backup_plan backups;
    struct backup_watch *watch;       /* makes copies when they are due; NULL: nobody does (garden/backup.h) */
    struct garden_day *day;           /* which day it is, until when */
};

/* Opens the file, making a new garden in a new one. NULL with a fault. */
struct garden *garden_open(const char *path, struct fault *fault);
void garden_close(struct garden *garden);

/* The garden's day at a moment, by its zone. Asked at every request: remembered until the day or the zone changes. */
int garden_today(struct garden *garden, int64_t now_ms, int32_t *today, struct fault *fault);

/* The settings; a climate that nobody told is taken from the latitude, see garden/place.h. */
int garden_settings(struct garden *garden, struct garden_row *row, struct arena *arena, struct fault *fault);

/* Puts all settings in the place of the present ones. FAULT_INPUT with pointers as in the garden document. */
int garden_settings_write(struct garden *garden, const struct garden_row *row, struct fault *fault);

/* Checks a vessel with its lid and fills in what was left out: start_mm half-way up the cups, low_mm. */
int garden_vessel_complete(struct vessel_row *vessel, struct arena *arena, struct fault *fault);

/* Adds a vessel. Sent twice it is kept once; FAULT_CONFLICT for an id that is there with other content. */
int garden_vessel_add(struct garden *garden, struct vessel_row *vessel, bool *stored_before, struct arena *arena, struct fault *fault);

/* Puts all of it in the place of the one with this id; FAULT_ABSENT. */
int garden_vessel_change(struct garden *garden, struct vessel_row *vessel, struct arena *arena, struct fault *fault);

/* Adds a tank: id (or NULL), name, area (uid or NULL), vessel (uid), walk_order. It gets a short code. */
int garden_tank_add(struct garden *garden, struct tank_row *tank, bool *stored_before, struct arena *arena, struct fault *fault);

/* Changes name, area, vessel, walk_order, retired of the tank with this key. */
int garden_tank_change(struct garden *garden, struct tank_row *tank, struct arena *arena, struct fault *fault);

#endif
