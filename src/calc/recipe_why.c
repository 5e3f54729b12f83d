/* recipe_why.c - why a recipe is not nearer to its target, and what one more salt would mend.
 *
 * At a bounded least squares every salt is held in place by rows that pull: an element that is short asks for more of it, one
 * that is over for less. What pulls hardest the other way is the reason.
 */
#include "calc/recipe_rows.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define HELD_LEAST_PERCENT 0.01 /* less of an element in a salt is a trace that nobody weighs it in for */
#define MENDERS 8               /* salts that are tried in full; the others were further off by a first look */

const char *const recipe_why_key[RECIPE_WHYS] = {
    "no_salt", "at_limit", "brings", "ammonium", "scale", "weight", "water", "comes_with",
};

static bool holds(const struct salt *salt, enum element element)
{
    return salts_element_percent(salt, element) > HELD_LEAST_PERCENT;
}

static const struct salt *salt_of(const struct recipe_rows *rows, size_t j)
{
    return rows->request->salt[j].salt;
}

/* How hard row i pulls at salt j, beside the length of the salt's column: above 0 for more of it. */
static double pull(const struct recipe_rows *rows, size_t j, size_t i)
{
    return rows->problem.a[j][i] * rows->solution.residual[i];
}

static double column_length(const struct recipe_rows *rows, size_t j)
{
    double sum = 0.0;

    for (size_t i = 0; i < rows->problem.rows; i++)
        sum += rows->problem.a[j][i] * rows->problem.a[j][i];
    return sqrt(sum);
}

/* The row that pulls hardest at salt j, with this sign, or -1. */
static int hardest(const struct recipe_rows *rows, size_t j, double sign)
{
    double best = 1e-12;
    int found = -1;

    for (size_t i = 0; i < rows->problem.rows; i++)
        if (sign * pull(rows, j, i) > best) {
            best = sign * pull(rows, j, i);
            found = (int)i;
        }
    return found;
}

/* What rounding did to an element: the salt that moved it most in the direction of sign. */
static const struct salt *rounded_most(const struct recipe_rows *rows, const struct recipe *recipe, enum element element, double sign)
{
    const struct salt *found = 0;
    double best = 0.0;

    for (size_t j = 0; j < recipe->count; j++) {
        double moved = sign * (recipe->weigh[j].grams - recipe->weigh[j].grams_exact) * recipe_mg_l_per_g(rows, salt_of(rows, j), element);

        if (moved > best) {
            best = moved;
            found = salt_of(rows, j);
        }
    }
    return found;
}

static bool is_scale(const struct recipe *recipe, enum element element)
{
    return fabs(recipe->off_exact_percent[element]) <= RECIPE_OFF_PERCENT;
}

/* ------------------------------------------------------------------------ short */

/* Of the salts that hold the element the one to blame: one at its limit before all others, else the one whose column
 * leans most on the element, for it would have been weighed in for it.
 */
static int short_salt(const struct recipe_rows *rows, const struct recipe *recipe, enum element element)
{
    double best = -1.0;
    int found = -1;

    for (size_t j = 0; j < recipe->count; j++) {
        double lean;

        if (!holds(salt_of(rows, j), element))
            continue;
        lean = recipe_mg_l_per_g(rows, salt_of(rows, j), element) / (column_length(rows, j) + 1e-300);
        if (recipe->weigh[j].at_limit)
            lean += 1e12;
        if (lean > best) {
            best = lean;
            found = (int)j;
        }
    }
    return found;
}

static void why_short(const struct recipe_rows *rows, const struct recipe *recipe, struct recipe_short *item)
{
    int j = short_salt(rows, recipe, item->element), row;

    if (j < 0) {
        item->why = RECIPE_NO_SALT;
        return;
    }
    item->salt = salt_of(rows, (size_t)j);
    if (is_scale(recipe, item->element)) {
        const struct salt *rounded = rounded_most(rows, recipe, item->element, -1.0);

        item->why = RECIPE_SCALE;
        item->salt = rounded ? rounded : item->salt;
        return;
    }
    row = hardest(rows, (size_t)j, -1.0);
    if (recipe->weigh[j].at_limit)
        item->why = RECIPE_AT_LIMIT;
    else if (rows->weight[item->element] == 0.0 || row < 0)
        item->why = RECIPE_WEIGHT;
    else if (rows->element[row] == ROW_AMMONIUM)
        item->why = RECIPE_AMMONIUM;
    else {
        item->why = RECIPE_BRINGS;
        item->other = rows->element[row];
    }
}

/* ------------------------------------------------------------------------- over */

/* The salt that brings most of an element, or -1. */
static int brings_most(const struct recipe_rows *rows, const struct recipe *recipe, enum element element)
{
    double best = 0.0;
    int found = -1;

    for (size_t j = 0; j < recipe->count; j++) {
        double mg_l = recipe->weigh[j].grams * recipe_mg_l_per_g(rows, salt_of(rows, j), element);

        if (mg_l > best) {
            best = mg_l;
            found = (int)j;
        }
    }
    return found;
}

/* The element that a salt is weighed in for: what pulls for more of it, else what it brings most of beside its target. */
static int wanted_for(const struct recipe_rows *rows, size_t j, enum element not_this)
{
    int row = hardest(rows, j, 1.0), found = -1;
    double best = 0.0;

    if (row >= 0 && rows->element[row] != ROW_AMMONIUM && rows->element[row] != (int)not_this)
        return rows->element[row];
    for (size_t i = 0; i < rows->problem.rows; i++)
        if (rows->element[i] != ROW_AMMONIUM && rows->element[i] != (int)not_this && rows->problem.a[j][i] > best) {
            best = rows->problem.a[j][i];
            found = rows->element[i];
        }
    return found;
}

static void why_over(const struct recipe_rows *rows, const struct recipe *recipe, struct recipe_short *item)
{
    int j = brings_most(rows, recipe, item->element);

    if (j < 0 || rows->water_mg_l[item->element] > rows->request->target.mg_l[item->element]) {
        item->why = RECIPE_WATER;
        return;
    }
    item->salt = salt_of(rows, (size_t)j);
    if (is_scale(recipe, item->element)) {
        const struct salt *rounded = rounded_most(rows, recipe, item->element, 1.0);

        item->why = RECIPE_SCALE;
        item->salt = rounded ? rounded : item->salt;
        return;
    }
    item->other = wanted_for(rows, (size_t)j, item->element);
    item->why = item->other >= 0 ? RECIPE_COMES_WITH : RECIPE_WEIGHT;
}

/* ------------------------------------------------------------------------- mend */

/* A salt of sodium or chloride fits a trace element, where grams do not matter; for main elements the crop would be left
 * with the rest.
 */
static bool leaves_salt_behind(const struct salt *salt)
{
    for (int e = ELEMENT_FE; e <= ELEMENT_MO; e++)
        if (holds(salt, (enum element)e))
            return false;
    return salt->atoms[ELEMENT_NA] > 0.0 || salt->atoms[ELEMENT_CL] > 0.0;
}

/* A salt of the table that a grower may be told to buy: nothing that moves the pH by itself, hardly dissolves, or leaves
 * sodium or chloride behind.
 */
static bool may_mend(const struct recipe_rows *rows, const struct salt *salt)
{
    if (salt->ions[ION_H] != 0.0 || salt->ions[ION_OH] != 0.0 || salt->ions[ION_CITRATE] != 0.0 || salt->ions[ION_C] != 0.0)
        return false;
    if (salt->solubility[0].g_per_kg_water > 0.0 && salt->solubility[0].g_per_kg_water < 10.0)
        return false;
    if (leaves_salt_behind(salt))
        return false;
    for (size_t j = 0; j < rows->request->count; j++)
        if (salt_of(rows, j) == salt || strcmp(salt_of(rows, j)->id, salt->id) == 0)
            return false;
    return true;
}

struct mender {
    const struct salt *salt;
    double promise; /* of the squared residual, what it could take away at most by itself */
};

struct menders {
    size_t count;
    struct mender best[MENDERS];
};

static void consider(struct menders *menders, const struct salt *salt, double promise)
{
    size_t at = menders->count;

    for (size_t i = 0; i < menders->count; i++)
        if (menders->best[i].salt == salt)
            return;
    if (at == MENDERS) {
        at--;
        if (promise <= menders->best[at].promise)
            return;
    } else {
        menders->count++;
    }
    for (; at > 0 && menders->best[at - 1].promise < promise; at--)
        menders->best[at] = menders->best[at - 1];
    menders->best[at] = (struct mender){salt, promise};
}

/* A first look at every salt of the table: the best by promise alone, and of each short element the best that holds it. */
static void look(const struct recipe_rows *rows, const struct recipe *recipe, struct menders *menders)
{
    struct mender by_short[ELEMENT_NUTRIENTS] = {{0}};
    struct menders overall = {0};

    for (size_t s = 0; s < salts_count; s++) {
        double column[NNLS_ROWS], along = 0.0, square = 0.0, promise;

        if (!may_mend(rows, &salts[s]))
            continue;
        recipe_column(rows, &salts[s], column);
        for (size_t i = 0; i < rows->problem.rows; i++) {
            along += column[i] * rows->solution.residual[i];
            square += column[i] * column[i];
        }
        promise = along > 0.0 ? along * along / square : 0.0;
        if (promise > 0.0)
            consider(&overall, &salts[s], promise);
        for (size_t k = 0; k < recipe->short_count; k++)
            if (recipe->shorts[k].off_percent < 0.0 && promise > by_short[k].promise && holds(&salts[s], recipe->shorts[k].element))
                by_short[k] = (struct mender){&salts[s], promise};
    }
    menders->count = 0;
    for (size_t k = 0; k < recipe->short_count; k++)
        if (by_short[k].salt && menders->count < MENDERS - 2)
            consider(menders, by_short[k].salt, by_short[k].promise);
    for (size_t i = 0; i < overall.count && i < 2; i++)
        consider(menders, overall.best[i].salt, overall.best[i].promise);
}

/* Of two salts that bring an element home the one that is better for the whole recipe; else the one that brings it nearer. */
static bool mends_better(double off, double deviation, const struct recipe_short *item, double best_deviation)
{
    if (!item->mend)
        return true;
    if (fabs(off) <= RECIPE_OFF_PERCENT && fabs(item->mend_off_percent) <= RECIPE_OFF_PERCENT)
        return deviation < best_deviation;
    return fabs(off) < fabs(item->mend_off_percent);
}

/* Solves with the salt added, and takes note where that is better than what was found before; best_deviation goes with the
 * mend of each short.
 */
static void try_mender(const struct recipe_rows *rows, const struct salt *salt, struct recipe *recipe, double *best_deviation)
{
    struct nnls problem = rows->problem;
    struct nnls_solution solution;
    size_t added = problem.columns++;
    double deviation, ammonium = rows->water_nh4_mg_l;

    recipe_column(rows, salt, problem.a[added]);
    problem.upper[added] = HUGE_VAL;
    if (nnls_solve(&problem, &solution, 0))
        return;
    for (size_t j = 0; j < added; j++)
        ammonium += solution.x[j] * recipe_nh4_mg_l_per_g(rows, salt_of(rows, j));
    ammonium += solution.x[added] * recipe_nh4_mg_l_per_g(rows, salt);
    if (ammonium > rows->request->target.n_nh4_max_mg_l * (1.0 + 1e-5)) /* no limit is NAN, and never passed */
        return;
    deviation = recipe_deviation(rows, solution.residual);
    if (deviation < recipe->mend_deviation) {
        recipe->mend = salt;
        recipe->mend_grams = solution.x[added];
        recipe->mend_deviation = deviation;
    }
    for (size_t k = 0; k < recipe->short_count; k++) {
        struct recipe_short *item = &recipe->shorts[k];
        double mg_l = rows->water_mg_l[item->element], off;

        if (item->off_percent >= 0.0 || !holds(salt, item->element))
            continue;
        for (size_t j = 0; j < added; j++)
            mg_l += solution.x[j] * recipe_mg_l_per_g(rows, salt_of(rows, j), item->element);
        mg_l += solution.x[added] * recipe_mg_l_per_g(rows, salt, item->element);
        off = 100.0 * (mg_l / rows->request->target.mg_l[item->element] - 1.0);
        if (fabs(off) < 0.5 * fabs(item->off_percent) && mends_better(off, deviation, item, best_deviation[k])) {
            item->mend = salt;
            item->mend_off_percent = off;
            best_deviation[k] = deviation;
        }
    }
}

/* ----------------------------------------------------------------------- explain */

static void list_shorts(struct recipe *recipe)
{
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        double off = recipe->off_percent[e];
        size_t at;

        if (!(fabs(off) > RECIPE_OFF_PERCENT))
            continue;
        for (at = recipe->short_count++; at > 0 && fabs(recipe->shorts[at - 1].off_percent) < fabs(off); at--)
            recipe->shorts[at] = recipe->shorts[at - 1];
        recipe->shorts[at] = (struct recipe_short){.element = (enum element)e, .off_percent = off, .other = -1};
    }
}

void recipe_explain(const struct recipe_rows *rows, struct recipe *recipe)
{
    struct menders menders;
    double residual[NNLS_ROWS], best_deviation[ELEMENT_NUTRIENTS];
    bool helpless = true; /* what is off is off by rounding alone: no salt helps */

    for (size_t i = 0; i < rows->problem.rows; i++) {
        residual[i] = rows->problem.b[i];
        for (size_t j = 0; j < recipe->count; j++)
            residual[i] -= rows->problem.a[j][i] * recipe->weigh[j].grams;
    }
    recipe->deviation = recipe->mend_deviation = recipe_deviation(rows, residual);
    list_shorts(recipe);
    for (size_t k = 0; k < recipe->short_count; k++) {
        struct recipe_short *item = &recipe->shorts[k];

        if (item->off_percent < 0.0)
            why_short(rows, recipe, item);
        else
            why_over(rows, recipe, item);
        helpless = helpless && item->why == RECIPE_SCALE;
    }
    if (helpless || recipe->count == RECIPE_SALTS)
        return;
    look(rows, recipe, &menders);
    recipe->mend_deviation = 0.8 * recipe_deviation(rows, rows->solution.residual); /* a fifth nearer, or it is not worth buying: ours */
    for (size_t i = 0; i < menders.count; i++)
        try_mender(rows, menders.best[i].salt, recipe, best_deviation);
    if (!recipe->mend)
        recipe->mend_deviation = recipe->deviation;
}

/* -------------------------------------------------------------------------- words */

char *recipe_short_text(const struct recipe_short *item, char *text, size_t size)
{
    const char *element = element_name[item->element], *salt = item->salt ? item->salt->name : "the salt";
    const char *other = item->other >= 0 ? element_name[item->other] : "other elements";
    const char *direction = item->off_percent < 0.0 ? "short" : "over";
    double off = fabs(item->off_percent);

    switch (item->why) {
    case RECIPE_NO_SALT:
        snprintf(text, size, "%s is %.0f %% short: none of these salts holds it", element, off);
        break;
    case RECIPE_AT_LIMIT:
        snprintf(text, size, "%s is %.0f %% short: all of the %s is used", element, off, salt);
        break;
    case RECIPE_BRINGS:
        snprintf(text, size, "%s is %.0f %% short: more %s would bring too much %s", element, off, salt, other);
        break;
    case RECIPE_AMMONIUM:
        snprintf(text, size, "%s is %.0f %% short: more %s would pass the limit on ammonium", element, off, salt);
        break;
    case RECIPE_SCALE:
        snprintf(text, size, "%s is %.0f %% %s: the scale is too coarse to weigh the %s", element, off, direction, salt);
        break;
    case RECIPE_WEIGHT:
        snprintf(text, size, "%s is %.0f %% %s: it was given little or no weight", element, off, direction);
        break;
    case RECIPE_WATER:
        snprintf(text, size, "%s is %.0f %% over: the source water alone brings it", element, off);
        break;
    case RECIPE_COMES_WITH:
        snprintf(text, size, "%s is %.0f %% over: it comes with the %s in %s", element, off, other, salt);
        break;
    }
    return text;
}
