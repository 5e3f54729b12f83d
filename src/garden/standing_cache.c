/* standing_cache.c - short standings, kept until the tank changes or the garden's day turns. */
#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "garden/standing.h"
#include "garden/standing_keeper.h"
#include "garden/standing_pack.h"

struct slot {
    struct standing_short *held;
    size_t size;
    bool saved;    /* as it is in the file */
    int64_t asked; /* what the tank's changes counted to when people last logged something at it */
};

struct standing_cache {
    pthread_mutex_t lock;
    struct slot *slot; /* by tank key: keys count up from 1 without great gaps */
    size_t room;
};

struct standing_cache *standing_cache_new(void)
{
    struct standing_cache *cache = calloc(1, sizeof *cache);

    if (cache)
        pthread_mutex_init(&cache->lock, NULL);
    return cache;
}

void standing_cache_free(struct standing_cache *cache)
{
    if (!cache)
        return;
    for (size_t i = 0; i < cache->room; i++)
        free(cache->slot[i].held);
    free(cache->slot);
    pthread_mutex_destroy(&cache->lock);
    free(cache);
}

/* ---- one block of memory for a short standing and its texts ---- */

static size_t text_size(const char *text)
{
    return text ? strlen(text) + 1 : 0;
}

static const char *move_text(const char *text, char **to)
{
    const char *moved = *to;

    if (!text)
        return NULL;
    strcpy(*to, text);
    *to += strlen(text) + 1;
    return moved;
}

static size_t block_size(const struct list *advice)
{
    const struct advice *item = advice->item;
    size_t size = sizeof(struct standing_short) + advice->count * sizeof *item;

    for (size_t i = 0; i < advice->count; i++)
        size += text_size(item[i].with.crop) + text_size(item[i].with.entry) + text_size(item[i].with.other);
    return size;
}

/* Widths for a section to true proportion. */
static void set_widths(const struct vessel_row *vessel, struct standing_drawing *drawing)
{
    const struct vessel_point *point = vessel->points.item;

    drawing->floor_mm = vessel->floor_l_mm;
    drawing->rim_mm = vessel->rim_l_mm;
    if (vessel->shape == VESSEL_POURED && vessel->points.count) {
        const struct vessel_point *brim = &point[vessel->points.count - 1];

        drawing->floor_mm = drawing->rim_mm = 2.0 * sqrt(brim->volume_l * 1e6 / brim->waterline_mm / acos(-1.0));
    }
}

static void set_drawing(const struct standing *standing, struct standing_drawing *drawing)
{
    const struct tank_state *state = &standing->state;
    const struct cup_state *cup = state->cups.item;

    *drawing = (struct standing_drawing){
        .height_mm = state->height_mm,
        .start_mm = state->start_mm,
        .low_mm = state->low_mm,
        .ceiling_mm = state->ceiling_mm,
        .waterline_mm = standing->outlook ? standing->outlook->waterline_now_mm : state->waterline.value,
        .cups = (int64_t)state->cups.count,
    };
    set_widths(&standing->vessel, drawing);
    for (size_t i = 0; i < state->cups.count; i++)
        drawing->planted += cup[i].crop != NULL;
}

/* The strength's text is a constant of the calculation and is not copied. */
static void set_advice(struct standing_short *brief, const struct list *advice)
{
    char *texts = (char *)(brief->advice + advice->count);

    brief->advice_count = advice->count;
    if (advice->count)
        memcpy(brief->advice, advice->item, advice->count * sizeof *brief->advice);
    for (size_t i = 0; i < advice->count; i++) {
        struct advice_with *with = &brief->advice[i].with;

        with->crop = move_text(with->crop, &texts);
        with->entry = move_text(with->entry, &texts);
        with->other = move_text(with->other, &texts);
    }
}

static void fill_in(struct standing_short *brief, const struct standing *standing, int32_t today)
{
    const struct outlook *outlook = standing->outlook;

    brief->key = standing->tank.key;
    brief->changed = standing->tank.changed;
    brief->day = today;
    brief->has_outlook = outlook != NULL;
    brief->filled = standing->state.filled;
    if (outlook) {
        brief->low_on = outlook->low_on;
        brief->harvest_on = outlook->harvest_on;
        brief->use_l_day = outlook->use_l_day;
        brief->carries_to_harvest = outlook->carries_to_harvest;
    }
    brief->last = (struct standing_last){standing->state.waterline, standing->state.ec, standing->state.ph, standing->state.temperature};
    set_drawing(standing, &brief->drawing);
    set_advice(brief, &standing->advice);
}

/* ---- the cache ---- */

static bool asked_for(const struct slot *slot)
{
    return !slot->held || slot->held->changed < slot->asked;
}

/* A copy in the arena, with the texts of its advice moved along. */
static const struct standing_short *copy_out(const struct standing_short *held, size_t size, struct arena *arena)
{
    struct standing_short *copy = arena_take(arena, size);
    const char *from = (const char *)held;

    if (!copy)
        return NULL;
    memcpy(copy, held, size);
    for (size_t i = 0; i < copy->advice_count; i++) {
        struct advice_with *with = &copy->advice[i].with;

        with->crop = with->crop ? (char *)copy + (with->crop - from) : NULL;
        with->entry = with->entry ? (char *)copy + (with->entry - from) : NULL;
        with->other = with->other ? (char *)copy + (with->other - from) : NULL;
    }
    return copy;
}

/* What is kept of a tank, copied: fresh, or with `old` of any day. */
static const struct standing_short *look_up(struct standing_cache *cache, const struct tank_row *tank, int32_t today, bool old,
                                            struct arena *arena, bool *there)
{
    const struct standing_short *found = NULL;

    *there = false;
    pthread_mutex_lock(&cache->lock);
    if ((size_t)tank->key < cache->room) {
        const struct slot *slot = &cache->slot[tank->key];

        if (slot->held && ((slot->held->changed == tank->changed && slot->held->day == today) || (old && !asked_for(slot)))) {
            *there = true;
            found = copy_out(slot->held, slot->size, arena);
        }
    }
    pthread_mutex_unlock(&cache->lock);
    return found;
}

struct standing_glance standing_glance(struct garden *garden, const struct tank_mark *mark, int32_t today)
{
    struct standing_cache *cache = garden->standings;
    struct standing_glance glance = {.urgency = NAN};

    pthread_mutex_lock(&cache->lock);
    if ((size_t)mark->key < cache->room) {
        const struct slot *slot = &cache->slot[mark->key];
        const struct standing_short *held = slot->held;

        glance.asked_for = asked_for(slot);
        if (held) {
            glance.kept = held->changed == mark->changed && held->day == today ? STANDING_FRESH : STANDING_OLD;
            glance.day = held->day;
            if (held->advice_count)
                glance.urgency = held->advice[0].urgency;
        }
    }
    pthread_mutex_unlock(&cache->lock);
    return glance;
}

static bool make_room(struct standing_cache *cache, int64_t key)
{
    size_t room = ((size_t)key + 1) * 2;
    struct slot *grown;

    if ((size_t)key < cache->room)
        return true;
    grown = realloc(cache->slot, room * sizeof *grown);
    if (!grown)
        return false;
    memset(grown + cache->room, 0, (room - cache->room) * sizeof *grown);
    cache->slot = grown;
    cache->room = room;
    return true;
}

void standing_ask_for(struct garden *garden, const struct tank_mark *mark)
{
    struct standing_cache *cache = garden->standings;

    pthread_mutex_lock(&cache->lock);
    if (make_room(cache, mark->key) && cache->slot[mark->key].asked < mark->changed)
        cache->slot[mark->key].asked = mark->changed;
    pthread_mutex_unlock(&cache->lock);
    standing_keeper_wake(garden->keeper);
}

/* Takes over brief. A cache that cannot grow only forgets. */
static void keep(struct standing_cache *cache, struct standing_short *brief, size_t size, bool saved)
{
    pthread_mutex_lock(&cache->lock);
    if (make_room(cache, brief->key)) {
        struct slot *slot = &cache->slot[brief->key];

        free(slot->held);
        *slot = (struct slot){brief, size, saved, slot->asked};
    } else {
        free(brief);
    }
    pthread_mutex_unlock(&cache->lock);
}

/* The short form in a block of its own; NULL when out of memory. */
static struct standing_short *shorten(const struct standing *standing, int32_t today, size_t *size)
{
    struct standing_short *brief;

    *size = block_size(&standing->advice);
    brief = calloc(1, *size);
    if (brief)
        fill_in(brief, standing, today);
    return brief;
}

void standing_keep(struct garden *garden, const struct standing *standing, int32_t today)
{
    size_t size;
    struct standing_short *brief = shorten(standing, today, &size);

    if (brief)
        keep(garden->standings, brief, size, false);
}

static int work_out(struct garden *garden, struct db *db, const struct standing_place *place, const struct tank_row *tank,
                    const struct standing_short **found, struct arena *arena, struct fault *fault)
{
    ARENA_HELD work = {0};
    struct standing *standing = arena_take(&work, sizeof *standing);
    struct standing_short *brief;
    size_t size;

    if (!standing)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (standing_make(db, place, tank, standing, &work, fault))
        return -1;
    brief = shorten(standing, place->today, &size);
    if (!brief)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *found = copy_out(brief, size, arena);
    keep(garden->standings, brief, size, false);
    return *found ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

int standing_short(struct garden *garden, struct db *db, const struct standing_place *place, const struct tank_row *tank,
                   const struct standing_short **found, struct arena *arena, struct fault *fault)
{
    bool there;

    *found = look_up(garden->standings, tank, place->today, false, arena, &there);
    if (!there)
        return work_out(garden, db, place, tank, found, arena, fault);
    return *found ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

int standing_short_old(struct garden *garden, struct db *db, const struct standing_place *place, const struct tank_row *tank,
                       const struct standing_short **found, struct arena *arena, struct fault *fault)
{
    bool there;

    *found = look_up(garden->standings, tank, place->today, garden->keeper != NULL, arena, &there);
    if (!there)
        return work_out(garden, db, place, tank, found, arena, fault);
    if (!*found)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if ((*found)->changed != tank->changed || (*found)->day != place->today)
        standing_keeper_wake(garden->keeper);
    return 0;
}

bool standing_is_behind(struct standing_behind *behind, const struct standing_short *brief, const struct tank_row *tank, int32_t today)
{
    if (brief->changed == tank->changed && brief->day == today)
        return false;
    behind->tanks++;
    if (behind->since == INT32_MIN || brief->day < behind->since)
        behind->since = brief->day;
    return true;
}

/* ---- to the file and back ---- */

void standing_put_back(struct garden *garden, struct standing_short *brief, size_t size)
{
    keep(garden->standings, brief, size, true);
}

size_t standing_unsaved(struct garden *garden, struct standing_row *rows, size_t most)
{
    struct standing_cache *cache = garden->standings;
    size_t count = 0;

    pthread_mutex_lock(&cache->lock);
    for (size_t i = 0; i < cache->room && count < most; i++) {
        struct slot *slot = &cache->slot[i];

        if (!slot->held || slot->saved)
            continue;
        rows[count] = (struct standing_row){slot->held->key, slot->held->changed, slot->held->day, NULL, 0};
        rows[count].made = standing_pack(slot->held, &rows[count].length);
        if (!rows[count].made)
            break;
        slot->saved = true; /* where it does not get there it is worked out again at the next start */
        count++;
    }
    pthread_mutex_unlock(&cache->lock);
    return count;
}
