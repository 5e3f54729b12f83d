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
    {"grown_days", FIELD_INTEGER, FIELD_REQUIRED | FIELD_NULLABLE, AT(grown_days), .about = "Since planting, or since the cut before."},
    {"lid_m2", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(lid_m2), .standard = NAN,
     .about = "The part of the lid that the cups taken make of all its cups, m2; null: plants or lid not known."},
    {"kwh", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(kwh), .standard = NAN,
     .about = "Of the lamps over that part for grown_days; null: no lamps, or power or hours not told."},
    {"g_per_g_n", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(g_per_g_n), .standard = NAN,
     .about = "With the last harvest of a finished fill of one crop: all it gave for each g of nitrogen weighed into it."},
    {"g_per_litre", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(g_per_litre), .standard = NAN,
     .about = "With the same harvest: all the fill gave for each litre drunk of it."},
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
    struct list newest;
    struct list_answer answer;
    struct harvest_document *documents;
    const struct harvest *harvest;
    ARENA_HELD work = {.most = 0};
    bool all, enough;
    int failed = ask_of(request, &ask, fault);

    if (failed)
        return -1;
    for (ask.newest = LIST_NEWEST(&asked->page), enough = false; !enough; ask.newest *= 4) {
        arena_end(&work);
        if (garden_harvests(request->service->garden, &ask, &newest, &all, &work, fault))
            return -1;
        enough = list_page_enough(&newest, all, sizeof *harvest, offsetof(struct harvest, entry.id), &asked->page, &answer, &failed, fault);
    }
    if (failed)
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
    double mean, median, low, high, sd;
};

struct group_document {
    const char *id, *name;
    struct spread_document measure[HARVEST_MEASURES]; /* grams a plant in place, the others as objects */
    bool given[HARVEST_MEASURES];
    int64_t harvests, plants;
    double total_g, used_l, usual_low_g, usual_high_g;
    const char *usual_source;
    bool few;
    int32_t first, last;
};

#define NUMBER(name, at, text) {name, FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, at, .standard = NAN, .about = text}
#define NUMBERS(at)                                                                                                   \
    {"n", FIELD_INTEGER, FIELD_REQUIRED, (at) + offsetof(struct spread_document, n), .about = "Values it rests on."}, \
        NUMBER("mean", (at) + offsetof(struct spread_document, mean), "Their mean."),                                 \
        NUMBER("median", (at) + offsetof(struct spread_document, median), "The middle one, or the mean of the middle two."), \
        NUMBER("low", (at) + offsetof(struct spread_document, low), "The lowest."),                                   \
        NUMBER("high", (at) + offsetof(struct spread_document, high), "The highest."),                                \
        NUMBER("sd", (at) + offsetof(struct spread_document, sd), "Standard deviation of the sample; null for fewer than two.")
static const struct field numbers_fields[] = {NUMBERS(0)};
static const struct shape numbers_shape = {.name = "SpreadOfValues", .size = sizeof(struct spread_document), .field = numbers_fields,
                                           .count = COUNT(numbers_fields)};

#define AT(member) offsetof(struct group_document, member)
#define MEASURE(name, which, text)                                                                                              \
    {name, FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(measure) + (which) * sizeof(struct spread_document), .shape = &numbers_shape, \
     .given = AT(given) + (which) * sizeof(bool), .about = text}
static const struct field group_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "Of the tank, the crop, the season or the member."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "For people."},
    NUMBERS(AT(measure)), /* of MEASURE_PLANT: grams a plant, one value a weighed harvest */
    {"few", FIELD_BOOL, FIELD_REQUIRED, AT(few), .about = "Too few to compare by."},
    {"harvests", FIELD_INTEGER, FIELD_REQUIRED, AT(harvests), .about = "Weighed or not."},
    {"plants", FIELD_INTEGER, FIELD_REQUIRED, AT(plants), .about = "Plants taken from, where known."},
    {"total_g", FIELD_NUMBER, FIELD_REQUIRED, AT(total_g), .about = "All that was weighed, g."},
    NUMBER("litres_used", AT(used_l), "By those whose water is known, L; null: known of none."),
    MEASURE("g_per_harvest", MEASURE_HARVEST, "Grams a harvest."),
    MEASURE("g_per_litre", MEASURE_LITRE, "Grams a litre drunk, one value a finished fill; null: not known of any."),
    MEASURE("g_per_m2", MEASURE_M2, "Grams a square metre of lid; null: not known of any."),
    MEASURE("g_per_day", MEASURE_DAY, "Grams a plant and day it grew; null: not known of any."),
    MEASURE("g_per_g_n", MEASURE_G_N, "Grams a gram of nitrogen weighed in, one value a finished fill; null: not known of any."),
    MEASURE("g_per_kwh", MEASURE_KWH, "Grams a kWh of lamp; null: no lamps, or not known of any."),
    MEASURE("days", MEASURE_DAYS, "Days from planting."),
    NUMBER("usual_low_g", AT(usual_low_g), "Crops: what the library says of a plant at first harvest, g; null: nothing."),
    NUMBER("usual_high_g", AT(usual_high_g), "Its high end."),
    {"usual_source", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(usual_source), .about = "Who says so."},
    {"first", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(first), .about = "First day; of a season, its own."},
    {"last", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(last), .about = "Last day."},
};
#undef AT
static const struct shape group_shape = {.name = "HarvestGroup", .size = sizeof(struct group_document), .field = group_fields,
                                         .count = COUNT(group_fields),
                                         .about = "Harvests put together; n, mean, median, low, high and sd are grams a plant."};

static const char *const measures[] = {
    [MEASURE_PLANT] = "g_per_plant", [MEASURE_HARVEST] = "g_per_harvest", [MEASURE_LITRE] = "g_per_litre", [MEASURE_M2] = "g_per_m2",
    [MEASURE_DAY] = "g_per_day",     [MEASURE_G_N] = "g_per_g_n",         [MEASURE_KWH] = "g_per_kwh",     [MEASURE_DAYS] = "days", NULL};

struct published_document {
    const char *id, *what, *source;
    int measure;
    double low, high;
};
#define AT(member) offsetof(struct published_document, member)
static const struct field published_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "A name of its own."},
    {"measure", FIELD_CHOICE, FIELD_REQUIRED, AT(measure), .words = measures, .about = "What it can be held against."},
    {"what", FIELD_TEXT, FIELD_REQUIRED, AT(what), .about = "Of what."},
    {"low", FIELD_NUMBER, FIELD_REQUIRED, AT(low), .about = "Low end."},
    {"high", FIELD_NUMBER, FIELD_REQUIRED, AT(high), .about = "High end."},
    {"source", FIELD_TEXT, FIELD_REQUIRED, AT(source), .about = "Who says so, and how far to trust it."},
};
#undef AT
static const struct shape published_shape = {.name = "PublishedYield", .size = sizeof(struct published_document),
                                             .field = published_fields, .count = COUNT(published_fields)};

struct summary_document {
    struct list by_tank, by_crop, by_season, by_member; /* struct group_document */
    struct list published;
    const char *season_now, *season_before, *season_year_before;
    struct group_document all;
};
#define AT(member) offsetof(struct summary_document, member)
static const struct field summary_fields[] = {
    {"all", FIELD_OBJECT, FIELD_REQUIRED, AT(all), .shape = &group_shape, .about = "Everything asked for."},
    {"by_tank", FIELD_LIST, FIELD_REQUIRED, AT(by_tank), .shape = &group_shape, .about = "By name, never by yield."},
    {"by_crop", FIELD_LIST, FIELD_REQUIRED, AT(by_crop), .shape = &group_shape, .about = "By name."},
    {"by_season", FIELD_LIST, FIELD_REQUIRED, AT(by_season), .shape = &group_shape, .about = "Oldest first."},
    {"by_member", FIELD_LIST, FIELD_REQUIRED, AT(by_member), .shape = &group_shape, .about = "By name; empty unless the garden wants it."},
    {"published", FIELD_LIST, FIELD_REQUIRED, AT(published), .shape = &published_shape, .about = "What others got."},
    {"season_now", FIELD_TEXT, FIELD_REQUIRED, AT(season_now), .about = "Today's."},
    {"season_before", FIELD_TEXT, FIELD_REQUIRED, AT(season_before), .about = "The one before it."},
    {"season_year_before", FIELD_TEXT, FIELD_REQUIRED, AT(season_year_before), .about = "The same one of the year before."},
};
#undef AT
const struct shape harvest_summary_shape = {.name = "HarvestSummary", .size = sizeof(struct summary_document), .field = summary_fields,
                                            .count = COUNT(summary_fields)};

static struct group_document group_of(const struct harvest_group *group)
{
    bool any = group->harvests > 0;
    struct group_document document = {.id = group->id,
                                      .name = group->name,
                                      .harvests = group->harvests,
                                      .plants = group->plants,
                                      .total_g = group->total_g,
                                      .used_l = group->used_l,
                                      .usual_low_g = group->usual_g ? group->usual_g->low : (double)NAN,
                                      .usual_high_g = group->usual_g ? group->usual_g->high : (double)NAN,
                                      .usual_source = group->usual_g ? group->usual_g->source : NULL,
                                      .few = group->measure[MEASURE_PLANT].spread.n < HARVESTS_FEW,
                                      .first = any ? group->first : FIELD_NO_DATE,
                                      .last = any ? group->last : FIELD_NO_DATE};

    for (size_t i = 0; i < HARVEST_MEASURES; i++) {
        const struct sample *sample = &group->measure[i];
        const struct spread *spread = &sample->spread;

        document.measure[i] =
            (struct spread_document){(int64_t)spread->n, spread->mean, sample->median, spread->low, spread->high, spread->sd};
        document.given[i] = spread->n > 0;
    }
    return document;
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

static int tell_published(struct list *documents, struct arena *arena, struct fault *fault)
{
    struct published_document *document = arena_take(arena, harvests_published_count * sizeof *document);

    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < harvests_published_count; i++) {
        const struct harvest_published *one = &harvests_published[i];

        document[i] = (struct published_document){one->id, one->what, one->source, (int)one->measure, one->low, one->high};
    }
    *documents = (struct list){document, harvests_published_count};
    return 0;
}

/* GET /api/v1/harvests/summary */
int harvests_summary_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct harvests_ask ask;
    struct harvest_summary summary;
    struct summary_document document;

    if (ask_of(request, &ask, fault) || garden_harvest_summary(request->service->garden, &ask, request->now_ms, &summary, request->arena, fault) ||
        groups_of(&summary.by_tank, &document.by_tank, request->arena, fault) ||
        groups_of(&summary.by_crop, &document.by_crop, request->arena, fault) ||
        groups_of(&summary.by_season, &document.by_season, request->arena, fault) ||
        groups_of(&summary.by_member, &document.by_member, request->arena, fault) ||
        tell_published(&document.published, request->arena, fault))
        return -1;
    document.season_now = summary.now.id;
    document.season_before = summary.before.id;
    document.season_year_before = summary.year_before.id;
    document.all = group_of(&summary.all);
    return reply_json(reply, 200, shape_write(&harvest_summary_shape, &document), fault);
}
