/* tanks.c - tanks over HTTP. */
#include "api/tanks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "api/answers.h"
#include "api/calc.h"
#include "api/entries.h"
#include "api/lists.h"
#include "api/vessels.h"
#include "garden/clock.h"
#include "garden/log.h"
#include "garden/refill.h"
#include "garden/tank_drift.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define RECENT 50

/* Days of coming waterlines on a tank's page: as far as anybody plans. All of them are at /outlook. */
#define PAGE_DAYS 45

/* ---- spreads and dates ---- */

#define AT(member) offsetof(struct outlook_dates, member)
static const struct field dates_fields[] = {
    {"p10", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(p10), .about = "One in ten is earlier; null: beyond the horizon."},
    {"p50", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(p50), .about = "As likely before as after."},
    {"p90", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(p90), .about = "One in ten is later."},
};
#undef AT
const struct shape dates_shape = {.name = "Dates", .size = sizeof(struct outlook_dates), .field = dates_fields, .count = 3};

#define AT(member) offsetof(struct outlook_spread, member)
static const struct field spread_fields[] = {
    {"p10", FIELD_NUMBER, FIELD_REQUIRED, AT(p10), .standard = NAN, .about = "One in ten is less."},
    {"p50", FIELD_NUMBER, FIELD_REQUIRED, AT(p50), .standard = NAN, .about = "As likely less as more."},
    {"p90", FIELD_NUMBER, FIELD_REQUIRED, AT(p90), .standard = NAN, .about = "One in ten is more."},
};
#undef AT
const struct shape spread_shape = {.name = "Spread", .size = sizeof(struct outlook_spread), .field = spread_fields, .count = 3};

/* ---- the outlook ---- */

struct outlook_answer {
    struct outlook_dates low_on, harvest_on;
    bool harvest_given;
    struct outlook_spread use_l_day;
    double carries_to_harvest, waterline_now_mm;
    struct list waterline; /* struct outlook_waterline */
    struct {
        double vigour, pace;
    } learned;
    struct list surprises; /* struct surprise_document */
};

struct surprise_document {
    int64_t at_ms;
    const char *why;
    double by_mm;
};

#define AT(member) offsetof(struct outlook_waterline, member)
static const struct field waterline_fields[] = {
    {"date", FIELD_DATE, FIELD_REQUIRED, AT(day), .about = "At the end of this day."},
    {"p10_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(p10_mm), .standard = NAN, .about = "The lower waterline, mm."},
    {"p50_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(p50_mm), .standard = NAN, .about = "mm."},
    {"p90_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(p90_mm), .standard = NAN, .about = "The higher waterline, mm."},
};
#undef AT
static const struct shape waterline_shape = {.name = "ComingWaterline", .size = sizeof(struct outlook_waterline),
                                             .field = waterline_fields, .count = 4};

#define AT(member) offsetof(struct surprise_document, member)
static const struct field surprise_fields[] = {
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "The reading's moment."},
    {"why", FIELD_TEXT, FIELD_REQUIRED, AT(why), .about = "unexplained_rise, unexplained_fall, typing_slip, above_rim or addition_differs."},
    {"by_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(by_mm), .standard = NAN, .about = "How far from what was expected, mm."},
};
#undef AT
static const struct shape surprise_shape = {.name = "Surprise", .size = sizeof(struct surprise_document), .field = surprise_fields, .count = 3};

static const struct field learned_fields[] = {
    {"vigour", FIELD_NUMBER, FIELD_REQUIRED, 0, .standard = NAN, .about = "Thirst against what the crop usually has, 1: the same."},
    {"pace", FIELD_NUMBER, FIELD_REQUIRED, sizeof(double), .standard = NAN, .about = "Speed of growth, the same way."},
};
static const struct shape learned_shape = {.name = "Learned", .size = 2 * sizeof(double), .field = learned_fields, .count = 2};

#define AT(member) offsetof(struct outlook_answer, member)
static const struct field outlook_fields[] = {
    {"low_on", FIELD_OBJECT, FIELD_REQUIRED, AT(low_on), .shape = &dates_shape, .about = "When it runs low."},
    {"use_l_day", FIELD_OBJECT, FIELD_REQUIRED, AT(use_l_day), .shape = &spread_shape, .about = "Water use of the coming week, L a day."},
    {"carries_to_harvest", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(carries_to_harvest), .standard = NAN, .about = "Probability that the fill lasts until harvest; null: nothing planted."},
    {"harvest_on", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(harvest_on), .shape = &dates_shape, .about = "Of what is harvested next.", .given = AT(harvest_given)},
    {"waterline", FIELD_LIST, FIELD_REQUIRED, AT(waterline), .shape = &waterline_shape, .about = "Day by day from today."},
    {"learned", FIELD_OBJECT, FIELD_REQUIRED, AT(learned), .shape = &learned_shape, .about = "What its own waterlines taught."},
    {"surprises", FIELD_LIST, FIELD_REQUIRED, AT(surprises), .shape = &surprise_shape, .about = "Readings that do not fit."},
    {"waterline_now_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(waterline_now_mm), .standard = NAN, .about = "Thought to stand in the tank today, mm."},
};
#undef AT
const struct shape outlook_shape = {.name = "Outlook", .size = sizeof(struct outlook_answer), .field = outlook_fields,
                                    .count = COUNT(outlook_fields), .about = "What a tank will do."};

static double to_hundredths(double mm)
{
    return round(mm * 100) / 100;
}

/* Waterlines to a hundredth of a mm: finer digits say nothing and are half of the answer. */
static struct list waterlines_of(const struct outlook *outlook, struct arena *arena)
{
    struct outlook_waterline *line = arena_take(arena, (outlook->waterline_count + 1) * sizeof *line);

    for (size_t i = 0; line && i < outlook->waterline_count; i++)
        line[i] = (struct outlook_waterline){outlook->waterline[i].day, to_hundredths(outlook->waterline[i].p10_mm),
                                             to_hundredths(outlook->waterline[i].p50_mm), to_hundredths(outlook->waterline[i].p90_mm)};
    return (struct list){line, line ? outlook->waterline_count : 0};
}

/* NULL when out of memory. */
static struct outlook_answer *answer_of(const struct outlook *outlook, struct arena *arena)
{
    struct outlook_answer *answer = arena_take(arena, sizeof *answer);
    struct surprise_document *surprises = arena_take(arena, (outlook->surprise_count + 1) * sizeof *surprises);
    struct list waterlines = waterlines_of(outlook, arena);

    if (!answer || !surprises || (!waterlines.item && outlook->waterline_count))
        return NULL;
    for (size_t i = 0; i < outlook->surprise_count; i++)
        surprises[i] = (struct surprise_document){outlook->surprise[i].at_ms, outlook_surprise_key[outlook->surprise[i].why],
                                                  outlook->surprise[i].by_mm};
    *answer = (struct outlook_answer){.low_on = outlook->low_on,
                                      .harvest_on = outlook->harvest_on,
                                      .harvest_given = outlook->harvest_on.p50 != DAYS_NONE,
                                      .use_l_day = outlook->use_l_day,
                                      .carries_to_harvest = outlook->carries_to_harvest,
                                      .waterline_now_mm = outlook->waterline_now_mm,
                                      .waterline = waterlines,
                                      .learned = {outlook->vigour, outlook->pace},
                                      .surprises = {surprises, outlook->surprise_count}};
    return answer;
}

json_t *outlook_document(const struct outlook *outlook, struct arena *arena)
{
    const struct outlook_answer *answer = answer_of(outlook, arena);

    return answer ? shape_write(&outlook_shape, answer) : NULL;
}

/* ---- advice ---- */

struct advice_document {
    int reason;
    struct outlook_dates when;
    bool when_given;
    struct advice_with with;
    int act;
};

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
static const struct shape with_shape = {.name = "AdviceWith", .size = sizeof(struct advice_with), .field = with_fields, .count = COUNT(with_fields)};

#define AT(member) offsetof(struct advice_document, member)
static const struct field advice_fields[] = {
    {"reason", FIELD_CHOICE, FIELD_REQUIRED, AT(reason), .words = advice_reason_names, .about = "Why it wants a hand."},
    {"when", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(when), .shape = &dates_shape, .about = "Until when.", .given = AT(when_given)},
    {"with", FIELD_OBJECT, FIELD_REQUIRED, AT(with), .shape = &with_shape, .about = "The numbers of the sentence."},
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

struct state_document {
    int phase;
    int32_t filled_on;
    struct observed waterline, ec, ph, temperature;
    double air_gap_mm, volume_l, height_mm, start_mm, low_mm, ceiling_mm;
    int64_t last_reading_ms;
    struct list cups, flags;
    const char *water, *target;
};

static const char *const phases[] = {"empty", "filled", NULL};
static const char *const flag_names[] = {"probable_double", "unexplained_rise", "clock_off", "above_ceiling", NULL};

#define AT(member) offsetof(struct cup_state, member)
static const struct field cup_fields[] = {
    {"cup", FIELD_INTEGER, FIELD_REQUIRED, AT(cup), .about = "Its number, from 1."},
    {"crop", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(crop), .about = "What hangs in it."},
    {"planted_on", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(planted_day), .about = "Since when."},
    {"planting", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(planting), .about = "The entry that planted it."},
    {"cuts", FIELD_INTEGER, FIELD_REQUIRED, AT(cuts), .about = "How often it was cut."},
};
#undef AT
static const struct shape cup_shape = {.name = "CupState", .size = sizeof(struct cup_state), .field = cup_fields, .count = COUNT(cup_fields)};

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
    {"cups", FIELD_LIST, FIELD_REQUIRED, AT(cups), .shape = &cup_shape, .about = "Every cup of the lid."},
    {"flags", FIELD_LIST, FIELD_REQUIRED, AT(flags), .shape = &flag_shape, .about = "What looks odd in the log."},
    {"water", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(water), .about = "Source water of the fill."},
    {"target", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(target), .about = "Target of the fill."},
};
#undef AT
static const struct shape state_shape = {.name = "State", .size = sizeof(struct state_document), .field = state_fields,
                                         .count = COUNT(state_fields), .about = "What the log says of the tank."};

static struct state_document state_of(const struct tank_state *state, const char *zone)
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

/* ---- one tank ---- */

/* What a member sends: the vessel by its id. */
struct tank_sent {
    const char *id, *name, *area, *vessel;
    double walk_order;
    bool retired;
};

#define AT(member) offsetof(struct tank_sent, member)
static const struct field sent_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 1, 64, .about = "Made by the garden where left out."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, 100, .about = "What people call it."},
    {"area", FIELD_TEXT, FIELD_NULLABLE, AT(area), 1, 64, .about = "Where it stands, by id."},
    {"vessel", FIELD_TEXT, FIELD_REQUIRED, AT(vessel), 1, 64, .about = "The vessel it is, by id."},
    {"walk_order", FIELD_NUMBER, 0, AT(walk_order), -1e6, 1e6, .standard = 0, .about = "Its place on a round."},
    {"retired", FIELD_BOOL, 0, AT(retired), .about = "No longer in use."},
};
#undef AT
const struct shape tank_sent_shape = {.name = "TankSent", .size = sizeof(struct tank_sent), .field = sent_fields, .count = COUNT(sent_fields)};

/* ---- the list ---- */

struct short_document {
    struct outlook_dates low_on, harvest_on;
    bool low_given, harvest_given;
    struct outlook_spread use_l_day;
    double carries_to_harvest;
};
#define AT(member) offsetof(struct short_document, member)
static const struct field short_fields[] = {
    {"low_on", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(low_on), .shape = &dates_shape, .about = "When it runs low.", .given = AT(low_given)},
    {"use_l_day", FIELD_OBJECT, FIELD_REQUIRED, AT(use_l_day), .shape = &spread_shape, .about = "L a day."},
    {"harvest_on", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(harvest_on), .shape = &dates_shape, .about = "Of what is harvested next.", .given = AT(harvest_given)},
    {"carries_to_harvest", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(carries_to_harvest), .standard = NAN, .about = "Probability."},
};
#undef AT
static const struct shape short_shape = {.name = "ShortOutlook", .size = sizeof(struct short_document), .field = short_fields, .count = COUNT(short_fields)};

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
static const struct shape drawing_shape = {.name = "Drawing", .size = sizeof(struct standing_drawing), .field = drawing_fields, .count = COUNT(drawing_fields)};

struct listed_document {
    const char *id, *code, *name, *area, *vessel;
    double walk_order;
    bool retired;
    struct standing_drawing drawing;
    struct short_document outlook;
    bool outlook_given;
};
#define AT(member) offsetof(struct listed_document, member)
static const struct field listed_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "Its id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "Where it stands."},
    {"vessel", FIELD_TEXT, FIELD_REQUIRED, AT(vessel), .about = "The vessel it is."},
    {"walk_order", FIELD_NUMBER, FIELD_REQUIRED, AT(walk_order), .about = "Its place on a round."},
    {"retired", FIELD_BOOL, FIELD_REQUIRED, AT(retired), .about = "No longer in use."},
    {"drawing", FIELD_OBJECT, FIELD_REQUIRED, AT(drawing), .shape = &drawing_shape, .about = "What a small drawing needs."},
    {"outlook", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(outlook), .shape = &short_shape, .about = "In short.", .given = AT(outlook_given)},
};
#undef AT
static const struct shape listed_shape = {.name = "TankListed", .size = sizeof(struct listed_document), .field = listed_fields, .count = COUNT(listed_fields)};

struct tanks_answer {
    struct list items;
    const char *next;
};
#define AT(member) offsetof(struct tanks_answer, member)
static const struct field answer_fields[] = {
    {"items", FIELD_LIST, FIELD_REQUIRED, AT(items), .shape = &listed_shape, .about = "By age."},
    {"next", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(next), .about = "Cursor of the next page."},
};
#undef AT
const struct shape tanks_answer_shape = {.name = "Tanks", .size = sizeof(struct tanks_answer), .field = answer_fields, .count = 2};

static struct short_document short_of(const struct standing_short *brief)
{
    return (struct short_document){.low_on = brief->low_on,
                                   .harvest_on = brief->harvest_on,
                                   .low_given = brief->low_on.p10 != DAYS_NONE,
                                   .harvest_given = brief->harvest_on.p50 != DAYS_NONE,
                                   .use_l_day = brief->use_l_day,
                                   .carries_to_harvest = brief->carries_to_harvest};
}

static int list_one(struct request *request, struct db *db, const struct standing_place *place, const struct tank_row *row,
                    struct listed_document *listed, struct fault *fault)
{
    const struct standing_short *brief;

    if (standing_short(request->service->garden, db, place, row, &brief, request->arena, fault))
        return -1;
    *listed = (struct listed_document){.id = row->id,
                                       .code = row->code,
                                       .name = row->name,
                                       .area = row->area,
                                       .vessel = row->vessel,
                                       .walk_order = row->walk_order,
                                       .retired = row->retired,
                                       .drawing = brief->drawing,
                                       .outlook_given = brief->has_outlook};
    if (brief->has_outlook)
        listed->outlook = short_of(brief);
    return 0;
}

static int read_tanks(struct request *request, struct db *db, int64_t after_key, int64_t limit, struct list *rows, struct fault *fault)
{
    return tanks_list(db, after_key, limit, rows, request->arena, fault);
}

static int fill_list(struct request *request, struct db *db, const struct list *rows, struct list *listed, struct fault *fault)
{
    struct standing_place place;
    const struct tank_row *row = rows->item;
    struct listed_document *documents = arena_take(request->arena, (rows->count + 1) * sizeof *documents);

    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (standing_place(db, request->now_ms, &place, request->arena, fault))
        return -1;
    for (size_t i = 0; i < rows->count; i++)
        if (list_one(request, db, &place, &row[i], &documents[i], fault))
            return -1;
    *listed = (struct list){documents, rows->count};
    return 0;
}

/* GET /api/v1/tanks */
int tanks_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct tanks_answer answer;
    struct list rows;
    struct db *db;
    int failed;

    if (list_rows(request, read_tanks, sizeof(struct tank_row), offsetof(struct tank_row, key), &rows, &answer.next, fault))
        return -1;
    db = store_read(store, fault);
    if (!db)
        return -1;
    failed = fill_list(request, db, &rows, &answer.items, fault);
    store_done(store, db);
    return failed ? -1 : reply_json(reply, 200, shape_write(&tanks_answer_shape, &answer), fault);
}

/* ---- one tank, whole ---- */

/* The outlook as a tank's page shows it: until the tank is surely dry. */
static json_t *page_outlook(const struct outlook *outlook, struct arena *arena)
{
    struct outlook_answer *answer = outlook ? answer_of(outlook, arena) : NULL;
    size_t days = 0;

    if (!outlook)
        return json_null();
    if (!answer)
        return NULL;
    while (days < outlook->waterline_count && days < PAGE_DAYS && (days == 0 || outlook->waterline[days - 1].p90_mm > 0))
        days++;
    answer->waterline.count = days;
    return shape_write(&outlook_shape, answer);
}

static json_t *whole_tank(const struct standing *standing, const struct standing_place *place, struct list recent, struct arena *arena,
                          struct fault *fault)
{
    const struct vessel_document *vessel = vessel_document_of(&standing->vessel, arena, fault);
    struct state_document state = state_of(&standing->state, place->garden.time_zone);
    struct list advice = advice_documents(standing->advice.item, standing->advice.count, arena);
    json_t *items = json_array(), *hints = json_array();

    if (!vessel || entries_flag(&recent, &standing->state, arena, fault))
        goto failed;
    for (size_t i = 0; i < recent.count; i++)
        json_array_append_new(items, shape_write(&entry_shape, (const struct entry *)recent.item + i));
    for (size_t i = 0; i < advice.count; i++)
        json_array_append_new(hints, shape_write(&advice_shape, (const struct advice_document *)advice.item + i));
    return json_pack("{s:s,s:s,s:s,s:s?,s:o,s:f,s:b,s:o,s:o,s:o,s:o}", "id", standing->tank.id, "code", standing->tank.code, "name",
                     standing->tank.name, "area", standing->tank.area, "vessel", shape_write(&vessel_shape, vessel), "walk_order",
                     standing->tank.walk_order, "retired", standing->tank.retired, "state", shape_write(&state_shape, &state),
                     "outlook", page_outlook(standing->outlook, arena), "advice", hints,
                     "recent", items);
failed:
    json_decref(items);
    json_decref(hints);
    return NULL;
}

/* For the schema and the check of answers only: what whole_tank puts together. */
struct tank_whole {
    const char *id, *code, *name, *area;
    double walk_order;
    bool retired, none;
    struct list advice, recent;
    union {
        int any;
    } parts;
};
#define AT(member) offsetof(struct tank_whole, member)
static const struct field tank_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "Its id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "Where it stands."},
    {"vessel", FIELD_OBJECT, FIELD_REQUIRED, AT(parts), .shape = &vessel_shape, .about = "The vessel it is."},
    {"walk_order", FIELD_NUMBER, FIELD_REQUIRED, AT(walk_order), .about = "Its place on a round."},
    {"retired", FIELD_BOOL, FIELD_REQUIRED, AT(retired), .about = "No longer in use."},
    {"state", FIELD_OBJECT, FIELD_REQUIRED, AT(parts), .shape = &state_shape, .about = "What the log says."},
    {"outlook", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(parts), .shape = &outlook_shape, .about = "What it will do."},
    {"advice", FIELD_LIST, FIELD_REQUIRED, AT(advice), .shape = &advice_shape, .about = "What it wants of people, most urgent first."},
    {"recent", FIELD_LIST, FIELD_REQUIRED, AT(recent), .shape = &entry_shape, .about = "The newest entries."},
};
#undef AT
const struct shape tank_shape = {.name = "Tank", .size = sizeof(struct tank_whole), .field = tank_fields, .count = COUNT(tank_fields),
                                 .about = "One tank, whole."};

/* Runs tell with the tank that the path names, worked out, and the connection it was read by. */
typedef json_t *teller(struct request *request, struct db *db, const struct standing_place *place, const struct standing *standing,
                       struct fault *fault);

/* The tank that the path names, worked out. */
static int find_standing(struct request *request, struct db *db, struct standing_place *place, struct standing *standing,
                         struct fault *fault)
{
    struct tank_row row;
    int found = tanks_one(db, request->part[0], &row, request->arena, fault);

    if (found != 1)
        return found < 0 ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such tank");
    return standing_place(db, request->now_ms, place, request->arena, fault) ||
                   standing_make(db, place, &row, standing, request->arena, fault)
               ? -1
               : 0;
}

static json_t *tell_tank(struct request *request, struct db *db, teller *tell, struct fault *fault)
{
    struct standing_place place;
    struct standing *standing = arena_take(request->arena, sizeof *standing);

    if (!standing)
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    else if (find_standing(request, db, &place, standing, fault) == 0)
        return tell(request, db, &place, standing, fault);
    return NULL;
}

static int answer_tank(struct request *request, struct reply *reply, unsigned status, teller *tell, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    json_t *document;

    if (!db)
        return -1;
    document = tell_tank(request, db, tell, fault);
    store_done(store, db);
    if (!document && fault->code != FAULT_NONE)
        return -1;
    return reply_json(reply, status, document, fault);
}

static json_t *tell_whole(struct request *request, struct db *db, const struct standing_place *place, const struct standing *standing,
                          struct fault *fault)
{
    const struct entries_page page = {.tank_key = standing->tank.key, .before_ms = INT64_MAX, .limit = RECENT};
    struct list recent;

    if (entries_page(db, &page, &recent, request->arena, fault))
        return NULL;
    return whole_tank(standing, place, recent, request->arena, fault);
}

/* The name of a tank's answer: it says the same until the tank changes or a day begins. */
static int name_answer(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db;
    struct tank_row row;
    int32_t today;
    int found;

    if (garden_today(request->service->garden, request->now_ms, &today, fault))
        return -1;
    db = store_read(store, fault);
    if (!db)
        return -1;
    found = tanks_one(db, request->part[0], &row, request->arena, fault);
    store_done(store, db);
    if (found == 1)
        reply->keep_as = arena_format(request->arena, "tank %lld %lld %d", (long long)row.key, (long long)row.changed, today);
    return found < 0 ? -1 : 0;
}

/* GET /api/v1/tanks/{tank} */
int tank_get(struct request *request, struct reply *reply, struct fault *fault)
{
    if (name_answer(request, reply, fault))
        return -1;
    if (reply->keep_as && answers_find(request->service->answers, reply->keep_as, request, reply))
        return 0;
    return answer_tank(request, reply, 200, tell_whole, fault);
}

static json_t *tell_outlook(struct request *request, struct db *db, const struct standing_place *place, const struct standing *standing,
                            struct fault *fault)
{
    (void)db;
    (void)place;
    if (!standing->outlook) {
        fault_add(fault, FAULT_ABSENT, "", "nothing can be said of this tank yet");
        return NULL;
    }
    return outlook_document(standing->outlook, request->arena);
}

/* GET /api/v1/tanks/{tank}/outlook */
int tank_outlook_get(struct request *request, struct reply *reply, struct fault *fault)
{
    return answer_tank(request, reply, 200, tell_outlook, fault);
}

/* GET /api/v1/tanks/{tank}/topup: what to add now, with grams, from the tank's own log. */
int tank_topup_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct standing_place place;
    struct standing *standing = arena_take(request->arena, sizeof *standing);
    struct refill *refill = arena_take(request->arena, sizeof *refill);
    const struct mix_topup *made = NULL;
    struct vessel vessel;

    if (!db)
        return -1;
    if (!standing || !refill)
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    else if (find_standing(request, db, &place, standing, fault) == 0) {
        vessel = tank_vessel(&standing->vessel);
        if (!standing->topup)
            fault_add(fault, FAULT_ABSENT, "", "the log does not say how high the water stands");
        else if (refill_gather(db, &place, standing, &vessel, refill, request->arena, fault) == 0)
            made = refill_make(refill, standing->state.ph.value, request->arena, fault);
    }
    store_done(store, db);
    return made ? topup_answer(reply, made, request->arena, fault) : -1;
}

/* ---- the course of a fill ---- */

struct drift_document {
    double volume_l, waterline_mm, ph, ec_ms_cm;
};
struct drift_answer {
    struct list points; /* struct drift_document */
    const char *runs_out, *said;
    double runs_out_at_l;
};

#define AT(member) offsetof(struct drift_document, member)
static const struct field drift_point_fields[] = {
    {"volume_l", FIELD_NUMBER, FIELD_REQUIRED, AT(volume_l), .standard = NAN, .about = "Left in the tank, L."},
    {"waterline_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(waterline_mm), .standard = NAN, .about = "Where it stands then, mm."},
    {"ph", FIELD_NUMBER, FIELD_REQUIRED, AT(ph), .standard = NAN, .about = "pH, at rest with the air."},
    {"ec_ms_cm", FIELD_NUMBER, FIELD_REQUIRED, AT(ec_ms_cm), .standard = NAN, .about = "EC at 25 C, mS/cm."},
};
#undef AT
static const struct shape drift_point_shape = {.name = "DriftPoint", .size = sizeof(struct drift_document), .field = drift_point_fields, .count = COUNT(drift_point_fields)};

#define AT(member) offsetof(struct drift_answer, member)
static const struct field drift_fields[] = {
    {"points", FIELD_LIST, FIELD_REQUIRED, AT(points), .shape = &drift_point_shape, .about = "From the fill down to the low mark."},
    {"runs_out", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(runs_out), .about = "The ion that is used up first; null: none."},
    {"runs_out_at_l", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(runs_out_at_l), .standard = NAN, .about = "With so much left, L."},
    {"said", FIELD_TEXT, FIELD_REQUIRED, AT(said), .about = "In a sentence."},
};
#undef AT
const struct shape drift_shape = {.name = "Drift", .size = sizeof(struct drift_answer), .field = drift_fields, .count = COUNT(drift_fields),
                                  .about = "How EC and pH go as the plants drink, by what the fill was made of."};

static int tell_drift(struct reply *reply, const struct standing *standing, const struct drift *drift, struct arena *arena,
                      struct fault *fault)
{
    struct vessel vessel = tank_vessel(&standing->vessel);
    struct drift_document *points = arena_take(arena, drift->points * sizeof *points);
    struct drift_answer answer = {.runs_out = drift->runs_out < 0 ? NULL : ion_key[drift->runs_out],
                                  .runs_out_at_l = drift->runs_out < 0 ? (double)NAN : drift->runs_out_at_l,
                                  .said = drift->said};

    if (!points)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < drift->points; i++) {
        const struct drift_point *point = &drift->point[i];
        struct vessel_level level;

        if (vessel_at_volume(&vessel, point->volume_l, &level, fault))
            return -1;
        points[i] = (struct drift_document){point->volume_l, level.waterline_mm, point->ph, point->ec_ms_cm};
    }
    answer.points = (struct list){points, drift->points};
    return reply_json(reply, 200, shape_write(&drift_shape, &answer), fault);
}

/* GET /api/v1/tanks/{tank}/drift */
int tank_drift_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct standing_place place;
    struct standing *standing = arena_take(request->arena, sizeof *standing);
    struct refill *refill = arena_take(request->arena, sizeof *refill);
    struct drift *drift = arena_take(request->arena, sizeof *drift);
    int failed = -1;

    if (!db)
        return -1;
    if (!standing || !refill || !drift) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    } else if (find_standing(request, db, &place, standing, fault) == 0) {
        struct vessel vessel = tank_vessel(&standing->vessel);

        failed = refill_gather(db, &place, standing, &vessel, refill, request->arena, fault) ||
                 tank_drift_course(standing, refill, drift, fault);
    }
    store_done(store, db);
    return failed ? -1 : tell_drift(reply, standing, drift, request->arena, fault);
}

static json_t *tell_entries(struct request *request, struct db *db, const struct standing_place *place, const struct standing *standing,
                            struct fault *fault)
{
    const struct entries_ask *ask = request->asked;
    struct entries_answer answer;

    (void)place;
    if (entries_answer_page(request, db, standing->tank.key, ask->after, ask->limit, &answer, fault) ||
        entries_flag(&answer.items, &standing->state, request->arena, fault))
        return NULL;
    return shape_write(&entries_answer_shape, &answer);
}

/* GET /api/v1/tanks/{tank}/entries */
int tank_entries_get(struct request *request, struct reply *reply, struct fault *fault)
{
    return answer_tank(request, reply, 200, tell_entries, fault);
}

/* POST /api/v1/tanks */
int tanks_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct tank_sent *sent = request->given;
    struct tank_row row = {.id = sent->id, .name = sent->name, .area = sent->area, .vessel = sent->vessel, .walk_order = sent->walk_order};
    bool stored_before = false;

    if (garden_tank_add(request->service->garden, &row, &stored_before, request->arena, fault))
        return -1;
    request->part[0] = row.id;
    return answer_tank(request, reply, stored_before ? 200 : 201, tell_whole, fault);
}

/* PATCH /api/v1/tanks/{tank} */
int tank_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct tank_sent sent;
    struct tank_row row;
    int found;

    if (!db)
        return -1;
    found = tanks_one(db, request->part[0], &row, request->arena, fault);
    store_done(store, db);
    if (found != 1)
        return found < 0 ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such tank");
    sent = (struct tank_sent){row.id, row.name, row.area, row.vessel, row.walk_order, row.retired};
    if (shape_patch(&tank_sent_shape, &sent, request->document, request->arena, fault))
        return -1;
    row.name = sent.name;
    row.area = sent.area;
    row.vessel = sent.vessel;
    row.walk_order = sent.walk_order;
    row.retired = sent.retired;
    if (garden_tank_change(request->service->garden, &row, request->arena, fault))
        return -1;
    return answer_tank(request, reply, 200, tell_whole, fault);
}

/* ---- today ---- */

struct today_item {
    const char *tank, *code, *name, *area;
    int64_t rank;
    struct advice_document advice;
    struct standing_drawing drawing;
};
struct calm_item {
    const char *tank, *code, *name;
    struct standing_drawing drawing;
    struct outlook_dates low_on;
    bool low_given;
};
struct today_answer {
    int32_t day;
    struct list items, calm;
    int64_t items_total, calm_total;
};

/* More than anybody reads in a day; what lies beyond is counted. */
#define TODAY_MOST 500

#define AT(member) offsetof(struct today_item, member)
static const struct field item_fields[] = {
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "Its id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "Where it stands, by name."},
    {"rank", FIELD_INTEGER, FIELD_REQUIRED, AT(rank), .about = "1 is the most urgent."},
    {"reason", FIELD_CHOICE, FIELD_REQUIRED, AT(advice.reason), .words = advice_reason_names, .about = "Why it wants a hand."},
    {"when", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(advice.when), .shape = &dates_shape, .about = "Until when.", .given = AT(advice.when_given)},
    {"with", FIELD_OBJECT, FIELD_REQUIRED, AT(advice.with), .shape = &with_shape, .about = "The numbers of the sentence."},
    {"act", FIELD_CHOICE, FIELD_REQUIRED | FIELD_NULLABLE, AT(advice.act), .words = entry_kind_names, .standard = -1, .about = "The kind of entry that settles it."},
    {"drawing", FIELD_OBJECT, FIELD_REQUIRED, AT(drawing), .shape = &drawing_shape, .about = "What a small drawing needs."},
};
#undef AT
static const struct shape item_shape = {.name = "TodayItem", .size = sizeof(struct today_item), .field = item_fields, .count = COUNT(item_fields)};

#define AT(member) offsetof(struct calm_item, member)
static const struct field calm_fields[] = {
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "Its id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"drawing", FIELD_OBJECT, FIELD_REQUIRED, AT(drawing), .shape = &drawing_shape, .about = "What a small drawing needs."},
    {"low_on", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(low_on), .shape = &dates_shape, .about = "When it runs low.", .given = AT(low_given)},
};
#undef AT
static const struct shape calm_shape = {.name = "CalmTank", .size = sizeof(struct calm_item), .field = calm_fields, .count = COUNT(calm_fields)};

#define AT(member) offsetof(struct today_answer, member)
static const struct field today_fields[] = {
    {"date", FIELD_DATE, FIELD_REQUIRED, AT(day), .about = "The garden's day."},
    {"items", FIELD_LIST, FIELD_REQUIRED, AT(items), .shape = &item_shape, .about = "What wants a hand, most urgent first."},
    {"calm", FIELD_LIST, FIELD_REQUIRED, AT(calm), .shape = &calm_shape, .about = "Tanks that want nothing."},
    {"items_total", FIELD_INTEGER, FIELD_REQUIRED, AT(items_total), .about = "How many want a hand; the first 500 are listed."},
    {"calm_total", FIELD_INTEGER, FIELD_REQUIRED, AT(calm_total), .about = "How many want nothing; the first 500 are listed."},
};
#undef AT
const struct shape today_shape = {.name = "Today", .size = sizeof(struct today_answer), .field = today_fields, .count = COUNT(today_fields)};

struct today_work {
    struct request *request;
    struct today_answer *answer;
    size_t item_room, calm_room;
    struct fault *fault;
};

static int add_calm(struct today_work *work, const struct tank_row *row, const struct standing_short *brief)
{
    struct list *calm = &work->answer->calm;

    calm->item = arena_grow(work->request->arena, calm->item, calm->count, &work->calm_room, sizeof(struct calm_item));
    if (!calm->item)
        return fault_add(work->fault, FAULT_MEMORY, "", "out of memory");
    ((struct calm_item *)calm->item)[calm->count++] = (struct calm_item){
        row->id, row->code, row->name, brief->drawing, brief->low_on, brief->has_outlook && brief->low_on.p10 != DAYS_NONE};
    return 0;
}

/* Each tank shows its most urgent matter only; its page has the others. */
static int add_item(struct today_work *work, const struct tank_row *row, const struct standing_short *brief)
{
    struct list *items = &work->answer->items, advice = advice_documents(brief->advice, 1, work->request->arena);

    items->item = arena_grow(work->request->arena, items->item, items->count, &work->item_room, sizeof(struct today_item));
    if (!items->item || !advice.count)
        return fault_add(work->fault, FAULT_MEMORY, "", "out of memory");
    ((struct today_item *)items->item)[items->count++] =
        (struct today_item){.tank = row->id,
                            .code = row->code,
                            .name = row->name,
                            .area = row->area_name,
                            .advice = *(struct advice_document *)advice.item,
                            .drawing = brief->drawing};
    return 0;
}

/* A tank in its place: first what is urgent, then what is calm, by age. */
struct ranked {
    int64_t key;
    double urgency; /* NAN: calm */
};

static int more_urgent(const void *a, const void *b)
{
    const struct ranked *first = a, *second = b;
    bool calm = isnan(first->urgency);

    if (calm != isnan(second->urgency))
        return calm ? 1 : -1;
    if (!calm && first->urgency != second->urgency)
        return first->urgency < second->urgency ? -1 : 1;
    return first->key < second->key ? -1 : 1;
}

/* The short standing of one tank, with its row. */
static int ask_short(struct today_work *work, struct db *db, const struct standing_place *place, int64_t key, struct tank_row *row,
                     const struct standing_short **brief)
{
    if (tanks_by_key(db, key, row, work->request->arena, work->fault) != 1)
        return -1;
    return standing_short(work->request->service->garden, db, place, row, brief, work->request->arena, work->fault);
}

/* Most tanks stand as they stood when they were last asked: a glance tells, and only those that are listed are copied. */
static int rank_tanks(struct today_work *work, struct db *db, const struct standing_place *place, struct list *ranked)
{
    struct garden *garden = work->request->service->garden;
    struct list marks;
    const struct tank_mark *mark;
    struct ranked *rank;

    if (tanks_marks(db, &marks, work->request->arena, work->fault))
        return -1;
    mark = marks.item;
    rank = arena_take(work->request->arena, (marks.count + 1) * sizeof *rank);
    if (!rank)
        return fault_add(work->fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < marks.count; i++) {
        const struct standing_short *brief;
        struct tank_row row;

        rank[i].key = mark[i].key;
        if (standing_glance(garden, &mark[i], place->today, &rank[i].urgency))
            continue;
        if (ask_short(work, db, place, mark[i].key, &row, &brief))
            return -1;
        rank[i].urgency = brief->advice_count ? brief->advice[0].urgency : (double)NAN;
    }
    qsort(rank, marks.count, sizeof *rank, more_urgent);
    *ranked = (struct list){rank, marks.count};
    return 0;
}

static int fill_today(struct today_work *work, struct db *db)
{
    struct today_answer *answer = work->answer;
    struct standing_place place;
    struct list ranked = {NULL, 0};
    const struct ranked *rank;

    if (standing_place(db, work->request->now_ms, &place, work->request->arena, work->fault) || rank_tanks(work, db, &place, &ranked))
        return -1;
    answer->day = place.today;
    rank = ranked.item;
    for (size_t i = 0; i < ranked.count; i++) {
        bool calm = isnan(rank[i].urgency);
        const struct standing_short *brief;
        struct tank_row row;

        if ((calm ? answer->calm_total++ : answer->items_total++) >= TODAY_MOST)
            continue;
        if (ask_short(work, db, &place, rank[i].key, &row, &brief) ||
            (brief->advice_count ? add_item(work, &row, brief) : add_calm(work, &row, brief)))
            return -1;
    }
    for (size_t i = 0; i < answer->items.count; i++)
        ((struct today_item *)answer->items.item)[i].rank = (int64_t)i + 1;
    return 0;
}

/* GET /api/v1/today */
int today_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct today_answer answer = {0};
    struct today_work work = {.request = request, .answer = &answer, .fault = fault};
    int32_t today;
    int failed;

    if (!db)
        return -1;
    /* Any write may change it, and nothing else but the day. */
    if (garden_today(request->service->garden, request->now_ms, &today, fault)) {
        store_done(store, db);
        return -1;
    }
    reply->keep_as = arena_format(request->arena, "today %llu %d", (unsigned long long)store_version(store), today);
    if (reply->keep_as && answers_find(request->service->answers, reply->keep_as, request, reply)) {
        store_done(store, db);
        return 0;
    }
    failed = fill_today(&work, db);
    store_done(store, db);
    return failed ? -1 : reply_json(reply, 200, shape_write(&today_shape, &answer), fault);
}
