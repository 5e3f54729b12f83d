/* jobs.c - work that takes longer than an answer may. */
#include "garden/jobs.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"

/* How many ended ones are remembered. Ours. */
#define KEPT 8

const char *const job_state_names[] = {"running", "done", "refused", "cancelled", "failed", NULL};

struct told {
    char at[64], column[64], detail[256];
    int64_t row;
};

struct job {
    char id[37], what[32], said[256];
    int state;
    bool cancelled;
    int64_t bytes, bytes_read, rows, kept, faults, remarks;
    struct told *told, *remark; /* JOB_FAULTS of each */
    int64_t started_ms, ended_ms;
    struct jobs *jobs;
    job_work *work;
    job_done *done;
    void *context;
};

struct jobs {
    pthread_mutex_t lock; /* all below */
    struct job *job[KEPT]; /* newest first */
    pthread_t thread;
    bool joinable, closing;
};

struct jobs *jobs_new(void)
{
    struct jobs *jobs = calloc(1, sizeof *jobs);

    if (jobs)
        pthread_mutex_init(&jobs->lock, NULL);
    return jobs;
}

static void job_free(struct job *job)
{
    if (job) {
        free(job->told);
        free(job->remark);
    }
    free(job);
}

void jobs_free(struct jobs *jobs)
{
    if (!jobs)
        return;
    pthread_mutex_lock(&jobs->lock);
    jobs->closing = true;
    if (jobs->job[0])
        jobs->job[0]->cancelled = true;
    pthread_mutex_unlock(&jobs->lock);
    if (jobs->joinable)
        pthread_join(jobs->thread, NULL);
    for (size_t i = 0; i < KEPT; i++)
        job_free(jobs->job[i]);
    pthread_mutex_destroy(&jobs->lock);
    free(jobs);
}

/* How many bytes the letter at `at` has; 0 where there is none in UTF-8. */
static size_t letter(const unsigned char *at)
{
    size_t length = *at < 0x80 ? 1 : *at >= 0xc2 && *at < 0xe0 ? 2 : *at >= 0xe0 && *at < 0xf0 ? 3 : *at >= 0xf0 && *at < 0xf5 ? 4 : 0;

    for (size_t i = 1; i < length; i++)
        if ((at[i] & 0xc0) != 0x80)
            return 0;
    if ((*at == 0xe0 && at[1] < 0xa0) || (*at == 0xed && at[1] > 0x9f) || (*at == 0xf0 && at[1] < 0x90) || (*at == 0xf4 && at[1] > 0x8f))
        return 0;
    return length;
}

/* What was sent is quoted in faults, whatever it was, and is cut where there is no more room: between letters. */
static void copy_letters(char *to, size_t size, const char *from)
{
    size_t used = 0;

    while (*from) {
        size_t length = letter((const unsigned char *)from);

        if (used + (length ? length : 1) >= size)
            break;
        if (length)
            memcpy(to + used, from, length);
        else
            to[used] = '?';
        used += length ? length : 1;
        from += length ? length : 1;
    }
    to[used] = '\0';
}

static void *run(void *context)
{
    struct job *job = context;
    struct fault fault = {0};
    int failed = job->work(job, job->context, &fault);

    job->done(job->context);
    pthread_mutex_lock(&job->jobs->lock);
    job->ended_ms = clock_now_ms();
    if (!failed)
        job->state = JOB_DONE;
    else if (job->cancelled)
        job->state = JOB_CANCELLED;
    else if (job->faults)
        job->state = JOB_REFUSED;
    else
        job->state = fault.code == FAULT_INPUT || fault.code == FAULT_CONFLICT ? JOB_REFUSED : JOB_FAILED;
    if (failed && fault.count)
        copy_letters(job->said, sizeof job->said, fault.item[0].detail);
    pthread_mutex_unlock(&job->jobs->lock);
    return NULL;
}

static struct job *job_new(const char *what, int64_t bytes)
{
    struct job *job = calloc(1, sizeof *job);

    if (!job || !(job->told = calloc(JOB_FAULTS, sizeof *job->told)) || !(job->remark = calloc(JOB_FAULTS, sizeof *job->remark))) {
        job_free(job);
        return NULL;
    }
    clock_uuid(job->id);
    snprintf(job->what, sizeof job->what, "%s", what);
    job->bytes = bytes;
    job->started_ms = clock_now_ms();
    return job;
}

/* With the lock held. */
static int start(struct jobs *jobs, struct job *job, struct fault *fault)
{
    if (jobs->closing || (jobs->job[0] && jobs->job[0]->state == JOB_RUNNING))
        return fault_add(fault, FAULT_CONFLICT, "", "another import is under way; wait for it, or cancel it");
    if (jobs->joinable)
        pthread_join(jobs->thread, NULL); /* it has ended, but for its last step */
    jobs->joinable = pthread_create(&jobs->thread, NULL, run, job) == 0;
    if (!jobs->joinable)
        return fault_add(fault, FAULT_MEMORY, "", "no thread can be started");
    job_free(jobs->job[KEPT - 1]);
    memmove(&jobs->job[1], &jobs->job[0], (KEPT - 1) * sizeof *jobs->job);
    jobs->job[0] = job;
    return 0;
}

int jobs_start(struct garden *garden, const char *what, int64_t bytes, job_work *work, job_done *done, void *context, char id[37],
               struct fault *fault)
{
    struct jobs *jobs = garden->jobs;
    struct job *job = job_new(what, bytes);
    int failed;

    if (!job) {
        done(context);
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    job->jobs = jobs;
    job->work = work;
    job->done = done;
    job->context = context;
    strcpy(id, job->id);
    pthread_mutex_lock(&jobs->lock);
    failed = start(jobs, job, fault);
    pthread_mutex_unlock(&jobs->lock);
    if (failed) {
        done(context);
        job_free(job);
    }
    return failed;
}

/* ---- for work ---- */

bool job_cancelled(struct job *job)
{
    bool cancelled;

    pthread_mutex_lock(&job->jobs->lock);
    cancelled = job->cancelled;
    pthread_mutex_unlock(&job->jobs->lock);
    return cancelled;
}

void job_progress(struct job *job, int64_t bytes_read, int64_t rows)
{
    pthread_mutex_lock(&job->jobs->lock);
    job->bytes_read = bytes_read;
    job->rows = rows;
    pthread_mutex_unlock(&job->jobs->lock);
}

void job_kept(struct job *job, int64_t kept)
{
    pthread_mutex_lock(&job->jobs->lock);
    job->kept = kept;
    pthread_mutex_unlock(&job->jobs->lock);
}

static void tell(struct job *job, struct told *among, int64_t *count, const char *at, int64_t row, const char *column, const char *detail)
{
    pthread_mutex_lock(&job->jobs->lock);
    if (*count < JOB_FAULTS) {
        struct told *told = &among[*count];

        copy_letters(told->at, sizeof told->at, at);
        copy_letters(told->column, sizeof told->column, column);
        copy_letters(told->detail, sizeof told->detail, detail);
        told->row = row;
    }
    ++*count;
    pthread_mutex_unlock(&job->jobs->lock);
}

void job_wrong(struct job *job, const char *at, const char *detail)
{
    tell(job, job->told, &job->faults, at, STORE_NO_INT, "", detail);
}

void job_wrong_cell(struct job *job, int64_t row, const char *column, const char *detail)
{
    tell(job, job->told, &job->faults, "", row, column, detail);
}

void job_remark_cell(struct job *job, int64_t row, const char *column, const char *detail)
{
    tell(job, job->remark, &job->remarks, "", row, column, detail);
}

int64_t job_faults(struct job *job)
{
    int64_t faults;

    pthread_mutex_lock(&job->jobs->lock);
    faults = job->faults;
    pthread_mutex_unlock(&job->jobs->lock);
    return faults;
}

/* ---- for those who watch ---- */

static int copy_told(const struct told *told, int64_t how_many, struct list *into, struct arena *arena)
{
    size_t count = how_many < JOB_FAULTS ? (size_t)how_many : JOB_FAULTS;
    struct job_fault *fault = arena_list(arena, into, count, sizeof *fault);

    if (count && !fault)
        return -1;
    for (size_t i = 0; i < count; i++, told++) {
        bool table = told->row != STORE_NO_INT;

        fault[i] = (struct job_fault){.at = table ? NULL : arena_text(arena, told->at), .detail = arena_text(arena, told->detail),
                                      .column = table ? arena_text(arena, told->column) : NULL, .row = told->row};
    }
    return 0;
}

/* With the lock held. */
static int copy_view(const struct job *job, struct job_view *view, struct arena *arena)
{
    view->id = arena_text(arena, job->id);
    view->what = arena_text(arena, job->what);
    view->state = job->state;
    view->bytes = job->bytes;
    view->bytes_read = job->bytes_read;
    view->rows = job->rows;
    view->kept = job->kept;
    view->faults_count = job->faults;
    view->remarks_count = job->remarks;
    view->said = *job->said ? arena_text(arena, job->said) : NULL;
    view->started_ms = job->started_ms;
    view->ended_ms = job->state == JOB_RUNNING ? STORE_NO_INT : job->ended_ms;
    if (!view->id || !view->what)
        return -1;
    return copy_told(job->told, job->faults, &view->faults, arena) || copy_told(job->remark, job->remarks, &view->remarks, arena) ? -1 : 0;
}

/* With the lock held. */
static struct job *find(struct jobs *jobs, const char *id)
{
    for (size_t i = 0; i < KEPT; i++)
        if (jobs->job[i] && strcmp(jobs->job[i]->id, id) == 0)
            return jobs->job[i];
    return NULL;
}

int jobs_view(struct garden *garden, const char *id, struct job_view *view, struct arena *arena, struct fault *fault)
{
    struct jobs *jobs = garden->jobs;
    struct job *job;
    int failed = 0;

    pthread_mutex_lock(&jobs->lock);
    job = find(jobs, id);
    if (job)
        failed = copy_view(job, view, arena);
    pthread_mutex_unlock(&jobs->lock);
    if (!job)
        return fault_add(fault, FAULT_ABSENT, "", "there is no such import; they are remembered until the daemon ends");
    return failed ? fault_add(fault, FAULT_MEMORY, "", "out of memory") : 0;
}

int jobs_cancel(struct garden *garden, const char *id, struct fault *fault)
{
    struct jobs *jobs = garden->jobs;
    struct job *job;
    bool running;

    pthread_mutex_lock(&jobs->lock);
    job = find(jobs, id);
    running = job && job->state == JOB_RUNNING;
    if (running)
        job->cancelled = true;
    pthread_mutex_unlock(&jobs->lock);
    if (!job)
        return fault_add(fault, FAULT_ABSENT, "", "there is no such import; they are remembered until the daemon ends");
    return running ? 0 : fault_add(fault, FAULT_CONFLICT, "", "this import has ended already");
}

int jobs_list(struct garden *garden, struct list *views, struct arena *arena, struct fault *fault)
{
    struct jobs *jobs = garden->jobs;
    struct job_view *view = arena_list(arena, views, KEPT, sizeof *view);
    int failed = 0;

    if (!view)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    views->count = 0;
    pthread_mutex_lock(&jobs->lock);
    while (views->count < KEPT && jobs->job[views->count] && !failed) {
        failed = copy_view(jobs->job[views->count], &view[views->count], arena);
        views->count++;
    }
    pthread_mutex_unlock(&jobs->lock);
    return failed ? fault_add(fault, FAULT_MEMORY, "", "out of memory") : 0;
}
