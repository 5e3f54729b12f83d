/* recipe_rows.h - what recipe.c and recipe_why.c share; not for others. */
#ifndef TIDEMARK_RECIPE_ROWS_H
#define TIDEMARK_RECIPE_ROWS_H

#include "calc/nnls.h"
#include "calc/recipe.h"

#define ROW_AMMONIUM (-1) /* in place of an element: the limit on ammonium, once it is met */

/* The least squares of a recipe: a row an element aimed at, a column a salt, in grams for the whole volume. */
struct recipe_rows {
    const struct recipe_request *request;
    double water_mg_l[ELEMENT_NUTRIENTS], water_nh4_mg_l;
    double weight[ELEMENT_NUTRIENTS];
    double weight_sum;
    int element[NNLS_ROWS];
    double factor[NNLS_ROWS]; /* row = factor x mg/L: root of the weight over what the target counts as */
    struct nnls problem;
    struct nnls_solution solution;
};

/* mg/L of an element, and of ammonium nitrogen, that a gram in the whole volume brings. */
double recipe_mg_l_per_g(const struct recipe_rows *rows, const struct salt *salt, enum element element);
double recipe_nh4_mg_l_per_g(const struct recipe_rows *rows, const struct salt *salt);

/* A salt's column of the problem. */
void recipe_column(const struct recipe_rows *rows, const struct salt *salt, double column[NNLS_ROWS]);

/* Root of the weighted mean square deviation, percent, of a residual's length; the ammonium row is no deviation. */
double recipe_deviation(const struct recipe_rows *rows, const double residual[NNLS_ROWS]);

/* recipe_why.c: fills in short_count to mend_deviation of a recipe that is weighed already. */
void recipe_explain(const struct recipe_rows *rows, struct recipe *recipe);

#endif
