/* people_cache.c - those who asked lately, by the hash of their token. */
#include "garden/people_cache.h"

#include <pthread.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* More than the devices and sensors of a large garden; when three quarters are taken, all are forgotten. */
#define PLACES 512

struct people {
    pthread_mutex_t lock; /* all below */
    uint64_t round;
    size_t count;
    struct place {
        unsigned char hash[MEMBER_HASH];
        struct who who; /* role ROLE_NONE: free; its texts are these */
        char member_id[40], device_id[40], name[PEOPLE_NAME_MOST + 1];
        int64_t noted_ms;
    } place[PLACES];
    bool keeper_known, keeper_paired;
};

struct people *people_new(void)
{
    struct people *people = calloc(1, sizeof *people);

    if (people)
        pthread_mutex_init(&people->lock, NULL);
    return people;
}

void people_free(struct people *people)
{
    if (!people)
        return;
    pthread_mutex_destroy(&people->lock);
    free(people);
}

/* The place of a hash, or the free one where it would stand. Hashes are random already. */
static size_t place_of(const struct people *people, const unsigned char *hash)
{
    size_t at = (hash[0] | (size_t)hash[1] << 8) % PLACES;

    while (people->place[at].who.role != ROLE_NONE && sodium_memcmp(people->place[at].hash, hash, MEMBER_HASH) != 0)
        at = (at + 1) % PLACES;
    return at;
}

static void clear(struct people *people)
{
    memset(people->place, 0, sizeof people->place);
    people->count = 0;
}

/* Sensors have no texts. */
static bool copy_out(const struct place *place, struct who *who, struct arena *arena)
{
    *who = place->who;
    if (!who->device)
        return true;
    who->member_id = arena_text(arena, place->member_id);
    who->device_id = arena_text(arena, place->device_id);
    who->name = arena_text(arena, place->name);
    return who->member_id && who->device_id && who->name;
}

static void copy_in(struct place *place, const unsigned char *hash, const struct who *who)
{
    memcpy(place->hash, hash, MEMBER_HASH);
    place->who = *who;
    place->who.member_id = place->who.device_id = place->who.name = NULL;
    if (who->device) {
        snprintf(place->member_id, sizeof place->member_id, "%s", who->member_id);
        snprintf(place->device_id, sizeof place->device_id, "%s", who->device_id);
        snprintf(place->name, sizeof place->name, "%s", who->name);
    }
}

bool people_recall(struct people *people, const unsigned char *hash, int64_t now_ms, struct who *who, bool *due, uint64_t *round,
                   struct arena *arena)
{
    size_t at;
    bool known;

    pthread_mutex_lock(&people->lock);
    *round = people->round;
    *due = false;
    at = place_of(people, hash);
    known = people->place[at].who.role != ROLE_NONE && copy_out(&people->place[at], who, arena);
    if (known) {
        *due = now_ms - people->place[at].noted_ms >= PEOPLE_TOUCH_MS;
        if (*due)
            people->place[at].noted_ms = now_ms; /* one of many threads notes it, and tries once */
    }
    pthread_mutex_unlock(&people->lock);
    return known;
}

void people_remember(struct people *people, const unsigned char *hash, const struct who *who, int64_t used_ms, int64_t now_ms,
                     uint64_t round, bool *due)
{
    size_t at;

    *due = used_ms == STORE_NO_INT || now_ms - used_ms >= PEOPLE_TOUCH_MS;
    pthread_mutex_lock(&people->lock);
    if (people->round == round) {
        if (people->count >= PLACES * 3 / 4)
            clear(people);
        at = place_of(people, hash);
        people->count += people->place[at].who.role == ROLE_NONE;
        copy_in(&people->place[at], hash, who);
        people->place[at].noted_ms = *due ? now_ms : used_ms;
    }
    pthread_mutex_unlock(&people->lock);
}

bool people_recall_keeper(struct people *people, bool *paired, uint64_t *round)
{
    bool known;

    pthread_mutex_lock(&people->lock);
    *round = people->round;
    *paired = people->keeper_paired;
    known = people->keeper_known;
    pthread_mutex_unlock(&people->lock);
    return known;
}

void people_remember_keeper(struct people *people, bool paired, uint64_t round)
{
    pthread_mutex_lock(&people->lock);
    if (people->round == round) {
        people->keeper_known = true;
        people->keeper_paired = paired;
    }
    pthread_mutex_unlock(&people->lock);
}

void people_forget(struct people *people)
{
    pthread_mutex_lock(&people->lock);
    people->round++;
    people->keeper_known = false;
    clear(people);
    pthread_mutex_unlock(&people->lock);
}
