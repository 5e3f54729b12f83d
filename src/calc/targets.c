/* targets.c - the table of published targets. */
#include "calc/targets.h"

#include <math.h>
#include <string.h>

/* As published; what was printed in mmol/L is turned into mg/L. Two notes: the grams printed for lettuce-modified give
 * 202 mg/L of K by arithmetic, not 210; leafy-greens is printed as ranges, whose lower ends stand here.
 */
const struct published_target published_targets[] = {
    {"water-culture-1", "Water culture, solution 1 (1950)",
     "The water-culture method for growing plants without soil, Circular 347 (1950): from memory (molybdenum: secondary)",
     STAGE_ANY,
     NAN,
     {[ELEMENT_N] = 210.1, [ELEMENT_P] = 30.97, [ELEMENT_K] = 234.6, [ELEMENT_CA] = 200.4, [ELEMENT_MG] = 48.61, [ELEMENT_S] = 64.12,
      [ELEMENT_FE] = NAN, [ELEMENT_MN] = 0.5, [ELEMENT_ZN] = 0.05, [ELEMENT_B] = 0.5, [ELEMENT_CU] = 0.02, [ELEMENT_MO] = 0.011,
      [ELEMENT_NA] = NAN, [ELEMENT_CL] = NAN, [ELEMENT_SI] = NAN}},
    {"water-culture-2", "Water culture, solution 2 with ammonium (1950)",
     "The water-culture method for growing plants without soil, Circular 347 (1950): from memory",
     STAGE_ANY,
     14.01,
     {[ELEMENT_N] = 210.11, [ELEMENT_P] = 30.97, [ELEMENT_K] = 234.6, [ELEMENT_CA] = 160.3, [ELEMENT_MG] = 48.61, [ELEMENT_S] = 64.12,
      [ELEMENT_FE] = NAN, [ELEMENT_MN] = NAN, [ELEMENT_ZN] = NAN, [ELEMENT_B] = NAN, [ELEMENT_CU] = NAN, [ELEMENT_MO] = NAN,
      [ELEMENT_NA] = NAN, [ELEMENT_CL] = NAN, [ELEMENT_SI] = NAN}},
    {"universal", "Universal solution (1984)",
     "The universal nutrient solution, 6th International Congress on Soilless Culture (1984): from memory",
     STAGE_ANY,
     NAN,
     {[ELEMENT_N] = 168.1, [ELEMENT_P] = 30.97, [ELEMENT_K] = 273.7, [ELEMENT_CA] = 180.4, [ELEMENT_MG] = 48.61, [ELEMENT_S] = 112.2,
      [ELEMENT_FE] = 1.33, [ELEMENT_MN] = 0.62, [ELEMENT_ZN] = 0.11, [ELEMENT_B] = 0.44, [ELEMENT_CU] = 0.02, [ELEMENT_MO] = 0.048,
      [ELEMENT_NA] = NAN, [ELEMENT_CL] = NAN, [ELEMENT_SI] = NAN}},
    {"lettuce-water-culture", "Lettuce in water culture, strong (1994)",
     "Nutrient solutions for vegetables and flowers grown in water or substrates (1994): from memory",
     STAGE_ANY,
     17.51,
     {[ELEMENT_N] = 283.61, [ELEMENT_P] = 61.95, [ELEMENT_K] = 430.1, [ELEMENT_CA] = 180.4, [ELEMENT_MG] = 24.3, [ELEMENT_S] = 36.07,
      [ELEMENT_FE] = 2.234, [ELEMENT_MN] = 0.2747, [ELEMENT_ZN] = 0.2615, [ELEMENT_B] = 0.3243, [ELEMENT_CU] = 0.04766, [ELEMENT_MO] = 0.04798,
      [ELEMENT_NA] = NAN, [ELEMENT_CL] = NAN, [ELEMENT_SI] = NAN}},
    {"lettuce-modified", "Lettuce, moderate (2014)",
     "A recipe for hydroponic success (2014): from memory",
     STAGE_ANY,
     NAN,
     {[ELEMENT_N] = 150, [ELEMENT_P] = 31, [ELEMENT_K] = 210, [ELEMENT_CA] = 90, [ELEMENT_MG] = 24, [ELEMENT_S] = NAN,
      [ELEMENT_FE] = 1, [ELEMENT_MN] = 0.25, [ELEMENT_ZN] = 0.13, [ELEMENT_B] = 0.16, [ELEMENT_CU] = 0.023, [ELEMENT_MO] = 0.024,
      [ELEMENT_NA] = NAN, [ELEMENT_CL] = NAN, [ELEMENT_SI] = NAN}},
    {"lettuce-greenhouse", "Lettuce, greenhouse",
     "Basic calculations to make your own hydroponics nutrients (web page): secondary",
     STAGE_ANY,
     NAN,
     {[ELEMENT_N] = 189, [ELEMENT_P] = 39, [ELEMENT_K] = 341, [ELEMENT_CA] = 170, [ELEMENT_MG] = 48, [ELEMENT_S] = NAN,
      [ELEMENT_FE] = 2, [ELEMENT_MN] = 0.55, [ELEMENT_ZN] = 0.33, [ELEMENT_B] = 0.28, [ELEMENT_CU] = 0.05, [ELEMENT_MO] = 0.05,
      [ELEMENT_NA] = NAN, [ELEMENT_CL] = NAN, [ELEMENT_SI] = NAN}},
    {"leafy-greens", "Leafy greens, lower end of a book range",
     "Basic calculations to make your own hydroponics nutrients (web page): secondary",
     STAGE_ANY,
     NAN,
     {[ELEMENT_N] = 165, [ELEMENT_P] = 50, [ELEMENT_K] = 150, [ELEMENT_CA] = 150, [ELEMENT_MG] = 40, [ELEMENT_S] = NAN,
      [ELEMENT_FE] = 5, [ELEMENT_MN] = 0.5, [ELEMENT_ZN] = 0.05, [ELEMENT_B] = 0.3, [ELEMENT_CU] = 0.03, [ELEMENT_MO] = 0.02,
      [ELEMENT_NA] = NAN, [ELEMENT_CL] = NAN, [ELEMENT_SI] = NAN}},
    {"lettuce-seedling", "Lettuce seedlings, half strength",
     "half of Lettuce, moderate (2014): common practice, no source",
     STAGE_SEEDLING,
     NAN,
     {[ELEMENT_N] = 75, [ELEMENT_P] = 15.5, [ELEMENT_K] = 105, [ELEMENT_CA] = 45, [ELEMENT_MG] = 12, [ELEMENT_S] = NAN,
      [ELEMENT_FE] = 0.5, [ELEMENT_MN] = 0.125, [ELEMENT_ZN] = 0.065, [ELEMENT_B] = 0.08, [ELEMENT_CU] = 0.0115, [ELEMENT_MO] = 0.012,
      [ELEMENT_NA] = NAN, [ELEMENT_CL] = NAN, [ELEMENT_SI] = NAN}},
    {"lettuce-finish", "Lettuce, last days, half the nitrogen",
     "Impact of light intensity and nitrogen of nutrient solution on nitrate content in three lettuce cultivars prior to harvest, "
     "Journal of Agricultural Science 10 (2018): half the nitrogen for the last three days lowered nitrate in the leaves (abstract); "
     "the other figures are those of Lettuce, moderate (2014): derived",
     STAGE_FINISHING,
     NAN,
     {[ELEMENT_N] = 75, [ELEMENT_P] = 31, [ELEMENT_K] = 210, [ELEMENT_CA] = 90, [ELEMENT_MG] = 24, [ELEMENT_S] = NAN,
      [ELEMENT_FE] = 1, [ELEMENT_MN] = 0.25, [ELEMENT_ZN] = 0.13, [ELEMENT_B] = 0.16, [ELEMENT_CU] = 0.023, [ELEMENT_MO] = 0.024,
      [ELEMENT_NA] = NAN, [ELEMENT_CL] = NAN, [ELEMENT_SI] = NAN}},
};
const size_t published_targets_count = sizeof published_targets / sizeof *published_targets;

const struct published_target *published_targets_find(const char *id)
{
    for (size_t i = 0; i < published_targets_count; i++)
        if (strcmp(published_targets[i].id, id) == 0)
            return &published_targets[i];
    return NULL;
}
