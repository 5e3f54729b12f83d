/* harvests.h - what came off the tanks, one by one and summed up. */
#ifndef TIDEMARK_HARVESTS_H
#define TIDEMARK_HARVESTS_H

#include "calc/spread.h"
#include "garden/garden.h"
#include "garden/seasons.h"
#include "store/entries.h"

struct harvest {
    struct entry entry;  /* as it stands: amended, not withdrawn */
    const char *tank, *tank_code, *tank_name;
    const char *crop;    /* NULL: not known, or several at once */
    int64_t plants;      /* taken from; STORE_NO_INT: not known */
    int64_t days;        /* since planting; STORE_NO_INT: not known */
    double used_l;       /* see struct taken of tank_state.h; NAN: not known */
    double g_per_plant;  /* NAN: not weighed, or plants not known */
    struct season season;
};

struct harvests_ask {
    const char *tank; /* uid or code; NULL: all */
    const char *crop; /* NULL: all */
    int64_t from_ms, to_ms; /* at from_ms and later, before to_ms */
};

/* Newest first: struct harvest. FAULT_INPUT at "/tank" where there is no such tank. */
int garden_harvests(struct garden *garden, const struct harvests_ask *ask, struct list *harvests, struct arena *arena,
                    struct fault *fault);

/* Harvests put together. Each spread counts harvests, not plants: one weighing of six heads is one value, their mean.
 * So that nobody reads much into little, `few` says when a middle rests on fewer than HARVESTS_FEW values. */
#define HARVESTS_FEW 5 /* ours */
struct harvest_group {
    const char *id, *name;       /* of the tank, crop or season */
    int64_t harvests, plants;    /* all, weighed or not */
    double total_g;              /* of those weighed */
    double used_l;               /* by those weighed whose water is known */
    struct spread g_per_plant;
    struct spread g_per_harvest;
    struct spread g_per_litre;   /* of those whose water is known */
    struct spread days;
    bool few;
    int32_t first, last;         /* seasons: their days; else of the first and last harvest */
};

struct harvest_summary {
    struct list by_tank, by_crop, by_season; /* struct harvest_group: by name; by name; oldest first. Never by yield. */
    struct harvest_group all;
};

int garden_harvest_summary(struct garden *garden, const struct harvests_ask *ask, struct harvest_summary *summary,
                           struct arena *arena, struct fault *fault);

#endif
