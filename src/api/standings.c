/* standings.c - how a tank stands, as documents. */
#include "api/standings.h"

#include <math.h>

#include "api/outlooks.h"
#include "garden/clock.h"
#include "garden/log.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- advice ---- */

#define AT(member) offsetof(struct advice_with, member)
#define NUMBER(name, about_) {#name, FIELD_NUMBER, 0, AT(name), .standard = NAN, .about = about_}
static const struct field with_fields[] = {
    NUMBER(litres, "L to add."),
    NUMBER(to_mm, "Waterline after it, mm."),
    NUMBER(share, "Of full strength, 0 to 1."),
    NUMBER(days, "Days."),
    NUMBER(value, "What was measured or is expected, in the unit of the reason."),
    NUMBER(low, "The lower bound it is held against."),
    NUMBER(high, "The upper bound."),
    {"strength", FIELD_TEXT, 0, AT(strength), .about = "nothing, plain, dilute or full."},
    {"crop", FIELD_TEXT, 0, AT(crop), .about = "The crop, by its id."},
    {"entry", FIELD_TEXT, 0, AT(entry), .about = "The entry it is about."},
    {"other", FIELD_TEXT, 0, AT(other), .about = "The other one of a pair."},
};
#undef AT
const struct shape advice_with_shape = {.name = "AdviceWith", .size = sizeof(struct advice_with), .field = with_fields, .count = COUNT(with_fields)};

#define AT(member) offsetof(struct advice_document, member)
static const struct field advice_fields[] = {
    {"reason", FIELD_CHOICE, FIELD_REQUIRED, AT(reason), .words = advice_reason_names, .about = "Why it wants a hand."},
    {"when", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(when), .shape = &dates_shape, .about = "Until when.", .given = AT(when_given)},
    {"with", FIELD_OBJECT, FIELD_REQUIRED, AT(with), .shape = &advice_with_shape, .about = "The numbers of the sentence."},
    {"act", FIELD_CHOICE, FIELD_REQUIRED | FIELD_NULLABLE, AT(act), .words = entry_kind_names, .standard = -1, .about = "The kind of entry that settles it."},
};
#undef AT
const struct shape advice_shape = {.name = "Advice", .size = sizeof(struct advice_document), .field = advice_fields, .count = COUNT(advice_fields)};

struct list advice_documents(const struct advice *advice, size_t count, struct arena *arena)
{
    struct advice_document *documents = arena_take(arena, (count + 1) * sizeof *documents);

    for (size_t i = 0; documents && i < count; i++)
        documents[i] = (struct advice_document){advice[i].reason, advice[i].when, advice[i].when.p50 != DAYS_NONE || advice[i].when.p10 != DAYS_NONE,
                                                advice[i].with, advice[i].act};
    return (struct list){documents, documents ? count : 0};
}

/* ---- the state ---- */

static const char *const phases[] = {"empty", "filled", NULL};
static const char *const flag_names[] = {"probable_double", "unexplained_rise", "clock_off", "above_ceiling", "cup_taken", "cups_full", "cup_empty", NULL};

static const char *const cup_starts[] = {"sown", "pricked_out", "transplanted", NULL};
static const char *const cup_phases[] = {"free", "growing", "ready", "cut", "lost", NULL};

#define AT(member) offsetof(struct cup_state, member)
static const struct field cup_fields[] = {
    {"cup", FIELD_INTEGER, FIELD_REQUIRED, AT(cup), .about = "Its number, from 1."},
    {"crop", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(crop), .about = "What hangs in it."},
    {"planted_on", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(planted_day), .about = "Since when."},
    {"planting", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(planting), .about = "The entry that planted it."},
    {"cuts", FIELD_INTEGER, FIELD_REQUIRED, AT(cuts), .about = "How often it was cut."},
    {"state", FIELD_CHOICE, FIELD_REQUIRED, AT(phase), .words = cup_phases, .about = "free; growing; ready: as likely as not; cut: regrows; lost: free since a plant was lost."},
    {"sown_on", FIELD_DATE, 0, AT(sown_day), .about = "Where it was told."},
    {"start", FIELD_CHOICE, 0, AT(start), .words = cup_starts, .standard = ENTRY_NONE, .about = "How it came into a cup."},
    {"here_since", FIELD_DATE, 0, AT(here_day), .about = "In this cup since."},
    {"cut_on", FIELD_DATE, 0, AT(cut_day), .about = "Last cut."},
    {"ready_on", FIELD_DATE, 0, AT(ready_day), .about = "Ready about then, today where it is now."},
    {"lost", FIELD_TEXT, 0, AT(lost_crop), .about = "The crop that was lost here last, until it is planted again."},
    {"lost_on", FIELD_DATE, 0, AT(lost_day), .about = "When."},
    {"lost_to", FIELD_CHOICE, 0, AT(lost_reason), .words = entry_reason_names, .standard = ENTRY_NONE, .about = "What to."},
};
#undef AT
const struct shape cup_state_shape = {.name = "CupState", .size = sizeof(struct cup_state), .field = cup_fields, .count = COUNT(cup_fields)};

#define AT(member) offsetof(struct tank_flag_item, member)
static const struct field flag_fields[] = {
    {"flag", FIELD_CHOICE, FIELD_REQUIRED, AT(flag), .words = flag_names, .about = "What looks odd."},
    {"entry", FIELD_TEXT, FIELD_REQUIRED, AT(entry), .about = "The entry."},
    {"other", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(other), .about = "The other one of a pair."},
};
#undef AT
static const struct shape flag_shape = {.name = "Flag", .size = sizeof(struct tank_flag_item), .field = flag_fields, .count = 3};

#define AT(member) offsetof(struct state_document, member)
#define OBSERVED(name, key, about_) \
    {name, FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(key.value), .standard = NAN, .about = about_}
#define OBSERVED_AT(name, key) \
    {name, FIELD_INSTANT, FIELD_REQUIRED | FIELD_NULLABLE, AT(key.at_ms), .about = "When it was read."}
static const struct field state_fields[] = {
    {"phase", FIELD_CHOICE, FIELD_REQUIRED, AT(phase), .words = phases, .about = "Empty or filled."},
    {"filled_on", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(filled_on), .about = "Day of the fill."},
    OBSERVED("waterline_mm", waterline, "Last known, mm above the floor."),
    OBSERVED_AT("waterline_at", waterline),
    {"air_gap_mm", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(air_gap_mm), .standard = NAN, .about = "From there up to the lid, mm."},
    {"volume_l", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(volume_l), .standard = NAN, .about = "Solution at that waterline, L."},
    {"height_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(height_mm), .standard = NAN, .about = "Of the lid above the floor, mm."},
    {"start_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(start_mm), .standard = NAN, .about = "Starting waterline, mm."},
    {"low_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(low_mm), .standard = NAN, .about = "Runs low there, mm."},
    {"ceiling_mm", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(ceiling_mm), .standard = NAN, .about = "Highest a top-up may reach now, mm."},
    OBSERVED("ec_ms_cm", ec, "mS/cm at 25 C."),
    OBSERVED_AT("ec_at", ec),
    OBSERVED("ph", ph, "pH."),
    OBSERVED_AT("ph_at", ph),
    OBSERVED("temperature_c", temperature, "Of the solution, C."),
    OBSERVED_AT("temperature_at", temperature),
    {"last_reading_at", FIELD_INSTANT, FIELD_REQUIRED | FIELD_NULLABLE, AT(last_reading_ms), .about = "Last reading of any kind."},
    {"cups", FIELD_LIST, FIELD_REQUIRED, AT(cups), .shape = &cup_state_shape, .about = "Every cup of the lid."},
    {"flags", FIELD_LIST, FIELD_REQUIRED, AT(flags), .shape = &flag_shape, .about = "What looks odd in the log."},
    {"water", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(water), .about = "Source water of the fill."},
    {"target", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(target), .about = "Target of the fill."},
};
#undef AT
const struct shape state_shape = {.name = "State", .size = sizeof(struct state_document), .field = state_fields,
                                         .count = COUNT(state_fields), .about = "What the log says of the tank."};

struct state_document state_document_of(const struct tank_state *state, const char *zone)
{
    return (struct state_document){
        .phase = state->filled,
        .filled_on = state->filled ? clock_day(zone, state->filled_ms) : FIELD_NO_DATE,
        .waterline = state->waterline,
        .ec = state->ec,
        .ph = state->ph,
        .temperature = state->temperature,
        .air_gap_mm = state->air_gap_mm,
        .volume_l = state->volume_l,
        .height_mm = state->height_mm,
        .start_mm = state->start_mm,
        .low_mm = state->low_mm,
        .ceiling_mm = state->filled ? state->ceiling_mm : (double)NAN,
        .last_reading_ms = state->last_reading_ms,
        .cups = state->cups,
        .flags = state->flags,
        .water = state->water,
        .target = state->target,
    };
}

/* ---- what was read last ---- */

#define AT(member) offsetof(struct standing_last, member)
static const struct field last_fields[] = {
    OBSERVED("waterline_mm", waterline, "mm above the floor; after a fill or a top-up that told it, too."),
    OBSERVED_AT("waterline_at", waterline),
    OBSERVED("ec_ms_cm", ec, "mS/cm at 25 C."),
    OBSERVED_AT("ec_at", ec),
    OBSERVED("ph", ph, "pH."),
    OBSERVED_AT("ph_at", ph),
    OBSERVED("temperature_c", temperature, "Of the solution, C."),
    OBSERVED_AT("temperature_at", temperature),
};
#undef AT
const struct shape last_shape = {.name = "LastRead", .size = sizeof(struct standing_last), .field = last_fields, .count = COUNT(last_fields),
                                 .about = "What was read last of each kind, and when; named as in the tank's state."};

/* ---- the small drawing ---- */

static const struct field drawing_fields[] = {
#define AT(member) offsetof(struct standing_drawing, member)
    {"height_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(height_mm), .standard = NAN, .about = "Of the lid, mm."},
    {"start_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(start_mm), .standard = NAN, .about = "mm."},
    {"low_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(low_mm), .standard = NAN, .about = "mm."},
    {"ceiling_mm", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(ceiling_mm), .standard = NAN, .about = "mm."},
    {"waterline_mm", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(waterline_mm), .standard = NAN, .about = "Thought to stand there today, mm."},
    {"floor_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(floor_mm), .standard = NAN, .about = "Width at the floor, along its length, mm."},
    {"rim_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(rim_mm), .standard = NAN, .about = "Width at the rim, mm."},
    {"cups", FIELD_INTEGER, FIELD_REQUIRED, AT(cups), .about = "In the lid."},
    {"planted", FIELD_INTEGER, FIELD_REQUIRED, AT(planted), .about = "Of them with a plant."},
#undef AT
};
const struct shape drawing_shape = {.name = "Drawing", .size = sizeof(struct standing_drawing), .field = drawing_fields, .count = COUNT(drawing_fields)};
