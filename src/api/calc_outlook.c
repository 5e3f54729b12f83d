/* calc_outlook.c - a tank's future from what is known of it. */
#include "api/calc.h"

#include <math.h>
#include <stdio.h>

#include "api/climates.h"
#include "api/outlooks.h"
#include "api/vessels.h"
#include "calc/outlook.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define NUMBER(name, at, flags, least, most, text) {name, FIELD_NUMBER, flags, at, least, most, .standard = NAN, .about = text}

/* ---- the lists ---- */

static const char *const method_words[] = {"dipstick", "by_eye", "sensor", NULL};

struct planting_given {
    const char *crop;
    double count;
    int32_t on, harvest_on, sown_on;
};
struct reading_given {
    int64_t at_ms;
    double waterline_mm;
    int method;
};
struct cut_given {
    int64_t at_ms, planting;
    double kept_fraction;
};

#define AT(member) offsetof(struct planting_given, member)
static const struct field planting_fields[] = {
    {"crop", FIELD_TEXT, FIELD_REQUIRED, AT(crop), 1, 64, .about = "The crop's slug."},
    NUMBER("count", AT(count), FIELD_REQUIRED, 0.001, 1000, "Plants."),
    {"on", FIELD_DATE, FIELD_REQUIRED, AT(on), .about = "The day they were hung into the tank."},
    {"harvest_on", FIELD_DATE, FIELD_NULLABLE, AT(harvest_on), .about = "The day they were taken out, or that the fill must reach; null: not fixed."},
    {"sown_on", FIELD_DATE, FIELD_NULLABLE, AT(sown_on), .about = "The day they were sown."},
};
#undef AT
static const struct shape planting_shape = {.name = "PlantingKnown", .size = sizeof(struct planting_given), .field = planting_fields, .count = COUNT(planting_fields)};

#define AT(member) offsetof(struct outlook_weather, member)
static const struct field weather_fields[] = {
    {"date", FIELD_DATE, FIELD_REQUIRED, AT(day), .about = "The day."},
    NUMBER("tmin_c", AT(tmin_c), FIELD_REQUIRED, -60, 60, "Lowest of the day, C."),
    NUMBER("tmax_c", AT(tmax_c), FIELD_REQUIRED, -60, 60, "Highest of the day, C."),
    NUMBER("rh_percent", AT(rh_percent), FIELD_NULLABLE, 0, 100, "Mean relative humidity, %."),
    NUMBER("wind_m_s", AT(wind_m_s), FIELD_NULLABLE, 0, 60, "Mean wind at 2 m, m/s."),
    NUMBER("sunshine_h", AT(sunshine_h), FIELD_NULLABLE, 0, 24, "Hours of sunshine."),
    NUMBER("solar_mj_m2", AT(solar_mj_m2), FIELD_NULLABLE, 0, 50, "Solar radiation, MJ/m2."),
};
#undef AT
static const struct shape weather_shape = {.name = "WeatherKnown", .size = sizeof(struct outlook_weather), .field = weather_fields, .count = COUNT(weather_fields)};

#define AT(member) offsetof(struct reading_given, member)
static const struct field reading_fields[] = {
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "When."},
    NUMBER("waterline_mm", AT(waterline_mm), FIELD_REQUIRED, 0, 3000, "Above the floor, mm."),
    {"method", FIELD_CHOICE, 0, AT(method), .words = method_words, .standard = OUTLOOK_DIPSTICK, .about = "How it was read."},
};
#undef AT
static const struct shape reading_shape = {.name = "WaterlineRead", .size = sizeof(struct reading_given), .field = reading_fields, .count = COUNT(reading_fields)};

static int one_known(const void *read, struct fault *fault)
{
    const struct outlook_added *added = read;

    if (isnan(added->volume_l) && isnan(added->waterline_mm))
        return fault_add(fault, FAULT_INPUT, "", "give volume_l or waterline_mm");
    return 0;
}

#define AT(member) offsetof(struct outlook_added, member)
static const struct field added_fields[] = {
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "When."},
    NUMBER("volume_l", AT(volume_l), 0, 0, 5000, "Poured in, L."),
    NUMBER("waterline_mm", AT(waterline_mm), 0, 0, 3000, "The waterline after it, mm."),
};
#undef AT
static const struct shape added_shape = {.name = "ToppedUp", .size = sizeof(struct outlook_added), .field = added_fields, .count = COUNT(added_fields), .rule = one_known};

#define AT(member) offsetof(struct cut_given, member)
static const struct field cut_fields[] = {
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "When."},
    NUMBER("kept_fraction", AT(kept_fraction), FIELD_REQUIRED, 0, 1, "Of the leaves that stay."),
    {"planting", FIELD_INTEGER, 0, AT(planting), -1, OUTLOOK_PLANTINGS - 1, .standard = -1, .about = "Index into plantings; all that hang where left out."},
};
#undef AT
static const struct shape cut_shape = {.name = "Cut", .size = sizeof(struct cut_given), .field = cut_fields, .count = COUNT(cut_fields)};

/* ---- the question ---- */

struct given {
    int32_t today, filled_on;
    int64_t horizon_days;
    struct vessel_given vessel;
    double start_mm, low_mm;
    struct climate_given_document climate;
    struct list plantings, weather, readings, added, cuts;
};

#define AT(member) offsetof(struct given, member)
static const struct field given_fields[] = {
    {"today", FIELD_DATE, FIELD_REQUIRED, AT(today), .about = "The day from which to look ahead."},
    {"vessel", FIELD_ONE_OF, FIELD_REQUIRED, AT(vessel), .shape = &vessel_given_shape, .about = "Its inside measures."},
    NUMBER("start_mm", AT(start_mm), FIELD_REQUIRED, 0, 3000, "The waterline it is filled to, mm."),
    NUMBER("low_mm", AT(low_mm), FIELD_REQUIRED, 0, 3000, "The waterline at which it runs low, mm."),
    {"plantings", FIELD_LIST, FIELD_REQUIRED, AT(plantings), 0, OUTLOOK_PLANTINGS, .shape = &planting_shape, .about = "What hangs in it, or will."},
    {"climate", FIELD_ONE_OF, FIELD_REQUIRED, AT(climate), .shape = &climate_given_shape, .about = "Monthly normals of the place, or the room."},
    {"weather", FIELD_LIST, 0, AT(weather), 0, OUTLOOK_WEATHER, .shape = &weather_shape, .about = "Days whose weather is known."},
    {"readings", FIELD_LIST, 0, AT(readings), 0, OUTLOOK_READINGS, .shape = &reading_shape, .about = "Waterlines that were read."},
    {"added", FIELD_LIST, 0, AT(added), 0, OUTLOOK_ADDED, .shape = &added_shape, .about = "Top-ups."},
    {"cuts", FIELD_LIST, 0, AT(cuts), 0, OUTLOOK_CUTS, .shape = &cut_shape, .about = "Harvests that left the plants standing."},
    {"filled_on", FIELD_DATE, FIELD_NULLABLE, AT(filled_on), .about = "The day it was filled to start_mm; the earliest fact where left out."},
    {"horizon_days", FIELD_INTEGER, 0, AT(horizon_days), 1, OUTLOOK_HORIZON, .standard = OUTLOOK_HORIZON_USUAL, .about = "How far to look ahead."},
};
#undef AT
const struct shape calc_outlook_shape = {.name = "OutlookQuestion", .size = sizeof(struct given), .field = given_fields,
                                         .count = COUNT(given_fields), .about = "What is known of a tank."};

/* ---- to the calculation ---- */

static int set_plantings(const struct list *given, struct outlook_planting *into, struct fault *fault)
{
    const struct planting_given *item = given->item;
    int failed = 0;

    for (size_t i = 0; i < given->count; i++) {
        char at[48];

        into[i] = (struct outlook_planting){crops_find(item[i].crop), item[i].count, item[i].on, item[i].harvest_on, item[i].sown_on};
        snprintf(at, sizeof at, "/plantings/%zu/crop", i);
        if (!into[i].crop)
            failed = fault_add(fault, FAULT_INPUT, at, "is no crop known here");
    }
    return failed;
}

static void set_readings(const struct list *given, struct outlook_reading *into)
{
    const struct reading_given *item = given->item;

    for (size_t i = 0; i < given->count; i++)
        into[i] = (struct outlook_reading){item[i].at_ms, item[i].waterline_mm, (enum outlook_reading_method)item[i].method};
}

static void set_cuts(const struct list *given, struct outlook_cut *into)
{
    const struct cut_given *item = given->item;

    for (size_t i = 0; i < given->count; i++)
        into[i] = (struct outlook_cut){item[i].at_ms, item[i].kept_fraction, (int)item[i].planting};
}

/* POST /api/v1/calc/outlook */
int calc_outlook_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct arena *arena = request->arena;
    struct vessel vessel = vessel_from_given(&given->vessel);
    struct outlook_planting *plantings = arena_take(arena, given->plantings.count * sizeof *plantings);
    struct outlook_reading *readings = arena_take(arena, given->readings.count * sizeof *readings);
    struct outlook_cut *cuts = arena_take(arena, given->cuts.count * sizeof *cuts);
    struct outlook *outlook = arena_take(arena, sizeof *outlook);
    struct outlook_given known;

    if (!plantings || !readings || !cuts || !outlook)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    outlook_given_init(&known);
    known.today = given->today;
    known.filled_on = given->filled_on;
    known.horizon_days = (int)given->horizon_days;
    known.vessel = &vessel;
    known.start_mm = given->start_mm;
    known.low_mm = given->low_mm;
    climate_from_given(&given->climate, &known.climate);
    if (set_plantings(&given->plantings, plantings, fault))
        return -1;
    set_readings(&given->readings, readings);
    set_cuts(&given->cuts, cuts);
    known.planting = plantings;
    known.planting_count = given->plantings.count;
    known.weather = given->weather.item;
    known.weather_count = given->weather.count;
    known.reading = readings;
    known.reading_count = given->readings.count;
    known.added = given->added.item;
    known.added_count = given->added.count;
    known.cut = cuts;
    known.cut_count = given->cuts.count;
    if (outlook_make(&known, outlook, fault))
        return -1;
    return reply_json(reply, 200, outlook_document(outlook, arena), fault);
}
