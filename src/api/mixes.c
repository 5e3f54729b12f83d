/* mixes.c - solutions under way over HTTP. */
#include "api/mixes.h"

#include <math.h>
#include <stdlib.h>

#include "api/lists.h"
#include "garden/mixes.h"
#include "store/entries.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const kinds[] = {"fill", "top-up", NULL}; /* of enum entry_kind, its first two */
static const char *const states[] = {"open", "finished", "given_up", "logged", NULL};
static const char *const said_states[] = {"open", "finished", "given_up", NULL};

/* ---- one step ---- */

struct tick_document {
    struct mix_tick tick;
    int64_t sent_ms;
};
#define AT(member) offsetof(struct tick_document, member)
#define STEP {"step", FIELD_INTEGER, FIELD_REQUIRED, AT(tick.step), 0, MIX_STEPS_MOST - 1, .standard = -1, .about = "Which act at the scale, from 0."}
#define DONE {"done", FIELD_BOOL, FIELD_REQUIRED, AT(tick.done), .about = "false: not after all."}
#define GRAMS {"grams", FIELD_NUMBER, FIELD_NULLABLE, AT(tick.grams), 0, 1000000, .standard = NAN, .about = "As weighed, g; null where the act has nothing to weigh."}
#define TOLD_AT {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(tick.at_ms), .about = "When it was done."}
static const struct field tick_fields[] = {
    STEP, DONE, GRAMS, TOLD_AT,
    {"sent_at", FIELD_INSTANT, FIELD_BODY_ONLY, AT(sent_ms), .about = "The sender's clock now: how far it is off is taken off `at`, since the later word on a step stands."},
};
static const struct field told_fields[] = {
    STEP, DONE, GRAMS, TOLD_AT,
    {"member_name", FIELD_TEXT, FIELD_NULLABLE, AT(tick.member_name), .about = "Who said so; null: the host itself."},
};
#undef AT
const struct shape mix_tick_shape = {.name = "MixTick", .size = sizeof(struct tick_document), .field = tick_fields, .count = COUNT(tick_fields),
                                     .about = "What was done at one step of a mix."};
static const struct shape told_shape = {.name = "MixTold", .size = sizeof(struct tick_document), .field = told_fields, .count = COUNT(told_fields),
                                        .about = "The last word on a step."};

static const struct field state_fields[] = {
    {"state", FIELD_CHOICE, FIELD_REQUIRED, 0, .words = said_states, .standard = -1, .about = "finished: mixed, and logged nowhere; given_up; open: after all."}};
const struct shape mix_state_shape = {.name = "MixState", .size = sizeof(int), .field = state_fields, .count = 1};

/* ---- a mix ---- */

struct mix_document {
    struct mix_row row;
    struct list ticks; /* struct tick_document */
    const json_t *sheet;
    int64_t expires_ms;
};

#define AT(member) offsetof(struct mix_document, member)
static const struct field mix_fields[] = {
    {"id", FIELD_TEXT, 0, AT(row.id), 36, 36, .about = "A UUID made by the client: that of the entry which the mix will be logged as."},
    {"tank", FIELD_TEXT, FIELD_NULLABLE, AT(row.tank), 1, 64, .about = "The tank it is for, by id or short code; null: none."},
    {"tank_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(row.tank_name), .about = "Its name."},
    {"kind", FIELD_CHOICE, FIELD_REQUIRED, AT(row.kind), .words = kinds, .standard = ENTRY_NONE, .about = "What it will be logged as."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(row.begun_ms), .about = "When it was begun."},
    {"volume_l", FIELD_NUMBER, FIELD_REQUIRED, AT(row.volume_l), 0.01, 10000, .standard = NAN, .about = "Of the solution, L."},
    {"steps", FIELD_INTEGER, FIELD_REQUIRED, AT(row.steps), 1, MIX_STEPS_MOST, .about = "Acts at the scale."},
    {"sheet", FIELD_JSON, 0, AT(sheet), .about = "The page's worksheet, an object that comes back as it was sent; asked for in a body, left out in lists."},
    {"done", FIELD_INTEGER, FIELD_ANSWER_ONLY, AT(row.done), .about = "Acts done."},
    {"ticks", FIELD_LIST, FIELD_ANSWER_ONLY, AT(ticks), .shape = &told_shape, .about = "The last word on each step; left out in lists."},
    {"state", FIELD_CHOICE, FIELD_ANSWER_ONLY, AT(row.state), .words = states, .about = "logged: the entry of this id is in the log."},
    {"member_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(row.member_name), .about = "Who began it; null: the host itself."},
    {"told_at", FIELD_INSTANT, FIELD_ANSWER_ONLY, AT(row.told_ms), .about = "When somebody last said something of it."},
    {"off_until", FIELD_DATE, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(row.off_day), .standard = FIELD_NO_DATE, .about = "Kept from Today until this day; null: shown there."},
    {"expires_at", FIELD_INSTANT, FIELD_ANSWER_ONLY, AT(expires_ms), .about = "When it leaves the list, if nobody says more."},
};
#undef AT
const struct shape mix_shape = {.name = "Mix", .size = sizeof(struct mix_document), .field = mix_fields, .count = COUNT(mix_fields),
                                .about = "A solution that is being weighed in; any member carries on where another stopped."};

#define AT(member) offsetof(struct mix_row, member)
static const struct field under_way_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "Its id."},
    {"tank", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(tank), .about = "The tank it is for; null: none."},
    {"tank_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(tank_name), .about = "Its name."},
    {"kind", FIELD_CHOICE, FIELD_REQUIRED, AT(kind), .words = kinds, .standard = ENTRY_NONE, .about = "What it will be logged as."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(begun_ms), .about = "When it was begun."},
    {"volume_l", FIELD_NUMBER, FIELD_REQUIRED, AT(volume_l), .standard = NAN, .about = "Of the solution, L."},
    {"steps", FIELD_INTEGER, FIELD_REQUIRED, AT(steps), .about = "Acts at the scale."},
    {"done", FIELD_INTEGER, FIELD_REQUIRED, AT(done), .about = "Acts done."},
    {"member_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(member_name), .about = "Who began it; null: the host itself."},
    {"off_until", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(off_day), .standard = FIELD_NO_DATE, .about = "Kept from Today until this day; null: shown there."},
};
#undef AT
const struct shape mix_under_way_shape = {.name = "MixUnderWay", .size = sizeof(struct mix_row), .field = under_way_fields, .count = COUNT(under_way_fields),
                                          .about = "A solution that somebody began to weigh in; the whole is at /api/v1/mixes/{mix}."};

static const struct field off_fields[] = {
    {"days", FIELD_INTEGER, FIELD_REQUIRED, 0, 0, MIX_DAYS, .about = "For how many days; 1: until tomorrow; 0: shown again."}};
const struct shape mix_off_shape = {.name = "MixOff", .size = sizeof(int64_t), .field = off_fields, .count = 1};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(mix_shape, "Open ones of the last seven days, the latest first.");
const struct shape mixes_answer_shape = {.name = "Mixes", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static struct mix_document document_of(const struct mix_row *row)
{
    return (struct mix_document){.row = *row, .expires_ms = row->told_ms + MIX_DAYS * INT64_C(86400000)};
}

static int answer_mix(struct request *request, struct reply *reply, unsigned status, const struct mix *mix, struct fault *fault)
{
    struct mix_document document = document_of(&mix->row);
    struct tick_document *ticks = arena_list(request->arena, &document.ticks, mix->ticks.count, sizeof *ticks);
    json_t *sheet = json_loads(mix->row.sheet, 0, NULL), *written;

    if (!ticks || !sheet) {
        json_decref(sheet);
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    for (size_t i = 0; i < mix->ticks.count; i++)
        ticks[i].tick = ((struct mix_tick *)mix->ticks.item)[i];
    document.sheet = sheet;
    written = shape_write(&mix_shape, &document);
    json_decref(sheet);
    return reply_json(reply, status, written, fault);
}

/* GET /api/v1/mixes */
int mixes_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list_answer answer = {{NULL, 0}, NULL};
    struct mix_document *documents;
    struct list mixes;

    if (garden_mixes_open(request->service->garden, request->now_ms, &mixes, request->arena, fault))
        return -1;
    documents = arena_list(request->arena, &answer.items, mixes.count, sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < mixes.count; i++)
        documents[i] = document_of((struct mix_row *)mixes.item + i);
    return reply_json(reply, 200, shape_write(&mixes_answer_shape, &answer), fault);
}

/* Members in one order, so that the same sheet is the same text. */
static const char *sheet_text(struct request *request, const json_t *sheet, struct fault *fault)
{
    char *text;
    const char *kept;

    if (!json_is_object(sheet)) {
        fault_add(fault, FAULT_INPUT, "/sheet", "must be an object");
        return NULL;
    }
    text = json_dumps(sheet, JSON_COMPACT | JSON_SORT_KEYS | JSON_REAL_PRECISION(15));
    kept = text ? arena_text(request->arena, text) : NULL;
    free(text);
    if (!kept)
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return kept;
}

/* POST /api/v1/mixes */
int mixes_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct mix_document *sent = request->given;
    struct mix mix = {.row = sent->row};
    bool stored_before;

    mix.row.received_ms = request->now_ms;
    mix.row.sheet = sheet_text(request, sent->sheet, fault);
    if (!mix.row.sheet || garden_mix_add(request->service->garden, &request->who, &mix, &stored_before, request->arena, fault))
        return -1;
    return answer_mix(request, reply, stored_before ? 200 : 201, &mix, fault);
}

/* GET /api/v1/mixes/{mix} */
int mix_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct mix mix;

    if (garden_mix_one(request->service->garden, request->part[0], &mix, request->arena, fault))
        return -1;
    return answer_mix(request, reply, 200, &mix, fault);
}

/* POST /api/v1/mixes/{mix}/ticks: one step was done, or was not after all. */
int mix_tick_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct tick_document *sent = request->given;
    struct mix_tick tick = sent->tick;
    struct mix mix;

    if (garden_mix_tick(request->service->garden, &request->who, request->part[0], &tick, sent->sent_ms, request->now_ms, &mix, request->arena, fault))
        return -1;
    return answer_mix(request, reply, 200, &mix, fault);
}

/* POST /api/v1/mixes/{mix}/state */
int mix_state_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct mix mix;

    if (garden_mix_state(request->service->garden, request->part[0], *(const int *)request->given, request->now_ms, &mix, request->arena, fault))
        return -1;
    return answer_mix(request, reply, 200, &mix, fault);
}

/* POST /api/v1/mixes/{mix}/off */
int mix_off_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct mix mix;

    if (garden_mix_put_off(request->service->garden, request->part[0], *(const int64_t *)request->given, request->now_ms, &mix, request->arena, fault))
        return -1;
    return answer_mix(request, reply, 200, &mix, fault);
}
