/* work.c - threads for requests that may wait. */
#include "http/work.h"

#include <pthread.h>
#include <stdlib.h>

struct work {
    pthread_mutex_t lock; /* all below */
    pthread_cond_t wake;
    struct work_item *first, **last;
    unsigned waiting, idle; /* items, threads */
    unsigned count, most;
    bool stopping;
    pthread_t thread[];
};

struct work *work_new(unsigned most)
{
    struct work *work = calloc(1, sizeof *work + most * sizeof *work->thread);

    if (!work)
        return NULL;
    pthread_mutex_init(&work->lock, NULL);
    pthread_cond_init(&work->wake, NULL);
    work->last = &work->first;
    work->most = most;
    return work;
}

static struct work_item *next_item(struct work *work)
{
    struct work_item *item;

    work->idle++;
    while (!work->first && !work->stopping)
        pthread_cond_wait(&work->wake, &work->lock);
    work->idle--;
    item = work->first;
    if (!item)
        return NULL;
    work->first = item->next;
    if (!work->first)
        work->last = &work->first;
    work->waiting--;
    return item;
}

static void *run_on(void *context)
{
    struct work *work = context;
    struct work_item *item;

    pthread_mutex_lock(&work->lock);
    while ((item = next_item(work)) != NULL) {
        pthread_mutex_unlock(&work->lock);
        item->run(item); /* and is gone */
        pthread_mutex_lock(&work->lock);
    }
    pthread_mutex_unlock(&work->lock);
    return NULL;
}

bool work_take(struct work *work, struct work_item *item)
{
    bool taken = false;

    pthread_mutex_lock(&work->lock);
    if (!work->stopping) {
        if (work->waiting >= work->idle && work->count < work->most &&
            pthread_create(&work->thread[work->count], NULL, run_on, work) == 0)
            work->count++;
        taken = work->count > 0;
    }
    if (taken) {
        item->next = NULL;
        *work->last = item;
        work->last = &item->next;
        work->waiting++;
        pthread_cond_signal(&work->wake);
    }
    pthread_mutex_unlock(&work->lock);
    return taken;
}

void work_stop(struct work *work)
{
    pthread_mutex_lock(&work->lock);
    work->stopping = true;
    pthread_cond_broadcast(&work->wake);
    pthread_mutex_unlock(&work->lock);
    for (; work->count; work->count--) /* nobody else changes it any more */
        pthread_join(work->thread[work->count - 1], NULL);
}

void work_free(struct work *work)
{
    if (!work)
        return;
    pthread_cond_destroy(&work->wake);
    pthread_mutex_destroy(&work->lock);
    free(work);
}
