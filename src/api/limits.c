/* limits.c - a bucket for each device, sensor and address that asked lately: it fills with time and each request takes one. */
#include "api/limits.h"

#include <math.h>
#include <pthread.h>
#include <string.h>
#include <strings.h>
#include <time.h>

#include "api/routes.h"

#define BUCKETS 1024
#define TRIES 8

static struct bucket {
    uint64_t key; /* 0: free */
    double filled, at_s;
} buckets[BUCKETS];

static double now_s(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

/* FNV-1a, 64 bit (public domain constants): spreads the keys, hides nothing. */
static uint64_t mix(uint64_t hash, const void *bytes, size_t length)
{
    const unsigned char *byte = bytes;

    for (size_t i = 0; i < length; i++)
        hash = (hash ^ byte[i]) * 0x100000001b3u;
    return hash;
}

/* The bucket of a key: its own, or a free one, or the one that was used longest ago among a few. */
static struct bucket *bucket_of(uint64_t key, double burst, double now)
{
    struct bucket *oldest = NULL;

    for (size_t i = 0; i < TRIES; i++) {
        struct bucket *bucket = &buckets[(key + i) % BUCKETS];

        if (bucket->key == key)
            return bucket;
        if (!oldest || bucket->key == 0 || (oldest->key && bucket->at_s < oldest->at_s))
            oldest = bucket;
    }
    *oldest = (struct bucket){key, burst, now};
    return oldest;
}

static bool take(uint64_t key, double burst, double a_s, int *wait_s)
{
    static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
    double now = now_s();
    struct bucket *bucket;
    bool may;

    pthread_mutex_lock(&lock);
    bucket = bucket_of(key, burst, now);
    bucket->filled = fmin(burst, bucket->filled + (now - bucket->at_s) * a_s);
    bucket->at_s = now;
    may = bucket->filled >= 1;
    if (may)
        bucket->filled -= 1;
    else
        *wait_s = 1 + (int)((1 - bucket->filled) / a_s);
    pthread_mutex_unlock(&lock);
    return may;
}

bool limits_allow(const struct request *request, int *wait_s)
{
    const struct who *who = &request->who;
    uint64_t key = 0xcbf29ce484222325u;

    key = mix(key, &request->service, sizeof request->service);
    if (who->device || who->sensor) {
        key = mix(mix(key, &who->device, sizeof who->device), &who->sensor, sizeof who->sensor);
        return take(key | 1, LIMIT_DEVICE_BURST, LIMIT_DEVICE_A_S, wait_s);
    }
    if (request->route->access == ACCESS_ANYONE && strcmp(request->method, "POST") == 0) {
        key = mix(key, request->peer, strlen(request->peer));
        return take(key | 1, LIMIT_PAIR_BURST, LIMIT_PAIR_A_S, wait_s);
    }
    return true;
}
