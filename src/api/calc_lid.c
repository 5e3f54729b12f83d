/* calc_lid.c - where the holes for net cups go. */
#include "api/calc.h"

#include <math.h>

#include "calc/lid.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const pattern_words[] = {"square", "staggered", "best", NULL};

static const struct field pair_fields[] = {
    {NULL, FIELD_NUMBER, FIELD_REQUIRED, 0, 20, 20000, .standard = NAN},
    {NULL, FIELD_NUMBER, FIELD_REQUIRED, sizeof(double), 20, 20000, .standard = NAN},
};
static const struct shape pair_shape = {.size = 2 * sizeof(double), .field = pair_fields, .count = 2, .tuple = true};

struct given {
    double lid_mm[2], corner_mm, hole_mm, edge_mm, spacing_mm;
    int pattern;
};

#define AT(member) offsetof(struct given, member)
static const struct field given_fields[] = {
    {"lid_mm", FIELD_OBJECT, FIELD_REQUIRED, AT(lid_mm), .shape = &pair_shape, .about = "Length and width of its flat part, mm."},
    {"corner_mm", FIELD_NUMBER, FIELD_NULLABLE, AT(corner_mm), 0, 10000, .standard = 0, .about = "Radius of its corners, mm; 0 where left out."},
    {"hole_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(hole_mm), 5, 1000, .standard = NAN, .about = "Diameter of a hole, mm."},
    {"edge_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(edge_mm), 0, 10000, .standard = NAN, .about = "Clear strip from the lid's edge to the nearest hole's edge, mm."},
    {"spacing_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(spacing_mm), 5, 20000, .standard = NAN, .about = "Least distance between two centres, mm."},
    {"pattern", FIELD_CHOICE, 0, AT(pattern), .words = pattern_words, .standard = LID_BEST, .about = "Rows and columns, every other row shifted, or whichever holds more."},
};
#undef AT
const struct shape calc_lid_shape = {.name = "LidQuestion", .size = sizeof(struct given), .field = given_fields,
                                     .count = COUNT(given_fields), .about = "A lid and the cups it should carry."};

static const struct field cup_fields[] = {
    {"x_mm", FIELD_NUMBER, FIELD_REQUIRED, offsetof(struct lid_cup, x_mm), .standard = NAN, .about = "From the marked corner along the length, mm."},
    {"y_mm", FIELD_NUMBER, FIELD_REQUIRED, offsetof(struct lid_cup, y_mm), .standard = NAN, .about = "From the marked corner along the width, mm."},
};
static const struct shape cup_shape = {.name = "CupCentre", .size = sizeof(struct lid_cup), .field = cup_fields, .count = COUNT(cup_fields)};

struct answer {
    struct list cups;
    int pattern;
    double least_web_mm, least_spacing_mm;
};

#define AT(member) offsetof(struct answer, member)
static const struct field answer_fields[] = {
    {"cups", FIELD_LIST, FIELD_REQUIRED, AT(cups), .shape = &cup_shape, .about = "Centres, row by row from the marked corner."},
    {"pattern", FIELD_CHOICE, FIELD_REQUIRED, AT(pattern), .words = pattern_words, .about = "What was laid out."},
    {"least_web_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(least_web_mm), .standard = NAN, .about = "Narrowest strip left between two holes or a hole and the edge, mm."},
    {"least_spacing_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(least_spacing_mm), .standard = NAN, .about = "Between the nearest centres, mm; 0 where there is one cup."},
};
#undef AT
const struct shape calc_lid_answer_shape = {.name = "LidLayout", .size = sizeof(struct answer), .field = answer_fields,
                                            .count = COUNT(answer_fields), .about = "Where to drill."};

/* POST /api/v1/calc/lid */
int calc_lid_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct lid lid = {.lid_mm = {given->lid_mm[0], given->lid_mm[1]},
                      .corner_mm = given->corner_mm,
                      .hole_mm = given->hole_mm,
                      .edge_mm = given->edge_mm,
                      .spacing_mm = given->spacing_mm,
                      .pattern = (enum lid_pattern)given->pattern};
    struct lid_layout layout;
    struct answer answer;

    if (lid_lay_out(&lid, &layout, fault))
        return -1;
    answer = (struct answer){{layout.cup, layout.count}, (int)layout.pattern, layout.least_web_mm, layout.least_spacing_mm};
    return reply_json(reply, 200, shape_write(&calc_lid_answer_shape, &answer), fault);
}
