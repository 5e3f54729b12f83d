/* succession.c - plans of sowing and planting over HTTP. */
#include <math.h>

#include "api/fills.h"
#include "calc/days.h"
#include "garden/succession.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define TOLD (FIELD_REQUIRED | FIELD_NULLABLE)

static const struct field tank_fields[] = {{NULL, FIELD_TEXT, 0, 0, 1, 64, .about = "A tank, by id or short code."}};
static const struct shape tank_shape_of_ask = {.size = sizeof(const char *), .field = tank_fields, .count = 1};

#define AT(member) offsetof(struct succession_ask, member)
static const struct field ask_fields[] = {
    {"crop", FIELD_TEXT, FIELD_REQUIRED, AT(crop), 1, 64, .about = "Id of a crop."},
    {"count", FIELD_INTEGER, FIELD_REQUIRED, AT(count), 1, 1000, .about = "Plants each time."},
    {"every_days", FIELD_INTEGER, FIELD_REQUIRED, AT(every_days), 1, 60, .about = "From one harvest to the next."},
    {"from", FIELD_DATE, FIELD_REQUIRED, AT(first), .about = "First harvest."},
    {"to", FIELD_DATE, FIELD_REQUIRED, AT(last), .about = "Last day of harvests, within a year."},
    {"tanks", FIELD_LIST, 0, AT(tanks), 0, 200, .shape = &tank_shape_of_ask, .about = "All in use where left out."},
    {"topup_days", FIELD_INTEGER, 0, AT(topup_days), 0, 60, .standard = 7, .about = "How often the tanks are topped up, by no more than air roots bear; 0: water is not counted."},
    {"seedling_days", FIELD_INTEGER, 0, AT(seedling_days), 0, 90, .standard = 18, .about = "From sowing to planting; 18 is common practice without a source."},
};
#undef AT
const struct shape succession_ask_shape = {.name = "SuccessionWish", .size = sizeof(struct succession_ask), .field = ask_fields,
                                           .count = COUNT(ask_fields)};

struct place_document {
    const char *tank, *code, *name;
    int64_t cups;
};
#define AT(member) offsetof(struct place_document, member)
static const struct field place_fields[] = {
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "The tank."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Its short code."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"cups", FIELD_INTEGER, FIELD_REQUIRED, AT(cups), .about = "Cups of it."},
};
#undef AT
static const struct shape place_shape = {.name = "SuccessionPlace", .size = sizeof(struct place_document), .field = place_fields, .count = COUNT(place_fields)};

struct planting_document {
    int32_t sow_on, plant_on, harvest_on;
    int64_t plants;
    struct list places;
};
#define AT(member) offsetof(struct planting_document, member)
static const struct field planting_fields[] = {
    {"sow_on", FIELD_DATE, FIELD_REQUIRED, AT(sow_on), .about = "Day of sowing; before today: buy seedlings."},
    {"plant_on", FIELD_DATE, FIELD_REQUIRED, AT(plant_on), .about = "Last day of planting that is as likely as not ready in time."},
    {"harvest_on", FIELD_DATE, FIELD_REQUIRED, AT(harvest_on), .about = "Day of harvest."},
    {"plants", FIELD_INTEGER, FIELD_REQUIRED, AT(plants), .about = "That have room."},
    {"places", FIELD_LIST, FIELD_REQUIRED, AT(places), .shape = &place_shape, .about = "Where they hang."},
};
#undef AT
static const struct shape planting_shape = {.name = "SuccessionPlanting", .size = sizeof(struct planting_document), .field = planting_fields,
                                            .count = COUNT(planting_fields)};

static const char *const whys[] = {"fits", "cups", "too_soon", "too_cold", "water", NULL};

struct plan_document {
    int32_t today, day, busiest_on, nearest_from;
    int why;
    int64_t wished, total, bound;
    double least_l;
    int64_t cups, most_used, nearest_count, nearest_every_days;
    struct list plantings;
    double solution_low_l, solution_high_l;
};
#define AT(member) offsetof(struct plan_document, member)
static const struct field plan_fields[] = {
    {"today", FIELD_DATE, FIELD_REQUIRED, AT(today), .about = "Today in the garden."},
    {"why", FIELD_CHOICE, FIELD_REQUIRED, AT(why), .words = whys, .about = "fits; or what stands in the way first: too few cups, planting before today, nothing ready by then; the water between top-ups."},
    {"day", FIELD_DATE, TOLD, AT(day), .about = "Where it stands in the way; null: nowhere."},
    {"wished", FIELD_INTEGER, FIELD_REQUIRED, AT(wished), .about = "Plants in all."},
    {"total", FIELD_INTEGER, FIELD_REQUIRED, AT(total), .about = "Of them in the plan: the most that can be."},
    {"bound", FIELD_INTEGER, FIELD_REQUIRED, AT(bound), .about = "No plan has more; where total is less, nobody knows whether it could be more."},
    {"least_l", FIELD_NUMBER, TOLD, AT(least_l), .standard = NAN, .about = "Above the low mark on the worst evening of any tank, L; null: water is not counted."},
    {"cups", FIELD_INTEGER, FIELD_REQUIRED, AT(cups), .about = "Of all these tanks."},
    {"most_used", FIELD_INTEGER, FIELD_REQUIRED, AT(most_used), .about = "At once, present plants counted, as far as the plan goes."},
    {"busiest_on", FIELD_DATE, TOLD, AT(busiest_on), .about = "When."},
    {"nearest_count", FIELD_INTEGER, TOLD, AT(nearest_count), .about = "Plants each time that would fit; null: it fits, or not even one."},
    {"nearest_every_days", FIELD_INTEGER, TOLD, AT(nearest_every_days), .about = "Days between harvests that would fit the count."},
    {"nearest_from", FIELD_DATE, TOLD, AT(nearest_from), .about = "First harvest from which the wish itself would fit."},
    {"plantings", FIELD_LIST, FIELD_REQUIRED, AT(plantings), .shape = &planting_shape, .about = "By day: the wish, or the most of it that can be."},
    {"solution_low_l", FIELD_NUMBER, TOLD, AT(solution_low_l), .standard = NAN, .about = "That these plants drink to their harvest by the crop's own figures, L."},
    {"solution_high_l", FIELD_NUMBER, TOLD, AT(solution_high_l), .standard = NAN, .about = "At most, L."},
};
#undef AT
const struct shape succession_shape = {.name = "Succession", .size = sizeof(struct plan_document), .field = plan_fields, .count = COUNT(plan_fields),
                                       .about = "When to sow and plant so that harvests follow one another."};

static int fill_planting(const struct succession_found *found, const struct succession_planting *planting, int64_t seedling_days,
                         struct planting_document *document, struct arena *arena, struct fault *fault)
{
    const struct succession_part *part = planting->parts.item;
    struct place_document *place = arena_take(arena, (planting->parts.count + 1) * sizeof *place);

    if (!place)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < planting->parts.count; i++) {
        const struct tank_row *tank = found->tank[part[i].tank];

        place[i] = (struct place_document){tank->id, tank->code, tank->name, part[i].cups};
    }
    *document = (struct planting_document){planting->plant_on - (int32_t)seedling_days, planting->plant_on, planting->harvest_on, planting->plants,
                                           {place, planting->parts.count}};
    return 0;
}

static int64_t or_none(int64_t number)
{
    return number > 0 ? number : INT64_MIN;
}

/* POST /api/v1/calc/succession */
int succession_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct succession_ask *ask = request->given;
    struct succession_found found;
    const struct succession *plan = &found.plan;
    struct plan_document document;
    struct planting_document *plantings;

    if (garden_succession(request->service->garden, ask, request->now_ms, &found, request->arena, fault))
        return -1;
    plantings = arena_take(request->arena, (plan->plantings.count + 1) * sizeof *plantings);
    if (!plantings)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < plan->plantings.count; i++)
        if (fill_planting(&found, (const struct succession_planting *)plan->plantings.item + i, ask->seedling_days, &plantings[i], request->arena, fault))
            return -1;
    document = (struct plan_document){.today = found.today,
                                      .why = plan->why,
                                      .day = plan->day,
                                      .wished = plan->wished,
                                      .total = plan->total,
                                      .bound = plan->bound,
                                      .least_l = isfinite(plan->least_l) ? plan->least_l : (double)NAN,
                                      .cups = plan->cups,
                                      .most_used = plan->most_used,
                                      .busiest_on = plan->busiest_on,
                                      .nearest_count = or_none(plan->fits_count),
                                      .nearest_every_days = or_none(plan->fits_every_days),
                                      .nearest_from = plan->fits_from,
                                      .plantings = {plantings, plan->plantings.count},
                                      .solution_low_l = found.solution_low_l,
                                      .solution_high_l = found.solution_high_l};
    return reply_json(reply, 200, shape_write(&succession_shape, &document), fault);
}
