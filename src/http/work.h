/* work.h - threads for requests that may wait.
 *
 * A thread of the listener's pool serves many connections: one that waited there until a commit is on the disk would hold up
 * the others. So what may write is answered by one of these, and its connection is suspended meanwhile.
 */
#ifndef TIDEMARK_HTTP_WORK_H
#define TIDEMARK_HTTP_WORK_H

#include <stdbool.h>

struct work;

/* One thing to do; part of what it is about, and gone once run says so. */
struct work_item {
    void (*run)(struct work_item *item);
    struct work_item *next;
};

/* Threads begin as they are needed, at most so many: a garden in which nobody writes has none. NULL when out of memory. */
struct work *work_new(unsigned most);

/* false: no thread can be had, or it was stopped; then it is the caller's to run. Items wait in order of their coming. */
bool work_take(struct work *work, struct work_item *item);

/* Takes nothing further, runs what was taken, ends the threads. */
void work_stop(struct work *work);
void work_free(struct work *work);

#endif
