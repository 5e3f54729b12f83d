/* rounds.h - the tanks to visit today, in walking order, and who is at which.
 *
 * A round is made out of what Today advises. What each stop takes - litres, strength, grams - is kept as it was told, since
 * people weigh by it before they set out. People take stops, skip them and give them back; a stop is done once an entry of
 * the right kind was logged of its tank during the round, by whichever page, or once somebody says so. So a withdrawn entry
 * opens its stop again, and one that a phone sends late closes it.
 */
#ifndef TIDEMARK_GARDEN_ROUNDS_H
#define TIDEMARK_GARDEN_ROUNDS_H

#include "garden/garden.h"
#include "garden/people.h"
#include "store/rounds.h"

/* All ours. More stops than anybody walks in one go; how long a round stays open that nobody ended; how long a stop is kept
 * for who took it and then gave no sign of life on this round; how far a phone's clock may be off. */
#define ROUND_STOPS_MOST 300
#define ROUND_OPEN_MS ((int64_t)18 * 3600000)
#define ROUND_CLAIM_MS ((int64_t)20 * 60000)
#define ROUND_CLOCK_MS ((int64_t)10 * 60000)

enum round_stop_state { STOP_FREE, STOP_TAKEN, STOP_SKIPPED, STOP_DONE };

/* A salt of a stop, or of all. */
struct round_salt {
    const char *salt, *name, *caution; /* caution: of the shelf, NULL: none */
    double grams;
};

struct round_stop {
    struct round_stop_row row;
    int state;
    int64_t by_key, at_ms;     /* who took, skipped or did it, and when; STORE_NO_INT: nobody, or the host itself */
    const char *by, *by_name;
    const char *entry;         /* what settled it; NULL: not done, or somebody said so */
    int64_t skips, turn;       /* how often it was skipped; skipped ones come back by their turn */
    struct list salts;         /* struct round_salt */
};

struct round_person {
    int64_t key, done, last_ms; /* last sign of life on this round */
    const char *member, *name;  /* NULL: the host itself */
};

/* Litres to carry of one strength. */
struct round_water {
    const char *strength;
    double litres;
    int64_t tanks;
};

struct round {
    struct round_row row;
    struct list stops;  /* struct round_stop */
    struct list people; /* struct round_person: who did anything on it */
    bool open;
    int64_t ended_ms;   /* STORE_NO_INT: open */
    const char *ended_by, *ended_by_name; /* NULL: the last stop was done, or its time was over */
    int64_t done;
    /* To carry for all stops. */
    struct list water;  /* struct round_water */
    struct list salts;  /* struct round_salt */
    double litres, acid_ml;
    int64_t grams_unknown; /* stops that want salts of which the log does not tell */
    int64_t cautions;
};

/* Reads a round and works out how it stands at a moment. */
int round_read(struct db *db, const struct round_row *row, int64_t now_ms, struct round *round, struct arena *arena,
               struct fault *fault);

/* By its id. FAULT_ABSENT. */
int garden_round(struct garden *garden, const char *id, int64_t now_ms, struct round *round, struct arena *arena, struct fault *fault);

/* Newest first, at most limit, made before the round of this id (NULL: all): struct round. */
int garden_rounds(struct garden *garden, const char *before, int64_t limit, int64_t now_ms, struct list *rounds, struct arena *arena,
                  struct fault *fault);

/* Makes one: of the whole garden or of an area with what lies in it; empty tanks come along only where asked for, since a fill
 * takes more than a round carries. Sent twice it is made once. FAULT_CONFLICT where nothing wants a visit, where such a
 * round is under way already, or while more tanks are being worked out for a new day than one can wait for. */
struct round_asked {
    const char *id, *area; /* NULL: a new id; the whole garden */
    bool empty;
};
int garden_round_make(struct garden *garden, const struct who *who, const struct round_asked *asked, int64_t now_ms,
                      struct round *round, bool *stored_before, struct arena *arena, struct fault *fault);

/* One act of a person. take: this stop, or all free ones of an area, or (neither) the one they are at, else the next free one,
 * skipped ones last. skip and done need a stop. free gives one back, or opens one that was said to be done. end: the whole
 * round. Sent twice it is done once. FAULT_CONFLICT where somebody else is at that stop, or the round is over. */
struct round_deed {
    const char *id;
    int what;         /* enum round_what */
    int64_t stop;     /* STORE_NO_INT: none given */
    const char *area;
};
int garden_round_act(struct garden *garden, const struct who *who, const char *round_id, const struct round_deed *deed, int64_t now_ms,
                     struct round *round, struct arena *arena, struct fault *fault);

#endif
