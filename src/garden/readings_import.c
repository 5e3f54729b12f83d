/* readings_import.c - a logger's readings brought in a slice at a time. */
#include "garden/readings_import.h"

#include <sodium.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/jobs.h"
#include "store/sensed_imports.h"

struct beginning {
    const char *name;
    int64_t now_ms, *number, *sensor_key;
};

/* The same name is the same logger. */
static int find_sensor(struct db *db, const struct beginning *beginning, struct arena *arena, struct fault *fault)
{
    struct sensor_row made = {.name = beginning->name, .made_ms = beginning->now_ms, .last_used_ms = STORE_NO_INT, .revoked_ms = STORE_NO_INT};
    struct list all;
    const struct sensor_row *sensor;
    char id[37];

    if (sensors_list(db, 0, INT64_MAX, &all, arena, fault))
        return -1;
    sensor = all.item;
    for (size_t i = 0; i < all.count; i++)
        if (strcmp(sensor[i].name, beginning->name) == 0) {
            *beginning->sensor_key = sensor[i].key;
            return 0;
        }
    clock_uuid(id);
    made.id = id;
    randombytes_buf(made.hash, sizeof made.hash); /* a key that nobody has */
    if (sensed_import_sensor(db, &made, fault))
        return -1;
    *beginning->sensor_key = made.key;
    return 0;
}

static int begin(struct db *db, void *context, struct fault *fault)
{
    const struct beginning *beginning = context;
    ARENA_HELD arena = {0};

    return sensed_import_begin(db, beginning->number, fault) || find_sensor(db, beginning, &arena, fault) ? -1 : 0;
}

int readings_import_begin(struct garden *garden, const char *sensor, int64_t now_ms, int64_t *number, int64_t *sensor_key, struct fault *fault)
{
    struct beginning beginning = {sensor, now_ms, number, sensor_key};

    return readings_import_undo(garden, fault) || store_write_quietly(garden->store, begin, &beginning, fault) ? -1 : 0;
}

static int end(struct db *db, void *context, struct fault *fault)
{
    (void)context;
    return sensed_import_end(db, fault);
}

int readings_import_end(struct garden *garden, struct fault *fault)
{
    return store_write(garden->store, end, NULL, fault);
}

/* Asked of a reader: a start must not write for nothing. */
static int under_way(struct garden *garden, bool *any, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int64_t number = 0;
    int failed = !db || sensed_import_under_way(db, &number, fault);

    store_done(garden->store, db);
    *any = number > 0;
    return failed ? -1 : 0;
}

static int undo(struct db *db, void *context, struct fault *fault)
{
    return sensed_import_undo(db, READINGS_SLICE, context, fault);
}

int readings_import_undo(struct garden *garden, struct fault *fault)
{
    bool more;

    if (under_way(garden, &more, fault))
        return -1;
    while (more)
        if (store_write_quietly(garden->store, undo, &more, fault))
            return -1;
    return 0;
}

/* Until the daemon ends again: what is left then stays unseen, too. */
static int resume(struct job *job, void *context, struct fault *fault)
{
    struct garden *garden = context;
    bool more;

    if (under_way(garden, &more, fault))
        return -1;
    while (more && !job_cancelled(job))
        if (store_write_quietly(garden->store, undo, &more, fault))
            return -1;
    return 0;
}

static void nothing(void *context)
{
    (void)context;
}

void readings_import_resume(struct garden *garden)
{
    char id[37];
    bool any;

    if (under_way(garden, &any, NULL) == 0 && any)
        jobs_start(garden, "clearing an unfinished import", 0, resume, nothing, garden, id, NULL);
}
