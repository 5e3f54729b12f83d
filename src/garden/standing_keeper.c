/* standing_keeper.c - working standings out in a thread of its own. */
#include "garden/standing_keeper.h"

#include <pthread.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>

#include "garden/clock.h"
#include "garden/standing.h"
#include "garden/standing_pack.h"

#define LOOK_S 20       /* how often the day is looked at */
#define PUT_AWAY_S 60   /* and how often what changed is put into the file */
#define AT_A_TIME 64    /* tanks a snapshot, rows a job: neither holds others up */

struct standing_keeper {
    struct garden *garden;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t told, done;
    bool closing, woken, busy, all; /* under the lock; all: what is worked out shall be put away, too */
    int32_t day;                    /* the thread's own: worked through last */
    int64_t put_away_ms;
};

static bool closing(struct standing_keeper *keeper)
{
    bool ends;

    pthread_mutex_lock(&keeper->lock);
    ends = keeper->closing;
    pthread_mutex_unlock(&keeper->lock);
    return ends;
}

/* ---- working out ---- */

static int one(struct standing_keeper *keeper, struct db *db, const struct standing_place *place, const struct tank_mark *mark, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct tank_row tank;
    const struct standing_short *brief;

    if (standing_glance(keeper->garden, mark, place->today).kept == STANDING_FRESH)
        return 0;
    if (tanks_by_key(db, mark->key, &tank, &arena, fault) != 1)
        return -1;
    return standing_short(keeper->garden, db, place, &tank, &brief, &arena, fault) ? -1 : 1;
}

/* From one mark on, by one snapshot: no reader should keep the log file from being folded back for seconds. */
static int some(struct standing_keeper *keeper, size_t *from, size_t *all, bool *more, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct db *db = store_read(keeper->garden->store, fault);
    struct standing_place place;
    struct list marks;
    size_t made = 0;
    int failed = -1;

    if (!db)
        return -1;
    if (standing_place(db, clock_now_ms(), &place, &arena, fault) == 0 && tanks_marks(db, &marks, &arena, fault) == 0)
        for (failed = 0; !failed && *from < marks.count && made < AT_A_TIME && !closing(keeper); ++*from) {
            int worked = one(keeper, db, &place, (const struct tank_mark *)marks.item + *from, fault);

            failed = worked < 0;
            made += worked > 0;
        }
    store_done(keeper->garden->store, db);
    if (failed)
        return -1;
    *more = *from < marks.count;
    *all += made;
    keeper->day = place.today;
    return 0;
}

/* Returns how many were worked out. */
static size_t work_through(struct standing_keeper *keeper)
{
    struct fault fault = {0};
    size_t from = 0, made = 0;
    bool more = true;

    while (more && !closing(keeper))
        if (some(keeper, &from, &made, &more, &fault))
            break; /* whoever asks for that tank is told what is the matter */
    return made;
}

/* ---- the file ---- */

struct putting {
    struct standing_row row[AT_A_TIME];
    size_t count;
};

static int put(struct db *db, void *context, struct fault *fault)
{
    const struct putting *putting = context;

    for (size_t i = 0; i < putting->count; i++)
        if (standing_rows_put(db, &putting->row[i], fault))
            return -1;
    return 0;
}

static void put_away(struct standing_keeper *keeper)
{
    struct putting putting;
    int failed = 0;

    keeper->put_away_ms = clock_now_ms();
    while (!failed && (putting.count = standing_unsaved(keeper->garden, putting.row, AT_A_TIME)) > 0) {
        struct fault fault = {0};

        failed = store_write_quietly(keeper->garden->store, put, &putting, &fault);
        for (size_t i = 0; i < putting.count; i++)
            free((void *)(uintptr_t)putting.row[i].made);
    }
}

static int take_back(void *context, const struct standing_row *row, struct fault *fault)
{
    struct garden *garden = context;
    size_t size;
    struct standing_short *brief = standing_unpack(row->made, row->length, &size);

    (void)fault;
    if (!brief)
        return 0; /* another version's: it is worked out again */
    brief->key = row->tank_key;
    brief->changed = row->changed;
    brief->day = row->day;
    standing_put_back(garden, brief, size);
    return 0;
}

/* ---- the thread ---- */

static void *keep_on(void *context)
{
    struct standing_keeper *keeper = context;

    setpriority(PRIO_PROCESS, 0, 10); /* on Linux of this thread alone: whoever asks goes first */
    pthread_mutex_lock(&keeper->lock);
    while (!keeper->closing) {
        bool woken = keeper->woken, all = keeper->all;
        size_t made = 0;
        int32_t today;

        keeper->busy = true;
        keeper->woken = keeper->all = false;
        pthread_mutex_unlock(&keeper->lock);
        if (woken || (garden_today(keeper->garden, clock_now_ms(), &today, NULL) == 0 && today != keeper->day))
            made = work_through(keeper);
        if (all || made >= AT_A_TIME || clock_now_ms() - keeper->put_away_ms >= PUT_AWAY_S * 1000)
            put_away(keeper);
        pthread_mutex_lock(&keeper->lock);
        keeper->busy = false;
        pthread_cond_broadcast(&keeper->done);
        if (!keeper->woken && !keeper->closing) {
            struct timespec until;

            clock_gettime(CLOCK_REALTIME, &until);
            until.tv_sec += LOOK_S;
            pthread_cond_timedwait(&keeper->told, &keeper->lock, &until);
        }
    }
    pthread_mutex_unlock(&keeper->lock);
    return NULL;
}

int standing_keeper_start(struct garden *garden, struct fault *fault)
{
    struct standing_keeper *keeper = calloc(1, sizeof *keeper);
    struct db *db = store_read(garden->store, fault);
    int failed;

    if (!keeper || !db) {
        store_done(garden->store, db);
        free(keeper);
        return keeper ? -1 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    *keeper = (struct standing_keeper){.garden = garden, .woken = true, .day = INT32_MIN, .put_away_ms = clock_now_ms()};
    pthread_mutex_init(&keeper->lock, NULL);
    pthread_cond_init(&keeper->told, NULL);
    pthread_cond_init(&keeper->done, NULL);
    failed = standing_rows_all(db, take_back, garden, fault);
    store_done(garden->store, db);
    if (failed || pthread_create(&keeper->thread, NULL, keep_on, keeper)) {
        free(keeper);
        return failed ? -1 : fault_add(fault, FAULT_MEMORY, "", "cannot start the thread that works standings out");
    }
    garden->keeper = keeper;
    return 0;
}

void standing_keeper_wake(struct standing_keeper *keeper)
{
    if (!keeper)
        return;
    pthread_mutex_lock(&keeper->lock);
    keeper->woken = true;
    pthread_cond_signal(&keeper->told);
    pthread_mutex_unlock(&keeper->lock);
}

void standing_keeper_settle(struct standing_keeper *keeper)
{
    pthread_mutex_lock(&keeper->lock);
    keeper->woken = keeper->all = true;
    pthread_cond_signal(&keeper->told);
    while (keeper->woken || keeper->busy)
        pthread_cond_wait(&keeper->done, &keeper->lock);
    pthread_mutex_unlock(&keeper->lock);
}

void standing_keeper_stop(struct standing_keeper *keeper)
{
    if (!keeper)
        return;
    pthread_mutex_lock(&keeper->lock);
    keeper->closing = true;
    pthread_cond_signal(&keeper->told);
    pthread_mutex_unlock(&keeper->lock);
    pthread_join(keeper->thread, NULL);
    put_away(keeper);
    pthread_cond_destroy(&keeper->told);
    pthread_cond_destroy(&keeper->done);
    pthread_mutex_destroy(&keeper->lock);
    free(keeper);
}
