/* calc_topup.c - what to add to a tank, how strong, and in grams. */
#include "api/calc.h"

#include <math.h>
#include <string.h>

#include "api/chemistry.h"
#include "api/vessels.h"
#include "calc/vessel.h"
#include "garden/mix.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct given {
    struct vessel_given vessel;
    double waterline_mm, ec_ms_cm, ph, ceiling_mm, days_left, use_l, scale_step_g, strength_percent, temperature_c;
    double target_mg_l[TARGET_WORDS];
    struct source_water water;
    bool water_given;
    struct list salts;
    int acid;
};

#define AT(member) offsetof(struct given, member)
#define NUMBER(name, flags, least, most, text) {#name, FIELD_NUMBER, flags, AT(name), least, most, .standard = NAN, .about = text}
static const struct field given_fields[] = {
    {"vessel", FIELD_ONE_OF, FIELD_REQUIRED, AT(vessel), .shape = &vessel_given_shape, .about = "Its inside measures."},
    NUMBER(waterline_mm, FIELD_REQUIRED, 0, 20000, "As it stands, mm."),
    NUMBER(ec_ms_cm, FIELD_NULLABLE, 0, 20, "As read in the tank, mS/cm at 25 C."),
    NUMBER(ph, FIELD_NULLABLE, 0, 14, "As read in the tank; what is added comes in at the same where that is 5.5 to 6.5, else at 6.0. No acid where left out."),
    {"water", FIELD_OBJECT, FIELD_NULLABLE, AT(water), .shape = &water_given_shape, .given = AT(water_given), .about = "What it is topped up with; demineralised where left out."},
    {"target_mg_l", FIELD_MAP, FIELD_NULLABLE, AT(target_mg_l), 0, 10000, .words = target_words, .about = "The solution the tank was filled with, mg/L of the element."},
    {"salts", FIELD_LIST, 0, AT(salts), 0, RECIPE_SALTS, .shape = &salt_given_shape, .about = "What is on the shelf."},
    NUMBER(ceiling_mm, FIELD_NULLABLE, 0, 20000, "The highest a top-up may reach, mm; 20 mm above the waterline where left out."),
    NUMBER(days_left, FIELD_NULLABLE, 0, 1000, "To harvest."),
    NUMBER(use_l, FIELD_NULLABLE, 0, 100000, "What the plants will still drink until harvest, L."),
    NUMBER(scale_step_g, 0, 0, 1000, "What the scale can tell apart, g; not rounded where left out."),
    {"acid", FIELD_CHOICE, 0, AT(acid), .words = reagent_words, .standard = -1, .about = "Citric acid, equal weights of acid and water, where left out."},
    NUMBER(strength_percent, 0, 0.1, 100, "Of that bottle, percent of mass."),
    {"temperature_c", FIELD_NUMBER, 0, AT(temperature_c), 0, 40, .standard = 25, .about = "Of the water, C; 25 where left out."},
};
#undef AT
#undef NUMBER

static int acid_with_its_strength(const void *read, struct fault *fault)
{
    const struct given *given = read;

    if ((given->acid < 0) != isnan(given->strength_percent))
        return fault_add(fault, FAULT_INPUT, given->acid < 0 ? "/acid" : "/strength_percent", "acid and strength_percent belong together");
    return 0;
}

const struct shape calc_topup_shape = {.name = "TopUpQuestion", .size = sizeof(struct given), .field = given_fields,
                                       .count = COUNT(given_fields), .rule = acid_with_its_strength, .about = "A tank as it stands."};

struct weigh_document {
    const char *salt;
    double grams;
};
struct answer {
    double add_l, to_mm, rise_mm, share, ec_after_ms_cm, again_days;
    double left_mg_l[ELEMENT_NUTRIENTS], left_low_mg_l[ELEMENT_NUTRIENTS], left_high_mg_l[ELEMENT_NUTRIENTS], target_mg_l[ELEMENT_NUTRIENTS];
    int strength;
    struct list grams, why, cautions;
    struct acid_document acid;
    bool acid_given;
};

static const char *const strength_words[] = {"nothing", "plain", "dilute", "full", NULL};

static const struct field weigh_fields[] = {
    {"salt", FIELD_TEXT, FIELD_REQUIRED, offsetof(struct weigh_document, salt), .about = "Its slug, or the name of the bag."},
    {"grams", FIELD_NUMBER, FIELD_REQUIRED, offsetof(struct weigh_document, grams), .standard = NAN, .about = "g for all that is added."},
};
static const struct shape weigh_shape = {.name = "TopUpSalt", .size = sizeof(struct weigh_document), .field = weigh_fields, .count = COUNT(weigh_fields)};

#define AT(member) offsetof(struct answer, member)
#define NUMBER(name, flags, text) {#name, FIELD_NUMBER, FIELD_REQUIRED | flags, AT(name), .standard = NAN, .about = text}
static const struct field answer_fields[] = {
    NUMBER(add_l, 0, "To add, L; 0: nothing."),
    NUMBER(to_mm, 0, "The waterline after it, mm."),
    {"grams", FIELD_LIST, FIELD_REQUIRED, AT(grams), .shape = &weigh_shape, .about = "To dissolve in it; empty for plain water."},
    {"acid", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(acid), .shape = &acid_shape, .given = AT(acid_given), .about = "For what is added; null where no pH was read or nothing is added."},
    NUMBER(ec_after_ms_cm, FIELD_NULLABLE, "Of the tank after it, mS/cm; null where its EC was not read."),
    {"why", FIELD_LIST, FIELD_REQUIRED, AT(why), .shape = &sentence_shape, .about = "Sentences."},
    {"cautions", FIELD_LIST, FIELD_REQUIRED, AT(cautions), .shape = &sentence_shape, .about = "To be read before."},
    {"strength", FIELD_CHOICE, FIELD_REQUIRED, AT(strength), .words = strength_words, .about = "Nothing, plain water, dilute or full solution."},
    NUMBER(share, 0, "Of the target's strength in what is added, 0 to 1."),
    NUMBER(rise_mm, 0, "How far the waterline rises, mm."),
    NUMBER(again_days, FIELD_NULLABLE, "Until the tank asks for more; null: not before harvest, or not known."),
    {"left_mg_l", FIELD_MAP, FIELD_REQUIRED, AT(left_mg_l), .words = element_words, .about = "Thought to be in the tank now, mg/L."},
    {"left_low_mg_l", FIELD_MAP, FIELD_REQUIRED, AT(left_low_mg_l), .words = element_words, .about = "At least so much, if the crop was hungry."},
    {"left_high_mg_l", FIELD_MAP, FIELD_REQUIRED, AT(left_high_mg_l), .words = element_words, .about = "At most so much, if it took little."},
    {"target_mg_l", FIELD_MAP, FIELD_REQUIRED, AT(target_mg_l), .words = element_words, .about = "Aimed at in what is added, mg/L."},
};
#undef AT
const struct shape calc_topup_answer_shape = {.name = "TopUp", .size = sizeof(struct answer), .field = answer_fields,
                                              .count = COUNT(answer_fields), .about = "What to add, under the ceiling that keeps air roots in air."};

static int tell_grams(const struct mix *mix, struct list *list, struct arena *arena, struct fault *fault)
{
    struct weigh_document *told = arena_take(arena, RECIPE_SALTS * sizeof *told);

    if (!told)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    list->item = told;
    for (size_t i = 0; mix && i < mix->recipe.count; i++)
        if (mix->recipe.weigh[i].grams > 0)
            told[list->count++] = (struct weigh_document){salt_called(mix->recipe.weigh[i].salt), mix->recipe.weigh[i].grams};
    return 0;
}

int topup_answer(struct reply *reply, const struct mix_topup *made, struct arena *arena, struct fault *fault)
{
    const struct topup *topup = &made->topup;
    struct answer answer = {
        .add_l = topup->add_l,
        .to_mm = topup->to_mm,
        .rise_mm = topup->rise_mm,
        .share = topup->share,
        .ec_after_ms_cm = made->ec_after_ms_cm,
        .again_days = topup->again_days,
        .strength = (int)topup->strength,
        .why = {(void *)made->why, made->whys},
        .cautions = {(void *)made->caution, made->cautions},
        .acid_given = made->acid_asked,
    };

    memcpy(answer.left_mg_l, topup->left_mg_l, sizeof answer.left_mg_l);
    memcpy(answer.left_low_mg_l, topup->left_low_mg_l, sizeof answer.left_low_mg_l);
    memcpy(answer.left_high_mg_l, topup->left_high_mg_l, sizeof answer.left_high_mg_l);
    memcpy(answer.target_mg_l, topup->target_mg_l, sizeof answer.target_mg_l);
    if (made->acid_asked)
        acid_document_fill(&answer.acid, &made->acid_request, &made->acid);
    if (tell_grams(made->mix, &answer.grams, arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&calc_topup_answer_shape, &answer), fault);
}

/* POST /api/v1/calc/topup */
int calc_topup_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct vessel vessel = vessel_from_given(&given->vessel);
    bool usual = given->acid < 0;
    struct mix_topup_request asked = {
        .recipe = {.count = given->salts.count, .scale_step_g = given->scale_step_g},
        .temperature_c = given->temperature_c,
        .ph = given->ph,
        .acid = usual ? MIX_USUAL_ACID : (enum reagent)given->acid,
        .strength_percent = usual ? MIX_USUAL_STRENGTH_PERCENT : given->strength_percent,
    };
    const struct mix_topup *made;
    struct source_water water;

    topup_given_init(&asked.topup);
    asked.topup.vessel = &vessel;
    asked.topup.waterline_mm = given->waterline_mm;
    asked.topup.ceiling_mm = given->ceiling_mm;
    asked.topup.ec_ms_cm = given->ec_ms_cm;
    asked.topup.days_left = given->days_left;
    asked.topup.use_l = given->use_l;
    recipe_target_clear(&asked.recipe.target);
    target_from_given(given->target_mg_l, &asked.recipe.target);
    memcpy(asked.topup.target_mg_l, asked.recipe.target.mg_l, sizeof asked.topup.target_mg_l);
    if (water_from_given(&given->water, given->water_given, &water, &asked.recipe.water, fault) ||
        salts_from_given(&given->salts, asked.recipe.salt, request->arena, fault))
        return -1;
    made = mix_topup_make(&asked, request->arena, fault);
    return made ? topup_answer(reply, made, request->arena, fault) : -1;
}
