/* tank_state.h - what the log says of one tank: a fold over its entries.
 *
 * Entries count in the order in which things happened (at, then id), whenever they arrived.
 * What was withdrawn does not count; what was amended counts as the amendment says.
 */
#ifndef TIDEMARK_TANK_STATE_H
#define TIDEMARK_TANK_STATE_H

#include "calc/vessel.h"
#include "store/entries.h"
#include "store/tanks.h"
#include "store/vessels.h"

/* Two like entries by two members this close are probably one act logged twice (DEVELOPERS.md, "The log"). */
#define DOUBLE_WITHIN_MS ((int64_t)30 * 60 * 1000)

/* A waterline that rises more than this without water put in is worth a word: reading by eye errs by half as much. Ours. */
#define RISE_NOTED_MM 5.0

/* A clock is off when it differs by more than this. */
#define CLOCK_OFF_MS ((int64_t)10 * 60 * 1000)

/* How much a top-up may raise the waterline once roots hang in air: "A suspended pot, non-circulating
 * hydroponic method", Acta Horticulturae 648 (2004), abstract: more than 2 cm may injure the plant. */
#define RISE_SAFE_MM 20.0

/* A waterline read no longer than this before a harvest tells what was drunk until then. Ours. */
#define WATERLINE_FRESH_MS ((int64_t)3 * 24 * 60 * 60 * 1000)

enum tank_flag {
    FLAG_PROBABLE_DOUBLE, FLAG_UNEXPLAINED_RISE, FLAG_CLOCK_OFF, FLAG_ABOVE_CEILING,
    FLAG_CUP_TAKEN, /* planted into a cup in which something hung, and nobody said that it was taken out */
    FLAG_CUPS_FULL, /* more planted than cups were free: the rest hangs nowhere */
    FLAG_CUP_EMPTY  /* taken, moved or lost from a cup in which nothing hung */
};

struct tank_flag_item {
    int flag;
    const char *entry, *other; /* ids; other NULL where there is none */
};

struct cup_state {
    int64_t cup; /* from 1 */
    const char *crop; /* NULL: nothing hangs there */
    int32_t planted_day; /* local day; INT32_MIN: none */
    const char *planting; /* id of the entry */
    int64_t cuts;
    int32_t grows_from_day; /* planted, or last cut */
    int32_t sown_day, here_day, cut_day; /* in this cup since; last cut; INT32_MIN: not told, none */
    int start;            /* enum entry_start, ENTRY_NONE: not told */
    int phase;            /* enum cup_phase; filled in by standing.c */
    int32_t ready_day;    /* as likely as not ready then; INT32_MIN: not foreseen. Filled in by the outlook. */
    const char *lost_crop; /* NULL: nothing was lost here since it was planted or cleaned out */
    int32_t lost_day;
    int lost_reason;
};

enum cup_phase { CUP_FREE, CUP_GROWING, CUP_READY, CUP_CUT, CUP_LOST };
enum cup_phase cup_phase(const struct cup_state *cup, int32_t today);

/* What happened to one cup. */
enum cup_what { CUP_PLANTED, CUP_WAS_CUT, CUP_HARVESTED, CUP_WAS_LOST, CUP_REPLACED, CUP_MOVED_IN, CUP_MOVED_OUT, CUP_CLEANED_OUT };
struct cup_deed {
    int what;
    int64_t at_ms;
    const char *entry, *crop;
    int64_t cup;
    const char *planting;   /* the entry that planted what it was done to */
    int64_t other_cup;      /* of a move within the tank; STORE_NO_INT: none */
    const char *other_tank; /* uid, of a move to another one */
    int reason;             /* of a loss, else ENTRY_NONE */
};

/* A value with its moment; NAN and STORE_NO_INT where there is none. */
struct observed {
    double value;
    int64_t at_ms;
};

/* Plants of one planting that hang here, or that hung here since the fill and were taken out on one day. */
struct planted {
    const char *crop, *entry;
    int64_t count;
    int32_t day;         /* hung in */
    int32_t gone_day;    /* INT32_MIN: they hang here now */
};

struct added_water {
    int64_t at_ms;
    double volume_l;     /* NAN: not told */
    double from_mm, to_mm; /* NAN: not known */
    const char *entry;
};

struct cut_back {
    int64_t at_ms;
    double kept_fraction;
    const char *crop;
};

struct waterline_reading {
    int64_t at_ms;
    double waterline_mm;
    int method;
    const char *entry;
    bool after_water; /* taken with a fill or a top-up */
};

/* A harvest, with what only the log before it can tell. */
struct taken {
    const char *entry;
    const char *crop;    /* NULL: nothing hung there, or crops were mixed */
    int64_t plants;      /* cups it was taken from; 0: nothing hung there */
    int32_t planted_day; /* the earliest among them; INT32_MIN: none */
    int32_t from_day;    /* since when what was taken grew: planting, or the cut before; the earliest; INT32_MIN: none */
    int64_t left;        /* cups with a plant afterwards */
    /* Litres that all plants of the tank drank since the fill, or since the last harvest from the same fill that has them;
     * NAN where no waterline was read within WATERLINE_FRESH_MS before it, or what was put in is not known. */
    double used_l;
};

struct tank_state {
    bool filled;
    int64_t filled_ms;
    const char *fill; /* id of the entry */
    struct observed waterline, ec, ph, temperature; /* mm, mS/cm, -, C */
    int64_t last_reading_ms; /* STORE_NO_INT: none */
    double air_gap_mm, volume_l; /* at the last known waterline */
    double lowest_mm;  /* since the fill */
    double ceiling_mm; /* highest that a top-up may reach now */
    double height_mm, start_mm, low_mm;
    const char *water, *target; /* of the fill */
    struct list cups;     /* struct cup_state, one for each cup of the vessel */
    struct list flags;    /* struct tank_flag_item */
    struct list planted;  /* struct planted: who drinks from this fill, or did */
    struct list added;    /* struct added_water since the fill, without the fill */
    struct list cuts;     /* struct cut_back since the fill */
    struct list taken;    /* struct taken: every harvest of the log, oldest first */
    struct list weighed;  /* struct entry_salt: with the fill */
    struct list weighed_since; /* struct entry_salt: with top-ups */
    struct list readings; /* struct waterline_reading since the fill, that of the fill first */
    struct list ph_of_fill; /* struct observed: every pH from the fill until the first top-up */
    double filled_l;      /* put in by the fill */
    double added_l;       /* put in since */
};

/* The calculation's vessel and cups of a stored one; the vessel borrows the points of row. */
struct vessel tank_vessel(const struct vessel_row *row);
struct vessel_cups tank_cups(const struct vessel_row *row);

/* Folds entries (struct entry, all of the tank, oldest first). zone is the garden's. */
int tank_state_fold(const struct vessel_row *row, const struct list *entries, const char *zone, struct tank_state *state,
                    struct arena *arena, struct fault *fault);

/* The same, for what happened to one cup, or with 0 to each, since the log began: struct cup_deed, oldest first. */
int tank_cup_history(const struct vessel_row *row, const struct list *entries, const char *zone, int64_t cup, struct list *deeds,
                     struct arena *arena, struct fault *fault);

/* The entries that count, oldest first: withdrawn and superseded ones left out, amendments in the place of what they
 * amend (an amendment keeps its own `at`). */
int log_effective(const struct list *entries, struct list *effective, struct arena *arena, struct fault *fault);

#endif
