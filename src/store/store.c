/* store.c - the writer's thread and the readers. */
#include "store/store.h"

#include <assert.h>
#include <errno.h>
#include <pthread.h>
#include <semaphore.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "store/connection.h"
#include "store/migrations.h"

/* Jobs that share one commit. More only makes the first of them wait longer. */
#define BATCH 64

struct job {
    store_job *run;
    void *context;
    struct fault *fault;
    int result;
    bool quiet; /* changes no answer */
    bool forgets; /* what it deleted is not to be found in the log file either */
    sem_t done; /* of this job alone: who waits for another one sleeps on */
    struct db *source; /* what takes the garden's place; NULL: an ordinary job */
    struct job *next;
};

struct store {
    char *path;
    struct db *writer;   /* the writer's thread only */
    pthread_t thread;
    pthread_mutex_t lock; /* all below */
    pthread_cond_t asked, returned; /* a job is there; a reader is back, or may be lent again */
    struct job *first, **last;
    struct db *readers;  /* idle ones */
    size_t lent;         /* the others */
    bool reopening;      /* none is lent meanwhile */
    uint64_t version;
    bool closing;
};

static int open_writer(struct store *store, struct fault *fault)
{
    store->writer = db_open(store->path, true, fault);
    if (!store->writer)
        return -1;
    if (migrations_run(store->writer, fault)) {
        db_close(store->writer);
        store->writer = NULL;
        return -1;
    }
    return 0;
}

/* One job in its savepoint. A full disk can make SQLite undo the whole transaction: then *lost is set and
 * what came before in this batch is gone, too. */
static void run_job(struct db *db, struct job *job, bool *lost)
{
    if (db_exec(db, "SAVEPOINT job", job->fault)) {
        job->result = -1;
        return;
    }
    job->result = job->run(db, job->context, job->fault);
    if (job->result)
        db_exec(db, "ROLLBACK TO job", NULL);
    *lost = sqlite3_get_autocommit(db->sqlite) != 0;
    if (!*lost)
        db_exec(db, "RELEASE job", NULL);
}

static void fail_all(struct job *batch, size_t count, const struct fault *why)
{
    for (size_t i = 0; i < count; i++, batch = batch->next)
        if (!batch->result) {
            batch->result = -1;
            fault_under(batch->fault, "", why);
        }
}

/* Waits until no reader is lent, but not for ever: whoever has one may want another. */
static void await_readers(struct store *store)
{
    struct timespec until;

    clock_gettime(CLOCK_REALTIME, &until);
    until.tv_sec += 5;
    while (store->lent && pthread_cond_timedwait(&store->returned, &store->lock, &until) == 0)
        ;
}

/* Those that are not lent; with wait, all. */
static void close_readers(struct store *store, bool wait)
{
    struct db *readers;

    pthread_mutex_lock(&store->lock);
    if (wait) {
        store->reopening = true;
        await_readers(store);
    }
    readers = store->readers;
    store->readers = NULL;
    pthread_mutex_unlock(&store->lock);
    while (readers) {
        struct db *next = readers->next;

        db_close(readers);
        readers = next;
    }
}

static void lend_again(struct store *store)
{
    pthread_mutex_lock(&store->lock);
    store->reopening = false;
    pthread_cond_broadcast(&store->returned);
    pthread_mutex_unlock(&store->lock);
}

/* Runs a batch in one transaction. After a failed commit the connection is opened anew: what its caches hold of the
 * file can no longer be trusted. */
static bool run_batch(struct store *store, struct job *batch, size_t count, bool *changed)
{
    struct fault why = {0};
    struct job *job = batch;
    bool lost = false, wrote = false;

    /* Opened while the file could not be written: perhaps it can by now. */
    if (store->writer && sqlite3_db_readonly(store->writer->sqlite, "main")) {
        close_readers(store, true); /* what they share with the writer was opened like it */
        db_close(store->writer);
        store->writer = NULL;
        open_writer(store, &why);
        lend_again(store);
    } else if (!store->writer) {
        open_writer(store, &why);
    }
    if (!store->writer) {
        fail_all(batch, count, &why);
        return false;
    }
    if (db_exec(store->writer, "BEGIN IMMEDIATE", &why)) {
        fail_all(batch, count, &why);
        return false;
    }
    for (size_t i = 0; i < count && !lost; i++, job = job->next) {
        run_job(store->writer, job, &lost);
        wrote |= job->result == 0;
        *changed |= job->result == 0 && !job->quiet;
    }
    if (lost)
        fault_add(&why, FAULT_FULL, "", "the disk is full; nothing was kept");
    if (lost || db_exec(store->writer, "COMMIT", &why)) {
        db_exec(store->writer, "ROLLBACK", NULL);
        db_close(store->writer);
        store->writer = NULL;
        fail_all(batch, count, &why);
        *changed = false;
        return false;
    }
    return wrote;
}

/* A whole garden in the place of this one. Until the last page is there and on the disk, the old one stands. */
static bool run_replace(struct store *store, struct job *job)
{
    sqlite3_backup *copy;

    job->result = -1;
    if (!store->writer && open_writer(store, job->fault))
        return false;
    if (job->run(store->writer, job->context, job->fault))
        return false;
    copy = sqlite3_backup_init(store->writer->sqlite, "main", job->source->sqlite, "main");
    if (copy) {
        sqlite3_backup_step(copy, -1);
        job->result = sqlite3_backup_finish(copy) == SQLITE_OK ? 0 : -1;
    }
    if (job->result) {
        db_fault(store->writer->sqlite, job->fault);
        db_close(store->writer);
        store->writer = NULL;
    }
    return job->result == 0;
}

/* How long everybody waits for readers that hold the log file, ours; they answer within milliseconds, but for an export. */
#define FORGET_WAIT_MS 100

/* Folds the log file back and cuts it off. Whether that was possible. */
static bool fold_back(struct store *store)
{
    bool folded;

    if (!store->writer)
        return false;
    sqlite3_busy_timeout(store->writer->sqlite, FORGET_WAIT_MS);
    folded = sqlite3_wal_checkpoint_v2(store->writer->sqlite, NULL, SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL) == SQLITE_OK;
    sqlite3_busy_timeout(store->writer->sqlite, BUSY_MS);
    return folded;
}

/* Waits for work; after a quiet while the log file is folded back into the garden file. */
static void wait_for_work(struct store *store, bool *dirty, bool *forget)
{
    while (!store->first && !store->closing) {
        struct timespec until;

        if (!*dirty) {
            pthread_cond_wait(&store->asked, &store->lock);
            continue;
        }
        clock_gettime(CLOCK_REALTIME, &until);
        until.tv_sec += 10;
        if (pthread_cond_timedwait(&store->asked, &store->lock, &until) && !store->first && !store->closing) {
            pthread_mutex_unlock(&store->lock);
            *forget = !fold_back(store) && *forget;
            pthread_mutex_lock(&store->lock);
            *dirty = *forget;
        }
    }
}

static bool any_forgets(const struct job *batch)
{
    for (; batch; batch = batch->next)
        if (batch->forgets && batch->result == 0)
            return true;
    return false;
}

static void *write_on(void *context)
{
    struct store *store = context;
    bool dirty = false, forget = false; /* forget: what was deleted still stands in the log file */

    pthread_mutex_lock(&store->lock);
    for (;;) {
        struct job *batch, *end;
        size_t count = 1;
        bool wrote, changed = false;

        wait_for_work(store, &dirty, &forget);
        if (!store->first)
            break;
        batch = end = store->first;
        for (; count < BATCH && !batch->source && end->next && !end->next->source; count++)
            end = end->next;
        store->first = end->next;
        if (!store->first)
            store->last = &store->first;
        end->next = NULL;
        pthread_mutex_unlock(&store->lock);
        wrote = batch->source ? (changed = run_replace(store, batch)) : run_batch(store, batch, count, &changed);
        forget = (any_forgets(batch) || forget) && !fold_back(store);
        pthread_mutex_lock(&store->lock);
        store->version += changed;
        dirty |= wrote;
        while (batch) {
            struct job *next = batch->next; /* its owner may be gone once it hears of it */

            sem_post(&batch->done);
            batch = next;
        }
    }
    pthread_mutex_unlock(&store->lock);
    return NULL;
}

struct store *store_open(const char *path, struct fault *fault)
{
    struct store *store = calloc(1, sizeof *store);

    if (!store || !(store->path = malloc(strlen(path) + 1))) {
        free(store);
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    strcpy(store->path, path);
    store->last = &store->first;
    pthread_mutex_init(&store->lock, NULL);
    pthread_cond_init(&store->asked, NULL);
    pthread_cond_init(&store->returned, NULL);
    if (open_writer(store, fault))
        goto failed;
    if (pthread_create(&store->thread, NULL, write_on, store)) {
        fault_add(fault, FAULT_MEMORY, "", "cannot start the writer's thread");
        goto failed;
    }
    return store;
failed:
    db_close(store->writer);
    free(store->path);
    free(store);
    return NULL;
}

void store_close(struct store *store)
{
    if (!store)
        return;
    pthread_mutex_lock(&store->lock);
    store->closing = true;
    pthread_cond_signal(&store->asked);
    pthread_mutex_unlock(&store->lock);
    pthread_join(store->thread, NULL);
    close_readers(store, false);
    db_close(store->writer); /* last, so that it folds the log file back */
    pthread_cond_destroy(&store->asked);
    pthread_cond_destroy(&store->returned);
    pthread_mutex_destroy(&store->lock);
    free(store->path);
    free(store);
}

void store_lend_own(struct store *store)
{
    pthread_mutex_lock(&store->lock);
    while (store->reopening)
        pthread_cond_wait(&store->returned, &store->lock);
    store->lent++;
    pthread_mutex_unlock(&store->lock);
}

bool store_wants_back(struct store *store)
{
    bool wants;

    pthread_mutex_lock(&store->lock);
    wants = store->reopening;
    pthread_mutex_unlock(&store->lock);
    return wants;
}

/* One less is lent; back is the reader, NULL where it is gone. */
static void take_back(struct store *store, struct db *back)
{
    pthread_mutex_lock(&store->lock);
    store->lent--;
    if (back) {
        back->next = store->readers;
        store->readers = back;
    }
    if (store->reopening)
        pthread_cond_broadcast(&store->returned);
    pthread_mutex_unlock(&store->lock);
}

/* Whether we are in a job of the writer's thread already. */
static bool inside(struct store *store)
{
    return pthread_equal(pthread_self(), store->thread);
}

void store_own_done(struct store *store)
{
    take_back(store, NULL);
}

struct db *store_read(struct store *store, struct fault *fault)
{
    struct db *db;

    if (inside(store))
        return store->writer;
    pthread_mutex_lock(&store->lock);
    while (store->reopening)
        pthread_cond_wait(&store->returned, &store->lock);
    db = store->readers;
    if (db)
        store->readers = db->next;
    store->lent++;
    pthread_mutex_unlock(&store->lock);
    if (!db)
        db = db_open(store->path, false, fault);
    if (db && db_exec(db, "BEGIN", fault)) {
        db_close(db);
        db = NULL;
    }
    if (!db)
        take_back(store, NULL);
    return db;
}

void store_done(struct store *store, struct db *db)
{
    if (!db || (inside(store) && db == store->writer)) /* in no other thread is the writer to be looked at */
        return;
    if (db_exec(db, "COMMIT", NULL)) {
        db_close(db);
        db = NULL;
    }
    take_back(store, db);
}

static int wait_for(struct store *store, struct job *job)
{
    sem_init(&job->done, 0, 0);
    pthread_mutex_lock(&store->lock);
    *store->last = job;
    store->last = &job->next;
    pthread_cond_signal(&store->asked);
    pthread_mutex_unlock(&store->lock);
    while (sem_wait(&job->done)) /* a signal */
        ;
    sem_destroy(&job->done);
    return job->result;
}

static int run_inside(struct store *store, store_job *run, void *context, struct fault *fault)
{
    struct db *db = store->writer;
    int result;

    if (db_exec(db, "SAVEPOINT inner", fault))
        return -1;
    result = run(db, context, fault);
    if (sqlite3_get_autocommit(db->sqlite)) /* a full disk undid all */
        return result ? result : fault_add(fault, FAULT_FULL, "", "the disk is full; nothing was kept");
    if (result)
        db_exec(db, "ROLLBACK TO inner", NULL);
    return db_exec(db, "RELEASE inner", fault) ? -1 : result;
}

static int hand_over(struct store *store, struct job *job)
{
    if (inside(store))
        return run_inside(store, job->run, job->context, job->fault);
    return wait_for(store, job);
}

int store_replace(struct store *store, struct db *source, store_job *first, void *context, struct fault *fault)
{
    struct job job = {.run = first, .context = context, .fault = fault, .source = source};

    return wait_for(store, &job);
}

FILE *store_scratch(struct store *store, struct fault *fault)
{
    size_t room = strlen(store->path) + sizeof ".part-XXXXXX";
    char *name = malloc(room);
    FILE *stream = NULL;
    int file;

    if (!name) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    snprintf(name, room, "%s.part-XXXXXX", store->path);
    file = mkstemp(name);
    if (file >= 0) {
        unlink(name);
        stream = fdopen(file, "w+");
        if (!stream)
            close(file);
    }
    if (!stream)
        fault_add(fault, errno == ENOSPC ? FAULT_FULL : FAULT_STORE, "", "no file can be made beside the garden file: %s", strerror(errno));
    free(name);
    return stream;
}

int store_write(struct store *store, store_job *run, void *context, struct fault *fault)
{
    struct job job = {.run = run, .context = context, .fault = fault};

    return hand_over(store, &job);
}

int store_write_quietly(struct store *store, store_job *run, void *context, struct fault *fault)
{
    struct job job = {.run = run, .context = context, .fault = fault, .quiet = true};

    return hand_over(store, &job);
}

int store_write_forgetting(struct store *store, store_job *run, void *context, struct fault *fault)
{
    struct job job = {.run = run, .context = context, .fault = fault, .forgets = true};

    assert(!inside(store));
    return wait_for(store, &job);
}

size_t store_waiting(struct store *store)
{
    size_t count = 0;

    pthread_mutex_lock(&store->lock);
    for (const struct job *job = store->first; job; job = job->next)
        count++;
    pthread_mutex_unlock(&store->lock);
    return count;
}

const char *store_path(const struct store *store)
{
    return store->path;
}

uint64_t store_version(struct store *store)
{
    uint64_t version;

    pthread_mutex_lock(&store->lock);
    version = store->version;
    pthread_mutex_unlock(&store->lock);
    return version;
}
