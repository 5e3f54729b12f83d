/* lessons.h - what finished fills taught, as the file keeps it. */
#ifndef TIDEMARK_STORE_LESSONS_H
#define TIDEMARK_STORE_LESSONS_H

#include "store/arena.h"
#include "store/store.h"

struct lesson {
    const char *fill, *crop; /* id of the fill's entry; crop id */
    int64_t ended_ms;
    double vigour, pace;     /* 1: as usual */
    int64_t readings;        /* it was learnt from */
};

/* Keeps one, in the place of what the same fill taught before. */
int lessons_put(struct db *db, const struct lesson *lesson, struct fault *fault);

/* The newest of a crop, at most limit: struct lesson, without fill and crop. */
int lessons_of_crop(struct db *db, const char *crop, int64_t limit, struct list *lessons, struct arena *arena, struct fault *fault);

extern const struct query lessons_queries[];
extern const size_t lessons_queries_count;

#endif
