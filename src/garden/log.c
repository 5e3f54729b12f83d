/* log.c - the rules of the log. The bounds of single numbers are the documents' (api/entries.c); here is what holds
 * between fields, and between an entry, its tank and the entries before it. */
#include "garden/log.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sodium.h>

#include "calc/salts.h"
#include "garden/clock.h"
#include "garden/lessons.h"
#include "garden/crops.h"
#include "garden/readings.h"
#include "garden/standing.h"
#include "garden/tank_state.h"
#include "garden/targets.h"
#include "store/salts.h"
#include "store/tanks.h"
#include "store/vessels.h"
#include "store/waters.h"

const char *const entry_kind_names[] = {"fill", "top-up", "reading", "planting", "harvest", "clean-out", "note", "move", "loss", NULL};
const char *const entry_reason_names[] = {"rot", "wilted", "pests", "bolted", "broken", "other", NULL};

/* ---- which fields belong to which kind ---- */

#define IN(kind) (1u << (kind))
#define IN_WATER (IN(ENTRY_FILL) | IN(ENTRY_TOP_UP))
#define IN_MEASURED (IN_WATER | IN(ENTRY_READING))
#define IN_PLANTS (IN(ENTRY_PLANTING) | IN(ENTRY_HARVEST))
#define IN_CUPS (IN_PLANTS | IN(ENTRY_MOVE) | IN(ENTRY_LOSS))

static int check_fields(const struct entry *entry, struct fault *fault)
{
    const struct {
        const char *at;
        bool given;
        unsigned kinds;
    } field[] = {
        {"/waterline_mm", !isnan(entry->waterline_mm), IN_MEASURED},
        {"/air_gap_mm", !isnan(entry->air_gap_mm), IN_MEASURED},
        {"/volume_l", !isnan(entry->volume_l), IN_WATER},
        {"/ec_ms_cm", !isnan(entry->ec_ms_cm), IN_MEASURED},
        {"/ph", !isnan(entry->ph), IN_MEASURED},
        {"/temperature_c", !isnan(entry->temperature_c), IN_MEASURED},
        {"/method", entry->method != ENTRY_NONE, IN_MEASURED},
        {"/water", entry->water != NULL, IN_WATER},
        {"/target", entry->target != NULL, IN_WATER},
        {"/weighed", entry->weighed.count > 0, IN_WATER},
        {"/acid", entry->acid.acid != ENTRY_NONE, IN_WATER},
        {"/crop", entry->crop != NULL, IN(ENTRY_PLANTING)},
        {"/count", entry->count != STORE_NO_INT, IN_PLANTS},
        {"/cups", entry->cups.count > 0, IN_CUPS},
        {"/sown_on", entry->sown_day != INT32_MIN, IN(ENTRY_PLANTING)},
        {"/start", entry->start != ENTRY_NONE, IN(ENTRY_PLANTING)},
        {"/how", entry->how != ENTRY_NONE, IN(ENTRY_HARVEST)},
        {"/weight_g", !isnan(entry->weight_g), IN(ENTRY_HARVEST)},
        {"/bunches", entry->bunches != STORE_NO_INT, IN(ENTRY_HARVEST)},
        {"/kept_fraction", !isnan(entry->kept_fraction), IN(ENTRY_HARVEST)},
        {"/quality", entry->quality != STORE_NO_INT, IN(ENTRY_HARVEST)},
        {"/to_cups", entry->to_cups.count > 0, IN(ENTRY_MOVE)},
        {"/to_tank", entry->to_tank != NULL, IN(ENTRY_MOVE)},
        {"/replaces", entry->replaces, IN(ENTRY_PLANTING) | IN(ENTRY_MOVE)},
        {"/hung_on", entry->hung_day != INT32_MIN, IN(ENTRY_PLANTING)},
        {"/cuts", entry->cuts != STORE_NO_INT, IN(ENTRY_PLANTING)},
        {"/cut_on", entry->cut_day != INT32_MIN, IN(ENTRY_PLANTING)},
        {"/reason", entry->reason != ENTRY_NONE, IN(ENTRY_LOSS)},
        {"/steps", entry->steps.count > 0, IN(ENTRY_CLEAN_OUT)},
        {"/went_to", entry->went_to != ENTRY_NONE, IN(ENTRY_CLEAN_OUT)},
    };
    int failed = 0;

    for (size_t i = 0; i < sizeof field / sizeof *field; i++)
        if (field[i].given && !(field[i].kinds & IN(entry->kind)))
            failed = fault_add(fault, FAULT_INPUT, field[i].at, "does not belong to a %s", entry_kind_names[entry->kind]);
    return failed;
}

static int check_kind(const struct entry *entry, struct fault *fault)
{
    bool waterline = !isnan(entry->waterline_mm) || !isnan(entry->air_gap_mm);

    switch (entry->kind) {
    case ENTRY_FILL:
    case ENTRY_TOP_UP:
        if (!waterline && isnan(entry->volume_l))
            return fault_add(fault, FAULT_INPUT, "/volume_l", "needs the volume put in or the waterline after it");
        return 0;
    case ENTRY_READING:
        if (!waterline && isnan(entry->ec_ms_cm) && isnan(entry->ph) && isnan(entry->temperature_c))
            return fault_add(fault, FAULT_INPUT, "", "a reading needs at least one value");
        return 0;
    case ENTRY_PLANTING:
        if (!entry->crop)
            return fault_add(fault, FAULT_INPUT, "/crop", "what was planted?");
        if (!entry->cups.count && entry->count == STORE_NO_INT)
            return fault_add(fault, FAULT_INPUT, "/cups", "needs the cups, or a count for the first free ones");
        return 0;
    case ENTRY_HARVEST:
        if (entry->how == ENTRY_NONE)
            return fault_add(fault, FAULT_INPUT, "/how", "whole or cut?");
        if (entry->how == HOW_WHOLE && !isnan(entry->kept_fraction))
            return fault_add(fault, FAULT_INPUT, "/kept_fraction", "a whole harvest keeps nothing");
        return 0;
    case ENTRY_MOVE:
        if (!entry->cups.count)
            return fault_add(fault, FAULT_INPUT, "/cups", "which cups were emptied?");
        if (entry->to_cups.count != entry->cups.count)
            return fault_add(fault, FAULT_INPUT, "/to_cups", "needs one cup for each of cups");
        return 0;
    case ENTRY_LOSS:
        if (!entry->cups.count)
            return fault_add(fault, FAULT_INPUT, "/cups", "which cups?");
        if (entry->reason == ENTRY_NONE)
            return fault_add(fault, FAULT_INPUT, "/reason", "what was it lost to?");
        return 0;
    case ENTRY_NOTE:
        if (!entry->withdraws && (!entry->note || !*entry->note))
            return fault_add(fault, FAULT_INPUT, "/note", "a note needs words");
        return 0;
    default:
        return 0;
    }
}

static int check_corrections(const struct entry *entry, struct fault *fault)
{
    if (entry->withdraws && entry->kind != ENTRY_NOTE)
        return fault_add(fault, FAULT_INPUT, "/kind", "what withdraws another entry is a note");
    if (entry->withdraws && entry->amends)
        return fault_add(fault, FAULT_INPUT, "/amends", "an entry amends or withdraws, not both");
    return 0;
}

/* ---- against the tank ---- */

/* Turns an air gap into a waterline, and holds both against the vessel. */
static int check_water(struct entry *entry, const struct vessel_row *row, struct fault *fault)
{
    struct vessel vessel = tank_vessel(row);
    struct vessel_level rim;

    if (!isnan(entry->air_gap_mm)) {
        if (!isnan(entry->waterline_mm))
            return fault_add(fault, FAULT_INPUT, "/air_gap_mm", "give the waterline or the air gap, not both");
        if (entry->air_gap_mm > row->height_mm)
            return fault_add(fault, FAULT_INPUT, "/air_gap_mm", "the vessel is only %g mm high", row->height_mm);
        entry->waterline_mm = row->height_mm - entry->air_gap_mm;
        entry->air_gap_mm = NAN;
    }
    if (entry->waterline_mm > row->height_mm)
        return fault_add(fault, FAULT_INPUT, "/waterline_mm", "the vessel is only %g mm high", row->height_mm);
    if (isnan(entry->volume_l))
        return 0;
    if (vessel_at_waterline(&vessel, vessel_height_mm(&vessel), &rim, fault))
        return -1;
    if (entry->volume_l > rim.brim_l)
        return fault_add(fault, FAULT_INPUT, "/volume_l", "the vessel holds only %.1f L", rim.brim_l);
    return 0;
}

static int check_numbers(const struct list *cups, const char *name, const struct vessel_row *row, struct fault *fault)
{
    const int64_t *cup = cups->item;
    int failed = 0;

    for (size_t i = 0; i < cups->count; i++) {
        char at[32];

        snprintf(at, sizeof at, "/%s/%zu", name, i);
        if (cup[i] < 1 || (uint64_t)cup[i] > row->cups.count)
            failed = fault_add(fault, FAULT_INPUT, at, "this lid has cups 1 to %zu", row->cups.count);
        for (size_t j = 0; j < i; j++)
            if (cup[j] == cup[i])
                failed = fault_add(fault, FAULT_INPUT, at, "cup %lld is named twice", (long long)cup[i]);
    }
    return failed;
}

static int check_cups(const struct entry *entry, const struct vessel_row *row, struct fault *fault)
{
    int failed = check_numbers(&entry->cups, "cups", row, fault);

    if (entry->kind == ENTRY_PLANTING && !entry->cups.count && entry->count > (int64_t)row->cups.count)
        failed = fault_add(fault, FAULT_INPUT, "/count", "this lid has %zu cups", row->cups.count);
    return failed;
}

/* ---- against the entries before it ---- */

/* What a sensor told is no entry: who shows its name is told what to do about it. */
static int absent(struct db *db, const char *id, const char *at, struct fault *fault)
{
    struct sensed named, first = {0};
    int64_t count = 0;

    if (sensed_of_name(id, &named) && sensed_of_moment(db, &named, &first, &count, fault))
        return -1;
    return fault_add(fault, FAULT_INPUT, at, count && !first.hidden ? "a sensor's readings are not corrected one by one: doubt the stretch of time (POST /api/v1/doubts)"
                                                   : "there is no such entry");
}

static int check_earlier(struct db *db, const struct who *who, const struct entry *entry, const char *id, const char *at,
                         struct arena *arena, struct fault *fault)
{
    struct entry earlier;
    int found;

    if (!id)
        return 0;
    found = entries_one(db, id, &earlier, arena, fault);
    if (found < 0)
        return -1;
    if (!found)
        return absent(db, id, at, fault);
    if (earlier.tank_key != entry->tank_key)
        return fault_add(fault, FAULT_INPUT, at, "that entry is another tank's");
    if (earlier.follows)
        return fault_add(fault, FAULT_INPUT, at, "that entry follows from one at another tank: take that one back");
    if (entry->amends && (earlier.to_tank || entry->to_tank))
        return fault_add(fault, FAULT_INPUT, at, "a move between tanks is taken back and logged again, not changed");
    if (entry->amends && earlier.kind != entry->kind)
        return fault_add(fault, FAULT_INPUT, at, "that entry is a %s", entry_kind_names[earlier.kind]);
    if (who->role != ROLE_KEEPER && earlier.member_key != who->member)
        return fault_add(fault, FAULT_DENIED, at, "only who logged it, or a keeper, may correct it");
    return 0;
}

/* An id that is there already: the same content is a resend, other content a conflict. 1: there and the same. */
static int check_resent(struct db *db, const struct entry *entry, struct entry *stored, struct arena *arena, struct fault *fault)
{
    int found = entries_one(db, entry->id, stored, arena, fault);

    if (found == 1 && !entry_same(entry, stored))
        return fault_add(fault, FAULT_CONFLICT, "/id", "this id is in the log already, with other content");
    return found;
}

/* UUIDs are kept as bytes and come back in small letters: what was sent in capitals is the same. */
static int normal_uuid(const char **id, const char *at, struct arena *arena, struct fault *fault)
{
    unsigned char bytes[16];
    char text[37];

    if (!*id)
        return 0;
    if (uuid_bytes(*id, bytes))
        return fault_add(fault, FAULT_INPUT, at, "must be a UUID");
    uuid_text(bytes, text);
    *id = arena_text(arena, text);
    return *id ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* A sensor reads; it neither corrects nor does anything, and only at its own tanks. */
static int check_sensor(struct db *db, const struct who *who, const struct entry *entry, struct fault *fault)
{
    int may;

    if (who->role != ROLE_SENSOR)
        return 0;
    if (entry->kind != ENTRY_READING || entry->amends || entry->withdraws)
        return fault_add(fault, FAULT_DENIED, "/kind", "a sensor may only post readings");
    may = sensors_may(db, who->sensor, entry->tank_key, fault);
    if (may == 0)
        return fault_add(fault, FAULT_DENIED, "/tank", "this sensor's key is not for that tank");
    return may == 1 ? 0 : -1;
}

/* Cups are kept in the order of their numbers, the steps of a clean-out each once: what was sent otherwise is the same. */
static void sort_cups(struct entry *entry)
{
    int64_t *cup = entry->cups.item, *to = entry->to_cups.count == entry->cups.count ? entry->to_cups.item : NULL;

    for (size_t i = 1; i < entry->cups.count; i++)
        for (size_t j = i; j > 0 && cup[j - 1] > cup[j]; j--) {
            int64_t kept = cup[j];

            cup[j] = cup[j - 1];
            cup[j - 1] = kept;
            if (to) {
                kept = to[j];
                to[j] = to[j - 1];
                to[j - 1] = kept;
            }
        }
}

static void sort_steps(struct list *steps)
{
    int *step = steps->item, kept = 0;
    bool done[ENTRY_STEPS] = {false};

    for (size_t i = 0; i < steps->count; i++)
        done[step[i]] = true;
    for (int i = 0; i < ENTRY_STEPS; i++)
        if (done[i])
            step[kept++] = i;
    steps->count = (size_t)kept;
}

/* ---- the job ---- */

struct log_job {
    const struct who *who;
    struct entry entry;
    struct entry *stored;
    bool stored_before;
    struct tank_mark tank, other; /* as of after the entry; other: where its plants went, key 0 where nowhere */
    struct arena *arena;
};

static int find_tank(struct db *db, struct entry *entry, struct vessel_row *vessel, struct arena *arena, struct fault *fault)
{
    struct tank_row tank;
    int found = tanks_one(db, entry->tank, &tank, arena, fault);

    if (found < 0)
        return -1;
    if (!found)
        return fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
    entry->tank_key = tank.key;
    entry->tank = tank.id;
    return vessels_by_key(db, tank.vessel_key, vessel, arena, fault) == 1 ? 0 : -1;
}

/* What an entry names must be there: a slip in a crop's or a salt's id would leave an outlook or a stock wrong for good. What a
 * correction says again of an older entry is held against the same lists. */
static int check_named(struct db *db, const struct entry *entry, struct arena *arena, struct fault *fault)
{
    const struct entry_salt *weighed = entry->weighed.item;
    struct garden_crop crop;
    struct garden_target target;
    struct water_row water;
    int failed = 0, found;

    found = entry->crop ? garden_crop_one(db, entry->crop, &crop, arena, fault) : 1;
    if (found == 0)
        failed = fault_add(fault, FAULT_INPUT, "/crop", "there is no such crop; add it to the garden's crops first");
    if (found >= 0 && entry->target && (found = garden_target_one(db, entry->target, &target, arena, fault)) == 0)
        failed = fault_add(fault, FAULT_INPUT, "/target", "there is no such target");
    if (found >= 0 && entry->water && (found = water_rows_one(db, entry->water, &water, arena, fault)) == 0)
        failed = fault_add(fault, FAULT_INPUT, "/water", "there is no such water");
    for (size_t i = 0; found >= 0 && i < entry->weighed.count; i++) {
        struct salt_row bag;
        char at[40];

        snprintf(at, sizeof at, "/weighed/%zu/salt", i);
        found = salts_find(weighed[i].salt) ? 1 : salt_rows_one(db, weighed[i].salt, &bag, arena, fault);
        if (found == 0)
            failed = fault_add(fault, FAULT_INPUT, at, "there is no such salt on the shelf");
    }
    return found < 0 ? -1 : failed;
}

/* A sensor's reading is kept packed; what it said comes back as an entry that nobody else will be shown. */
static int keep_reading(struct db *db, struct log_job *job, struct fault *fault)
{
    const struct entry *told = &job->entry;
    struct sensed reading = {.tank_key = told->tank_key, .sensor_key = told->sensor_key, .at_ms = told->at_ms, .received_ms = told->received_ms,
                             .waterline_mm = told->waterline_mm, .ec_ms_cm = told->ec_ms_cm, .ph = told->ph, .temperature_c = told->temperature_c};
    int64_t off_ms = told->sent_ms == STORE_NO_INT ? STORE_NO_INT : told->received_ms - told->sent_ms;
    struct list sensors;
    const struct sensor_row *sensor;

    if (readings_keep(db, &reading, off_ms, &job->stored_before, fault) ||
        sensors_list(db, reading.sensor_key - 1, 1, &sensors, job->arena, fault)) /* the first after the key before it */
        return -1;
    sensor = sensors.item;
    *job->stored = *told;
    job->stored->waterline_mm = reading.waterline_mm;
    job->stored->ec_ms_cm = reading.ec_ms_cm;
    job->stored->ph = reading.ph;
    job->stored->temperature_c = reading.temperature_c;
    job->stored->received_ms = reading.received_ms;
    job->stored->method = METHOD_SENSOR;
    job->stored->sensor = sensors.count ? sensor->id : NULL;
    job->stored->sensor_name = sensors.count ? sensor->name : NULL;
    return readings_flags(&reading, &job->stored->flags, job->arena, fault);
}

int garden_log_check(struct db *db, const struct entry *entry, struct arena *arena, struct fault *fault)
{
    return check_fields(entry, fault) || check_kind(entry, fault) || check_corrections(entry, fault) || check_named(db, entry, arena, fault) ? -1 : 0;
}

/* ---- what follows at another tank ---- */

/* The other tank of a move, by its uid; a move to the tank itself stays in it. */
static int find_other(struct db *db, struct entry *entry, struct tank_row *other, struct vessel_row *vessel, struct arena *arena,
                      struct fault *fault)
{
    int found = entry->to_tank ? tanks_one(db, entry->to_tank, other, arena, fault) : 0;

    if (entry->to_tank && found == 0)
        return fault_add(fault, FAULT_INPUT, "/to_tank", "there is no such tank");
    if (found < 0)
        return -1;
    entry->to_tank = found == 1 && other->key != entry->tank_key ? other->id : NULL;
    if (entry->to_tank && vessels_by_key(db, other->vessel_key, vessel, arena, fault) != 1)
        return -1;
    return check_numbers(&entry->to_cups, "to_cups", vessel, fault);
}

/* The id of the nth entry that follows from one: the same each time. A hash, since clients may count their ids up; its moment, so
 * that it sorts behind its cause; version 8, RFC 9562. */
static const char *following_id(const char *id, size_t nth, struct arena *arena)
{
    unsigned char from[18], bytes[16];
    char text[37];

    if (uuid_bytes(id, from))
        return NULL;
    from[16] = (unsigned char)(nth >> 8);
    from[17] = (unsigned char)(nth & 255);
    crypto_generichash(bytes, sizeof bytes, from, sizeof from, NULL, 0);
    memcpy(bytes, from, 6);
    bytes[6] = (unsigned char)((bytes[6] & 0x0f) | 0x80);
    bytes[8] = (unsigned char)((bytes[8] & 0x3f) | 0x80);
    uuid_text(bytes, text);
    return arena_text(arena, text);
}

static int add_following(struct db *db, const struct entry *cause, struct entry *entry, size_t nth, struct arena *arena, struct fault *fault)
{
    struct entry there;
    int found;

    entry->id = following_id(cause->id, nth, arena);
    if (!entry->id)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    entry->follows = cause->id;
    entry->received_ms = cause->received_ms;
    entry->at_ms = cause->at_ms;
    entry->clock_off_ms = cause->clock_off_ms;
    entry->member_key = cause->member_key;
    entry->device_key = cause->device_key;
    /* A log that is carried over from a copy brings it along. */
    found = entries_one(db, entry->id, &there, arena, fault);
    return found < 0 || (found == 0 && (entries_add(db, entry, fault) || tanks_touch(db, entry->tank_key, fault))) ? -1 : 0;
}

/* Leaves of a log what was done up to a move, without it. */
static void keep_before(struct list *entries, const struct entry *move)
{
    struct entry *entry = entries->item;
    size_t kept = 0;

    for (size_t i = 0; i < entries->count; i++)
        if (entry[i].at_ms <= move->at_ms && strcmp(entry[i].id, move->id) != 0)
            entry[kept++] = entry[i];
    entries->count = kept;
}

/* Plants that hang in the other tank from now on, with their age and cuts: a planting there for each planting here. */
static int arrive(struct db *db, const struct entry *move, const struct tank_row *other, const struct vessel_row *row, struct arena *arena,
                  struct fault *fault)
{
    const int64_t *from = move->cups.item, *to = move->to_cups.item;
    struct garden_row garden;
    struct list entries, before;
    struct tank_state state;
    const struct cup_state *cup;
    bool *done = arena_take(arena, move->cups.count * sizeof *done);
    size_t nth = 0;

    if (!done)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    memset(done, 0, move->cups.count * sizeof *done);
    if (gardens_read(db, &garden, arena, fault) != 1 || entries_of_tank(db, move->tank_key, &entries, arena, fault))
        return -1;
    if (log_effective(&entries, &before, arena, fault))
        return -1;
    keep_before(&before, move);
    if (tank_state_fold(row, &before, garden.time_zone, &state, arena, fault))
        return -1;
    cup = state.cups.item;
    for (size_t i = 0; i < move->cups.count; i++) {
        const struct cup_state *first = &cup[from[i] - 1];
        struct entry planting = entry_blank();
        int64_t *cups = arena_take(arena, move->cups.count * sizeof *cups);

        if (!cups)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        if (done[i] || !first->crop)
            continue;
        planting.kind = ENTRY_PLANTING;
        planting.tank_key = other->key;
        planting.crop = first->crop;
        planting.sown_day = first->sown_day;
        planting.start = first->start;
        planting.hung_day = first->planted_day;
        planting.cuts = first->cuts ? first->cuts : STORE_NO_INT;
        planting.cut_day = first->cut_day;
        planting.replaces = move->replaces;
        planting.cups.item = cups;
        for (size_t j = i; j < move->cups.count; j++) {
            const struct cup_state *like = &cup[from[j] - 1];

            if (done[j] || !like->crop || strcmp(like->planting, first->planting) != 0 || like->cuts != first->cuts)
                continue;
            cups[planting.cups.count++] = to[j];
            done[j] = true;
        }
        sort_cups(&planting);
        if (add_following(db, move, &planting, nth++, arena, fault))
            return -1;
    }
    return 0;
}

/* What the garden wrote elsewhere because of an entry goes with it when that is taken back, and comes back with it. */
static int withdraw_following(struct db *db, const struct entry *withdrawal, struct arena *arena, struct fault *fault)
{
    struct list following;
    const struct entry *entry;

    if (entries_following(db, withdrawal->withdraws, &following, arena, fault))
        return -1;
    entry = following.item;
    for (size_t i = 0; i < following.count; i++) {
        struct entry back = entry_blank();

        back.tank_key = entry[i].tank_key;
        back.withdraws = entry[i].id;
        if (add_following(db, withdrawal, &back, i, arena, fault))
            return -1;
    }
    return 0;
}

static int follow(struct db *db, const struct entry *entry, const struct tank_row *other, const struct vessel_row *row, struct arena *arena,
                  struct fault *fault)
{
    if (entry->withdraws)
        return withdraw_following(db, entry, arena, fault);
    return entry->to_tank ? arrive(db, entry, other, row, arena, fault) : 0;
}

static int log_in(struct db *db, void *context, struct fault *fault)
{
    struct log_job *job = context;
    struct entry *entry = &job->entry;
    struct vessel_row vessel, to_vessel;
    struct tank_row other;
    int resent;

    if (find_tank(db, entry, &vessel, job->arena, fault))
        return -1;
    to_vessel = vessel;
    if (find_other(db, entry, &other, &to_vessel, job->arena, fault) || check_sensor(db, job->who, entry, fault) ||
        check_water(entry, &vessel, fault) || check_cups(entry, &vessel, fault))
        return -1;
    if (job->who->role == ROLE_SENSOR && !entry->note)
        return keep_reading(db, job, fault);
    resent = check_resent(db, entry, job->stored, job->arena, fault);
    if (resent)
        return resent < 0 ? -1 : (job->stored_before = true, 0);
    if (check_named(db, entry, job->arena, fault) ||
        check_earlier(db, job->who, entry, entry->amends, "/amends", job->arena, fault) ||
        check_earlier(db, job->who, entry, entry->withdraws, "/withdraws", job->arena, fault) ||
        entries_add(db, entry, fault) || tanks_touch(db, entry->tank_key, fault) ||
        follow(db, entry, &other, &vessel, job->arena, fault) ||
        (entry->kind == ENTRY_CLEAN_OUT && lessons_learn(db, entry, job->arena, fault)) ||
        tanks_mark(db, entry->tank_key, &job->tank, job->arena, fault) != 1 ||
        (entry->to_tank && tanks_mark(db, other.key, &job->other, job->arena, fault) != 1))
        return -1;
    return entries_one(db, entry->id, job->stored, job->arena, fault) == 1 ? 0 : -1;
}

int garden_log(struct garden *garden, const struct who *who, const struct entry *entry, struct entry *stored, bool *stored_before,
               struct arena *arena, struct fault *fault)
{
    struct log_job job = {.who = who, .entry = *entry, .stored = stored, .arena = arena};
    struct entry *given = &job.entry;

    if (!given->id)
        return fault_add(fault, FAULT_INPUT, "/id", "must be a UUID");
    if (normal_uuid(&given->id, "/id", arena, fault) || normal_uuid(&given->amends, "/amends", arena, fault) ||
        normal_uuid(&given->withdraws, "/withdraws", arena, fault))
        return -1;
    if (check_fields(given, fault) || check_kind(given, fault) || check_corrections(given, fault))
        return -1;
    sort_cups(given);
    sort_steps(&given->steps);
    given->member_key = who->member ? who->member : STORE_NO_INT;
    given->device_key = who->device ? who->device : STORE_NO_INT;
    given->sensor_key = who->sensor ? who->sensor : STORE_NO_INT;
    given->clock_off_ms = STORE_NO_INT;
    if (given->sent_ms != STORE_NO_INT && llabs(given->received_ms - given->sent_ms) > CLOCK_OFF_MS)
        given->clock_off_ms = given->received_ms - given->sent_ms;
    else if (given->at_ms - given->received_ms > CLOCK_OFF_MS) /* nobody observes what is still to come */
        given->clock_off_ms = given->received_ms - given->at_ms;
    if (store_write(garden->store, log_in, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    if (!job.stored_before && who->role != ROLE_SENSOR) {
        standing_ask_for(garden, &job.tank);
        if (job.other.key)
            standing_ask_for(garden, &job.other);
    }
    return 0;
}
