/* answers.c - a hash table whose entries also stand in line by last use. */
#include "api/answers.h"

#include <pthread.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define BUCKETS 8192 /* a power of two */

struct kept {
    struct kept *next_in_bucket;
    struct kept *newer, *older;
    uint64_t hash;
    size_t size, length;
    const char *type; /* a constant of the code */
    char *name, *etag, *bytes; /* in the same block */
};

struct answers {
    pthread_mutex_t lock;
    struct kept *bucket[BUCKETS];
    struct kept *newest, *oldest;
    size_t used, most;
};

struct answers *answers_new(size_t most)
{
    struct answers *answers = calloc(1, sizeof *answers);

    if (answers) {
        pthread_mutex_init(&answers->lock, NULL);
        answers->most = most;
    }
    return answers;
}

void answers_free(struct answers *answers)
{
    if (!answers)
        return;
    for (struct kept *kept = answers->newest, *older; kept; kept = older) {
        older = kept->older;
        free(kept);
    }
    pthread_mutex_destroy(&answers->lock);
    free(answers);
}

/* FNV-1a, 64 bits: the names are ours, nobody can choose them to collide. */
static uint64_t hash_of(const char *name)
{
    uint64_t hash = 14695981039346656037u;

    for (; *name; name++)
        hash = (hash ^ (unsigned char)*name) * 1099511628211u;
    return hash;
}

static void leave_line(struct answers *answers, struct kept *kept)
{
    *(kept->newer ? &kept->newer->older : &answers->newest) = kept->older;
    *(kept->older ? &kept->older->newer : &answers->oldest) = kept->newer;
}

static void join_line(struct answers *answers, struct kept *kept)
{
    kept->newer = NULL;
    kept->older = answers->newest;
    *(answers->newest ? &answers->newest->newer : &answers->oldest) = kept;
    answers->newest = kept;
}

static struct kept *look_up(struct answers *answers, const char *name, uint64_t hash)
{
    struct kept *kept = answers->bucket[hash % BUCKETS];

    while (kept && (kept->hash != hash || strcmp(kept->name, name) != 0))
        kept = kept->next_in_bucket;
    return kept;
}

bool answers_find(struct answers *answers, const char *name, struct request *request, struct reply *reply)
{
    struct kept *kept;

    if (!answers)
        return false;
    pthread_mutex_lock(&answers->lock);
    kept = look_up(answers, name, hash_of(name));
    if (kept) {
        reply->etag = arena_text(request->arena, kept->etag);
        reply->bytes = malloc(kept->length + 1);
        if (reply->bytes)
            memcpy(reply->bytes, kept->bytes, kept->length + 1);
        reply->length = kept->length;
        reply->type = kept->type;
        leave_line(answers, kept);
        join_line(answers, kept);
    }
    pthread_mutex_unlock(&answers->lock);
    if (reply->bytes && reply->etag)
        return true;
    free(reply->bytes);
    reply->bytes = NULL;
    reply->etag = NULL;
    return false;
}

static void forget_oldest(struct answers *answers)
{
    struct kept *kept = answers->oldest, **at = &answers->bucket[kept->hash % BUCKETS];

    while (*at != kept)
        at = &(*at)->next_in_bucket;
    *at = kept->next_in_bucket;
    leave_line(answers, kept);
    answers->used -= kept->size;
    free(kept);
}

static struct kept *copy_of(const char *name, const struct reply *reply)
{
    size_t name_size = strlen(name) + 1, etag_size = strlen(reply->etag) + 1;
    size_t size = sizeof(struct kept) + name_size + etag_size + reply->length + 1;
    struct kept *kept = malloc(size);

    if (!kept)
        return NULL;
    *kept = (struct kept){.hash = hash_of(name), .size = size, .length = reply->length, .type = reply->type};
    kept->name = (char *)(kept + 1);
    kept->etag = kept->name + name_size;
    kept->bytes = kept->etag + etag_size;
    memcpy(kept->name, name, name_size);
    memcpy(kept->etag, reply->etag, etag_size);
    memcpy(kept->bytes, reply->bytes, reply->length);
    kept->bytes[reply->length] = '\0';
    return kept;
}

void answers_keep(struct answers *answers, const char *name, const struct reply *reply)
{
    struct kept *kept;

    if (!answers || !reply->bytes || !reply->etag || reply->length > answers->most / 8)
        return;
    kept = copy_of(name, reply);
    if (!kept)
        return;
    pthread_mutex_lock(&answers->lock);
    if (look_up(answers, name, kept->hash)) { /* another thread was as quick */
        free(kept);
    } else {
        kept->next_in_bucket = answers->bucket[kept->hash % BUCKETS];
        answers->bucket[kept->hash % BUCKETS] = kept;
        join_line(answers, kept);
        answers->used += kept->size;
        while (answers->used > answers->most)
            forget_oldest(answers);
    }
    pthread_mutex_unlock(&answers->lock);
}
