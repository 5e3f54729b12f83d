/* standing.h - how one tank stands today: its state, its outlook, and what it wants of people. */
#ifndef TIDEMARK_STANDING_H
#define TIDEMARK_STANDING_H

#include "calc/outlook.h"
#include "calc/topup.h"
#include "garden/crops.h"
#include "garden/garden.h"
#include "garden/tank_state.h"
#include "store/standings.h"

enum advice_reason {
    ADVICE_BELOW_LOW,
    ADVICE_RUNS_LOW,
    ADVICE_HARVEST_DUE,
    ADVICE_OVERDUE_READING,
    ADVICE_EC_HIGH,
    ADVICE_EC_LOW,
    ADVICE_PH_HIGH,
    ADVICE_PH_LOW,
    ADVICE_WARM,
    ADVICE_ABOVE_CEILING,
    ADVICE_UNEXPLAINED_RISE,
    ADVICE_PROBABLE_DOUBLE,
    ADVICE_UNPLANTED,
    ADVICE_EMPTY
};
#define ADVICE_REASONS (ADVICE_EMPTY + 1)
extern const char *const advice_reason_names[]; /* "below_low", ...; ended by NULL */

/* One thing that wants a hand. Numbers that do not belong to the reason are NAN, texts NULL. */
struct advice {
    int reason;
    double urgency;            /* days until it matters, less is more urgent; orders what Today shows */
    struct outlook_dates when; /* DAYS_NONE: not a matter of dates */
    struct advice_with {
        double litres, to_mm, share, days, value, low, high;
        const char *strength;  /* of a top-up: "nothing", "plain", "dilute", "full" */
        const char *crop;
        const char *entry, *other;
    } with;
    int act;                   /* the kind of entry that settles it (enum entry_kind); -1: none */
};

struct standing {
    struct tank_row tank;
    struct vessel_row vessel;
    struct tank_state state;
    struct outlook *outlook;   /* NULL: nothing to say (empty, nothing planted, place not told) */
    struct topup *topup;       /* NULL where there is nothing in the tank */
    struct list advice;        /* struct advice, most urgent first */
};

/* What the garden's place and day say to every tank. */
struct standing_place {
    struct garden_row garden;
    struct outlook_climate climate;
    bool climate_known;
    bool climate_told;         /* false: estimated from the latitude */
    struct list weather;       /* struct outlook_weather */
    struct list crops;         /* struct garden_crop: built in, changed and own ones */
    int32_t today;
    int64_t now_ms;
};

/* Reads the garden's place at a moment. */
int standing_place(struct db *db, int64_t now_ms, struct standing_place *place, struct arena *arena, struct fault *fault);

/* Works out the outlook of a standing whose vessel and state are there; NULL in it where nothing can be said. */
int standing_outlook(const struct standing_place *place, struct standing *standing, const struct outlook_prior *prior,
                     struct arena *arena, struct fault *fault);

/* What is to be told first, for an outlook that could not be made. */
const char *standing_outlook_wants(const struct standing_place *place, const struct standing *standing);

/* Works out one tank. What is dated ahead by more than a clock may err does not count yet; since nothing is written when its moment
 * comes, what is kept of the tank may learn of it only with the next entry or the next day. */
int standing_make(struct db *db, const struct standing_place *place, const struct tank_row *tank, struct standing *standing,
                  struct arena *arena, struct fault *fault);

/* ---- Today ---- */

/* What a small drawing needs. */
struct standing_drawing {
    double height_mm, start_mm, low_mm, ceiling_mm, waterline_mm; /* NAN: not known */
    double floor_mm, rim_mm; /* widths along the vessel's length; a poured one as wide as a round one of its volume */
    int64_t cups, planted;
};

/* What was read last, each with its moment: what tells somebody with a meter whether a new reading makes sense. */
struct standing_last {
    struct observed waterline, ec, ph, temperature; /* as in struct tank_state */
};

/* One tank as Today shows it. */
struct standing_short {
    int64_t key, changed;
    int32_t day;
    struct standing_drawing drawing;
    struct standing_last last;
    struct outlook_dates low_on, harvest_on;
    struct outlook_spread use_l_day;
    double carries_to_harvest;
    bool has_outlook, filled;
    size_t advice_count;
    struct advice advice[]; /* texts in the same block of memory */
};

/* Short standings are kept from one question to the next: worked out again only when the tank changed or a day began. */
struct standing_cache *standing_cache_new(void);
void standing_cache_free(struct standing_cache *cache);

/* Keeps the short form of a standing that was worked out for another reason, so that Today need not do it again. */
void standing_keep(struct garden *garden, const struct standing *standing, int32_t today);

/* What is kept of a tank: how urgent its most urgent matter is, NAN where it wants nothing, and how fresh that is. */
struct standing_glance {
    enum { STANDING_NONE, STANDING_OLD, STANDING_FRESH } kept;
    bool asked_for; /* people logged something at it since: nobody should have to wait to see that */
    int32_t day;    /* as of which day */
    double urgency;
};
struct standing_glance standing_glance(struct garden *garden, const struct tank_mark *mark, int32_t today);

/* People logged something at this tank: the mark is as of after it. What a snapshot from before it still brings does not settle that. */
void standing_ask_for(struct garden *garden, const struct tank_mark *mark);

/* The short standing of a tank, copied into the arena. */
int standing_short(struct garden *garden, struct db *db, const struct standing_place *place, const struct tank_row *tank,
                   const struct standing_short **found, struct arena *arena, struct fault *fault);

/* The same, but as it stood when it was last worked out, where that is kept and somebody is at it already (standing_keeper.h). */
int standing_short_old(struct garden *garden, struct db *db, const struct standing_place *place, const struct tank_row *tank,
                       const struct standing_short **found, struct arena *arena, struct fault *fault);

/* How many of those that an answer is made of stand as they stood before, and as of which day at the earliest; INT32_MIN: none. */
struct standing_behind {
    int64_t tanks;
    int32_t since;
};
#define STANDING_NONE_BEHIND {0, INT32_MIN}

/* Counts one in, and says whether it is behind. */
bool standing_is_behind(struct standing_behind *behind, const struct standing_short *brief, const struct tank_row *tank, int32_t today);

/* For the keeper: puts one back that was kept in the file (taken over), and takes out what is not in the file yet,
 * at most `most`, packed and malloc'ed: struct standing_row. */
void standing_put_back(struct garden *garden, struct standing_short *brief, size_t size);
size_t standing_unsaved(struct garden *garden, struct standing_row *rows, size_t most);

#endif
