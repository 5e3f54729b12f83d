/* held_disk.c - a layer over SQLite's files whose flushes can be held up. In WAL mode a commit is on the disk when its log file was
 * flushed (synchronous=FULL), so that file alone is looked at. */
#include "http/held_disk.h"

#include <pthread.h>
#include <sqlite3.h>

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER; /* all below */
static pthread_cond_t changed = PTHREAD_COND_INITIALIZER;
static bool holding;
static unsigned held, flushes;

static sqlite3_vfs layer, *under;
static sqlite3_io_methods methods;
static int (*flush_under)(sqlite3_file *file, int flags);

static int flush(sqlite3_file *file, int flags)
{
    pthread_mutex_lock(&lock);
    flushes++;
    held++;
    pthread_cond_broadcast(&changed);
    while (holding)
        pthread_cond_wait(&changed, &lock);
    held--;
    pthread_mutex_unlock(&lock);
    return flush_under(file, flags);
}

static int open_file(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *opened)
{
    int failed = under->xOpen(under, name, file, flags, opened);

    (void)vfs;
    if (failed || !(flags & SQLITE_OPEN_WAL))
        return failed;
    pthread_mutex_lock(&lock);
    if (!flush_under) {
        methods = *file->pMethods;
        flush_under = methods.xSync;
        methods.xSync = flush;
    }
    pthread_mutex_unlock(&lock);
    file->pMethods = &methods;
    return SQLITE_OK;
}

void held_disk_install(void)
{
    if (under)
        return;
    under = sqlite3_vfs_find(NULL);
    layer = *under;
    layer.zName = "held";
    layer.xOpen = open_file;
    sqlite3_vfs_register(&layer, 1);
}

static void set(bool hold)
{
    pthread_mutex_lock(&lock);
    holding = hold;
    pthread_cond_broadcast(&changed);
    pthread_mutex_unlock(&lock);
}

void held_disk_hold(void)
{
    set(true);
}

void held_disk_let_go(void)
{
    set(false);
}

void held_disk_await(void)
{
    pthread_mutex_lock(&lock);
    while (!held)
        pthread_cond_wait(&changed, &lock);
    pthread_mutex_unlock(&lock);
}

unsigned held_disk_flushes(void)
{
    unsigned count;

    pthread_mutex_lock(&lock);
    count = flushes;
    pthread_mutex_unlock(&lock);
    return count;
}
