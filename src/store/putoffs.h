/* putoffs.h - matters that people put off for some days, with how they stood then. */
#ifndef TIDEMARK_STORE_PUTOFFS_H
#define TIDEMARK_STORE_PUTOFFS_H

#include "store/arena.h"
#include "store/store.h"

struct putoff_row {
    int64_t key;
    const char *id;
    int64_t tank_key;
    const char *tank; /* uid; read only */
    const char *reason;
    int64_t days;
    int32_t from_day, until_day;
    double urgency, value; /* of the matter then; NAN: none */
    const char *entry;     /* that it was about; NULL: none */
    int64_t member_key;
    const char *member, *member_name; /* read only */
    int64_t told_ms, lifted_ms;
};

/* Adds one and sets its key. */
int putoffs_add(struct db *db, struct putoff_row *putoff, struct fault *fault);
int putoffs_lift(struct db *db, int64_t key, int64_t at_ms, struct fault *fault);
/* 1 found, 0 not there, -1 fault. */
int putoffs_one(struct db *db, const char *id, struct putoff_row *putoff, struct arena *arena, struct fault *fault);
/* Those in force on a day, by tank: struct putoff_row. */
int putoffs_on(struct db *db, int32_t day, struct list *putoffs, struct arena *arena, struct fault *fault);

extern const struct query putoffs_queries[];
extern const size_t putoffs_queries_count;

#endif
