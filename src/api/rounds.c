/* rounds.c - rounds over HTTP. */
#include "api/rounds.h"

#include <math.h>

#include "api/lists.h"
#include "api/outlooks.h"
#include "api/standings.h"
#include "garden/log.h"
#include "garden/rounds.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const state_words[] = {"free", "taken", "skipped", "done", NULL};
static const char *const what_words[] = {"take", "skip", "done", "free", "end", NULL};

/* ---- what is asked ---- */

#define AT(member) offsetof(struct round_asked, member)
static const struct field sent_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 36, 36, .about = "A UUID; made by the garden where left out."},
    {"area", FIELD_TEXT, FIELD_NULLABLE, AT(area), 1, 64, .about = "Only this area with what lies in it; null: the whole garden."},
    {"empty", FIELD_BOOL, 0, AT(empty), .about = "Whether empty tanks come along; a fill takes more than a round carries."},
};
#undef AT
const struct shape round_sent_shape = {.name = "RoundAsked", .size = sizeof(struct round_asked), .field = sent_fields, .count = COUNT(sent_fields)};

#define AT(member) offsetof(struct round_deed, member)
static const struct field deed_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), 36, 36, .about = "A UUID made by the client: sent twice, an act is done once."},
    {"what", FIELD_CHOICE, FIELD_REQUIRED, AT(what), .words = what_words, .standard = -1, .about = "take, skip, done, free: give back; end: the round."},
    {"stop", FIELD_INTEGER, FIELD_NULLABLE, AT(stop), 1, ROUND_STOPS_MOST, .standard = (double)STORE_NO_INT, .about = "The stop's place; to take the next one, leave it out."},
    {"area", FIELD_TEXT, FIELD_NULLABLE, AT(area), 1, 64, .about = "take: all stops that are free in this area."},
};
#undef AT
const struct shape round_deed_shape = {.name = "RoundAct", .size = sizeof(struct round_deed), .field = deed_fields, .count = COUNT(deed_fields),
                                       .about = "What somebody does on a round."};

/* ---- what is answered ---- */

#define AT(member) offsetof(struct round_salt, member)
#define SALT_FIELDS                                                                                      \
    {"salt", FIELD_TEXT, FIELD_REQUIRED, AT(salt), .about = "A salt of the shelf, by its id."},          \
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},                                \
    {"grams", FIELD_NUMBER, FIELD_REQUIRED, AT(grams), .standard = NAN, .about = "To weigh, g."}
static const struct field stop_salt_fields[] = {SALT_FIELDS};
static const struct field sum_salt_fields[] = {
    SALT_FIELDS, {"caution", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE | FIELD_SAID, AT(caution), .about = "What to mind with it."}};
#undef AT
static const struct shape stop_salt_shape = {.name = "RoundSalt", .size = sizeof(struct round_salt), .field = stop_salt_fields, .count = COUNT(stop_salt_fields)};
static const struct shape sum_salt_shape = {.name = "RoundSaltSum", .size = sizeof(struct round_salt), .field = sum_salt_fields, .count = COUNT(sum_salt_fields)};

static const struct field word_field[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED, 0, .about = "One word."}};
static const struct shape word_shape = {.size = sizeof(const char *), .field = word_field, .count = 1};

struct stop_document {
    struct round_stop stop;
    struct advice_with with;
    struct outlook_dates when;
    bool when_given;
    int act;
    struct list also, cautions; /* const char * */
};

#define AT(member) offsetof(struct stop_document, member)
static const struct field stop_fields[] = {
    {"stop", FIELD_INTEGER, FIELD_REQUIRED, AT(stop.row.place), .about = "Its place on the round, from 1."},
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(stop.row.tank), .about = "The tank's id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(stop.row.code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(stop.row.tank_name), .about = "Its name."},
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(stop.row.area), .about = "Where it stands, by id."},
    {"area_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(stop.row.area_name), .about = "And by name."},
    {"reason", FIELD_TEXT, FIELD_REQUIRED, AT(stop.row.reason), .about = "Why it wants a hand, as on Today."},
    {"when", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(when), .shape = &dates_shape, .about = "Until when.", .given = AT(when_given)},
    {"with", FIELD_OBJECT, FIELD_REQUIRED, AT(with), .shape = &advice_with_shape, .about = "The numbers of the sentence, as they were when the round was made."},
    {"act", FIELD_CHOICE, FIELD_REQUIRED, AT(act), .words = entry_kind_names, .standard = -1, .about = "The kind of entry that settles it."},
    {"also", FIELD_LIST, FIELD_REQUIRED, AT(also), .shape = &word_shape, .about = "Further kinds of entry that are due there."},
    {"grams", FIELD_LIST, FIELD_REQUIRED, AT(stop.salts), .shape = &stop_salt_shape, .about = "To weigh for this tank."},
    {"grams_known", FIELD_BOOL, FIELD_REQUIRED, AT(stop.row.grams_known), .about = "false: salts are wanted, but the log does not tell which its fill was made of."},
    {"acid_ml", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(stop.row.acid_ml), .standard = NAN, .about = "Citric acid, equal weights of acid and water, into what is added, mL."},
    {"cautions", FIELD_LIST, FIELD_REQUIRED, AT(cautions), .shape = &word_shape, .about = "jug, slow, hose, weight."},
    {"state", FIELD_CHOICE, FIELD_REQUIRED, AT(stop.state), .words = state_words, .about = "free, taken, skipped or done."},
    {"by", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(stop.by), .about = "Who took, skipped or did it; null: nobody, or the host itself."},
    {"by_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(stop.by_name), .about = "Their name."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED | FIELD_NULLABLE, AT(stop.at_ms), .about = "When."},
    {"entry", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(stop.entry), .about = "The entry that settled it; null: not done, or somebody said so."},
    {"skips", FIELD_INTEGER, FIELD_REQUIRED, AT(stop.skips), .about = "How often it was skipped."},
};
#undef AT
static const struct shape stop_shape = {.name = "RoundStop", .size = sizeof(struct stop_document), .field = stop_fields, .count = COUNT(stop_fields)};

#define AT(member) offsetof(struct round_water, member)
static const struct field water_fields[] = {
    {"strength", FIELD_TEXT, FIELD_REQUIRED, AT(strength), .about = "plain, dilute or full."},
    {"litres", FIELD_NUMBER, FIELD_REQUIRED, AT(litres), .standard = NAN, .about = "L."},
    {"tanks", FIELD_INTEGER, FIELD_REQUIRED, AT(tanks), .about = "For so many."},
};
#undef AT
static const struct shape water_shape = {.name = "RoundWater", .size = sizeof(struct round_water), .field = water_fields, .count = COUNT(water_fields)};

struct carry_document {
    struct list water, salts, cautions;
    double litres, acid_ml;
    int64_t grams_unknown;
};
#define AT(member) offsetof(struct carry_document, member)
static const struct field carry_fields[] = {
    {"litres", FIELD_NUMBER, FIELD_REQUIRED, AT(litres), .standard = NAN, .about = "Of all strengths, L; a litre weighs a kilogram."},
    {"water", FIELD_LIST, FIELD_REQUIRED, AT(water), .shape = &water_shape, .about = "By strength."},
    {"salts", FIELD_LIST, FIELD_REQUIRED, AT(salts), .shape = &sum_salt_shape, .about = "For all tanks together."},
    {"grams_unknown", FIELD_INTEGER, FIELD_REQUIRED, AT(grams_unknown), .about = "Tanks that want salts of which the log does not tell."},
    {"acid_ml", FIELD_NUMBER, FIELD_REQUIRED, AT(acid_ml), .standard = NAN, .about = "Citric acid, equal weights of acid and water, mL."},
    {"cautions", FIELD_LIST, FIELD_REQUIRED, AT(cautions), .shape = &word_shape, .about = "jug, slow, hose, weight."},
};
#undef AT
static const struct shape carry_shape = {.name = "RoundCarry", .size = sizeof(struct carry_document), .field = carry_fields, .count = COUNT(carry_fields)};

#define AT(member) offsetof(struct round_person, member)
static const struct field person_fields[] = {
    {"member", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(member), .about = "Who; null: the host itself."},
    {"name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(name), .about = "Their name."},
    {"done", FIELD_INTEGER, FIELD_REQUIRED, AT(done), .about = "Stops they did."},
};
#undef AT
static const struct shape person_shape = {.name = "RoundPerson", .size = sizeof(struct round_person), .field = person_fields, .count = COUNT(person_fields)};

struct round_document {
    struct round round;
    int64_t stop_count;
    struct list stops;
    struct carry_document carry;
};
#define AT(member) offsetof(struct round_document, member)
#define ROUND_FIELDS                                                                                                                   \
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(round.row.id), .about = "The round's id."},                                                  \
    {"date", FIELD_DATE, FIELD_REQUIRED, AT(round.row.day), .about = "The garden's day on which it was made."},                        \
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(round.row.area), .about = "Its area; null: the whole garden."},           \
    {"area_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(round.row.area_name), .about = "As it was called then."},            \
    {"made_at", FIELD_INSTANT, FIELD_REQUIRED, AT(round.row.made_ms), .about = "When it was made."},                                   \
    {"made_by", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(round.row.member), .about = "Who made it; null: the host itself."},    \
    {"made_by_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(round.row.member_name), .about = "Their name."},                  \
    {"open", FIELD_BOOL, FIELD_REQUIRED, AT(round.open), .about = "Whether it is under way."},                                         \
    {"ended_at", FIELD_INSTANT, FIELD_REQUIRED | FIELD_NULLABLE, AT(round.ended_ms), .about = "null: under way."},                     \
    {"ended_by_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(round.ended_by_name), .about = "Who ended it; null: its last stop, or its time."}, \
    {"stop_count", FIELD_INTEGER, FIELD_REQUIRED, AT(stop_count), .about = "How many stops it has."},                                  \
    {"done_count", FIELD_INTEGER, FIELD_REQUIRED, AT(round.done), .about = "How many of them are done."},                              \
    {"people", FIELD_LIST, FIELD_REQUIRED, AT(round.people), .shape = &person_shape, .about = "Who did anything on it."}
static const struct field short_fields[] = {ROUND_FIELDS};
static const struct field round_fields[] = {
    ROUND_FIELDS,
    {"carry", FIELD_OBJECT, FIELD_REQUIRED, AT(carry), .shape = &carry_shape, .about = "What to carry for all stops, as it was worked out when the round was made."},
    {"stops", FIELD_LIST, FIELD_REQUIRED, AT(stops), .shape = &stop_shape, .about = "In walking order."},
};
#undef AT
static const struct shape short_shape = {.name = "RoundShort", .size = sizeof(struct round_document), .field = short_fields, .count = COUNT(short_fields)};
const struct shape round_shape = {.name = "Round", .size = sizeof(struct round_document), .field = round_fields, .count = COUNT(round_fields),
                                  .about = "The tanks to visit, in walking order, and who is at which."};
static const struct field answer_fields[] = LIST_ANSWER_FIELDS(short_shape, "Newest first.");
const struct shape rounds_answer_shape = {.name = "Rounds", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

/* ---- documents ---- */

/* The names of the bits that are set; empty when out of memory. */
static struct list names_of(int64_t bits, const char *const *name, size_t count, struct arena *arena)
{
    const char **names = arena_take(arena, (count + 1) * sizeof *names);
    struct list list = {names, 0};

    for (size_t i = 0; names && i < count; i++)
        if (bits & (INT64_C(1) << i))
            names[list.count++] = name[i];
    return list;
}

static struct stop_document stop_document_of(const struct round_stop *stop, struct arena *arena)
{
    const struct round_stop_row *row = &stop->row;

    return (struct stop_document){
        .stop = *stop,
        .with = {.litres = row->litres, .to_mm = row->to_mm, .share = row->share, .days = row->days, .value = row->value, .low = row->low,
                 .high = row->high, .strength = row->strength, .crop = row->crop},
        .when = {row->p10, row->p50, row->p90},
        .when_given = row->p10 != DAYS_NONE || row->p50 != DAYS_NONE,
        .act = (int)row->act,
        .also = names_of(row->also, entry_kind_names, ENTRY_KINDS, arena),
        .cautions = names_of(row->cautions, topup_caution_key, TOPUP_CAUTION_COUNT, arena),
    };
}

static json_t *write_round(const struct round *round, struct arena *arena)
{
    struct round_document document = {.round = *round, .stop_count = (int64_t)round->stops.count};
    struct stop_document *stop = arena_list(arena, &document.stops, round->stops.count, sizeof *stop);

    if (!stop)
        return NULL;
    for (size_t i = 0; i < round->stops.count; i++)
        stop[i] = stop_document_of((const struct round_stop *)round->stops.item + i, arena);
    document.carry = (struct carry_document){round->water, round->salts, names_of(round->cautions, topup_caution_key, TOPUP_CAUTION_COUNT, arena),
                                             round->litres, round->acid_ml, round->grams_unknown};
    return shape_write(&round_shape, &document);
}

/* ---- handlers ---- */

/* GET /api/v1/rounds */
int rounds_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct list_ask *ask = request->asked;
    struct list_answer answer = {{NULL, 0}, NULL};
    struct list rounds;
    const struct round *round;
    struct round_document *document;

    if (garden_rounds(request->service->garden, ask->after, ask->limit + 1, request->now_ms, &rounds, request->arena, fault))
        return -1;
    round = rounds.item;
    document = arena_list(request->arena, &answer.items, rounds.count, sizeof *document);
    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < rounds.count; i++)
        document[i] = (struct round_document){.round = round[i], .stop_count = (int64_t)round[i].stops.count};
    if (rounds.count > (size_t)ask->limit) {
        answer.items.count = (size_t)ask->limit;
        answer.next = round[ask->limit - 1].row.id;
    }
    return reply_json(reply, 200, shape_write(&rounds_answer_shape, &answer), fault);
}

/* POST /api/v1/rounds */
int rounds_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct round round;
    bool stored_before;

    if (garden_round_make(request->service->garden, &request->who, request->given, request->now_ms, &round, &stored_before, request->arena, fault))
        return -1;
    return reply_json(reply, stored_before ? 200 : 201, write_round(&round, request->arena), fault);
}

/* GET /api/v1/rounds/{round} */
int round_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct round round;

    if (garden_round(request->service->garden, request->part[0], request->now_ms, &round, request->arena, fault))
        return -1;
    return reply_json(reply, 200, write_round(&round, request->arena), fault);
}

/* POST /api/v1/rounds/{round}/acts */
int round_acts_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct round round;

    if (garden_round_act(request->service->garden, &request->who, request->part[0], request->given, request->now_ms, &round, request->arena, fault))
        return -1;
    return reply_json(reply, 200, write_round(&round, request->arena), fault);
}
