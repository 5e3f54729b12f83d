/* calc_solution.c - what is in the water; what it does. */
#include "api/calc.h"

#include <math.h>

#include "api/chemistry.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const gas_words[] = {"closed", "open_air", NULL};

struct given {
    double temperature_c, pco2_atm;
    int gas;
    struct source_water water;
    bool water_given;
    struct list added;
};

#define AT(member) offsetof(struct given, member)
static const struct field given_fields[] = {
    {"temperature_c", FIELD_NUMBER, 0, AT(temperature_c), 0, 40, .standard = 25, .about = "Of the solution, C; 25 where left out."},
    {"gas", FIELD_CHOICE, 0, AT(gas), .words = gas_words, .standard = SOLUTION_CLOSED, .about = "Whether carbon dioxide comes to rest with the air."},
    {"pco2_atm", FIELD_NUMBER, 0, AT(pco2_atm), 1e-6, 1, .standard = PCO2_OUTDOOR_AIR_ATM, .about = "Of that air, atm; 0.00042 where left out."},
    {"water", FIELD_OBJECT, FIELD_NULLABLE, AT(water), .shape = &water_given_shape, .given = AT(water_given), .about = "What it is made with; demineralised where left out."},
    {"added", FIELD_LIST, 0, AT(added), 0, 64, .shape = &added_given_shape, .about = "What is dissolved in it."},
};
#undef AT
const struct shape calc_solution_shape = {.name = "SolutionQuestion", .size = sizeof(struct given), .field = given_fields,
                                          .count = COUNT(given_fields), .about = "A water with what is dissolved in it."};

/* POST /api/v1/calc/solution */
int calc_solution_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct solution_document document;
    const struct source_water *taken;
    struct source_water water;
    struct solution_input input;
    struct solution solved;

    if (water_from_given(&given->water, given->water_given, &water, &taken, fault) ||
        solution_from_given(given->temperature_c, taken, &given->added, &input, fault))
        return -1;
    input.gas = (enum solution_gas)given->gas;
    input.pco2_atm = given->pco2_atm;
    if (solution_solve(&input, &solved, fault))
        return -1;
    solution_document_fill(&document, &solved);
    return reply_json(reply, 200, shape_write(&solution_shape, &document), fault);
}
