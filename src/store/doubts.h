/* doubts.h - stretches of a sensor's readings that people do not believe. */
#ifndef TIDEMARK_STORE_DOUBTS_H
#define TIDEMARK_STORE_DOUBTS_H

#include "store/arena.h"
#include "store/store.h"

struct doubt_row {
    int64_t key;
    const char *id;
    int64_t tank_key, sensor_key; /* sensor STORE_NO_INT: any */
    const char *tank, *sensor;    /* uids; read only */
    int64_t from_ms, to_ms;
    const char *why;
    int64_t member_key;
    const char *member, *member_name; /* read only */
    int64_t told_ms, lifted_ms;
};

/* Adds one and sets its key. FAULT_CONFLICT when the id is there already. */
int doubts_add(struct db *db, struct doubt_row *doubt, struct fault *fault);
/* From then on its stretch counts again. */
int doubts_lift(struct db *db, int64_t key, int64_t at_ms, struct fault *fault);
/* 1 found, 0 not there, -1 fault. */
int doubts_one(struct db *db, const char *id, struct doubt_row *doubt, struct arena *arena, struct fault *fault);
/* Those whose key is above after_key, at most limit, lifted ones too. */
int doubts_list(struct db *db, int64_t after_key, int64_t limit, struct list *doubts, struct arena *arena, struct fault *fault);

/* Those of one tank that were not lifted: struct doubt_row, without texts. */
int doubts_of_tank(struct db *db, int64_t tank_key, struct list *doubts, struct arena *arena, struct fault *fault);

/* Whether one of them covers this reading. */
bool doubts_cover(const struct list *doubts, int64_t sensor_key, int64_t at_ms);

extern const struct query doubts_queries[];
extern const size_t doubts_queries_count;

#endif
