/* tanks.c - tanks over HTTP. */
#include "api/tanks.h"

#include <math.h>
#include <string.h>

#include "api/answers.h"
#include "api/entries.h"
#include "api/lists.h"
#include "api/mixes.h"
#include "api/outlooks.h"
#include "api/standings.h"
#include "api/vessels.h"
#include "garden/mixes.h"
#include "garden/tank_log.h"
#include "store/photos.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define RECENT 50

/* Days of coming waterlines on a tank's page: as far as anybody plans. All of them are at /outlook. */
#define PAGE_DAYS 45

/* ---- one tank ---- */

/* What a member sends: the vessel by its id. */
struct tank_sent {
    const char *id, *code, *name, *area, *vessel;
    double walk_order, lamp_w;
    bool retired;
};

#define AT(member) offsetof(struct tank_sent, member)
static const struct field sent_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 1, 64, .about = "Made by the garden where left out."},
    {"code", FIELD_TEXT, 0, AT(code), 1, 15, .about = "Short, as on a label that hangs there already: capitals and digits; drawn where left out, and never changed."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, 100, .about = "What people call it."},
    {"area", FIELD_TEXT, FIELD_NULLABLE, AT(area), 1, 64, .about = "Where it stands, by id."},
    {"vessel", FIELD_TEXT, FIELD_REQUIRED, AT(vessel), 1, 64, .about = "The vessel it is, by id."},
    {"walk_order", FIELD_NUMBER, 0, AT(walk_order), -1e6, 1e6, .standard = 0, .about = "Its place on a round."},
    {"lamp_w", FIELD_NUMBER, FIELD_NULLABLE, AT(lamp_w), 0.1, 20000, .standard = NAN, .about = "Power of the lamps over it, W; null: the garden's."},
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
    struct standing_behind behind;
};
#define AT(member) offsetof(struct short_document, member)
static const struct field short_fields[] = {
    {"low_on", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(low_on), .shape = &dates_shape, .about = "When it runs low.", .given = AT(low_given)},
    {"use_l_day", FIELD_OBJECT, FIELD_REQUIRED, AT(use_l_day), .shape = &spread_shape, .about = "L a day."},
    {"harvest_on", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(harvest_on), .shape = &dates_shape, .about = "Of what is harvested next.", .given = AT(harvest_given)},
    {"carries_to_harvest", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(carries_to_harvest), .standard = NAN, .about = "Probability."},
    {"behind_since", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(behind.since), .about = "As of that day, and being worked out again; null: as it stands."},
};
#undef AT
static const struct shape short_shape = {.name = "ShortOutlook", .size = sizeof(struct short_document), .field = short_fields, .count = COUNT(short_fields)};

struct listed_document {
    const char *id, *code, *name, *area, *vessel;
    double walk_order, lamp_w;
    bool retired;
    struct standing_drawing drawing;
    struct standing_last last;
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
    {"lamp_w", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(lamp_w), .standard = NAN, .about = "Power of the lamps over it, W; null: the garden's."},
    {"retired", FIELD_BOOL, FIELD_REQUIRED, AT(retired), .about = "No longer in use."},
    {"drawing", FIELD_OBJECT, FIELD_REQUIRED, AT(drawing), .shape = &drawing_shape, .about = "What a small drawing needs."},
    {"last", FIELD_OBJECT, FIELD_REQUIRED, AT(last), .shape = &last_shape, .about = "What was read last, so that a table of many tanks need not ask each."},
    {"outlook", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(outlook), .shape = &short_shape, .about = "In short.", .given = AT(outlook_given)},
};
#undef AT
static const struct shape listed_shape = {.name = "TankListed", .size = sizeof(struct listed_document), .field = listed_fields, .count = COUNT(listed_fields)};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(listed_shape, "By age.");
const struct shape tanks_answer_shape = {.name = "Tanks", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static struct short_document short_of(const struct standing_short *brief, const struct tank_row *row, int32_t today)
{
    struct standing_behind behind = STANDING_NONE_BEHIND;

    standing_is_behind(&behind, brief, row, today);
    return (struct short_document){.behind = behind,
                                   .low_on = brief->low_on,
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

    if (standing_short_old(request->service->garden, db, place, row, &brief, request->arena, fault))
        return -1;
    *listed = (struct listed_document){.id = row->id,
                                       .code = row->code,
                                       .name = row->name,
                                       .area = row->area,
                                       .vessel = row->vessel,
                                       .walk_order = row->walk_order,
                                       .lamp_w = row->lamp_w,
                                       .retired = row->retired,
                                       .drawing = brief->drawing,
                                       .last = brief->last,
                                       .outlook_given = brief->has_outlook};
    if (brief->has_outlook)
        listed->outlook = short_of(brief, row, place->today);
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
    struct list_answer answer;
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

struct tank_document {
    const char *id, *code, *name, *area;
    struct vessel_document vessel;
    double walk_order, lamp_w;
    bool retired;
    struct state_document state;
    struct outlook_answer outlook;
    bool outlook_given;
    struct list advice, recent, mixes; /* struct advice_document, struct entry, struct mix_row */
    int64_t photo_count;
    const char *photo_newest;
};

#define AT(member) offsetof(struct tank_document, member)
static const struct field tank_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "Its id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "Where it stands."},
    {"vessel", FIELD_OBJECT, FIELD_REQUIRED, AT(vessel), .shape = &vessel_shape, .about = "The vessel it is."},
    {"walk_order", FIELD_NUMBER, FIELD_REQUIRED, AT(walk_order), .about = "Its place on a round."},
    {"lamp_w", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(lamp_w), .standard = NAN, .about = "Power of the lamps over it, W; null: the garden's."},
    {"retired", FIELD_BOOL, FIELD_REQUIRED, AT(retired), .about = "No longer in use."},
    {"state", FIELD_OBJECT, FIELD_REQUIRED, AT(state), .shape = &state_shape, .about = "What the log says."},
    {"outlook", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(outlook), .shape = &outlook_shape, .about = "What it will do.", .given = AT(outlook_given)},
    {"advice", FIELD_LIST, FIELD_REQUIRED, AT(advice), .shape = &advice_shape, .about = "What it wants of people, most urgent first."},
    {"recent", FIELD_LIST, FIELD_REQUIRED, AT(recent), .shape = &entry_shape, .about = "The newest entries."},
    {"mixes", FIELD_LIST, FIELD_REQUIRED, AT(mixes), .shape = &mix_under_way_shape, .about = "Solutions for it that somebody began to weigh in, the latest first."},
    {"photo_count", FIELD_INTEGER, FIELD_REQUIRED, AT(photo_count), .about = "How many photos its entries have, those of entries that were taken back, too."},
    {"photo_newest", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(photo_newest), .about = "The id of the one that came last: with their number it tells an open page that a photo came or went."},
};
#undef AT
const struct shape tank_shape = {.name = "Tank", .size = sizeof(struct tank_document), .field = tank_fields, .count = COUNT(tank_fields),
                                 .about = "One tank, whole."};

/* The outlook as a tank's page shows it: until the tank is surely dry. */
static int shorten_outlook(const struct outlook *outlook, struct tank_document *document, struct arena *arena, struct fault *fault)
{
    const struct outlook_answer *answer;
    size_t days = 0;

    document->outlook_given = outlook != NULL;
    if (!outlook)
        return 0;
    answer = outlook_answer_of(outlook, arena);
    if (!answer)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    document->outlook = *answer;
    while (days < outlook->waterline_count && days < PAGE_DAYS && (days == 0 || outlook->waterline[days - 1].p90_mm > 0))
        days++;
    document->outlook.waterline.count = days;
    return 0;
}

/* What looks odd about the entries of a page, newest first: by the log that was before them and until shortly after. */
static int flag_page(struct request *request, struct db *db, const struct standing_place *place, const struct standing *standing,
                     struct list *page, struct fault *fault)
{
    const struct entry *entry = page->item;
    struct tank_log_ask ask = {.tank_key = standing->tank.key};
    struct tank_state state;
    struct list entries;

    if (!page->count)
        return 0;
    ask.since_ms = entry[page->count - 1].at_ms;
    ask.to_ms = entry[0].at_ms + DOUBLE_WITHIN_MS + 1;
    if (tank_log_read(db, &ask, &entries, request->arena, fault) ||
        tank_state_fold(&standing->vessel, &entries, place->garden.time_zone, &state, request->arena, fault))
        return -1;
    return entries_flag(page, &state, request->arena, fault);
}

/* What is shown of a tank beside how it stands. */
struct beside {
    struct list recent, mixes; /* struct entry, struct mix_row */
    int64_t photo_count;
    const char *photo_newest;
};

static json_t *whole_tank(const struct standing *standing, const struct standing_place *place, const struct beside *beside, struct arena *arena,
                          struct fault *fault)
{
    const struct vessel_document *vessel = vessel_document_of(&standing->vessel, arena, fault);
    struct tank_document document = {.id = standing->tank.id,
                                     .code = standing->tank.code,
                                     .name = standing->tank.name,
                                     .area = standing->tank.area,
                                     .walk_order = standing->tank.walk_order,
                                     .lamp_w = standing->tank.lamp_w,
                                     .retired = standing->tank.retired,
                                     .state = state_document_of(&standing->state, place->garden.time_zone),
                                     .advice = advice_documents(standing->advice.item, standing->advice.count, arena),
                                     .recent = beside->recent,
                                     .mixes = beside->mixes,
                                     .photo_count = beside->photo_count,
                                     .photo_newest = beside->photo_newest};

    if (!vessel || shorten_outlook(standing->outlook, &document, arena, fault))
        return NULL;
    document.vessel = *vessel;
    return shape_write(&tank_shape, &document);
}

/* Runs tell with the tank that the path names, worked out, and the connection it was read by. */
typedef json_t *teller(struct request *request, struct db *db, const struct standing_place *place, const struct standing *standing,
                       struct fault *fault);

int tank_standing(struct request *request, struct db *db, struct standing_place *place, struct standing *standing,
                  struct fault *fault)
{
    struct tank_row row;
    int found = tanks_one(db, request->part[0], &row, request->arena, fault);

    if (found != 1)
        return found < 0 ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such tank");
    if (standing_place(db, request->now_ms, place, request->arena, fault) ||
        standing_make(db, place, &row, standing, request->arena, fault))
        return -1;
    standing_keep(request->service->garden, standing, place->today);
    return 0;
}

static json_t *tell_tank(struct request *request, struct db *db, teller *tell, struct fault *fault)
{
    struct standing_place place;
    struct standing *standing = arena_take(request->arena, sizeof *standing);

    if (!standing)
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    else if (tank_standing(request, db, &place, standing, fault) == 0)
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
    struct beside beside;

    if (entries_page(db, &page, &beside.recent, request->arena, fault) || flag_page(request, db, place, standing, &beside.recent, fault) ||
        mixes_open(db, standing->tank.key, request->now_ms, place->today, &beside.mixes, request->arena, fault) ||
        photo_rows_glance(db, standing->tank.key, &beside.photo_count, &beside.photo_newest, request->arena, fault))
        return NULL;
    return whole_tank(standing, place, &beside, request->arena, fault);
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
    if (!standing->outlook) {
        fault_add(fault, FAULT_ABSENT, "", "nothing can be said of this tank yet: %s", standing_outlook_wants(place, standing));
        return NULL;
    }
    return outlook_document(standing->outlook, request->arena);
}

/* GET /api/v1/tanks/{tank}/outlook */
int tank_outlook_get(struct request *request, struct reply *reply, struct fault *fault)
{
    return answer_tank(request, reply, 200, tell_outlook, fault);
}

static json_t *tell_entries(struct request *request, struct db *db, const struct standing_place *place, const struct standing *standing,
                            struct fault *fault)
{
    const struct entries_ask *ask = request->asked;
    struct entries_answer answer;

    if (entries_answer_page(request, db, standing->tank.key, ask->after, ask->limit, &answer, fault) ||
        flag_page(request, db, place, standing, &answer.items, fault))
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
    struct tank_row row = {.id = sent->id, .code = sent->code, .name = sent->name, .area = sent->area, .vessel = sent->vessel,
                           .walk_order = sent->walk_order, .lamp_w = sent->lamp_w, .retired = sent->retired};
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
    sent = (struct tank_sent){row.id, row.code, row.name, row.area, row.vessel, row.walk_order, row.lamp_w, row.retired};
    if (shape_patch(&tank_sent_shape, &sent, request->document, request->arena, fault))
        return -1;
    if (!sent.code || strcmp(sent.code, row.code) != 0)
        return fault_add(fault, FAULT_INPUT, "/code", "stays as it is: labels bear it");
    row.name = sent.name;
    row.area = sent.area;
    row.vessel = sent.vessel;
    row.walk_order = sent.walk_order;
    row.lamp_w = sent.lamp_w;
    row.retired = sent.retired;
    if (garden_tank_change(request->service->garden, &row, request->arena, fault))
        return -1;
    return answer_tank(request, reply, 200, tell_whole, fault);
}
