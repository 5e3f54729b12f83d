/* meters.h - checks of conductivity meters, as the file keeps them. */
#ifndef TIDEMARK_STORE_METERS_H
#define TIDEMARK_STORE_METERS_H

#include "store/arena.h"
#include "store/store.h"

struct meter_check_row {
    int64_t key;
    const char *id, *meter;
    int64_t at_ms, member_key; /* STORE_NO_INT: nobody known */
    const char *member_name;
    int standard; /* enum ec_standard */
    double reading_ms_cm, temperature_c;
    bool compensated;
};

/* Adds one; sent twice it is kept once. */
int meter_checks_add(struct db *db, const struct meter_check_row *check, struct fault *fault);

/* The newest first, at most limit: struct meter_check_row. */
int meter_checks_list(struct db *db, int64_t limit, struct list *checks, struct arena *arena, struct fault *fault);

extern const struct query meters_queries[];
extern const size_t meters_queries_count;

#endif
