/* harvests.h - what came off the tanks, one by one and summed up. */
#ifndef TIDEMARK_HARVESTS_H
#define TIDEMARK_HARVESTS_H

#include "calc/crops.h"
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
    int64_t grown_days;  /* since planting, or since the cut before; STORE_NO_INT: not known */
    double used_l;       /* see struct taken of tank_state.h; NAN: not known */
    double g_per_plant;  /* NAN: not weighed, or plants not known */
    double lid_m2;       /* that part of the lid which the cups taken make of all its cups; NAN: not known */
    double kwh;          /* of the lamps over that part for grown_days; NAN: no lamps, or power or hours not told */
    /* With the last harvest of a fill of one crop, once nothing hangs in it or it was emptied: all that the fill gave for each
     * gram of nitrogen weighed into it, top-ups included. NAN: not that one, or something was not weighed. */
    double g_per_g_n;
    /* With the same harvest: all that the fill gave for each litre drunk of it. Not harvest by harvest: what hangs on after a cut or
     * after the neighbours were taken grew on water that is counted with the earlier one. NAN: not that one, or water not known. */
    double g_per_litre;
    bool fill_of_one_member; /* all harvests of that fill were logged by one member */
    struct season season;
};

struct harvests_ask {
    const char *tank; /* uid or code; NULL: all */
    const char *crop; /* NULL: all */
    int64_t from_ms, to_ms; /* at from_ms and later, before to_ms */
    int64_t newest; /* about so many of the newest will do; 0: all */
};

/* Newest first: struct harvest; *all: these are all that were asked for, not only the newest. FAULT_INPUT at "/tank" where there is no
 * such tank. */
int garden_harvests(struct garden *garden, const struct harvests_ask *ask, struct list *harvests, bool *all, struct arena *arena,
                    struct fault *fault);

/* Harvests put together. Each spread counts harvests, not plants: one weighing of six heads is one value, their mean.
 * So that nobody reads much into little, `few` says when a middle rests on fewer than HARVESTS_FEW values. */
#define HARVESTS_FEW 5 /* ours */
enum harvest_measure {
    MEASURE_PLANT,   /* g a plant, which is a cup */
    MEASURE_HARVEST, /* g */
    MEASURE_LITRE,   /* g a litre drunk; one value a fill, as for nitrogen */
    MEASURE_M2,      /* g a square metre of lid */
    MEASURE_DAY,     /* g a plant and day it grew */
    MEASURE_G_N,     /* g a gram of nitrogen weighed in; one value a fill, not a harvest */
    MEASURE_KWH,     /* g a kWh of lamp */
    MEASURE_DAYS     /* from planting */
};
#define HARVEST_MEASURES (MEASURE_DAYS + 1)

struct sample {
    struct spread spread;
    double median;               /* NAN where n is 0 */
    struct list values;          /* double */
    size_t room;
};

struct harvest_group {
    const char *id, *name;       /* of the tank, crop, season or member */
    int64_t harvests, plants;    /* all, weighed or not */
    double total_g;              /* of those weighed */
    double used_l;               /* by those weighed whose water is known; NAN: known of none */
    struct sample measure[HARVEST_MEASURES]; /* of those that can tell it */
    bool few;
    const struct crop_range *usual_g; /* crops: a plant at first harvest, as the library says; NULL: not told */
    int32_t first, last;         /* seasons: their days; else of the first and last harvest */
};

/* What others got, to hold one's own against. */
struct harvest_published {
    enum harvest_measure measure;
    double low, high;
    const char *id, *what, *source;
};
extern const struct harvest_published harvests_published[];
extern const size_t harvests_published_count;

struct harvest_summary {
    struct list by_tank, by_crop, by_season; /* struct harvest_group: by name; by name; oldest first. Never by yield. */
    struct list by_member;                   /* by name; empty unless the garden wants it */
    struct harvest_group all;
    struct season now, before, year_before; /* today's, the one before it, and the same one a year before */
};

int garden_harvest_summary(struct garden *garden, const struct harvests_ask *ask, int64_t now_ms, struct harvest_summary *summary,
                           struct arena *arena, struct fault *fault);

#endif
