/* successions.c - successions that people keep, over HTTP. */
#include "api/successions.h"

#include <math.h>

#include "api/lists.h"
#include "garden/successions.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define TOLD (FIELD_REQUIRED | FIELD_NULLABLE)

static const struct field tank_field[] = {{NULL, FIELD_TEXT, 0, 0, 1, 64, .about = "A tank, by id or short code."}};
static const struct shape tank_name_shape = {.size = sizeof(const char *), .field = tank_field, .count = 1};

#define AT(member) offsetof(struct succession_row, member)
#define WISH_FIELDS \
    {"id", FIELD_TEXT, 0, AT(id), 36, 36, .about = "A UUID; made by the garden where left out."}, \
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, 100, .about = "What people call it."}, \
    {"crop", FIELD_TEXT, FIELD_REQUIRED, AT(crop), 1, 64, .about = "Id of a crop."}, \
    {"count", FIELD_INTEGER, FIELD_REQUIRED, AT(plants), 1, 1000, .about = "Plants each time."}, \
    {"every_days", FIELD_INTEGER, FIELD_REQUIRED, AT(every_days), 1, 60, .about = "From one harvest to the next."}, \
    {"from", FIELD_DATE, FIELD_REQUIRED, AT(first_day), .about = "First harvest."}, \
    {"to", FIELD_DATE, FIELD_REQUIRED, AT(last_day), .about = "Last day of harvests, within a year."}, \
    {"tanks", FIELD_LIST, 0, AT(tanks), 0, 200, .shape = &tank_name_shape, .about = "All in use where left out."}, \
    {"topup_days", FIELD_INTEGER, 0, AT(topup_days), 0, 60, .standard = 7, .about = "How often the tanks are topped up; 0: water is not counted."}, \
    {"seedling_days", FIELD_INTEGER, 0, AT(seedling_days), 0, 90, .standard = 18, .about = "From sowing to planting; 18 is common practice without a source."}, \
    {"ended", FIELD_BOOL, 0, AT(ended), .about = "Nobody follows it any more; told by a change."}, \
    {"made_at", FIELD_INSTANT, FIELD_ANSWER_ONLY, AT(made_ms), .about = "When it was kept."}, \
    {"member_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(member_name), .about = "Who kept it."}
static const struct field kept_fields[] = {WISH_FIELDS};
#undef AT
const struct shape succession_kept_shape = {.name = "SuccessionKept", .size = sizeof(struct succession_row), .field = kept_fields, .count = COUNT(kept_fields),
                                            .about = "A wish for harvests one after another, and its plan as it was made then."};
static const struct field answer_fields[] = LIST_ANSWER_FIELDS(succession_kept_shape, "By age.");
const struct shape successions_answer_shape = {.name = "Successions", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

struct season_place {
    const char *tank, *code, *name;
    int64_t cups;
};
#define AT(member) offsetof(struct season_place, member)
static const struct field place_fields[] = {
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "The tank."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Its short code."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"cups", FIELD_INTEGER, FIELD_REQUIRED, AT(cups), .about = "Cups of it."},
};
#undef AT
static const struct shape place_shape = {.name = "SeasonPlace", .size = sizeof(struct season_place), .field = place_fields, .count = COUNT(place_fields)};

static const char *const states[] = {"coming", "late", "growing", "harvested", "lost", NULL};

struct step_document {
    struct season_step step;
    int32_t sow_on, sow_now_on;
    struct list places;
};
#define AT(member) offsetof(struct step_document, member)
static const struct field step_fields[] = {
    {"sow_on", FIELD_DATE, FIELD_REQUIRED, AT(sow_on), .about = "As planned: day of sowing."},
    {"plant_on", FIELD_DATE, FIELD_REQUIRED, AT(step.planned.plant_day), .about = "As planned: day of planting."},
    {"harvest_on", FIELD_DATE, FIELD_REQUIRED, AT(step.planned.harvest_day), .about = "As planned: day of harvest."},
    {"plants", FIELD_INTEGER, FIELD_REQUIRED, AT(step.planned.plants), .about = "As planned."},
    {"state", FIELD_CHOICE, FIELD_REQUIRED, AT(step.state), .words = states, .about = "How it stands by the log."},
    {"planted", FIELD_INTEGER, FIELD_REQUIRED, AT(step.planted), .about = "Plants that the log has for it."},
    {"planted_on", FIELD_DATE, TOLD, AT(step.planted_on), .about = "The last of them."},
    {"hanging", FIELD_INTEGER, FIELD_REQUIRED, AT(step.hanging), .about = "Of them in their cups."},
    {"harvested", FIELD_INTEGER, FIELD_REQUIRED, AT(step.harvested), .about = "Of them harvested."},
    {"harvested_on", FIELD_DATE, TOLD, AT(step.harvested_on), .about = "The last of them."},
    {"lost", FIELD_INTEGER, FIELD_REQUIRED, AT(step.lost), .about = "Of them lost."},
    {"ready_on", FIELD_DATE, TOLD, AT(step.ready_on), .about = "When those that hang are as likely as not ready."},
    {"missing", FIELD_INTEGER, FIELD_REQUIRED, AT(step.missing), .about = "To be planted, yet or again."},
    {"now_sow_on", FIELD_DATE, TOLD, AT(sow_now_on), .about = "By today's log: sowing of what is missing; before today: buy seedlings."},
    {"now_plant_on", FIELD_DATE, TOLD, AT(step.plant_on), .about = "By today's log: planting of what is missing; null: nothing is, or too late."},
    {"now_harvest_on", FIELD_DATE, TOLD, AT(step.harvest_on), .about = "By today's log: harvest of what is missing."},
    {"now_plants", FIELD_INTEGER, FIELD_REQUIRED, AT(step.plants), .about = "Of what is missing, plants that find room."},
    {"places", FIELD_LIST, FIELD_REQUIRED, AT(places), .shape = &place_shape, .about = "Where those hang."},
};
#undef AT
static const struct shape step_shape = {.name = "SeasonStep", .size = sizeof(struct step_document), .field = step_fields, .count = COUNT(step_fields)};

struct season_document {
    struct succession_row row;
    int32_t today;
    struct list steps;
    int64_t wished, planted, harvested, lost, missing, placed, bound;
};
#define AT(member) offsetof(struct season_document, member)
static const struct field season_fields[] = {
    {"wish", FIELD_OBJECT, FIELD_REQUIRED, AT(row), .shape = &succession_kept_shape, .about = "As it was kept."},
    {"today", FIELD_DATE, FIELD_REQUIRED, AT(today), .about = "Today in the garden."},
    {"steps", FIELD_LIST, FIELD_REQUIRED, AT(steps), .shape = &step_shape, .about = "By day of planting."},
    {"planned", FIELD_INTEGER, FIELD_REQUIRED, AT(wished), .about = "Plants as planned."},
    {"planted", FIELD_INTEGER, FIELD_REQUIRED, AT(planted), .about = "Of them planted."},
    {"harvested", FIELD_INTEGER, FIELD_REQUIRED, AT(harvested), .about = "Of them harvested."},
    {"lost", FIELD_INTEGER, FIELD_REQUIRED, AT(lost), .about = "Of them lost."},
    {"missing", FIELD_INTEGER, FIELD_REQUIRED, AT(missing), .about = "To be planted, yet or again."},
    {"placed", FIELD_INTEGER, FIELD_REQUIRED, AT(placed), .about = "Of those, plants that find cups and water by today's log."},
    {"bound", FIELD_INTEGER, FIELD_REQUIRED, AT(bound), .about = "No plan places more of them; where placed is less, nobody knows whether it could be more."},
};
#undef AT
const struct shape season_shape = {.name = "Season", .size = sizeof(struct season_document), .field = season_fields, .count = COUNT(season_fields),
                                   .about = "A succession against the log: what was planned, what was done, what changes now."};

static int step_document_of(const struct season *season, const struct season_step *step, struct step_document *document, struct arena *arena, struct fault *fault)
{
    const struct succession_part *part = step->parts.item;
    struct season_place *place = arena_take(arena, (step->parts.count + 1) * sizeof *place);
    int32_t seedling = (int32_t)season->row.seedling_days;

    if (!place)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < step->parts.count; i++) {
        const struct tank_row *tank = season->tank[part[i].tank];

        place[i] = (struct season_place){tank->id, tank->code, tank->name, part[i].cups};
    }
    *document = (struct step_document){*step, step->planned.plant_day - seedling, step->plant_on == FIELD_NO_DATE ? FIELD_NO_DATE : step->plant_on - seedling,
                                       {place, step->parts.count}};
    return 0;
}

static int answer_season(struct request *request, struct reply *reply, unsigned status, const char *id, struct fault *fault)
{
    struct season season;
    struct season_document document;
    struct step_document *steps;
    int found = garden_season(request->service->garden, id, request->now_ms, &season, request->arena, fault);

    if (found != 1)
        return found < 0 ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such succession");
    steps = arena_take(request->arena, (season.steps.count + 1) * sizeof *steps);
    if (!steps)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < season.steps.count; i++)
        if (step_document_of(&season, (const struct season_step *)season.steps.item + i, &steps[i], request->arena, fault))
            return -1;
    document = (struct season_document){season.row,     season.today, {steps, season.steps.count}, season.wished, season.planted,
                                        season.harvested, season.lost,  season.missing,              season.placed, season.bound};
    return reply_json(reply, status, shape_write(&season_shape, &document), fault);
}

/* GET /api/v1/successions */
int successions_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list all;
    struct list_answer answer;

    if (garden_succession_rows(request->service->garden, &all, request->arena, fault) ||
        list_page(&all, sizeof(struct succession_row), offsetof(struct succession_row, id), request->asked, &answer, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&successions_answer_shape, &answer), fault);
}

/* POST /api/v1/successions: keeps a wish with its plan. */
int successions_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct succession_row row = *(const struct succession_row *)request->given;
    bool stored_before;

    if (garden_succession_keep(request->service->garden, &request->who, &row, request->now_ms, &stored_before, request->arena, fault))
        return -1;
    return answer_season(request, reply, stored_before ? 200 : 201, row.id, fault);
}

/* GET /api/v1/successions/{succession} */
int succession_get(struct request *request, struct reply *reply, struct fault *fault)
{
    return answer_season(request, reply, 200, request->part[0], fault);
}

/* PATCH /api/v1/successions/{succession}: its name, or that it ended; another wish is another succession. */
int succession_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct succession_row row, changed;
    int found = garden_succession_row(request->service->garden, request->part[0], &row, request->arena, fault);

    if (found != 1)
        return found < 0 ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such succession");
    changed = row;
    if (shape_patch(&succession_kept_shape, &changed, request->document, request->arena, fault))
        return -1;
    row.name = changed.name;
    row.ended = changed.ended;
    if (garden_succession_change(request->service->garden, &row, fault))
        return -1;
    return answer_season(request, reply, 200, row.id, fault);
}
