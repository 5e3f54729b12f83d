/* crops.c - crops over HTTP. */
#include "api/crops.h"

#include <math.h>

#include "api/lists.h"
#include "garden/clock.h"
#include "garden/crops.h"
#include "garden/nitrate.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* The ranges in the order of crop_quantities. */
struct crop_document {
    const char *id, *name, *resembles;
    struct crop_pair {
        double low, high;
    } range[CROP_RANGES];
    bool range_given[CROP_RANGES];
    const char *fitness;
    struct crop_sources {
        const char *range[CROP_RANGES], *fitness;
    } sources;
    bool sources_given;
    struct list own; /* const char * */
    bool builtin;
    struct nitrate_document {
        bool little_light, winter, cover;
        double limit_mg_kg;
        const char *source;
    } nitrate;
};

static const struct field pair_fields[] = {
    {NULL, FIELD_NUMBER, FIELD_REQUIRED, 0, .standard = NAN, .about = "Low end."},
    {NULL, FIELD_NUMBER, FIELD_REQUIRED, sizeof(double), .standard = NAN, .about = "High end; the same for a single value."},
};
static const struct shape pair_shape = {.size = sizeof(struct crop_pair), .field = pair_fields, .count = 2, .tuple = true};

#define SOURCE(name, index) {name, FIELD_TEXT, FIELD_NULLABLE, (index) * sizeof(const char *), 1, 300, .about = "Where the figure comes from."}
static const struct field source_fields[] = {
    SOURCE("ec_ms_cm", 0), SOURCE("ph", 1),        SOURCE("spacing_mm", 2), SOURCE("days_to_harvest", 3),
    SOURCE("yield_g", 4),  SOURCE("solution_l", 5), SOURCE("further_cuts", 6), SOURCE("base_c", 7),
    SOURCE("air_c", 8),    SOURCE("best_c", 9),    SOURCE("fitness", 10),
};
static const struct shape sources_shape = {.name = "CropSources", .size = sizeof(struct crop_sources), .field = source_fields,
                                           .count = COUNT(source_fields)};
_Static_assert(sizeof(struct crop_sources) == (CROP_RANGES + 1) * sizeof(const char *), "a source for each range, and the fitness");

static const struct field key_fields[] = {{NULL, FIELD_TEXT, 0, 0, .about = "A member of this document."}};
static const struct shape key_shape = {.size = sizeof(const char *), .field = key_fields, .count = 1};

#define AT(member) offsetof(struct nitrate_document, member)
static const struct field nitrate_fields[] = {
    {"little_light", FIELD_BOOL, FIELD_REQUIRED, AT(little_light), .about = "Whether there is so little light now that nitrate gathers in leaves."},
    {"winter", FIELD_BOOL, FIELD_REQUIRED, AT(winter), .about = "The half year from 1 October to 31 March; south of the equator the other one."},
    {"cover", FIELD_BOOL, FIELD_REQUIRED, AT(cover), .about = "Grown under a cover or lamps."},
    {"limit_mg_kg", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(limit_mg_kg), .standard = NAN,
     .about = "Most nitrate in what is sold now, mg NO3 a kg fresh; null: no limit for this crop."},
    {"source", FIELD_TEXT, FIELD_REQUIRED, AT(source), .about = "Of the limit."},
};
#undef AT
static const struct shape nitrate_shape = {.name = "NitrateNow", .size = sizeof(struct nitrate_document), .field = nitrate_fields,
                                           .count = COUNT(nitrate_fields), .about = "Nitrate in leaves as of today."};

#define AT(member) offsetof(struct crop_document, member)
#define RANGE(name, index, about_)                                                                                   \
    {name, FIELD_OBJECT, FIELD_NULLABLE, AT(range) + (index) * sizeof(struct crop_pair), .shape = &pair_shape, .about = about_, \
     .given = AT(range_given) + (index) * sizeof(bool)}
static const struct field crop_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 1, 64, .about = "Made by the garden where left out."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, 60, .about = "What people call it."},
    {"resembles", FIELD_TEXT, FIELD_NULLABLE, AT(resembles), 1, 40, .about = "Own crops: the built-in one whose figures stand where none are given."},
    RANGE("ec_ms_cm", 0, "EC that suits it, mS/cm at 25 C."),
    RANGE("ph", 1, "pH that suits it."),
    RANGE("spacing_mm", 2, "Between plants, mm."),
    RANGE("days_to_harvest", 3, "From transplanting to first harvest, days."),
    RANGE("yield_g", 4, "Fresh, a plant, at first harvest, g."),
    RANGE("solution_l", 5, "A plant to first harvest, L."),
    RANGE("further_cuts", 6, "After the first."),
    RANGE("base_c", 7, "Below it nothing grows, degrees C."),
    RANGE("air_c", 8, "Air that suits it, degrees C."),
    RANGE("best_c", 9, "Best air, degrees C."),
    {"fitness", FIELD_TEXT, FIELD_NULLABLE, AT(fitness), 1, 200, .about = "For a still tank."},
    {"sources", FIELD_OBJECT, FIELD_NULLABLE, AT(sources), .shape = &sources_shape, .about = "Of each figure.", .given = AT(sources_given)},
    {"own", FIELD_LIST, FIELD_ANSWER_ONLY, AT(own), .shape = &key_shape, .about = "What this garden told; the rest is built in."},
    {"builtin", FIELD_BOOL, FIELD_ANSWER_ONLY, AT(builtin), .about = "Known to the program."},
    {"nitrate", FIELD_OBJECT, FIELD_ANSWER_ONLY, AT(nitrate), .shape = &nitrate_shape, .about = "Nitrate in its leaves as of today."},
};
#undef AT
const struct shape crop_shape = {.name = "Crop", .size = sizeof(struct crop_document), .field = crop_fields, .count = COUNT(crop_fields),
                                 .about = "A crop, with what growers and papers say of it."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(crop_shape, "Built-in ones first, then by age.");
const struct shape crops_answer_shape = {.name = "Crops", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static int document_of(struct request *request, const struct garden_row *row, const struct garden_crop *crop,
                       struct crop_document *document, struct fault *fault)
{
    const char **own = arena_take(request->arena, (CROP_RANGES + 2) * sizeof *own);
    struct nitrate_now now = nitrate_now(row, clock_day(row->time_zone, request->now_ms), crop->resembles ? crop->resembles : crop->id);

    if (!own)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *document = (struct crop_document){.id = crop->id, .name = crop->name, .resembles = crop->resembles, .fitness = crop->crop.fitness,
                                       .sources_given = true, .own = {own, 0}, .builtin = crop->builtin};
    document->sources.fitness = crop->crop.fitness_source;
    document->nitrate = (struct nitrate_document){now.little_light, now.winter, now.cover, now.limit_mg_kg, NITRATE_SOURCE};
    if (crop->own_name)
        own[document->own.count++] = "name";
    if (crop->own_fitness)
        own[document->own.count++] = "fitness";
    for (size_t i = 0; i < CROP_RANGES; i++) {
        const struct crop_range *range = (const void *)((const char *)&crop->crop + crop_quantities[i].offset);

        document->range[i] = (struct crop_pair){range->low, range->high};
        document->range_given[i] = !isnan(range->low);
        document->sources.range[i] = range->source;
        if (crop->own[i])
            own[document->own.count++] = crop_quantities[i].key;
    }
    return 0;
}

/* GET /api/v1/crops */
int crops_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list all;
    struct list_answer answer;
    struct crop_document *documents;
    const struct garden_crop *crop;
    struct garden_row row;

    if (garden_settings(request->service->garden, &row, request->arena, fault) || garden_crops(request->service->garden, &all, request->arena, fault) ||
        list_page(&all, sizeof *crop, offsetof(struct garden_crop, id), request->asked, &answer, fault))
        return -1;
    crop = answer.items.item;
    documents = arena_take(request->arena, (answer.items.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < answer.items.count; i++)
        if (document_of(request, &row, &crop[i], &documents[i], fault))
            return -1;
    answer.items.item = documents;
    return reply_json(reply, 200, shape_write(&crops_answer_shape, &answer), fault);
}

static int answer_one(struct request *request, struct reply *reply, unsigned status, const struct garden_crop *crop, struct fault *fault)
{
    struct crop_document document;
    struct garden_row row;

    if (garden_settings(request->service->garden, &row, request->arena, fault) || document_of(request, &row, crop, &document, fault))
        return -1;
    return reply_json(reply, status, shape_write(&crop_shape, &document), fault);
}

/* POST /api/v1/crops: one of the garden's own. */
int crops_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct crop_document *document = request->given;
    struct crop_told told = {.id = document->id, .name = document->name, .fitness = document->fitness, .resembles = document->resembles};
    struct garden_crop made;
    bool stored_before;

    for (size_t i = 0; i < CROP_RANGES; i++)
        told.range[i] = (struct crop_range){document->range[i].low, document->range[i].high, document->sources.range[i]};
    if (garden_crop_add(request->service->garden, &told, &made, &stored_before, request->arena, fault))
        return -1;
    return answer_one(request, reply, stored_before ? 200 : 201, &made, fault);
}

static int find(struct request *request, struct crop_document *document, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct garden_crop crop;
    struct garden_row row;
    int found = db ? garden_crop_one(db, request->part[0], &crop, request->arena, fault) : -1;

    store_done(store, db);
    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such crop");
    return garden_settings(request->service->garden, &row, request->arena, fault) || document_of(request, &row, &crop, document, fault) ? -1 : 0;
}

/* PATCH /api/v1/crops/{crop}: a figure named is the garden's own from then on; null gives it back. */
int crop_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    const json_t *sources = json_object_get(request->document, "sources");
    struct crop_document document;
    struct crop_told told = crop_told_nothing();
    bool back[CROP_RANGES];
    struct garden_crop changed;

    if (find(request, &document, fault) || shape_patch(&crop_shape, &document, request->document, request->arena, fault))
        return -1;
    told.id = request->part[0];
    told.name = patch_names(request, "name") ? document.name : NULL;
    told.fitness = patch_names(request, "fitness") ? document.fitness : NULL;
    told.resembles = patch_names(request, "resembles") ? document.resembles : NULL;
    for (size_t i = 0; i < CROP_RANGES; i++) {
        const char *key = crop_quantities[i].key;
        const char *source = json_object_get(sources, key) ? document.sources.range[i] : NULL;

        back[i] = patch_names(request, key) && !document.range_given[i];
        if (patch_names(request, key) && document.range_given[i])
            told.range[i] = (struct crop_range){document.range[i].low, document.range[i].high, source};
    }
    if (garden_crop_change(request->service->garden, &told, back, &changed, request->arena, fault))
        return -1;
    return answer_one(request, reply, 200, &changed, fault);
}
