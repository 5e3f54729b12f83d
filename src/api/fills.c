/* fills.c - costs, needs and the cheapest recipe over HTTP. */
#include "api/fills.h"

#include <math.h>
#include <string.h>

#include "api/lists.h"
#include "garden/cheapest.h"
#include "garden/clock.h"
#include "garden/fills.h"
#include "garden/targets.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define NUMBER(name, flags, text) {#name, FIELD_NUMBER, flags, AT(name), .standard = NAN, .about = text}
#define TOLD (FIELD_REQUIRED | FIELD_NULLABLE)

static const struct field text_fields[] = {{NULL, FIELD_TEXT, 0, 0, 1, 100, .about = "A salt."}};
static const struct shape text_shape = {.size = sizeof(const char *), .field = text_fields, .count = 1};

/* ---- fills ---- */

#define AT(member) offsetof(struct fill_record, member)
static const struct field fill_fields[] = {
    {"entry", FIELD_TEXT, FIELD_REQUIRED, AT(entry.id), .about = "The fill."},
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "The tank."},
    {"tank_name", FIELD_TEXT, FIELD_REQUIRED, AT(tank_name), .about = "Its name."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(tank_code), .about = "Its short code."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(entry.at_ms), .about = "When it was filled."},
    {"until", FIELD_INSTANT, TOLD, AT(until_ms), .about = "When it was filled anew or cleaned out; null: it stands."},
    NUMBER(filled_l, TOLD, "Put in, L."),
    {"topped_up_l", FIELD_NUMBER, TOLD, AT(topped_up_l), .standard = NAN, .about = "Added since, L; null: not all of it was measured."},
    NUMBER(cost, TOLD, "Of the salts weighed, at the prices noted now; null: see unpriced, or nothing was weighed."),
    {"unpriced", FIELD_LIST, FIELD_REQUIRED, AT(unpriced), .shape = &text_shape, .about = "Salts weighed that have no price."},
    NUMBER(n_g, TOLD, "Nitrogen weighed in, g."),
    {"harvests", FIELD_INTEGER, FIELD_REQUIRED, AT(harvests), .about = "From this fill."},
    {"plants", FIELD_INTEGER, FIELD_REQUIRED, AT(plants), .about = "Plants taken whole or cut, each time counted."},
    NUMBER(weight_g, TOLD, "Harvested, g."),
    NUMBER(cost_per_plant, TOLD, "Salts a plant taken."),
    NUMBER(cost_per_kg, TOLD, "Salts a kilogram harvested."),
    NUMBER(g_per_g_n, TOLD, "Harvested for each gram of nitrogen weighed in."),
};
#undef AT
static const struct shape fill_shape = {.name = "Fill", .size = sizeof(struct fill_record), .field = fill_fields, .count = COUNT(fill_fields),
                                        .about = "One fill with its top-ups and harvests. Water, acid, seed and work are not in its cost."};
static const struct field answer_fields[] = LIST_ANSWER_FIELDS(fill_shape, "Newest first.");
const struct shape fills_answer_shape = {.name = "Fills", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

struct fills_asked {
    struct list_ask page;
    int32_t from, to;
};
#define AT(member) offsetof(struct fills_asked, member)
static const struct field ask_fields[] = {
    {"from", FIELD_DATE, 0, AT(from), .about = "First day."},
    {"to", FIELD_DATE, 0, AT(to), .about = "Last day."},
    {"after", FIELD_TEXT, 0, AT(page.after), 1, 80, .about = "Cursor from the page before."},
    {"limit", FIELD_INTEGER, 0, AT(page.limit), 1, 500, .standard = 500, .about = "Most items to answer."},
};
#undef AT
const struct shape fills_ask_shape = {.size = sizeof(struct fills_asked), .field = ask_fields, .count = COUNT(ask_fields)};

/* GET /api/v1/fills */
int fills_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct fills_asked *asked = request->asked;
    int64_t from_ms = INT64_MIN + 1, to_ms = INT64_MAX;
    struct garden_row row;
    struct list newest;
    struct list_answer answer;
    ARENA_HELD work = {.most = 0};
    int64_t count = LIST_NEWEST(&asked->page);
    bool all, enough = false;
    int failed = 0;

    if (garden_settings(request->service->garden, &row, request->arena, fault))
        return -1;
    if (asked->from != FIELD_NO_DATE)
        from_ms = clock_day_start_ms(row.time_zone, asked->from);
    if (asked->to != FIELD_NO_DATE)
        to_ms = clock_day_start_ms(row.time_zone, asked->to + 1);
    for (; !enough; count *= 4) {
        arena_end(&work);
        if (garden_fills(request->service->garden, &(struct fills_ask){from_ms, to_ms, count}, &newest, &all, &work, fault))
            return -1;
        enough = list_page_enough(&newest, all, sizeof(struct fill_record), offsetof(struct fill_record, entry.id), &asked->page, &answer, &failed, fault);
    }
    if (failed)
        return -1;
    return reply_json(reply, 200, shape_write(&fills_answer_shape, &answer), fault);
}

/* ---- needs ---- */

#define AT(member) offsetof(struct need, member)
static const struct field need_fields[] = {
    {"salt", FIELD_TEXT, FIELD_REQUIRED, AT(salt), .about = "Its id."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "For people."},
    NUMBER(stock_g, TOLD, "At hand, g; null: not noted."),
    NUMBER(low_g, FIELD_REQUIRED, "Needed almost surely, g."),
    NUMBER(likely_g, FIELD_REQUIRED, "As likely more as less, g."),
    NUMBER(high_g, FIELD_REQUIRED, "Hardly more than this, g."),
    NUMBER(buy_g, TOLD, "Missing for high_g, g; null: the stock is not noted."),
    NUMBER(cost, TOLD, "Of that."),
    {"buy_by", FIELD_DATE, TOLD, AT(buy_by), .about = "The first day by which more than the stock may be needed; null: none, or the stock is not noted."},
};
#undef AT
static const struct shape need_shape = {.name = "Need", .size = sizeof(struct need), .field = need_fields, .count = COUNT(need_fields)};

#define AT(member) offsetof(struct needs, member)
static const struct field needs_fields[] = {
    {"from", FIELD_DATE, FIELD_REQUIRED, AT(first), .about = "Today."},
    {"to", FIELD_DATE, FIELD_REQUIRED, AT(last), .about = "Last day looked at."},
    {"tanks", FIELD_INTEGER, FIELD_REQUIRED, AT(tanks), .about = "In use, with a weighed fill to go by: each is filled as it was last."},
    {"tanks_left_out", FIELD_INTEGER, FIELD_REQUIRED, AT(unlike), .about = "In use, but never filled with weighed salts."},
    NUMBER(fills_low, FIELD_REQUIRED, "Fills almost sure to come, a top-up counted as its part of one."),
    NUMBER(fills_likely, FIELD_REQUIRED, "As likely more as fewer."),
    NUMBER(fills_high, FIELD_REQUIRED, "Hardly more."),
    {"behind", FIELD_INTEGER, FIELD_REQUIRED, AT(behind.tanks), .about = "How many are counted as they stood before; they are being worked out again."},
    {"behind_since", FIELD_DATE, TOLD, AT(behind.since), .about = "The earliest day as of which one of those is counted; null: none is behind."},
    {"items", FIELD_LIST, FIELD_REQUIRED, AT(items), .shape = &need_shape, .about = "By name."},
};
#undef AT
const struct shape needs_shape = {.name = "Needs", .size = sizeof(struct needs), .field = needs_fields, .count = COUNT(needs_fields),
                                  .about = "What the coming fills and top-ups may take from the shelf."};

struct needs_ask {
    int64_t days;
};
static const struct field needs_ask_fields[] = {
    {"days", FIELD_INTEGER, 0, offsetof(struct needs_ask, days), 1, NEEDS_DAYS_MOST, .standard = 28, .about = "How far to look."}};
const struct shape needs_ask_shape = {.size = sizeof(struct needs_ask), .field = needs_ask_fields, .count = 1};

/* GET /api/v1/needs */
int needs_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct needs_ask *ask = request->asked;
    struct needs needs;

    if (garden_needs(request->service->garden, request->now_ms, (int)ask->days, &needs, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&needs_shape, &needs), fault);
}

/* ---- the cheapest recipe ---- */

#define AT(member) offsetof(struct shelf_ask, member)
static const struct field cheapest_ask_fields[] = {
    {"volume_l", FIELD_NUMBER, FIELD_REQUIRED, AT(volume_l), 0.1, 1e6, .standard = NAN, .about = "Solution to make, L."},
    {"target", FIELD_TEXT, FIELD_REQUIRED, AT(target), 1, 64, .about = "Id of a target."},
    {"water", FIELD_TEXT, FIELD_NULLABLE, AT(water), 1, 64, .about = "Id of a water; demineralised where left out."},
    {"salts", FIELD_LIST, 0, AT(salts), 0, RECIPE_SALTS, .shape = &text_shape, .about = "Ids of priced salts; all of them where left out."},
    {"tolerance_percent", FIELD_NUMBER, 0, AT(tolerance_percent), 0.1, 100, .standard = 10, .about = "Either side of the target for N, P, K, Ca and Mg."},
    {"other_tolerance_percent", FIELD_NUMBER, 0, AT(other_tolerance_percent), 0.1, 100, .standard = 50, .about = "For the others."},
    {"scale_step_g", FIELD_NUMBER, 0, AT(scale_step_g), 0, 1000, .standard = NAN, .about = "What the scale can tell apart, g."},
};
#undef AT
const struct shape cheapest_ask_shape = {.name = "CheapestQuestion", .size = sizeof(struct shelf_ask), .field = cheapest_ask_fields,
                                         .count = COUNT(cheapest_ask_fields)};

struct weighed_document {
    const char *salt, *name;
    double grams, cost, closest_grams, closest_cost;
};
#define AT(member) offsetof(struct weighed_document, member)
static const struct field weighed_fields[] = {
    {"salt", FIELD_TEXT, FIELD_REQUIRED, AT(salt), .about = "Its id."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "For people."},
    NUMBER(grams, TOLD, "By the cheapest, g."),
    NUMBER(cost, TOLD, "Of that."),
    NUMBER(closest_grams, FIELD_REQUIRED, "By the closest recipe of the same salts, g."),
    NUMBER(closest_cost, FIELD_REQUIRED, "Of that."),
};
#undef AT
static const struct shape weighed_shape = {.name = "CheapestWeigh", .size = sizeof(struct weighed_document), .field = weighed_fields,
                                           .count = COUNT(weighed_fields)};

struct cheapest_document {
    bool feasible;
    double nearest_percent, cost, closest_cost, closest_deviation_percent, saves;
    struct list weigh;
    double delivers_mg_l[TARGET_PARTS], off_percent[TARGET_PARTS];
};
#define AT(member) offsetof(struct cheapest_document, member)
static const struct field cheapest_fields[] = {
    {"feasible", FIELD_BOOL, FIELD_REQUIRED, AT(feasible), .about = "Whether these salts reach the target within the tolerance."},
    NUMBER(nearest_percent, TOLD, "The least tolerance at which they can; null: at none."),
    NUMBER(cost, TOLD, "Of the cheapest; null where there is none."),
    NUMBER(closest_cost, FIELD_REQUIRED, "Of the closest recipe, which stays the better default."),
    NUMBER(closest_deviation_percent, FIELD_REQUIRED, "How near that one comes: root of the weighted mean square."),
    NUMBER(saves, TOLD, "Closest less cheapest."),
    {"weigh", FIELD_LIST, FIELD_REQUIRED, AT(weigh), .shape = &weighed_shape, .about = "Salt by salt."},
    {"delivers_mg_l", FIELD_MAP, FIELD_REQUIRED, AT(delivers_mg_l), .words = target_part_key, .about = "By the cheapest as rounded, water included, mg/L."},
    {"off_percent", FIELD_MAP, FIELD_REQUIRED, AT(off_percent), .words = target_part_key, .about = "Of the target."},
};
#undef AT
const struct shape cheapest_shape = {.name = "Cheapest", .size = sizeof(struct cheapest_document), .field = cheapest_fields,
                                     .count = COUNT(cheapest_fields)};

static int fill_cheapest(const struct shelf_cheapest *found, struct cheapest_document *document, struct arena *arena, struct fault *fault)
{
    const struct cheapest *cheapest = &found->cheapest;
    struct weighed_document *weigh = arena_take(arena, (found->count + 1) * sizeof *weigh);
    bool there = cheapest->feasible;

    if (!weigh)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *document = (struct cheapest_document){.feasible = there,
                                           .nearest_percent = cheapest->nearest_percent,
                                           .cost = there ? cheapest->cost : (double)NAN,
                                           .closest_cost = found->closest_cost,
                                           .closest_deviation_percent = found->closest.deviation,
                                           .saves = there ? found->closest_cost - cheapest->cost : (double)NAN,
                                           .weigh = {weigh, found->count}};
    for (size_t i = 0; i < found->count; i++)
        weigh[i] = (struct weighed_document){found->salt[i], found->name[i], there ? cheapest->grams[i] : (double)NAN,
                                             there ? cheapest->grams[i] / 1000 * found->price_per_kg[i] : (double)NAN,
                                             found->closest.weigh[i].grams, found->closest.weigh[i].grams / 1000 * found->price_per_kg[i]};
    for (size_t i = 0; i < TARGET_PARTS; i++) {
        bool element = there && i < ELEMENT_NUTRIENTS;

        document->delivers_mg_l[i] = element ? cheapest->delivers_mg_l[i] : (double)NAN;
        document->off_percent[i] = element ? cheapest->off_percent[i] : (double)NAN;
    }
    return 0;
}

/* POST /api/v1/calc/cheapest */
int cheapest_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct shelf_cheapest *found = arena_take(request->arena, sizeof *found);
    struct cheapest_document document;

    if (!found)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (shelf_cheapest(request->service->garden, request->given, found, request->arena, fault) ||
        fill_cheapest(found, &document, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&cheapest_shape, &document), fault);
}
