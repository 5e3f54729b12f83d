/* jobs.h - work that takes longer than an answer may: one at a time, in a thread of its own, watched and cancelled by its id.
 *
 * What a job is about is its starter's; here is who runs it, how far it is, and what was found wrong. Known until the daemon
 * ends: a job leaves nothing in the file but what it does. Safe from any thread.
 */
#ifndef TIDEMARK_GARDEN_JOBS_H
#define TIDEMARK_GARDEN_JOBS_H

#include "garden/garden.h"

struct jobs;
struct job;

enum job_state { JOB_RUNNING, JOB_DONE, JOB_REFUSED, JOB_CANCELLED, JOB_FAILED };
extern const char *const job_state_names[]; /* ended by NULL */

/* Faults that are told one by one; the rest is counted. Ours. */
#define JOB_FAULTS 100

/* What is wrong, and where: a JSON Pointer, or for a table its row (from 1, the heading is row 1) and the column's name. */
struct job_fault {
    const char *at, *detail, *column; /* column NULL: not a table */
    int64_t row;                      /* STORE_NO_INT: not a table */
};

struct job_view {
    const char *id, *what;
    int state;
    int64_t bytes, bytes_read; /* of what was sent */
    int64_t rows, kept;        /* looked at; new ones kept, once it is done */
    int64_t faults_count;
    struct list faults;        /* struct job_fault */
    int64_t remarks_count;
    struct list remarks;       /* the same: what is not wrong, but good to know */
    const char *said;          /* of a job that failed, why */
    int64_t started_ms, ended_ms;
};

struct jobs *jobs_new(void);
/* Cancels what runs and waits for it. */
void jobs_free(struct jobs *jobs);

/* work returns 0 when all is done, or -1: then its faults tell why. done is called afterwards in any case, to free context.
 * FAULT_CONFLICT while another runs; then, and on other faults, done is called, too. */
typedef int job_work(struct job *job, void *context, struct fault *fault);
typedef void job_done(void *context);
int jobs_start(struct garden *garden, const char *what, int64_t bytes, job_work *work, job_done *done, void *context, char id[37],
               struct fault *fault);

/* For work. */
bool job_cancelled(struct job *job);
void job_progress(struct job *job, int64_t bytes_read, int64_t rows);
void job_kept(struct job *job, int64_t kept);
void job_wrong(struct job *job, const char *at, const char *detail);
void job_wrong_cell(struct job *job, int64_t row, const char *column, const char *detail);
void job_remark_cell(struct job *job, int64_t row, const char *column, const char *detail);
int64_t job_faults(struct job *job);

/* 0, or FAULT_ABSENT. */
int jobs_view(struct garden *garden, const char *id, struct job_view *view, struct arena *arena, struct fault *fault);
int jobs_cancel(struct garden *garden, const char *id, struct fault *fault);
/* The newest first: struct job_view. */
int jobs_list(struct garden *garden, struct list *views, struct arena *arena, struct fault *fault);

#endif
