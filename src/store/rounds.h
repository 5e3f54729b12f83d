/* rounds.h - rounds as the file keeps them: what was told for each stop, and what people did on them. */
#ifndef TIDEMARK_STORE_ROUNDS_H
#define TIDEMARK_STORE_ROUNDS_H

#include "store/arena.h"
#include "store/store.h"

struct round_row {
    int64_t key;
    const char *id;
    int32_t day;
    int64_t area_key;             /* STORE_NO_INT: the whole garden, or the area is gone */
    const char *area, *area_name; /* the name as it was then; NULL: the whole garden */
    int64_t made_ms, member_key;  /* STORE_NO_INT: the host itself */
    const char *member, *member_name;
};

/* One stop as it was told when the round was made. Numbers NAN, texts NULL, days INT32_MIN where there are none. */
struct round_stop_row {
    int64_t place, tank_key;
    const char *tank, *code, *tank_name, *area, *area_name; /* as they are now */
    int64_t area_key;
    const char *reason;
    int64_t act, also;            /* enum entry_kind; bits 1 << enum entry_kind */
    int32_t p10, p50, p90;
    double days, value, low, high;
    const char *crop;
    double litres, to_mm, share;
    const char *strength;
    bool grams_known;
    double acid_ml;
    int64_t cautions;             /* bits 1 << enum topup_caution */
};

struct round_salt_row {
    int64_t place;
    const char *salt;
    double grams;
};

enum round_what { ROUND_TAKE, ROUND_SKIP, ROUND_DONE, ROUND_FREE, ROUND_END };

struct round_act_row {
    const char *id;
    int64_t what, place; /* place 0: the whole round */
    int64_t at_ms, member_key;
    const char *member, *member_name;
};

/* An entry of a stop's tank that might settle it. */
struct round_entry {
    unsigned char id[16];
    int64_t kind, at_ms, received_ms, member_key;
    const char *member, *member_name;
    bool level;     /* it tells a waterline */
    bool withdraws; /* it takes another back */
};

int round_rows_add(struct db *db, struct round_row *round, struct fault *fault);
int round_stops_add(struct db *db, int64_t round, const struct round_stop_row *stop, struct fault *fault);
int round_salts_add(struct db *db, int64_t round, const struct round_salt_row *salt, struct fault *fault);
int round_acts_add(struct db *db, int64_t round, const struct round_act_row *act, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int round_rows_one(struct db *db, const char *id, struct round_row *round, struct arena *arena, struct fault *fault);

/* Those made before the one with this key (INT64_MAX: all), newest first, at most limit: struct round_row. */
int round_rows_list(struct db *db, int64_t before_key, int64_t limit, struct list *rounds, struct arena *arena, struct fault *fault);

/* Those made at this moment or later, oldest first: struct round_row. */
int round_rows_since(struct db *db, int64_t made_ms, struct list *rounds, struct arena *arena, struct fault *fault);

/* Of one round, in order: struct round_stop_row, round_salt_row, round_act_row. */
int round_stops_of(struct db *db, int64_t round, struct list *stops, struct arena *arena, struct fault *fault);
int round_salts_of(struct db *db, int64_t round, struct list *salts, struct arena *arena, struct fault *fault);
int round_acts_of(struct db *db, int64_t round, struct list *acts, struct arena *arena, struct fault *fault);

/* What people logged of a tank between two moments, oldest first: struct round_entry. */
int round_entries(struct db *db, int64_t tank_key, int64_t from_ms, int64_t to_ms, struct list *entries, struct arena *arena,
                  struct fault *fault);

extern const struct query rounds_queries[];
extern const size_t rounds_queries_count;

#endif
