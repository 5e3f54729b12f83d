/* calc_acid.c - how much acid brings a solution to a wished pH. */
#include "api/calc.h"

#include <math.h>

#include "api/chemistry.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct given {
    struct source_water water;
    bool water_given;
    struct list added;
    double ph, strength_percent, volume_l, temperature_c;
    int acid;
};

#define AT(member) offsetof(struct given, member)
static const struct field given_fields[] = {
    {"water", FIELD_OBJECT, FIELD_NULLABLE, AT(water), .shape = &water_given_shape, .given = AT(water_given), .about = "What the solution is made with; demineralised where left out."},
    {"added", FIELD_LIST, 0, AT(added), 0, 64, .shape = &added_given_shape, .about = "What is dissolved in it already."},
    {"ph", FIELD_NUMBER, FIELD_REQUIRED, AT(ph), 3, 10, .standard = NAN, .about = "The wished pH."},
    {"acid", FIELD_CHOICE, FIELD_REQUIRED, AT(acid), .words = reagent_words, .about = "Which acid or base."},
    {"strength_percent", FIELD_NUMBER, FIELD_REQUIRED, AT(strength_percent), 0.1, 100, .standard = NAN, .about = "Percent of mass, as the bottle says; 100 for a pure powder."},
    {"volume_l", FIELD_NUMBER, FIELD_REQUIRED, AT(volume_l), 0.001, 1e6, .standard = NAN, .about = "Of solution to dose, L."},
    {"temperature_c", FIELD_NUMBER, 0, AT(temperature_c), 0, 40, .standard = 25, .about = "Of the solution, C; 25 where left out."},
};
#undef AT
const struct shape calc_acid_shape = {.name = "AcidQuestion", .size = sizeof(struct given), .field = given_fields,
                                      .count = COUNT(given_fields), .about = "A solution and the pH wished for it."};

/* POST /api/v1/calc/acid */
int calc_acid_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct acid_request asked = {.ph = given->ph,
                                 .reagent = (enum reagent)given->acid,
                                 .strength_percent = given->strength_percent,
                                 .volume_l = given->volume_l};
    struct acid_document document;
    const struct source_water *taken;
    struct source_water water;
    struct acid_dose dose;

    if (water_from_given(&given->water, given->water_given, &water, &taken, fault) ||
        solution_from_given(given->temperature_c, taken, &given->added, &asked.given, fault) ||
        acid_dose(&asked, &dose, fault))
        return -1;
    acid_document_fill(&document, &asked, &dose);
    return reply_json(reply, 200, shape_write(&acid_shape, &document), fault);
}
