/* successions.h - successions that people keep: what was planned, what was done, what changes now. */
#ifndef TIDEMARK_SUCCESSIONS_H
#define TIDEMARK_SUCCESSIONS_H

#include "garden/people.h"
#include "garden/succession.h"
#include "store/successions.h"

enum season_state {
    SEASON_COMING,    /* nothing planted yet, and its day has not passed */
    SEASON_LATE,      /* its day has passed with plants missing */
    SEASON_GROWING,   /* all planted that could be, some hang */
    SEASON_HARVESTED, /* none hangs any more, some were harvested */
    SEASON_LOST       /* all were lost */
};

/* One step of the plan. Plantings of the log count for the step whose day lies nearest. */
struct season_step {
    struct succession_step_row planned;
    int state;
    int64_t planted, hanging, harvested, lost, missing; /* missing: to be planted yet, or again */
    int32_t planted_on, harvested_on, ready_on;         /* the last ones; DAYS_NONE: none */
    /* For those missing, by today's log: with places in parts. DAYS_NONE: too late for a harvest within the season and the six weeks after it. */
    int32_t plant_on, harvest_on;
    int64_t plants;    /* of them that find room */
    struct list parts; /* struct succession_part */
};

struct season {
    struct succession_row row;
    struct list steps; /* struct season_step */
    const struct tank_row **tank;
    size_t tanks;
    int32_t today;
    int64_t wished, planted, harvested, lost, missing, placed, bound; /* bound: no plan places more of the missing */
};

/* Keeps a wish with the plan that is made for it now; row: id, name, crop, plants, ... , tanks. Sent twice it is kept once. */
int garden_succession_keep(struct garden *garden, const struct who *who, struct succession_row *row, int64_t now_ms, bool *stored_before,
                           struct arena *arena, struct fault *fault);
int garden_succession_change(struct garden *garden, const struct succession_row *row, struct fault *fault);
int garden_succession_rows(struct garden *garden, struct list *rows, struct arena *arena, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int garden_succession_row(struct garden *garden, const char *id, struct succession_row *row, struct arena *arena, struct fault *fault);

/* One with what was done, planned anew from today on. 1, 0, -1. */
int garden_season(struct garden *garden, const char *id, int64_t now_ms, struct season *season, struct arena *arena, struct fault *fault);

/* What is to be sown or planted: of every succession that is not ended, from today on, and plantings that are late. */
struct season_due {
    const char *succession, *name, *crop;
    bool sow;       /* else plant */
    int64_t plants;
    int32_t day;    /* as planned */
    size_t step;    /* from 0 */
};
int successions_due(struct db *db, const char *zone, int32_t today, int32_t until, struct list *due, struct arena *arena, struct fault *fault);

#endif
