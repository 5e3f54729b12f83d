/* tanks.h - tanks as the file keeps them; what is in them is the log's to say. */
#ifndef TIDEMARK_STORE_TANKS_H
#define TIDEMARK_STORE_TANKS_H

#include "store/arena.h"
#include "store/store.h"

struct tank_row {
    int64_t key;
    const char *id, *code, *name;
    int64_t area_key; /* STORE_NO_INT: none */
    const char *area, *area_name; /* uid and name, NULL: none */
    int64_t vessel_key;
    const char *vessel; /* uid */
    double walk_order;
    bool retired;
    double lamp_w; /* of the lamps over it; NAN: not told */
    int64_t changed; /* grows with everything that may change its state */
};

/* Adds one with id, code, name, area_key, vessel_key, walk_order, lamp_w. FAULT_CONFLICT when id or code is there already. */
int tanks_add(struct db *db, struct tank_row *tank, struct fault *fault);
int tanks_change(struct db *db, const struct tank_row *tank, struct fault *fault);

/* By uid or by code (capitals and small letters alike): 1 found, 0 not there, -1 fault. */
int tanks_one(struct db *db, const char *id_or_code, struct tank_row *tank, struct arena *arena, struct fault *fault);

/* Those whose key is above after_key, at most limit: struct tank_row. */
int tanks_list(struct db *db, int64_t after_key, int64_t limit, struct list *tanks, struct arena *arena, struct fault *fault);

/* What tells whether a tank changed. */
struct tank_mark {
    int64_t key, changed;
};

/* The marks of all tanks in use, by key: struct tank_mark. */
int tanks_marks(struct db *db, struct list *marks, struct arena *arena, struct fault *fault);

/* One by its key: 1 found, 0 not there, -1 fault. */
int tanks_by_key(struct db *db, int64_t key, struct tank_row *tank, struct arena *arena, struct fault *fault);

/* Those that stand directly in an area (STORE_NO_INT: in none), by key, retired ones too: struct tank_row. */
int tanks_of_area(struct db *db, int64_t area_key, struct list *tanks, struct arena *arena, struct fault *fault);

/* What one tank's changes count to by now: 1 found, 0 not there, -1 fault. */
int tanks_mark(struct db *db, int64_t key, struct tank_mark *mark, struct arena *arena, struct fault *fault);

/* Gives one another place on the round; one that has it already is left as it is. */
int tanks_walk(struct db *db, int64_t key, double walk_order, struct fault *fault);

/* The key of an area by its uid: 1 found, 0 not there, -1 fault. */
int tanks_area_key(struct db *db, const char *area, int64_t *key, struct fault *fault);

/* Marks one, or with STORE_NO_INT every tank, as changed. */
int tanks_touch(struct db *db, int64_t key, struct fault *fault);

extern const struct query tanks_queries[];
extern const size_t tanks_queries_count;

#endif
