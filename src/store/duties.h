/* duties.h - whose a tank or an area is for a while, as the file keeps it. */
#ifndef TIDEMARK_STORE_DUTIES_H
#define TIDEMARK_STORE_DUTIES_H

#include "store/arena.h"
#include "store/store.h"

struct duty_row {
    int64_t key;
    const char *id;
    int64_t member_key, tank_key, area_key; /* STORE_NO_INT: of the other kind */
    const char *member, *member_name, *tank, *tank_name, *area, *area_name;
    int32_t from_day, to_day; /* both included */
    int64_t given_back_ms;    /* STORE_NO_INT: it holds */
};

/* Adds one with id, the keys and the days. FAULT_CONFLICT when the id is there already. */
int duty_rows_add(struct db *db, struct duty_row *duty, struct fault *fault);

/* Puts member_key, the days and given_back_ms in the place of what it has. */
int duty_rows_change(struct db *db, const struct duty_row *duty, struct fault *fault);

/* 1 found, 0 not there, -1 fault. */
int duty_rows_one(struct db *db, const char *id, struct duty_row *duty, struct arena *arena, struct fault *fault);

/* Those of members that are still here which end on this day or later and were not given back, by their end: struct duty_row. */
int duty_rows_from(struct db *db, int32_t day, struct list *duties, struct arena *arena, struct fault *fault);

extern const struct query duties_queries[];
extern const size_t duties_queries_count;

#endif
