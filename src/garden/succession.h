/* succession.h - so many plants ready every few days, all season: when to sow, when to plant, in which tanks.
 *
 * Each harvest gets the latest planting that is as likely as not ready by its day: no plant stands in a cup longer than
 * that needs. Which tank takes it is decided by succession_place.h, for cups and water. How long growth takes and what a plant drinks
 * each day comes from the same model, place and crop figures as a tank's outlook.
 */
#ifndef TIDEMARK_SUCCESSION_H
#define TIDEMARK_SUCCESSION_H

#include "garden/garden.h"
#include "garden/standing.h"

/* ---- the plan by itself ---- */

struct succession_tank {
    int64_t cups;
    int64_t busy;       /* of them hang full now */
    int32_t busy_until; /* day on which those are free again */
    /* Water, where wish.topup_days asks for it (succession_place.h). */
    double usable_l, water_l, topup_l;
    const int64_t *busy_by_day; /* instead of busy: on each day from wish.today on, wish.last - wish.today + 1 of them; NULL: as above */
    const double *other_l;      /* drunk by what hangs there now, as many days; NULL: nothing */
};

struct succession_wish {
    int32_t today, first, last;  /* harvests from first to last */
    int every_days;              /* 1 to 60 */
    int64_t count;               /* plants each time */
    /* latest[d - latest_from] is the last day on which a planting is ready by day d; DAYS_NONE: none is. Never falling. */
    const int32_t *latest;
    int32_t latest_from;
    size_t latest_count;
    const struct succession_tank *tank;
    size_t tanks;
    int topup_days; /* how often people top up; 0: water is not counted */
    /* drinks_l[d - latest_from]: of one plant harvested on day d, each day from its planting on; NULL where latest is DAYS_NONE. */
    const double *const *drinks_l;
};

enum succession_why {
    SUCCESSION_FITS,
    SUCCESSION_CUPS,     /* too few cups are free on .day */
    SUCCESSION_TOO_SOON, /* for the harvest of .day something had to be planted before today */
    SUCCESSION_TOO_COLD, /* nothing planted before it is ready by .day */
    SUCCESSION_WATER     /* the cups would do, the water between top-ups does not; .day: planting left out first */
};

struct succession_part {
    size_t tank; /* index */
    int64_t cups;
};
struct succession_planting {
    int32_t plant_on, harvest_on;
    int64_t plants;    /* placed; fewer than wished where there is trouble */
    struct list parts; /* struct succession_part: one tank where one has room */
};

struct succession {
    int why;            /* enum succession_why */
    int32_t day;        /* of the first trouble; DAYS_NONE where it fits */
    struct list plantings; /* struct succession_planting: the wish, or the most of it that can be */
    int64_t wished, total, bound; /* plants; total of them are in the plan, and no plan has more than bound: where they differ, that is the gap */
    int64_t cups, most_used; /* all cups; the most in use at once by plan and present plants */
    int32_t busiest_on;
    double least_l; /* of the worst evenings of all tanks it uses the worst, above the low mark; INFINITY: water was not counted */
    /* The nearest wishes that fit: fewer plants each time; the same number less often; the same wish's harvests from a later one on. 0, DAYS_NONE: none. */
    int64_t fits_count;
    int fits_every_days;
    int32_t fits_from;
};

/* Returns 0, or -1 with FAULT_INPUT ("/every_days", "/count", "/to") or FAULT_MEMORY. */
int succession_plan(const struct succession_wish *wish, struct succession *plan, struct arena *arena, struct fault *fault);

/* ---- for a garden ---- */

struct succession_ask {
    const char *crop;      /* id */
    struct list tanks;     /* const char *, ids or codes; none: all in use */
    int64_t count, every_days, seedling_days; /* from sowing to planting */
    int64_t topup_days;    /* how often people top up; 0: water is not counted */
    int32_t first, last;
};
struct succession_found {
    struct succession plan;
    const struct tank_row **tank; /* by index */
    size_t tanks;
    int32_t today;
    double solution_low_l, solution_high_l; /* that the plan's plants drink to their harvest; NAN: not known of the crop */
};
int garden_succession(struct garden *garden, const struct succession_ask *ask, int64_t now_ms, struct succession_found *found,
                      struct arena *arena, struct fault *fault);

/* What plans of a garden are made from. */
struct succession_ground {
    struct standing_place place;
    const struct garden_crop *crop;
    const struct tank_row **tank;
    struct standing *standing;     /* of each tank */
    struct succession_tank *room;  /* of each tank: by its own log, for days from today to last */
    size_t tanks;
    int32_t last;
    int32_t *latest, latest_from;  /* as in the wish */
    const double **drinks_l;
    size_t latest_count;
};

/* Gathers it for harvests from first to last. stays: until which day a plant that hangs now keeps its cup, beside what the outlook says;
 * NULL: no longer than that. */
typedef int32_t succession_stays(const struct cup_state *cup, void *context);
int succession_ground_make(struct db *db, const struct succession_ask *ask, int32_t first, int32_t last, int64_t now_ms,
                           succession_stays *stays, void *context, struct succession_ground *ground, struct arena *arena, struct fault *fault);

#endif
