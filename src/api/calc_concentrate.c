/* calc_concentrate.c - a recipe as two or more stock solutions. */
#include <math.h>

#include "api/calc.h"
#include "api/calc_recipe.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define NUMBER(name, flags, text) {#name, FIELD_NUMBER, flags, AT(name), .standard = NAN, .about = text}
#define TEXT(name, flags, text) {#name, FIELD_TEXT, flags, AT(name), .about = text}

struct share_document {
    const char *salt;
    double g_l;
};
struct stock_document {
    const char *name, *limited_by;
    struct list salts, label;
    double ph, ec_ms_cm, saturation, factor_alone, dose_ml_l;
};
struct stocks_document {
    double factor, factor_exact, dose_ml_l, all_in_one_factor;
    struct list stocks, cautions;
    const char *why;
    struct recipe_document recipe;
};

#define AT(member) offsetof(struct share_document, member)
static const struct field share_fields[] = {
    TEXT(salt, FIELD_REQUIRED, "Its slug, or the name of the bag."),
    NUMBER(g_l, FIELD_REQUIRED, "g in a litre of stock."),
};
#undef AT
static const struct shape share_shape = {.name = "StockSalt", .size = sizeof(struct share_document), .field = share_fields, .count = COUNT(share_fields)};

#define AT(member) offsetof(struct stock_document, member)
static const struct field stock_fields[] = {
    TEXT(name, FIELD_REQUIRED, "A holds most of the calcium."),
    {"salts", FIELD_LIST, FIELD_REQUIRED, AT(salts), .shape = &share_shape, .about = "What goes into it."},
    NUMBER(dose_ml_l, FIELD_REQUIRED, "Of it in a litre of finished solution, mL."),
    NUMBER(ph, FIELD_NULLABLE, "Of the stock."),
    NUMBER(ec_ms_cm, FIELD_NULLABLE, "Of the stock, mS/cm."),
    TEXT(limited_by, FIELD_NULLABLE, "The mineral or salt that keeps it from being stronger; null: nothing."),
    NUMBER(saturation, FIELD_NULLABLE, "Highest index of a mineral in it; null: none can form."),
    NUMBER(factor_alone, FIELD_REQUIRED, "How far it could go by itself."),
    {"label", FIELD_LIST, FIELD_REQUIRED, AT(label), .shape = &sentence_shape, .about = "To stick on the bottle, line by line."},
};
#undef AT
static const struct shape stock_shape = {.name = "Stock", .size = sizeof(struct stock_document), .field = stock_fields, .count = COUNT(stock_fields)};

#define AT(member) offsetof(struct stocks_document, member)
static const struct field stocks_fields[] = {
    NUMBER(factor, FIELD_REQUIRED, "How many times stronger than the finished solution; one for all stocks."),
    NUMBER(factor_exact, FIELD_REQUIRED, "Before rounding down."),
    NUMBER(dose_ml_l, FIELD_REQUIRED, "Of each stock in a litre of finished solution, mL."),
    {"stocks", FIELD_LIST, FIELD_REQUIRED, AT(stocks), .shape = &stock_shape, .about = "The bottles."},
    TEXT(why, FIELD_REQUIRED | FIELD_SAID, "Why this split."),
    {"cautions", FIELD_LIST, FIELD_REQUIRED, AT(cautions), .shape = &sentence_shape, .about = "To be read before."},
    NUMBER(all_in_one_factor, FIELD_REQUIRED, "How far one bottle with everything could go."),
    {"recipe", FIELD_OBJECT, FIELD_REQUIRED, AT(recipe), .shape = &calc_recipe_answer_shape, .about = "What the stocks were made from."},
};
#undef AT
const struct shape calc_concentrate_answer_shape = {.name = "Stocks", .size = sizeof(struct stocks_document), .field = stocks_fields,
                                                    .count = COUNT(stocks_fields), .about = "A recipe as stock solutions."};

static const char *limit_called(const struct mix_stocks *made, const struct concentrate_stock *stock)
{
    switch (stock->limit) {
    case CONCENTRATE_BY_MINERAL:
        return solution_mineral_key[stock->mineral];
    case CONCENTRATE_BY_SOLUBILITY:
        return salt_called(made->mix->recipe.weigh[made->weigh_of[stock->limiting_salt]].salt);
    case CONCENTRATE_BY_MODEL:
        return "the model";
    default:
        return NULL;
    }
}

static int tell_stock(const struct mix_stocks *made, const struct concentrate_stock *stock, struct stock_document *told, struct arena *arena)
{
    struct share_document *share;
    const char **line;
    size_t lines = 0;

    while (lines < COUNT(stock->label) && stock->label[lines][0])
        lines++;
    *told = (struct stock_document){.name = stock->name,
                                    .limited_by = limit_called(made, stock),
                                    .ph = stock->ph,
                                    .ec_ms_cm = stock->ec_ms_cm,
                                    .saturation = stock->saturation > SATURATION_ABSENT ? stock->saturation : (double)NAN,
                                    .factor_alone = stock->factor_alone,
                                    .dose_ml_l = made->concentrate.dose_ml_l};
    share = arena_list(arena, &told->salts, stock->count, sizeof *share);
    line = arena_list(arena, &told->label, lines, sizeof *line);
    if (!share || !line)
        return -1;
    for (size_t i = 0; i < stock->count; i++)
        share[i] = (struct share_document){salt_called(made->mix->recipe.weigh[made->weigh_of[stock->salt[i].index]].salt), stock->salt[i].g_l};
    for (size_t i = 0; i < lines; i++)
        line[i] = stock->label[i];
    return 0;
}

static int tell_stocks(const struct mix_stocks *made, struct stocks_document *document, struct arena *arena, struct fault *fault)
{
    const struct concentrate *concentrate = &made->concentrate;
    struct stock_document *told = arena_list(arena, &document->stocks, concentrate->stocks, sizeof *told);

    document->factor = concentrate->factor;
    document->factor_exact = concentrate->factor_exact;
    document->dose_ml_l = concentrate->dose_ml_l;
    document->all_in_one_factor = concentrate->all_in_one_factor;
    document->why = concentrate->why;
    document->cautions = (struct list){(void *)concentrate->caution, concentrate->cautions};
    for (size_t i = 0; told && i < concentrate->stocks; i++)
        if (tell_stock(made, &concentrate->stock[i], &told[i], arena))
            told = NULL;
    return told ? recipe_document_fill(&document->recipe, made->mix, arena, fault) : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* POST /api/v1/calc/concentrate */
int calc_concentrate_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct recipe_question *given = request->given;
    struct stocks_document *document = arena_take(request->arena, sizeof *document);
    const struct mix_stocks *made;
    struct source_water water;
    struct mix_request asked;

    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (recipe_request_of(given, &water, &asked, request->arena, fault))
        return -1;
    made = mix_stocks_make(&asked, (size_t)given->stocks, request->arena, fault);
    if (!made || tell_stocks(made, document, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&calc_concentrate_answer_shape, document), fault);
}
