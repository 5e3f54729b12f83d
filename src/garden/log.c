/* log.c - the rules of the log. The bounds of single numbers are the documents' (api/entries.c); here is what holds
 * between fields, and between an entry, its tank and the entries before it. */
#include "garden/log.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

const char *const entry_kind_names[] = {"fill", "top-up", "reading", "planting", "harvest", "clean-out", "note", NULL};

/* ---- which fields belong to which kind ---- */

#define IN(kind) (1u << (kind))
#define IN_WATER (IN(ENTRY_FILL) | IN(ENTRY_TOP_UP))
#define IN_MEASURED (IN_WATER | IN(ENTRY_READING))
#define IN_PLANTS (IN(ENTRY_PLANTING) | IN(ENTRY_HARVEST))

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
        {"/cups", entry->cups.count > 0, IN_PLANTS},
        {"/sown_on", entry->sown_day != INT32_MIN, IN(ENTRY_PLANTING)},
        {"/start", entry->start != ENTRY_NONE, IN(ENTRY_PLANTING)},
        {"/how", entry->how != ENTRY_NONE, IN(ENTRY_HARVEST)},
        {"/weight_g", !isnan(entry->weight_g), IN(ENTRY_HARVEST)},
        {"/bunches", entry->bunches != STORE_NO_INT, IN(ENTRY_HARVEST)},
        {"/kept_fraction", !isnan(entry->kept_fraction), IN(ENTRY_HARVEST)},
        {"/quality", entry->quality != STORE_NO_INT, IN(ENTRY_HARVEST)},
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

static int check_cups(const struct entry *entry, const struct vessel_row *row, struct fault *fault)
{
    const int64_t *cup = entry->cups.item;
    int failed = 0;

    for (size_t i = 0; i < entry->cups.count; i++) {
        char at[32];

        snprintf(at, sizeof at, "/cups/%zu", i);
        if (cup[i] < 1 || (uint64_t)cup[i] > row->cups.count)
            failed = fault_add(fault, FAULT_INPUT, at, "this lid has cups 1 to %zu", row->cups.count);
        for (size_t j = 0; j < i; j++)
            if (cup[j] == cup[i])
                failed = fault_add(fault, FAULT_INPUT, at, "cup %lld is named twice", (long long)cup[i]);
    }
    if (entry->kind == ENTRY_PLANTING && !entry->cups.count && entry->count > (int64_t)row->cups.count)
        failed = fault_add(fault, FAULT_INPUT, "/count", "this lid has %zu cups", row->cups.count);
    return failed;
}

/* ---- against the entries before it ---- */

/* What a sensor told is no entry: who shows its name is told what to do about it. */
static int absent(struct db *db, const char *id, const char *at, struct fault *fault)
{
    struct sensed named, first;
    int64_t count = 0;

    if (sensed_of_name(id, &named) && sensed_of_moment(db, &named, &first, &count, fault))
        return -1;
    return fault_add(fault, FAULT_INPUT, at, count ? "a sensor's readings are not corrected one by one: doubt the stretch of time (POST /api/v1/doubts)"
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

/* ---- the job ---- */

struct log_job {
    const struct who *who;
    struct entry entry;
    struct entry *stored;
    bool stored_before;
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

static int log_in(struct db *db, void *context, struct fault *fault)
{
    struct log_job *job = context;
    struct entry *entry = &job->entry;
    struct vessel_row vessel;
    int resent;

    if (find_tank(db, entry, &vessel, job->arena, fault) || check_sensor(db, job->who, entry, fault) ||
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
        (entry->kind == ENTRY_CLEAN_OUT && lessons_learn(db, entry, job->arena, fault)))
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
    if (!job.stored_before && who->role != ROLE_SENSOR)
        standing_ask_for(garden, given->tank_key);
    return 0;
}
