/* harvests.c - harvests over HTTP. */
#include "api/harvests.h"

#include <math.h>
#include <string.h>

#include "api/lists.h"
#include "garden/clock.h"
#include "garden/harvests.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- one by one ---- */

static const char *const hows[] = {"whole", "cut", NULL};

static const struct field cup_fields[] = {{NULL, FIELD_INTEGER, 0, 0, .about = "Cup, from 1."}};
static const struct shape cup_shape = {.size = sizeof(int64_t), .field = cup_fields, .count = 1};

struct harvest_document {
    struct harvest harvest;
    const char *season;
};

#define AT(member) offsetof(struct harvest_document, harvest.member)
static const struct field harvest_fields[] = {
    {"entry", FIELD_TEXT, FIELD_REQUIRED, AT(entry.id), .about = "The entry that tells it."},
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "The tank."},
    {"tank_name", FIELD_TEXT, FIELD_REQUIRED, AT(tank_name), .about = "Its name."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(tank_code), .about = "Its short code."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(entry.at_ms), .about = "When."},
    {"crop", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(crop), .about = "null: not known, or several at once."},
    {"how", FIELD_CHOICE, FIELD_REQUIRED, AT(entry.how), .words = hows, .about = "The whole plant, or cut to grow again."},
    {"weight_g", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(entry.weight_g), .standard = NAN, .about = "All of it, g; null: not weighed."},
    {"count", FIELD_INTEGER, FIELD_REQUIRED | FIELD_NULLABLE, AT(plants), .about = "Plants it was taken from; null: not known."},
    {"g_per_plant", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(g_per_plant), .standard = NAN, .about = "g a plant."},
    {"bunches", FIELD_INTEGER, FIELD_REQUIRED | FIELD_NULLABLE, AT(entry.bunches), .about = "Bunches it made."},
    {"quality", FIELD_INTEGER, FIELD_REQUIRED | FIELD_NULLABLE, AT(entry.quality), .about = "1 poor to 5 fine."},
    {"cups", FIELD_LIST, FIELD_REQUIRED, AT(entry.cups), .shape = &cup_shape, .about = "Cups named; none: all that were planted."},
    {"days", FIELD_INTEGER, FIELD_REQUIRED | FIELD_NULLABLE, AT(days), .about = "Since planting."},
    {"member", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(entry.member), .about = "Who logged it."},
    {"member_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(entry.member_name), .about = "Their name."},
    {"note", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(entry.note), .about = "What they wrote."},
    {"litres_used", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(used_l), .standard = NAN,
     .about = "Drunk by the whole tank since the fill, or since the harvest before it; null: no waterline was read near it, L."},
    {"season", FIELD_TEXT, FIELD_REQUIRED, offsetof(struct harvest_document, season), .about = "As 2026-spring."},
};
#undef AT
static const struct shape harvest_shape = {.name = "Harvest", .size = sizeof(struct harvest_document), .field = harvest_fields,
                                           .count = COUNT(harvest_fields), .about = "One harvest."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(harvest_shape, "Newest first.");
const struct shape harvests_answer_shape = {.name = "Harvests", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

struct harvests_asked {
    struct list_ask page;
    const char *tank, *crop;
    int32_t from, to;
};
#define AT(member) offsetof(struct harvests_asked, member)
static const struct field ask_fields[] = {
    {"tank", FIELD_TEXT, 0, AT(tank), 1, 64, .about = "Only this tank's, by id or short code."},
    {"crop", FIELD_TEXT, 0, AT(crop), 1, 64, .about = "Only this crop's."},
    {"from", FIELD_DATE, 0, AT(from), .about = "First day."},
    {"to", FIELD_DATE, 0, AT(to), .about = "Last day."},
    {"after", FIELD_TEXT, 0, AT(page.after), 1, 80, .about = "Cursor from the page before."},
    {"limit", FIELD_INTEGER, 0, AT(page.limit), 1, 500, .standard = 500, .about = "Most items to answer."},
};
#undef AT
const struct shape harvests_ask_shape = {.size = sizeof(struct harvests_asked), .field = ask_fields, .count = COUNT(ask_fields)};

/* Days as moments of the garden's zone. */
static int ask_of(struct request *request, struct harvests_ask *ask, struct fault *fault)
{
    const struct harvests_asked *asked = request->asked;
    struct garden_row row;

    if (garden_settings(request->service->garden, &row, request->arena, fault))
        return -1;
    *ask = (struct harvests_ask){.tank = asked->tank, .crop = asked->crop, .from_ms = INT64_MIN + 1, .to_ms = INT64_MAX};
    if (asked->from != FIELD_NO_DATE)
        ask->from_ms = clock_day_start_ms(row.time_zone, asked->from);
    if (asked->to != FIELD_NO_DATE)
        ask->to_ms = clock_day_start_ms(row.time_zone, asked->to + 1);
    return 0;
}

/* GET /api/v1/harvests */
int harvests_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct harvests_asked *asked = request->asked;
    struct harvests_ask ask;
    struct list all;
    struct list_answer answer;
    struct harvest_document *documents;
    const struct harvest *harvest;

    if (ask_of(request, &ask, fault) || garden_harvests(request->service->garden, &ask, &all, request->arena, fault) ||
        list_page(&all, sizeof *harvest, offsetof(struct harvest, entry.id), &asked->page, &answer, fault))
        return -1;
    harvest = answer.items.item;
    documents = arena_take(request->arena, (answer.items.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < answer.items.count; i++)
        documents[i] = (struct harvest_document){harvest[i], harvest[i].season.id};
    answer.items.item = documents;
    return reply_json(reply, 200, shape_write(&harvests_answer_shape, &answer), fault);
}

/* ---- summed up ---- */

struct spread_document {
    int64_t n;
    double mean, low, high, sd;
};

struct group_document {
    const char *id, *name;
    struct spread_document g_per_plant, g_per_harvest, g_per_litre, days; /* the first in place, the others as objects */
    bool harvest_given, litre_given, days_given;
    int64_t harvests, plants;
    double total_g, used_l;
    bool few;
    int32_t first, last;
};

#define NUMBERS(at)                                                                                                              \
    {"n", FIELD_INTEGER, FIELD_REQUIRED, (at) + offsetof(struct spread_document, n), .about = "Values it rests on."},            \
        {"mean", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, (at) + offsetof(struct spread_document, mean), .standard = NAN,  \
         .about = "Their mean."},                                                                                                \
        {"low", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, (at) + offsetof(struct spread_document, low), .standard = NAN,    \
         .about = "The lowest."},                                                                                                \
        {"high", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, (at) + offsetof(struct spread_document, high), .standard = NAN,  \
         .about = "The highest."},                                                                                               \
        {"sd", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, (at) + offsetof(struct spread_document, sd), .standard = NAN,      \
         .about = "Standard deviation of the sample; null for fewer than two."}
static const struct field numbers_fields[] = {NUMBERS(0)};
static const struct shape numbers_shape = {.name = "SpreadOfValues", .size = sizeof(struct spread_document), .field = numbers_fields,
                                           .count = COUNT(numbers_fields)};

#define AT(member) offsetof(struct group_document, member)
static const struct field group_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "Of the tank, the crop or the season."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "For people."},
    NUMBERS(AT(g_per_plant)), /* n, mean, low, high, sd: grams a plant, one value a weighed harvest */
    {"few", FIELD_BOOL, FIELD_REQUIRED, AT(few), .about = "Too few to compare by."},
    {"harvests", FIELD_INTEGER, FIELD_REQUIRED, AT(harvests), .about = "Weighed or not."},
    {"plants", FIELD_INTEGER, FIELD_REQUIRED, AT(plants), .about = "Plants taken from, where known."},
    {"total_g", FIELD_NUMBER, FIELD_REQUIRED, AT(total_g), .about = "All that was weighed, g."},
    {"litres_used", FIELD_NUMBER, FIELD_REQUIRED, AT(used_l), .about = "By those whose water is known, L."},
    {"g_per_harvest", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(g_per_harvest), .shape = &numbers_shape, .given = AT(harvest_given),
     .about = "Grams a harvest."},
    {"g_per_litre", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(g_per_litre), .shape = &numbers_shape, .given = AT(litre_given),
     .about = "Grams a litre drunk; null: not known of any."},
    {"days", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(days), .shape = &numbers_shape, .given = AT(days_given),
     .about = "Days from planting."},
    {"first", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(first), .about = "First day; of a season, its own."},
    {"last", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(last), .about = "Last day."},
};
#undef AT
static const struct shape group_shape = {.name = "HarvestGroup", .size = sizeof(struct group_document), .field = group_fields,
                                         .count = COUNT(group_fields),
                                         .about = "Harvests put together; n, mean, low, high and sd are grams a plant."};

struct summary_document {
    struct list by_tank, by_crop, by_season; /* struct group_document */
    struct group_document all;
};
#define AT(member) offsetof(struct summary_document, member)
static const struct field summary_fields[] = {
    {"all", FIELD_OBJECT, FIELD_REQUIRED, AT(all), .shape = &group_shape, .about = "Everything asked for."},
    {"by_tank", FIELD_LIST, FIELD_REQUIRED, AT(by_tank), .shape = &group_shape, .about = "By name, never by yield."},
    {"by_crop", FIELD_LIST, FIELD_REQUIRED, AT(by_crop), .shape = &group_shape, .about = "By name."},
    {"by_season", FIELD_LIST, FIELD_REQUIRED, AT(by_season), .shape = &group_shape, .about = "Oldest first."},
};
#undef AT
const struct shape harvest_summary_shape = {.name = "HarvestSummary", .size = sizeof(struct summary_document), .field = summary_fields,
                                            .count = COUNT(summary_fields)};

static struct spread_document numbers_of(const struct spread *spread)
{
    return (struct spread_document){(int64_t)spread->n, spread->mean, spread->low, spread->high, spread->sd};
}

static struct group_document group_of(const struct harvest_group *group)
{
    bool any = group->harvests > 0;

    return (struct group_document){.id = group->id,
                                   .name = group->name,
                                   .g_per_plant = numbers_of(&group->g_per_plant),
                                   .g_per_harvest = numbers_of(&group->g_per_harvest),
                                   .g_per_litre = numbers_of(&group->g_per_litre),
                                   .days = numbers_of(&group->days),
                                   .harvest_given = group->g_per_harvest.n > 0,
                                   .litre_given = group->g_per_litre.n > 0,
                                   .days_given = group->days.n > 0,
                                   .harvests = group->harvests,
                                   .plants = group->plants,
                                   .total_g = group->total_g,
                                   .used_l = group->used_l,
                                   .few = group->g_per_plant.n < HARVESTS_FEW,
                                   .first = any ? group->first : FIELD_NO_DATE,
                                   .last = any ? group->last : FIELD_NO_DATE};
}

static int groups_of(const struct list *groups, struct list *documents, struct arena *arena, struct fault *fault)
{
    struct group_document *document = arena_take(arena, (groups->count + 1) * sizeof *document);
    const struct harvest_group *group = groups->item;

    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < groups->count; i++)
        document[i] = group_of(&group[i]);
    *documents = (struct list){document, groups->count};
    return 0;
}

/* GET /api/v1/harvests/summary */
int harvests_summary_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct harvests_ask ask;
    struct harvest_summary summary;
    struct summary_document document;

    if (ask_of(request, &ask, fault) || garden_harvest_summary(request->service->garden, &ask, &summary, request->arena, fault) ||
        groups_of(&summary.by_tank, &document.by_tank, request->arena, fault) ||
        groups_of(&summary.by_crop, &document.by_crop, request->arena, fault) ||
        groups_of(&summary.by_season, &document.by_season, request->arena, fault))
        return -1;
    document.all = group_of(&summary.all);
    return reply_json(reply, 200, shape_write(&harvest_summary_shape, &document), fault);
}
