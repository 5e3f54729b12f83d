/* calc_compare.c - a mix as measured against what was meant, and what a difference may mean. */
#include "api/calc.h"

#include <math.h>

#include "api/chemistry.h"
#include "calc/compare.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define NUMBER(name, at, flags, least, most, text) {name, FIELD_NUMBER, flags, at, least, most, .standard = NAN, .about = text}

/* One salt as it was weighed. */
struct weighed {
    struct salt_given salt;
    double grams;
};
static const char *const cause_words[] = {"nothing", "volume", "forgotten", "twice", "ec_meter", "ph_meter", "water", "not_open_yet", NULL};

#define AT(member) offsetof(struct weighed, member)
static const struct field weighed_fields[] = {
    {"salt", FIELD_OBJECT, FIELD_REQUIRED, AT(salt), .shape = &salt_given_shape, .about = "A built-in salt, or a bag by its label."},
    NUMBER("grams", AT(grams), FIELD_REQUIRED, 0, 1e6, "As weighed, g."),
};
#undef AT
static const struct shape weighed_shape = {.name = "WeighedIn", .size = sizeof(struct weighed), .field = weighed_fields, .count = COUNT(weighed_fields)};

struct given {
    double volume_l, temperature_c, measured_ec_ms_cm, measured_ph;
    struct source_water water;
    bool water_given;
    struct list weighed;
};
#define AT(member) offsetof(struct given, member)
static const struct field given_fields[] = {
    NUMBER("volume_l", AT(volume_l), FIELD_REQUIRED, 0.1, 1e6, "Of the mix, L."),
    {"water", FIELD_OBJECT, FIELD_NULLABLE, AT(water), .shape = &water_given_shape, .given = AT(water_given), .about = "Demineralised where left out."},
    {"weighed", FIELD_LIST, FIELD_REQUIRED, AT(weighed), 1, MIXING_SALTS, .shape = &weighed_shape, .about = "What went in."},
    {"temperature_c", FIELD_NUMBER, 0, AT(temperature_c), 0, 40, .standard = 20, .about = "Of the mix, C."},
    NUMBER("measured_ec_ms_cm", AT(measured_ec_ms_cm), FIELD_NULLABLE, 0, 200, "EC at 25 C, mS/cm."),
    NUMBER("measured_ph", AT(measured_ph), FIELD_NULLABLE, 0, 14, "pH."),
};
#undef AT
static int something_measured(const void *read, struct fault *fault)
{
    const struct given *given = read;

    if (isnan(given->measured_ec_ms_cm) && isnan(given->measured_ph))
        return fault_add(fault, FAULT_INPUT, "/measured_ec_ms_cm", "measure EC or pH first");
    return 0;
}
const struct shape calc_compare_shape = {.name = "CompareQuestion", .size = sizeof(struct given), .field = given_fields, .count = COUNT(given_fields),
                                         .rule = something_measured, .about = "A mix and what the meters show."};

struct item_document {
    int cause;
    const char *salt, *text;
    double share, chance, ec_ms_cm, ph;
};
#define AT(member) offsetof(struct item_document, member)
static const struct field item_fields[] = {
    {"cause", FIELD_CHOICE, FIELD_REQUIRED, AT(cause), .words = cause_words, .about = "What would explain it."},
    {"salt", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(salt), .about = "The salt meant, where one is."},
    NUMBER("share", AT(share), FIELD_REQUIRED | FIELD_NULLABLE, 0, 0, "By how much; a factor, for a pH meter a difference."),
    NUMBER("chance", AT(chance), FIELD_REQUIRED, 0, 0, "0 to 1, all together 1."),
    NUMBER("ec_ms_cm", AT(ec_ms_cm), FIELD_REQUIRED, 0, 0, "That would then be measured, mS/cm."),
    NUMBER("ph", AT(ph), FIELD_REQUIRED, 0, 0, "That would then be measured."),
    {"text", FIELD_TEXT, FIELD_REQUIRED | FIELD_SAID, AT(text), .about = "In a sentence."},
};
#undef AT
static const struct shape item_shape = {.name = "Explanation", .size = sizeof(struct item_document), .field = item_fields, .count = COUNT(item_fields)};

struct answer {
    double predicted_ec_ms_cm, predicted_ph;
    bool within;
    struct list explanations;
};
#define AT(member) offsetof(struct answer, member)
static const struct field answer_fields[] = {
    NUMBER("predicted_ec_ms_cm", AT(predicted_ec_ms_cm), FIELD_REQUIRED, 0, 0, "mS/cm; within 3 %."),
    NUMBER("predicted_ph", AT(predicted_ph), FIELD_REQUIRED, 0, 0, "Within 0.1."),
    {"within", FIELD_BOOL, FIELD_REQUIRED, AT(within), .about = "Nothing to explain: what meters and calculation can tell."},
    {"explanations", FIELD_LIST, FIELD_REQUIRED, AT(explanations), .shape = &item_shape, .about = "The likeliest first."},
};
#undef AT
const struct shape calc_compare_answer_shape = {.name = "Compare", .size = sizeof(struct answer), .field = answer_fields, .count = COUNT(answer_fields)};

static int give_salts(const struct given *given, struct compare_request *asked, struct arena *arena, struct fault *fault)
{
    const struct weighed *weighed = given->weighed.item;
    struct salt_given *bags = arena_take(arena, given->weighed.count * sizeof *salts);
    struct recipe_salt taken[MIXING_SALTS];
    struct fault inner = {0};

    if (!bags)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < given->weighed.count; i++)
        bags[i] = weighed[i].salt;
    if (salts_from_given(&(struct list){bags, given->weighed.count}, taken, arena, &inner))
        return fault_add(fault, inner.code, "/weighed", "%s", inner.item[0].detail);
    for (size_t i = 0; i < given->weighed.count; i++)
        asked->mix.salt[asked->mix.count++] = (struct mixing_salt){.salt = taken[i].salt, .grams = weighed[i].grams};
    return 0;
}

static int tell(struct reply *reply, const struct compare *compare, const struct compare_request *asked, struct arena *arena,
                struct fault *fault)
{
    struct item_document *items = arena_take(arena, (compare->count + 1) * sizeof *items);
    struct answer answer = {compare->predicted_ec_ms_cm, compare->predicted_ph, compare->within, {NULL, 0}};

    if (!items)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < compare->count; i++) {
        const struct compare_item *item = &compare->item[i];
        bool salt = item->cause == COMPARE_FORGOTTEN || item->cause == COMPARE_TWICE;

        items[i] = (struct item_document){(int)item->cause, salt ? salt_called(asked->mix.salt[item->index].salt) : NULL, item->text,
                                          item->share,      item->chance, item->ec_ms_cm, item->ph};
    }
    answer.explanations = (struct list){items, compare->count};
    return reply_json(reply, 200, shape_write(&calc_compare_answer_shape, &answer), fault);
}

/* POST /api/v1/calc/compare */
int calc_compare_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct compare_request *asked = arena_take(request->arena, sizeof *asked);
    struct compare *compare = arena_take(request->arena, sizeof *compare);
    const struct source_water *taken;
    struct source_water water;

    if (!asked || !compare)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *asked = (struct compare_request){.measured_ec_ms_cm = given->measured_ec_ms_cm, .measured_ph = given->measured_ph};
    asked->mix.volume_l = given->volume_l;
    asked->mix.jug_temperature_c = NAN;
    if (water_from_given(&given->water, given->water_given, &water, &taken, fault) ||
        solution_from_given(given->temperature_c, taken, &(struct list){NULL, 0}, &asked->mix.water, fault) ||
        give_salts(given, asked, request->arena, fault) || compare_measured(asked, compare, fault))
        return -1;
    return tell(reply, compare, asked, request->arena, fault);
}
