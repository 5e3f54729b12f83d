/* calc_recipe.h - what recipes and stock solutions have in common: the question, and the recipe in the answer. */
#ifndef TIDEMARK_API_CALC_RECIPE_H
#define TIDEMARK_API_CALC_RECIPE_H

#include "api/chemistry.h"
#include "garden/mix.h"

struct recipe_question {
    double volume_l, scale_step_g, ph, strength_percent, temperature_c;
    struct source_water water;
    bool water_given;
    double target_mg_l[TARGET_WORDS], weights[ELEMENT_NUTRIENTS];
    struct list salts;
    int acid;
    int64_t stocks;
};

/* water is where the water stands that asked points to. Returns 0, or -1 with FAULT_INPUT. */
int recipe_request_of(const struct recipe_question *given, struct source_water *water, struct mix_request *asked, struct arena *arena,
                      struct fault *fault);

struct recipe_document {
    struct list weigh, shorts, steps, cautions;
    double delivers_mg_l[ELEMENT_NUTRIENTS], off_percent[ELEMENT_NUTRIENTS];
    double n_no3_mg_l, n_nh4_mg_l, deviation_percent, salts_g_l, mend_grams, mend_deviation_percent;
    struct solution_document solution;
    struct acid_document acid;
    bool solution_given, acid_given;
    const char *mend, *order_why;
};

/* Borrows from mix. Returns 0, or -1 with FAULT_MEMORY. */
int recipe_document_fill(struct recipe_document *document, const struct mix *mix, struct arena *arena, struct fault *fault);

#endif
