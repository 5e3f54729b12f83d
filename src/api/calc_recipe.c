/* calc_recipe.c - grams for a target, what they come to, and in which order to dissolve them. */
#include "api/calc_recipe.h"

#include <math.h>
#include <string.h>

#include "api/calc.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- the question, of recipe and stocks ---- */

#define AT(member) offsetof(struct recipe_question, member)
#define NUMBER(name, flags, least, most, text) {#name, FIELD_NUMBER, flags, AT(name), least, most, .standard = NAN, .about = text}
static const struct field given_fields[] = {
    NUMBER(volume_l, FIELD_REQUIRED, 0.1, 1e6, "Solution to make, L."),
    {"water", FIELD_OBJECT, FIELD_NULLABLE, AT(water), .shape = &water_given_shape, .given = AT(water_given), .about = "What it is made with; demineralised where left out."},
    {"target_mg_l", FIELD_MAP, FIELD_REQUIRED, AT(target_mg_l), 0, 10000, .words = target_words, .about = "Aimed at, mg/L of the element; n_nh4_max is the most nitrogen as ammonium. What is left out is not aimed at."},
    {"weights", FIELD_MAP, 0, AT(weights), 0, 1000, .words = element_words, .about = "How much a deviation counts; 1 for N, P, K, Ca, Mg and 0.1 for the rest where left out."},
    {"salts", FIELD_LIST, FIELD_REQUIRED, AT(salts), 1, RECIPE_SALTS, .shape = &salt_given_shape, .about = "What is on the shelf."},
    NUMBER(scale_step_g, 0, 0, 1000, "What the scale can tell apart, g; not rounded where left out."),
    NUMBER(ph, FIELD_NULLABLE, 3, 10, "The wished pH; no acid where left out."),
    {"acid", FIELD_CHOICE, 0, AT(acid), .words = reagent_words, .standard = -1, .about = "What brings it there; citric acid, equal weights of acid and water, where left out."},
    NUMBER(strength_percent, 0, 0.1, 100, "Of that bottle, percent of mass."),
    {"temperature_c", FIELD_NUMBER, 0, AT(temperature_c), 0, 40, .standard = 25, .about = "Of the water, C; 25 where left out."},
    /* only of stocks */
    {"stocks", FIELD_INTEGER, FIELD_NULLABLE, AT(stocks), 2, CONCENTRATE_STOCKS, .standard = 0, .about = "How many; chosen where left out."},
};
#undef AT
#undef NUMBER

static int acid_with_its_strength(const void *read, struct fault *fault)
{
    const struct recipe_question *given = read;

    if ((given->acid < 0) != isnan(given->strength_percent))
        return fault_add(fault, FAULT_INPUT, given->acid < 0 ? "/acid" : "/strength_percent", "acid and strength_percent belong together");
    return 0;
}

const struct shape calc_recipe_shape = {.name = "RecipeQuestion", .size = sizeof(struct recipe_question), .field = given_fields,
                                        .count = COUNT(given_fields) - 1, .rule = acid_with_its_strength,
                                        .about = "A target, a water, what is on the shelf."};
const struct shape calc_concentrate_shape = {.name = "StocksQuestion", .size = sizeof(struct recipe_question), .field = given_fields,
                                             .count = COUNT(given_fields), .rule = acid_with_its_strength,
                                             .about = "The same as for a recipe."};

int recipe_request_of(const struct recipe_question *given, struct source_water *water, struct mix_request *asked, struct arena *arena,
                      struct fault *fault)
{
    bool usual = given->acid < 0;

    *asked = (struct mix_request){
        .recipe = {.volume_l = given->volume_l, .count = given->salts.count, .scale_step_g = given->scale_step_g},
        .temperature_c = given->temperature_c,
        .ph = given->ph,
        .acid = usual ? MIX_USUAL_ACID : (enum reagent)given->acid,
        .strength_percent = usual ? MIX_USUAL_STRENGTH_PERCENT : given->strength_percent,
    };
    recipe_target_clear(&asked->recipe.target);
    target_from_given(given->target_mg_l, &asked->recipe.target);
    memcpy(asked->recipe.target.weight, given->weights, sizeof given->weights);
    if (water_from_given(&given->water, given->water_given, water, &asked->recipe.water, fault))
        return -1;
    return salts_from_given(&given->salts, asked->recipe.salt, arena, fault);
}

/* ---- the recipe ---- */

struct weigh_document {
    const char *salt;
    double grams, grams_exact;
    bool at_limit;
};
struct short_document {
    const char *element, *why, *reason, *salt, *other, *mend;
    double off_percent, mend_off_percent;
};
struct step_document {
    const char *text, *salt, *verdict;
    double grams, saturation[MINERAL_COUNT], jug_l, least_jug_l, jug_ph, jug_ec_ms_cm, tank_ph, tank_ec_ms_cm;
};
static const char *const reason_words[] = {"no_salt", "at_limit", "brings", "ammonium", "scale", "weight", "water", "comes_with", NULL};
static const char *const all_minerals[] = {"gypsum", "calcite", "brushite", "hydroxyapatite", "struvite", "monetite",
                                           "octacalcium-phosphate", "newberyite", "arcanite", "niter", NULL};
_Static_assert(COUNT(reason_words) == RECIPE_WHYS + 1 && COUNT(all_minerals) == MINERAL_COUNT + 1, "a word each");

#define NUMBER(name, flags, text) {#name, FIELD_NUMBER, flags, AT(name), .standard = NAN, .about = text}
#define TEXT(name, flags, text) {#name, FIELD_TEXT, flags, AT(name), .about = text}

#define AT(member) offsetof(struct weigh_document, member)
static const struct field weigh_fields[] = {
    TEXT(salt, FIELD_REQUIRED, "Its slug, or the name of the bag."),
    NUMBER(grams, FIELD_REQUIRED, "To weigh in for the whole volume, g."),
    NUMBER(grams_exact, FIELD_REQUIRED, "Before rounding to the scale, g."),
    {"at_limit", FIELD_BOOL, FIELD_REQUIRED, AT(at_limit), .about = "More would help, but max_g stops it."},
};
#undef AT
static const struct shape weigh_shape = {.name = "Weigh", .size = sizeof(struct weigh_document), .field = weigh_fields, .count = COUNT(weigh_fields)};

#define AT(member) offsetof(struct short_document, member)
static const struct field short_fields[] = {
    TEXT(element, FIELD_REQUIRED, "Which element is off by more than 5 %."),
    TEXT(why, FIELD_REQUIRED | FIELD_SAID, "One sentence."),
    TEXT(reason, FIELD_REQUIRED, "no_salt, at_limit, brings, ammonium, scale, weight, water or comes_with."),
    NUMBER(off_percent, FIELD_REQUIRED, "Below 0: short; above: over."),
    TEXT(salt, FIELD_NULLABLE, "The salt that is meant."),
    TEXT(other, FIELD_NULLABLE, "The element that stands in the way."),
    TEXT(mend, FIELD_NULLABLE, "The built-in salt that would bring it nearest."),
    NUMBER(mend_off_percent, FIELD_NULLABLE, "How far off it then is."),
};
#undef AT
static const struct shape short_shape = {.name = "OffTarget", .size = sizeof(struct short_document), .field = short_fields, .count = COUNT(short_fields)};

#define AT(member) offsetof(struct step_document, member)
static const struct field step_fields[] = {
    {"do", FIELD_TEXT, FIELD_REQUIRED | FIELD_SAID, AT(text), .about = "What to do, one sentence."},
    TEXT(salt, FIELD_REQUIRED, "Its slug, or the name of the bag."),
    NUMBER(grams, FIELD_REQUIRED, "g."),
    {"saturation", FIELD_MAP, FIELD_REQUIRED, AT(saturation), .words = all_minerals, .about = "The mineral that comes nearest to falling out in jug, tank and between; 0 is the edge."},
    TEXT(verdict, FIELD_REQUIRED, "clear, may slowly cloud, or will fall out."),
    NUMBER(jug_l, FIELD_REQUIRED, "Water to dissolve it in first, L."),
    NUMBER(least_jug_l, FIELD_NULLABLE, "Least that dissolves it, L; null: not known."),
    NUMBER(jug_ph, FIELD_NULLABLE, "Of the jug; null: too strong to compute."),
    NUMBER(jug_ec_ms_cm, FIELD_NULLABLE, "Of the jug, mS/cm."),
    NUMBER(tank_ph, FIELD_NULLABLE, "Of the tank after it."),
    NUMBER(tank_ec_ms_cm, FIELD_NULLABLE, "Of the tank after it, mS/cm."),
};
#undef AT
static const struct shape step_shape = {.name = "MixingStep", .size = sizeof(struct step_document), .field = step_fields, .count = COUNT(step_fields)};

#define AT(member) offsetof(struct recipe_document, member)
static const struct field recipe_fields[] = {
    {"weigh", FIELD_LIST, FIELD_REQUIRED, AT(weigh), .shape = &weigh_shape, .about = "Every salt on the shelf, in its order."},
    {"delivers_mg_l", FIELD_MAP, FIELD_REQUIRED, AT(delivers_mg_l), .words = element_words, .about = "By the rounded grams, with what acid and water bring, mg/L."},
    {"off_percent", FIELD_MAP, FIELD_REQUIRED, AT(off_percent), .words = element_words, .about = "Of the target, where there is one."},
    {"short", FIELD_LIST, FIELD_REQUIRED, AT(shorts), .shape = &short_shape, .about = "What is off by more than 5 %, furthest first."},
    {"solution", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(solution), .shape = &solution_shape, .given = AT(solution_given), .about = "The finished solution, acid included; null where a label leaves out a main ingredient, see cautions."},
    {"acid", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(acid), .shape = &acid_shape, .given = AT(acid_given), .about = "Dosed last; null where no pH was wished. What it brings is taken off the salts."},
    {"steps", FIELD_LIST, FIELD_REQUIRED, AT(steps), .shape = &step_shape, .about = "In which order to dissolve."},
    {"cautions", FIELD_LIST, FIELD_REQUIRED, AT(cautions), .shape = &sentence_shape, .about = "To be read before."},
    NUMBER(n_no3_mg_l, FIELD_REQUIRED, "Of the nitrogen, as nitrate, mg/L."),
    NUMBER(n_nh4_mg_l, FIELD_REQUIRED, "As ammonium, mg/L."),
    NUMBER(deviation_percent, FIELD_REQUIRED, "Root of the weighted mean square of off_percent."),
    NUMBER(salts_g_l, FIELD_REQUIRED, "All that is weighed in, g/L."),
    TEXT(mend, FIELD_NULLABLE, "The one built-in salt that would bring the whole recipe nearest."),
    NUMBER(mend_grams, FIELD_NULLABLE, "Of it, g."),
    NUMBER(mend_deviation_percent, FIELD_NULLABLE, "The deviation then."),
    TEXT(order_why, FIELD_NULLABLE | FIELD_SAID, "Why this order."),
};
#undef AT
const struct shape calc_recipe_answer_shape = {.name = "Recipe", .size = sizeof(struct recipe_document), .field = recipe_fields,
                                               .count = COUNT(recipe_fields), .about = "Grams on a scale, and what they come to."};

static const char *called_or_none(const struct salt *salt)
{
    return salt ? salt_called(salt) : NULL;
}

static int tell_weigh(const struct recipe *recipe, struct recipe_document *document, struct arena *arena)
{
    struct weigh_document *weigh = arena_list(arena, &document->weigh, recipe->count, sizeof *weigh);

    for (size_t i = 0; weigh && i < recipe->count; i++)
        weigh[i] = (struct weigh_document){salt_called(recipe->weigh[i].salt), recipe->weigh[i].grams, recipe->weigh[i].grams_exact,
                                           recipe->weigh[i].at_limit};
    return weigh ? 0 : -1;
}

static int tell_shorts(const struct recipe *recipe, struct recipe_document *document, struct arena *arena)
{
    struct short_document *told = arena_list(arena, &document->shorts, recipe->short_count, sizeof *told);
    char text[320];

    for (size_t i = 0; told && i < recipe->short_count; i++) {
        const struct recipe_short *off = &recipe->shorts[i];

        told[i] = (struct short_document){
            .element = element_words[off->element],
            .why = arena_text(arena, recipe_short_text(off, text, sizeof text)),
            .reason = recipe_why_key[off->why],
            .salt = called_or_none(off->salt),
            .other = off->other >= 0 ? element_words[off->other] : NULL,
            .mend = called_or_none(off->mend),
            .off_percent = off->off_percent,
            .mend_off_percent = off->mend ? off->mend_off_percent : (double)NAN,
        };
        if (!told[i].why)
            return -1;
    }
    return told ? 0 : -1;
}

static int tell_steps(const struct mix *mix, struct recipe_document *document, struct arena *arena)
{
    size_t count = mix->steps_known ? mix->mixing.count : 0;
    struct step_document *told = arena_list(arena, &document->steps, count, sizeof *told);

    for (size_t i = 0; told && i < count; i++) {
        const struct mixing_step *step = &mix->mixing.step[i];

        told[i] = (struct step_document){
            .text = step->text,
            .salt = salt_called(mix->recipe.weigh[mix->step_of[step->index]].salt),
            .verdict = precipitate_verdict_text[step->verdict],
            .grams = step->grams,
            .jug_l = step->jug_l,
            .least_jug_l = step->least_jug_l > 0 ? step->least_jug_l : (double)NAN,
            .jug_ph = step->jug_ph,
            .jug_ec_ms_cm = step->jug_ec_ms_cm,
            .tank_ph = step->tank_ph,
            .tank_ec_ms_cm = step->tank_ec_ms_cm,
        };
        for (size_t m = 0; m < MINERAL_COUNT; m++)
            told[i].saturation[m] = NAN;
        if (step->worst_saturation > SATURATION_ABSENT)
            told[i].saturation[step->worst] = step->worst_saturation;
    }
    return told ? 0 : -1;
}

int recipe_document_fill(struct recipe_document *document, const struct mix *mix, struct arena *arena, struct fault *fault)
{
    const struct recipe *recipe = &mix->recipe;

    *document = (struct recipe_document){
        .cautions = {(void *)mix->caution, mix->cautions},
        .n_no3_mg_l = recipe->n_no3_mg_l,
        .n_nh4_mg_l = recipe->n_nh4_mg_l,
        .deviation_percent = recipe->deviation,
        .salts_g_l = recipe->salts_g_l,
        .mend = called_or_none(recipe->mend),
        .mend_grams = recipe->mend ? recipe->mend_grams : (double)NAN,
        .mend_deviation_percent = recipe->mend ? recipe->mend_deviation : (double)NAN,
        .order_why = mix->steps_known ? mix->mixing.why : NULL,
        .solution_given = !mix->no_chemistry,
        .acid_given = !mix->no_chemistry && mix->acid_asked,
    };
    memcpy(document->delivers_mg_l, recipe->delivers_mg_l, sizeof document->delivers_mg_l);
    memcpy(document->off_percent, recipe->off_percent, sizeof document->off_percent);
    if (document->solution_given)
        solution_document_fill(&document->solution, &mix->solution);
    if (document->acid_given)
        acid_document_fill(&document->acid, &mix->acid_request, &mix->acid);
    if (tell_weigh(recipe, document, arena) || tell_shorts(recipe, document, arena) || tell_steps(mix, document, arena))
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return 0;
}

/* POST /api/v1/calc/recipe */
int calc_recipe_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct recipe_document *document = arena_take(request->arena, sizeof *document);
    struct source_water water;
    struct mix_request asked;
    const struct mix *mix;

    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (recipe_request_of(request->given, &water, &asked, request->arena, fault))
        return -1;
    mix = mix_make(&asked, request->arena, fault);
    if (!mix || recipe_document_fill(document, mix, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&calc_recipe_answer_shape, document), fault);
}
