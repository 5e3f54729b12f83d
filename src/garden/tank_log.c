/* tank_log.c - gathering the entries that matter. */
#include "garden/tank_log.h"

#include <stdlib.h>
#include <string.h>

#include "garden/tank_state.h"
#include "store/corrections.h"
#include "store/sensed.h"

/* Years that fit the packed moments; SQLite and the arithmetic of stretches are far from their ends there. */
#define LAST_MS ((int64_t)1 << 52)

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

struct gathering {
    struct db *db;
    const struct tank_log_ask *ask;
    struct list *entries;
    size_t room;
    struct arena *arena;
    struct fault *fault;
};

static int add(struct gathering *work, const struct entry *entry)
{
    struct list *list = work->entries;

    list->item = arena_grow(work->arena, list->item, list->count, &work->room, sizeof *entry);
    if (!list->item)
        return no_memory(work->fault);
    ((struct entry *)list->item)[list->count++] = *entry;
    return 0;
}

static int add_all(struct gathering *work, const struct list *more)
{
    for (size_t i = 0; i < more->count; i++)
        if (add(work, (const struct entry *)more->item + i))
            return -1;
    return 0;
}

static bool among(const struct list *entries, const char *id)
{
    const struct entry *entry = entries->item;

    for (size_t i = 0; i < entries->count; i++)
        if (strcmp(entry[i].id, id) == 0)
            return true;
    return false;
}

static int add_named(struct gathering *work, const unsigned char id[16])
{
    struct entry entry;
    char text[37];
    int found;

    uuid_text(id, text);
    if (among(work->entries, text))
        return 0;
    found = entries_one(work->db, text, &entry, work->arena, work->fault);
    return found < 0 ? -1 : found ? add(work, &entry) : 0;
}

/* A correction has a moment of its own, which may lie outside of the stretch: what corrects an entry comes along with it. The list
 * grows meanwhile, and what it grows by is looked at in its turn. */
static int add_corrections(struct gathering *work, size_t from)
{
    for (size_t i = from; i < work->entries->count; i++) {
        const struct entry *entry = (const struct entry *)work->entries->item + i;
        unsigned char id[16], found[CORRECTIONS_MOST][16];
        size_t count;

        if ((!entry->amended_by && !entry->withdrawn_by) || uuid_bytes(entry->id, id))
            continue;
        if (corrections_of(work->db, id, found, &count, work->fault))
            return -1;
        for (size_t c = 0; c < count; c++)
            if (add_named(work, found[c]))
                return -1;
    }
    return 0;
}

static int oldest_first(const void *a, const void *b)
{
    const struct entry *x = a, *y = b;

    return x->at_ms != y->at_ms ? (x->at_ms > y->at_ms) - (x->at_ms < y->at_ms) : strcmp(x->id, y->id);
}

static void sort(struct list *entries)
{
    if (entries->count)
        qsort(entries->item, entries->count, sizeof(struct entry), oldest_first);
}

/* Readings count from the last fill but one: those of the fill before show whether the water rose by itself, which stays worth a
 * word for some days after a new fill. */
static int64_t readings_from(const struct gathering *work, const struct list *deeds, int64_t begin_ms)
{
    const struct entry *deed = deeds->item;
    int64_t last_ms = begin_ms, but_one_ms = begin_ms;

    for (size_t i = 0; i < deeds->count; i++)
        if (deed[i].kind == ENTRY_FILL && deed[i].at_ms <= work->ask->since_ms) {
            but_one_ms = last_ms;
            last_ms = deed[i].at_ms;
        }
    return but_one_ms;
}

static int add_sensed(struct gathering *work, const struct list *deeds, int64_t from_ms)
{
    static const struct sensed_step daily[] = {{INT64_MAX, 24 * 60 * 60 * 1000}};
    const struct entry *deed = deeds->item;
    int64_t *cut = arena_take(work->arena, (deeds->count + 1) * sizeof *cut);
    struct sensed_ask ask = {.tank_key = work->ask->tank_key, .from_ms = from_ms < 0 ? 0 : from_ms, .steps = daily, .cuts = cut};
    struct list readings;

    ask.to_ms = work->ask->to_ms < LAST_MS ? work->ask->to_ms : LAST_MS;
    if (!cut)
        return no_memory(work->fault);
    for (size_t i = 0; i < deeds->count; i++)
        if (deed[i].kind != ENTRY_NOTE)
            cut[ask.cut_count++] = deed[i].at_ms;
    if (sensed_thinned(work->db, &ask, &readings, work->arena, work->fault))
        return -1;
    for (size_t i = 0; i < readings.count; i++) {
        struct entry entry;

        if (sensed_entry((const struct sensed *)readings.item + i, &entry, work->arena, work->fault) || add(work, &entry))
            return -1;
    }
    return 0;
}

/* The moment of the last reading is told even after a clean-out. */
static int add_last_reading(struct gathering *work, int64_t from_ms)
{
    const struct entries_span earlier = {work->ask->tank_key, INT64_MIN + 1, from_ms};
    struct entry reading;
    int found = from_ms == INT64_MIN + 1 ? 0 : entries_reading_before(work->db, &earlier, &reading, work->arena, work->fault);

    return found < 0 ? -1 : found ? add(work, &reading) : 0;
}

int tank_log_read(struct db *db, const struct tank_log_ask *ask, struct list *entries, struct arena *arena, struct fault *fault)
{
    struct gathering work = {.db = db, .ask = ask, .entries = entries, .arena = arena, .fault = fault};
    struct entries_span span = {ask->tank_key, INT64_MIN + 1, ask->since_ms < ask->to_ms ? ask->since_ms : ask->to_ms};
    struct list found, deeds;
    int64_t begin_ms = span.from_ms;

    *entries = (struct list){NULL, 0};
    if (entries_clean_out(db, &span, &begin_ms, fault) < 0)
        return -1;
    span = (struct entries_span){ask->tank_key, begin_ms, ask->to_ms};
    if (entries_deeds_in(db, &span, &found, arena, fault) || add_all(&work, &found) || add_corrections(&work, 0))
        return -1;
    sort(entries);
    if (log_effective(entries, &deeds, arena, fault))
        return -1;
    span.from_ms = readings_from(&work, &deeds, begin_ms);
    if (entries_readings_in(db, &span, &found, arena, fault))
        return -1;
    {
        size_t before = entries->count;

        if (add_all(&work, &found) || add_corrections(&work, before) || add_last_reading(&work, span.from_ms) ||
            add_sensed(&work, &deeds, span.from_ms))
            return -1;
    }
    sort(entries);
    return 0;
}

int tank_log_deeds(struct db *db, int64_t tank_key, int64_t from_ms, int64_t levels_ms, struct list *entries, struct arena *arena, struct fault *fault)
{
    struct gathering work = {.db = db, .entries = entries, .arena = arena, .fault = fault};
    struct entries_span span = {tank_key, INT64_MIN + 1, from_ms};
    struct list found;
    int64_t begin_ms = INT64_MIN + 1;

    *entries = (struct list){NULL, 0};
    if (entries_clean_out(db, &span, &begin_ms, fault) < 0)
        return -1;
    span = (struct entries_span){tank_key, begin_ms, INT64_MAX};
    if (entries_deeds_in(db, &span, &found, arena, fault) || add_all(&work, &found) || add_corrections(&work, 0))
        return -1;
    sort(entries);
    return entries_add_levels(db, tank_key, levels_ms, entries, arena, fault);
}
