/* backup_watch.c - the thread that looks after the file. */
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "garden/backup.h"
#include "garden/clock.h"

#define LOOK_S 60
#define AGAIN_MS ((int64_t)10 * 60 * 1000) /* after a copy that failed */
#define CHECK_MS ((int64_t)60 * 1000)      /* the check after a start gives up then: each copy is checked whole anyway */

struct backup_watch {
    struct garden *garden;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t told;
    atomic_bool closing;
    bool damaged;      /* these under the lock */
    char why[200];
    int64_t failed_ms; /* the thread's own */
    int64_t check_until_ms;
};

static void note(struct backup_watch *watch, const char *why)
{
    pthread_mutex_lock(&watch->lock);
    snprintf(watch->why, sizeof watch->why, "%s", why);
    pthread_mutex_unlock(&watch->lock);
}

static bool goes_on(void *context)
{
    struct backup_watch *watch = context;

    return !atomic_load(&watch->closing) && clock_now_ms() < watch->check_until_ms;
}

static void check(struct backup_watch *watch)
{
    struct fault fault = {0};

    watch->check_until_ms = clock_now_ms() + CHECK_MS;
    if (store_check(watch->garden->store, goes_on, watch, &fault) != 0)
        return;
    pthread_mutex_lock(&watch->lock);
    watch->damaged = true;
    pthread_mutex_unlock(&watch->lock);
}

static void back_up_when_due(struct backup_watch *watch)
{
    ARENA_HELD arena = {0};
    struct garden *garden = watch->garden;
    int64_t now_ms = clock_now_ms();
    struct backup_state state;
    struct backup_made made;
    struct fault fault = {0};

    if (now_ms - watch->failed_ms < AGAIN_MS)
        return;
    if (backup_state(garden, now_ms, &state, &arena, &fault) == 0) {
        if (state.next_ms == STORE_NO_INT || state.next_ms > now_ms)
            return;
        if (garden_backup(garden, now_ms, &made, &arena, &fault) == 0) {
            note(watch, "");
            return;
        }
    }
    watch->failed_ms = now_ms;
    note(watch, fault.count ? fault.item[0].detail : "it failed");
}

static void *watch_on(void *context)
{
    struct backup_watch *watch = context;

    setpriority(PRIO_PROCESS, 0, 10); /* on Linux of this thread alone */
    check(watch);
    pthread_mutex_lock(&watch->lock);
    while (!atomic_load(&watch->closing)) {
        struct timespec until;

        pthread_mutex_unlock(&watch->lock);
        if (watch->garden->backups.folder)
            back_up_when_due(watch);
        pthread_mutex_lock(&watch->lock);
        clock_gettime(CLOCK_REALTIME, &until);
        until.tv_sec += LOOK_S;
        if (!atomic_load(&watch->closing))
            pthread_cond_timedwait(&watch->told, &watch->lock, &until);
    }
    pthread_mutex_unlock(&watch->lock);
    return NULL;
}

int backup_watch_start(struct garden *garden, struct fault *fault)
{
    struct backup_watch *watch = calloc(1, sizeof *watch);

    if (!watch)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    watch->garden = garden;
    watch->failed_ms = INT64_MIN / 2;
    pthread_mutex_init(&watch->lock, NULL);
    pthread_cond_init(&watch->told, NULL);
    garden->watch = watch;
    if (pthread_create(&watch->thread, NULL, watch_on, watch)) {
        garden->watch = NULL;
        free(watch);
        return fault_add(fault, FAULT_MEMORY, "", "cannot start the thread that looks after the file");
    }
    return 0;
}

void backup_watch_tell(struct backup_watch *watch, bool *damaged, char *why, size_t room)
{
    pthread_mutex_lock(&watch->lock);
    *damaged = watch->damaged;
    snprintf(why, room, "%s", watch->why);
    pthread_mutex_unlock(&watch->lock);
}

void backup_watch_stop(struct backup_watch *watch)
{
    if (!watch)
        return;
    pthread_mutex_lock(&watch->lock);
    atomic_store(&watch->closing, true);
    pthread_cond_signal(&watch->told);
    pthread_mutex_unlock(&watch->lock);
    pthread_join(watch->thread, NULL);
    pthread_cond_destroy(&watch->told);
    pthread_mutex_destroy(&watch->lock);
    free(watch);
}
