/* mixes.h - solutions being weighed in, as the file keeps them. */
#ifndef TIDEMARK_STORE_MIXES_H
#define TIDEMARK_STORE_MIXES_H

#include "store/arena.h"
#include "store/store.h"

enum mix_state { MIX_OPEN, MIX_FINISHED, MIX_GIVEN_UP, MIX_LOGGED };

/* Its id is that of the entry it will be logged as: once that is in the log the mix is. */
struct mix_row {
    int64_t key;
    const char *id;        /* UUID, lower case */
    const char *tank, *tank_name; /* uid; NULL: not for a tank */
    int64_t tank_key, member_key, device_key; /* STORE_NO_INT where there is none */
    const char *member_name;
    int kind;              /* ENTRY_FILL or ENTRY_TOP_UP */
    int64_t begun_ms, received_ms, told_ms; /* told: when somebody last said something of it */
    double volume_l;
    int64_t steps, done;   /* acts at the scale; how many of them are done */
    const char *sheet;     /* JSON; NULL in lists */
    int state;
    int32_t off_day;       /* kept from Today until this day; INT32_MIN: not */
};

struct mix_tick {
    int64_t step; /* from 0 */
    bool done;
    double grams; /* NAN: nothing was weighed */
    int64_t at_ms, member_key, device_key;
    const char *member_name;
};

/* Adds one with its keys set. FAULT_CONFLICT when the id is there already. */
int mix_rows_add(struct db *db, const struct mix_row *mix, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int mix_rows_one(struct db *db, const char *id, struct mix_row *mix, struct arena *arena, struct fault *fault);

/* Those that are open and of which somebody said something since then, the latest first, at most limit: struct mix_row. */
int mix_rows_open(struct db *db, int64_t since_ms, int64_t limit, struct list *mixes, struct arena *arena, struct fault *fault);

/* The same of one tank. */
int mix_rows_open_of_tank(struct db *db, int64_t tank_key, int64_t since_ms, int64_t limit, struct list *mixes, struct arena *arena,
                          struct fault *fault);

/* Keeps it from Today until a day; INT32_MIN: shows it again. */
int mix_rows_put_off(struct db *db, int64_t key, int32_t off_day, struct fault *fault);

int mix_rows_state(struct db *db, int64_t key, int state, int64_t told_ms, struct fault *fault);
/* Somebody said something of it: then it is no longer put off. */
int mix_rows_told(struct db *db, int64_t key, int64_t told_ms, struct fault *fault);

/* The last word on a step stands: an older one changes nothing. */
int mix_ticks_put(struct db *db, int64_t mix_key, const struct mix_tick *tick, struct fault *fault);

/* By step: struct mix_tick. */
int mix_ticks_list(struct db *db, int64_t mix_key, struct list *ticks, struct arena *arena, struct fault *fault);

extern const struct query mixes_queries[];
extern const size_t mixes_queries_count;

#endif
