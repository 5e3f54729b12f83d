/* readings.c - what sensors tell, many at once; and the same thinned by age, for drawing. */
#include "api/readings.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "api/lists.h"
#include "garden/readings.h"
#include "store/tanks.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define HOUR_MS ((int64_t)60 * 60 * 1000)
#define DAY_MS_ (24 * HOUR_MS)

/* ---- sent ---- */

#define AT(member) offsetof(struct reading_told, member)
static const struct field told_fields[] = {
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), 1, 64, .about = "The tank's id, or its short code."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "When it was read, by the sensor's own clock."},
    {"waterline_mm", FIELD_NUMBER, 0, AT(waterline_mm), 0, 3000, .standard = NAN, .about = "Above the vessel's floor, mm; kept to 0.1."},
    {"air_gap_mm", FIELD_NUMBER, 0, AT(air_gap_mm), 0, 3000, .standard = NAN, .about = "From the waterline up to the lid, mm; kept as the waterline."},
    {"ec_ms_cm", FIELD_NUMBER, 0, AT(ec_ms_cm), 0, 20, .standard = NAN, .about = "EC, mS/cm at 25 C; kept to 0.001."},
    {"ph", FIELD_NUMBER, 0, AT(ph), 0, 14, .standard = NAN, .about = "pH; kept to 0.01."},
    {"temperature_c", FIELD_NUMBER, 0, AT(temperature_c), -5, 60, .standard = NAN, .about = "Of the solution, C; kept to 0.01."},
};
#undef AT
static const struct shape told_shape = {.name = "ReadingSent", .size = sizeof(struct reading_told), .field = told_fields, .count = COUNT(told_fields)};

#define AT(member) offsetof(struct readings_told, member)
static const struct field sent_fields[] = {
    {"sensor", FIELD_TEXT, 0, AT(sensor), 1, 64, .about = "Which sensor told it, by its id; left out where the sensor itself asks with its key."},
    {"sent_at", FIELD_INSTANT, 0, AT(sent_ms), .about = "The sensor's clock now: vouches for readings that come late."},
    {"readings", FIELD_LIST, FIELD_REQUIRED, AT(readings), 1, 1000, .shape = &told_shape, .about = "In any order. All are kept, or none."},
};
#undef AT
const struct shape readings_sent_shape = {.name = "ReadingsSent", .size = sizeof(struct readings_told), .field = sent_fields, .count = COUNT(sent_fields),
                                          .about = "Readings of one sensor."};

static const struct field flag_field[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED, 0, .about = "What speaks against it: told_again, out_of_order, clock_off, stuck, jump; late alone does not."}};
static const struct shape flag_shape = {.size = sizeof(const char *), .field = flag_field, .count = 1};

struct kept_document {
    const char *tank;
    int64_t at_ms;
    bool known;
    struct list flags;
};
#define AT(member) offsetof(struct kept_document, member)
static const struct field kept_fields[] = {
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "The tank's id."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "When it was read."},
    {"known", FIELD_BOOL, FIELD_REQUIRED, AT(known), .about = "The same was there already."},
    {"flags", FIELD_LIST, FIELD_REQUIRED, AT(flags), .shape = &flag_shape, .about = "What speaks against it; kept nonetheless."},
};
#undef AT
static const struct shape kept_shape = {.name = "ReadingKept", .size = sizeof(struct kept_document), .field = kept_fields, .count = COUNT(kept_fields)};

struct kept_answer {
    struct list items;
    int64_t added, known, flagged;
};
#define AT(member) offsetof(struct kept_answer, member)
static const struct field kept_answer_fields[] = {
    {"items", FIELD_LIST, FIELD_REQUIRED, AT(items), .shape = &kept_shape, .about = "One for each reading, in the order sent."},
    {"added", FIELD_INTEGER, FIELD_REQUIRED, AT(added), .about = "How many are new."},
    {"known", FIELD_INTEGER, FIELD_REQUIRED, AT(known), .about = "How many were there already."},
    {"flagged", FIELD_INTEGER, FIELD_REQUIRED, AT(flagged), .about = "How many of all something speaks against."},
};
#undef AT
const struct shape readings_kept_shape = {.name = "ReadingsKept", .size = sizeof(struct kept_answer), .field = kept_answer_fields, .count = COUNT(kept_answer_fields)};

/* POST /api/v1/readings */
int readings_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct readings_told told = *(const struct readings_told *)request->given;
    struct kept_answer answer = {.added = 0};
    struct kept_document *document;
    const struct reading_kept *kept;
    struct list all;

    told.received_ms = request->now_ms;
    if (garden_readings(request->service->garden, &request->who, &told, &all, request->arena, fault))
        return -1;
    kept = all.item;
    document = arena_list(request->arena, &answer.items, all.count, sizeof *document);
    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < all.count; i++) {
        document[i] = (struct kept_document){kept[i].tank, kept[i].reading.at_ms, kept[i].known, {NULL, 0}};
        if (readings_flags(&kept[i].reading, &document[i].flags, request->arena, fault))
            return -1;
        answer.known += kept[i].known;
        answer.added += !kept[i].known;
        answer.flagged += document[i].flags.count > 0;
    }
    return reply_json(reply, answer.added ? 201 : 200, shape_write(&readings_kept_shape, &answer), fault);
}

/* ---- asked ---- */

static const char *const everies[] = {"as_fits", "all", NULL};
enum { EVERY_AS_FITS, EVERY_ALL };

struct readings_ask {
    int64_t from_ms, to_ms;
    int every;
    const char *after;
    int64_t limit;
};
#define AT(member) offsetof(struct readings_ask, member)
static const struct field ask_fields[] = {
    {"from", FIELD_INSTANT, 0, AT(from_ms), .about = "From then on; left out: 120 days before the end."},
    {"to", FIELD_INSTANT, 0, AT(to_ms), .about = "Before then; left out: now."},
    {"every", FIELD_CHOICE, 0, AT(every), .words = everies, .standard = EVERY_AS_FITS,
     .about = "as_fits: believed ones, fewer the older they are, oldest first; all: as they came, with what speaks against them, newest first."},
    {"after", FIELD_TEXT, 0, AT(after), 1, 80, .about = "Cursor from the page before, of all."},
    {"limit", FIELD_INTEGER, 0, AT(limit), 1, 500, .standard = 500, .about = "Most items to answer, of all."},
};
#undef AT
const struct shape readings_ask_shape = {.size = sizeof(struct readings_ask), .field = ask_fields, .count = COUNT(ask_fields)};

struct reading_document {
    int64_t at_ms, received_ms;
    const char *sensor, *sensor_name;
    double waterline_mm, ec_ms_cm, ph, temperature_c;
    struct list flags;
};
#define AT(member) offsetof(struct reading_document, member)
static const struct field reading_fields[] = {
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "When it was read."},
    {"received_at", FIELD_INSTANT, FIELD_REQUIRED, AT(received_ms), .about = "When the garden got it."},
    {"sensor", FIELD_TEXT, FIELD_REQUIRED, AT(sensor), .about = "By which sensor."},
    {"sensor_name", FIELD_TEXT, FIELD_REQUIRED, AT(sensor_name), .about = "Its name."},
    {"waterline_mm", FIELD_NUMBER, 0, AT(waterline_mm), .standard = NAN, .about = "mm above the vessel's floor."},
    {"ec_ms_cm", FIELD_NUMBER, 0, AT(ec_ms_cm), .standard = NAN, .about = "mS/cm at 25 C."},
    {"ph", FIELD_NUMBER, 0, AT(ph), .standard = NAN, .about = "pH."},
    {"temperature_c", FIELD_NUMBER, 0, AT(temperature_c), .standard = NAN, .about = "C."},
    {"flags", FIELD_LIST, FIELD_REQUIRED, AT(flags), .shape = &flag_shape, .about = "What speaks against it; doubted: a person does."},
};
#undef AT
static const struct shape reading_shape = {.name = "Reading", .size = sizeof(struct reading_document), .field = reading_fields,
                                           .count = COUNT(reading_fields), .about = "What a sensor told."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(reading_shape, "In the order asked for.");
const struct shape readings_answer_shape = {.name = "Readings", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

/* A drawing is as wide as a phone: some 500 points of four months, however often the sensor reads. Ours. */
static const struct sensed_step drawing_steps[] = {
    {2 * DAY_MS_, HOUR_MS / 4}, {14 * DAY_MS_, 2 * HOUR_MS}, {120 * DAY_MS_, 12 * HOUR_MS}, {INT64_MAX, DAY_MS_}};

static int read_thinned(struct request *request, struct db *db, int64_t tank_key, struct list *readings, struct fault *fault)
{
    const struct readings_ask *asked = request->asked;
    struct sensed_ask ask = {.tank_key = tank_key, .steps = drawing_steps};

    ask.to_ms = asked->to_ms == FIELD_NO_INSTANT ? request->now_ms : asked->to_ms;
    ask.from_ms = asked->from_ms == FIELD_NO_INSTANT ? ask.to_ms - 120 * DAY_MS_ : asked->from_ms;
    return sensed_thinned(db, &ask, readings, request->arena, fault);
}

/* "MOMENT.SENSOR.AGAIN", by the file's own numbers. */
static int read_all(struct request *request, struct db *db, int64_t tank_key, struct list *readings, const char **next, struct fault *fault)
{
    const struct readings_ask *asked = request->asked;
    struct sensed_page page = {.tank_key = tank_key, .from_ms = asked->from_ms == FIELD_NO_INSTANT ? INT64_MIN + 1 : asked->from_ms,
                               .before_ms = asked->to_ms == FIELD_NO_INSTANT ? INT64_MAX : asked->to_ms, .limit = asked->limit + 1};
    const struct sensed *last;
    char end;

    if (asked->after) {
        long long at, sensor, again;

        if (sscanf(asked->after, "%18lld.%18lld.%18lld%c", &at, &sensor, &again, &end) != 3)
            return fault_add(fault, FAULT_INPUT, "/after", "is not a cursor from this list");
        page.before_ms = at;
        page.before_sensor = sensor;
        page.before_again = again;
    }
    if (sensed_page(db, &page, readings, request->arena, fault))
        return -1;
    if (readings->count <= (size_t)asked->limit)
        return 0;
    readings->count = (size_t)asked->limit;
    last = (const struct sensed *)readings->item + readings->count - 1;
    *next = arena_format(request->arena, "%lld.%lld.%lld", (long long)last->at_ms, (long long)last->sensor_key, (long long)last->again);
    return *next ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

static const struct sensor_row *sensor_of(const struct list *sensors, int64_t key)
{
    static const struct sensor_row nobody = {.id = "", .name = ""};
    const struct sensor_row *sensor = sensors->item;

    for (size_t i = 0; i < sensors->count; i++)
        if (sensor[i].key == key)
            return &sensor[i];
    return &nobody;
}

static int tell_readings(struct request *request, struct db *db, const struct list *readings, struct list *items, struct fault *fault)
{
    const struct sensed *reading = readings->item;
    struct reading_document *document = arena_list(request->arena, items, readings->count, sizeof *document);
    struct list sensors;

    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (sensors_list(db, 0, INT64_MAX, &sensors, request->arena, fault))
        return -1;
    for (size_t i = 0; i < readings->count; i++) {
        const struct sensor_row *sensor = sensor_of(&sensors, reading[i].sensor_key);

        document[i] = (struct reading_document){.at_ms = reading[i].at_ms, .received_ms = reading[i].received_ms,
                                                .sensor = sensor->id, .sensor_name = sensor->name, .waterline_mm = reading[i].waterline_mm,
                                                .ec_ms_cm = reading[i].ec_ms_cm, .ph = reading[i].ph, .temperature_c = reading[i].temperature_c};
        if (readings_flags(&reading[i], &document[i].flags, request->arena, fault))
            return -1;
    }
    return 0;
}

static int gather(struct request *request, struct db *db, struct list_answer *answer, struct fault *fault)
{
    const struct readings_ask *asked = request->asked;
    struct tank_row tank;
    struct list readings;
    int found = tanks_one(db, request->part[0], &tank, request->arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such tank");
    if (asked->every == EVERY_ALL ? read_all(request, db, tank.key, &readings, &answer->next, fault)
                                  : read_thinned(request, db, tank.key, &readings, fault))
        return -1;
    return tell_readings(request, db, &readings, &answer->items, fault);
}

/* GET /api/v1/tanks/{tank}/readings */
int tank_readings_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct list_answer answer = {.next = NULL};
    int failed;

    if (!db)
        return -1;
    failed = gather(request, db, &answer, fault);
    store_done(store, db);
    return failed ? -1 : reply_json(reply, 200, shape_write(&readings_answer_shape, &answer), fault);
}

/* ---- what is not believed ---- */

/* A page shows so many of them, of so long ago. Ours. */
#define DOUBTED_MOST 100
#define DOUBTED_DAYS 7

struct doubted_document {
    int64_t from_ms, looked, odd;
    struct list items, doubts; /* struct reading_document, struct doubt_row */
};
#define AT(member) offsetof(struct doubted_document, member)
static const struct field doubted_fields[] = {
    {"from", FIELD_INSTANT, FIELD_REQUIRED, AT(from_ms), .about = "Since then: a week, or less where a sensor told more than twenty thousand readings."},
    {"looked", FIELD_INTEGER, FIELD_REQUIRED, AT(looked), .about = "How many readings there are since then."},
    {"odd", FIELD_INTEGER, FIELD_REQUIRED, AT(odd), .about = "How many of them are not believed."},
    {"items", FIELD_LIST, FIELD_REQUIRED, AT(items), .shape = &reading_shape, .about = "The newest hundred of those, newest first."},
    {"doubts", FIELD_LIST, FIELD_REQUIRED, AT(doubts), .shape = &doubt_shape, .about = "Stretches of any age that people do not believe, by age of the doubt."},
};
#undef AT
const struct shape doubted_shape = {.name = "Doubted", .size = sizeof(struct doubted_document), .field = doubted_fields, .count = COUNT(doubted_fields),
                                    .about = "What sensors told of a tank and is not believed."};

static int doubts_that_hold(struct request *request, struct db *db, int64_t tank_key, struct list *doubts, struct fault *fault)
{
    struct doubt_row *doubt;
    size_t kept = 0;

    if (doubts_list(db, 0, INT64_MAX, doubts, request->arena, fault))
        return -1;
    doubt = doubts->item;
    for (size_t i = 0; i < doubts->count; i++)
        if (doubt[i].tank_key == tank_key && doubt[i].lifted_ms == STORE_NO_INT)
            doubt[kept++] = doubt[i];
    doubts->count = kept;
    return 0;
}

static int gather_doubted(struct request *request, struct db *db, struct doubted_document *document, struct fault *fault)
{
    struct tank_row tank;
    struct readings_odd odd;
    int found = tanks_one(db, request->part[0], &tank, request->arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such tank");
    /* From a whole hour on: asked again the answer keeps its tag. */
    if (readings_odd_of(db, tank.key, (request->now_ms / HOUR_MS - DOUBTED_DAYS * 24) * HOUR_MS, INT64_MAX, DOUBTED_MOST, &odd, request->arena, fault))
        return -1;
    *document = (struct doubted_document){.from_ms = odd.from_ms, .looked = odd.looked, .odd = odd.odd};
    return tell_readings(request, db, &odd.readings, &document->items, fault) || doubts_that_hold(request, db, tank.key, &document->doubts, fault) ? -1 : 0;
}

/* GET /api/v1/tanks/{tank}/doubted */
int tank_doubted_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct doubted_document document;
    int failed;

    if (!db)
        return -1;
    failed = gather_doubted(request, db, &document, fault);
    store_done(store, db);
    return failed ? -1 : reply_json(reply, 200, shape_write(&doubted_shape, &document), fault);
}
