/* round_days.h - on which weekdays a round is walked, and which of these rounds were put off. */
#ifndef TIDEMARK_STORE_ROUND_DAYS_H
#define TIDEMARK_STORE_ROUND_DAYS_H

#include "store/arena.h"
#include "store/store.h"

#define WEEKDAYS_ALL 127

struct round_days_row {
    int64_t area_key;             /* STORE_NO_INT: the whole garden */
    const char *area, *area_name; /* NULL: the whole garden; read only */
    int64_t weekdays;             /* bits, 1: Monday; never 0 */
};

/* All: the whole garden first, then areas by age: struct round_days_row. */
int round_days_list(struct db *db, struct list *days, struct arena *arena, struct fault *fault);

/* Puts these weekdays in the place of what the garden (STORE_NO_INT) or the area has; 0: none. */
int round_days_set(struct db *db, int64_t area_key, int64_t weekdays, struct fault *fault);

struct round_putoff_row {
    int64_t key;
    const char *id;
    int64_t area_key;             /* STORE_NO_INT: the whole garden */
    const char *area, *area_name; /* read only */
    int32_t day, until_day;       /* the round day that is meant; walked then instead */
    int64_t days;
    int64_t member_key;
    const char *member, *member_name; /* read only */
    int64_t told_ms;
};

/* Adds one and sets its key. */
int round_putoffs_add(struct db *db, struct round_putoff_row *putoff, struct fault *fault);
/* Puts another day in the place of until_day. */
int round_putoffs_move(struct db *db, int64_t key, int32_t until_day, struct fault *fault);
/* 1 found, 0 not there, -1 fault. */
int round_putoffs_one(struct db *db, const char *id, struct round_putoff_row *putoff, struct arena *arena, struct fault *fault);
/* Those until this day or later, by age: struct round_putoff_row. */
int round_putoffs_from(struct db *db, int32_t day, struct list *putoffs, struct arena *arena, struct fault *fault);

extern const struct query round_days_queries[];
extern const size_t round_days_queries_count;

#endif
