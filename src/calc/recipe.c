/* recipe.c - from a target to grams on a scale. */
#include "calc/recipe_rows.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The limit on ammonium is a row that counts this much more than any other once the answer would pass it. */
#define AMMONIUM_FACTOR 1000.0

/* What "none wanted" is measured against, mg/L: ours. */
#define NONE_MAIN_MG_L 10.0
#define NONE_TRACE_MG_L 0.1

#define STEPS_MOST 4e15 /* of a scale: what a double still counts one by one */

/* Our bounds: they catch slips of the finger. */
#define MG_L_MOST 10000.0
#define MG_L_LEAST 0.0001 /* of a target; 0 is none wanted */
#define GRAMS_MOST 1e9

static bool is_trace(enum element element)
{
    return element >= ELEMENT_FE && element <= ELEMENT_MO;
}

double recipe_default_weight(enum element element)
{
    if (element <= ELEMENT_MG)
        return 1.0;
    return element <= ELEMENT_MO ? 0.1 : 0.0;
}

void recipe_target_clear(struct recipe_target *target)
{
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        target->mg_l[e] = target->weight[e] = NAN;
    target->n_nh4_max_mg_l = NAN;
}

/* ------------------------------------------------------------------------ checks */

static void check_targets(const struct recipe_target *target, struct fault *fault)
{
    bool any = false;
    char at[32];

    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        double mg_l = target->mg_l[e], weight = target->weight[e];

        snprintf(at, sizeof at, "/target_mg_l/%s", element_key[e]);
        if (!isnan(mg_l) && mg_l != 0.0 && !(mg_l >= MG_L_LEAST && mg_l <= MG_L_MOST))
            fault_add(fault, FAULT_INPUT, at, "must be 0, or from %g to %g mg/L, was %g", MG_L_LEAST, MG_L_MOST, mg_l);
        snprintf(at, sizeof at, "/weights/%s", element_key[e]);
        if (!isnan(weight) && !(weight >= 0.0 && weight <= 1000.0))
            fault_add(fault, FAULT_INPUT, at, "must be from 0 to 1000, was %g", weight);
        weight = isnan(weight) ? recipe_default_weight((enum element)e) : weight;
        any = any || (mg_l > 0.0 && weight > 0.0);
    }
    if (!isnan(target->n_nh4_max_mg_l) && !(target->n_nh4_max_mg_l >= 0.0 && target->n_nh4_max_mg_l <= MG_L_MOST))
        fault_add(fault, FAULT_INPUT, "/target_mg_l/n_nh4_max", "must be from 0 to %g mg/L, was %g", MG_L_MOST, target->n_nh4_max_mg_l);
    if (!any)
        fault_add(fault, FAULT_INPUT, "/target_mg_l", "must aim at one element at least");
}

static bool holds_anything(const struct salt *salt)
{
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        if (salt->atoms[e] > 0.0)
            return true;
    return false;
}

static bool is_same(const struct salt *a, const struct salt *b)
{
    return a == b || (a->id[0] && strcmp(a->id, b->id) == 0);
}

static void check_salts(const struct recipe_request *request, struct fault *fault)
{
    char at[48];

    if (request->count < 1 || request->count > RECIPE_SALTS) {
        fault_add(fault, FAULT_INPUT, "/salts", "must be 1 to %d salts, were %zu", RECIPE_SALTS, request->count);
        return;
    }
    for (size_t j = 0; j < request->count; j++) {
        const struct recipe_salt *given = &request->salt[j];

        snprintf(at, sizeof at, "/salts/%zu", j);
        if (!given->salt || !(given->salt->molar_mass_g_mol > 0.0) || !holds_anything(given->salt)) {
            fault_add(fault, FAULT_INPUT, at, "holds none of the elements that a recipe counts");
            continue;
        }
        for (size_t k = 0; k < j; k++)
            if (request->salt[k].salt && is_same(request->salt[k].salt, given->salt))
                fault_add(fault, FAULT_INPUT, at, "is given twice");
        snprintf(at, sizeof at, "/salts/%zu/max_g", j);
        if (!isnan(given->max_g) && !(given->max_g >= 0.0))
            fault_add(fault, FAULT_INPUT, at, "must be 0 g or more, was %g", given->max_g);
    }
}

static void check_water(const struct source_water *water, struct fault *fault)
{
    const struct {
        const char *at;
        double mg_l;
    } fields[] = {
        {"/water/ca_mg_l", water->ca_mg_l},   {"/water/mg_mg_l", water->mg_mg_l},   {"/water/na_mg_l", water->na_mg_l},
        {"/water/k_mg_l", water->k_mg_l},     {"/water/nh4_mg_l", water->nh4_mg_l}, {"/water/cl_mg_l", water->cl_mg_l},
        {"/water/so4_mg_l", water->so4_mg_l}, {"/water/no3_mg_l", water->no3_mg_l}, {"/water/po4_mg_l", water->po4_mg_l},
        {"/water/si_mg_l", water->si_mg_l},   {"/water/b_mg_l", water->b_mg_l},
    };

    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (!(fields[i].mg_l >= 0.0 && fields[i].mg_l <= MG_L_MOST))
            fault_add(fault, FAULT_INPUT, fields[i].at, "must be from 0 to %g mg/L, was %g", MG_L_MOST, fields[i].mg_l);
}

static void check_volume(const struct recipe_request *request, struct fault *fault)
{
    if (!(request->volume_l >= 0.1 && request->volume_l <= 1e6))
        fault_add(fault, FAULT_INPUT, "/volume_l", "must be from 0.1 to 1000000 L, was %g", request->volume_l);
}

static int check(const struct recipe_request *request, struct fault *fault)
{
    struct fault found = {0};
    double step = request->scale_step_g;

    check_volume(request, &found);
    if (!isnan(step) && step != 0.0 && !(step >= 0.001 && step <= 1000.0))
        fault_add(&found, FAULT_INPUT, "/scale_step_g", "must be from 0.001 to 1000 g, or 0 for no rounding, was %g", step);
    check_targets(&request->target, &found);
    check_salts(request, &found);
    if (request->water)
        check_water(request->water, &found);
    return found.code == FAULT_NONE ? 0 : fault_under(fault, "", &found);
}

/* -------------------------------------------------------------------------- rows */

void recipe_water_elements(const struct source_water *water, double mg_l[ELEMENT_NUTRIENTS], double *n_nh4_mg_l)
{
    double n_nh4 = 0.0;

    memset(mg_l, 0, ELEMENT_NUTRIENTS * sizeof *mg_l);
    if (water) {
        n_nh4 = water->nh4_mg_l * element_mass_g_mol[ELEMENT_N] / ion_mass_g_mol[ION_NH4];
        mg_l[ELEMENT_N] = n_nh4 + water->no3_mg_l * element_mass_g_mol[ELEMENT_N] / ion_mass_g_mol[ION_NO3];
        mg_l[ELEMENT_P] = water->po4_mg_l * element_mass_g_mol[ELEMENT_P] / ion_mass_g_mol[ION_PO4];
        mg_l[ELEMENT_S] = water->so4_mg_l * element_mass_g_mol[ELEMENT_S] / ion_mass_g_mol[ION_SO4];
        mg_l[ELEMENT_CA] = water->ca_mg_l;
        mg_l[ELEMENT_MG] = water->mg_mg_l;
        mg_l[ELEMENT_K] = water->k_mg_l;
        mg_l[ELEMENT_NA] = water->na_mg_l;
        mg_l[ELEMENT_CL] = water->cl_mg_l;
        mg_l[ELEMENT_SI] = water->si_mg_l;
        mg_l[ELEMENT_B] = water->b_mg_l;
    }
    if (n_nh4_mg_l)
        *n_nh4_mg_l = n_nh4;
}

double recipe_mg_l_per_g(const struct recipe_rows *rows, const struct salt *salt, enum element element)
{
    return salt->atoms[element] > 0.0 ? 10.0 * salts_element_percent(salt, element) / rows->request->volume_l : 0.0;
}

double recipe_nh4_mg_l_per_g(const struct recipe_rows *rows, const struct salt *salt)
{
    return 10.0 * salts_ammonium_n_percent(salt) / rows->request->volume_l;
}

void recipe_column(const struct recipe_rows *rows, const struct salt *salt, double column[NNLS_ROWS])
{
    for (size_t i = 0; i < rows->problem.rows; i++)
        column[i] = rows->factor[i] * (rows->element[i] == ROW_AMMONIUM ? recipe_nh4_mg_l_per_g(rows, salt)
                                                                        : recipe_mg_l_per_g(rows, salt, (enum element)rows->element[i]));
}

double recipe_deviation(const struct recipe_rows *rows, const double residual[NNLS_ROWS])
{
    double sum = 0.0;

    for (size_t i = 0; i < rows->problem.rows; i++)
        if (rows->element[i] != ROW_AMMONIUM)
            sum += residual[i] * residual[i];
    return 100.0 * sqrt(sum / rows->weight_sum);
}

static void add_row(struct recipe_rows *rows, int element, double factor, double aim_mg_l)
{
    size_t i = rows->problem.rows++;

    rows->element[i] = element;
    rows->factor[i] = factor;
    rows->problem.b[i] = factor * aim_mg_l;
}

static void make_rows(struct recipe_rows *rows, const struct recipe_request *request)
{
    const struct recipe_target *target = &request->target;

    rows->request = request;
    rows->weight_sum = 0.0;
    rows->problem.rows = 0;
    rows->problem.columns = request->count;
    recipe_water_elements(request->water, rows->water_mg_l, &rows->water_nh4_mg_l);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        double mg_l = target->mg_l[e], counts_as = mg_l;

        rows->weight[e] = isnan(target->weight[e]) ? recipe_default_weight((enum element)e) : target->weight[e];
        if (isnan(mg_l) || rows->weight[e] == 0.0)
            continue;
        if (mg_l == 0.0)
            counts_as = is_trace((enum element)e) ? NONE_TRACE_MG_L : NONE_MAIN_MG_L;
        rows->weight_sum += rows->weight[e];
        add_row(rows, e, sqrt(rows->weight[e]) / counts_as, mg_l - rows->water_mg_l[e]);
    }
    for (size_t j = 0; j < request->count; j++) {
        double max_g = request->salt[j].max_g;

        recipe_column(rows, request->salt[j].salt, rows->problem.a[j]);
        rows->problem.upper[j] = isnan(max_g) ? HUGE_VAL : max_g;
    }
}

static double ammonium_mg_l(const struct recipe_rows *rows, const double *grams)
{
    double sum = rows->water_nh4_mg_l;

    for (size_t j = 0; j < rows->request->count; j++)
        sum += grams[j] * recipe_nh4_mg_l_per_g(rows, rows->request->salt[j].salt);
    return sum;
}

/* Solves; where the answer passes the limit on ammonium, again with that limit met: the problem is convex, so that a best
 * answer within the limit lies on it.
 */
static int solve(struct recipe_rows *rows, struct fault *fault)
{
    double most = rows->request->target.n_nh4_max_mg_l;

    if (nnls_solve(&rows->problem, &rows->solution, fault))
        return -1;
    if (isnan(most) || ammonium_mg_l(rows, rows->solution.x) <= most * (1.0 + 1e-9) + 1e-9)
        return 0;
    add_row(rows, ROW_AMMONIUM, AMMONIUM_FACTOR / fmax(most, 1.0), fmax(0.0, most - rows->water_nh4_mg_l));
    for (size_t j = 0; j < rows->request->count; j++)
        recipe_column(rows, rows->request->salt[j].salt, rows->problem.a[j]);
    return nnls_solve(&rows->problem, &rows->solution, fault);
}

/* ------------------------------------------------------------------- rounding */

/* Grams in steps of the scale, and what a step more of each changes. */
struct rounding {
    size_t n;
    long long steps[RECIPE_SALTS], most[RECIPE_SALTS];
    double products[RECIPE_SALTS][RECIPE_SALTS]; /* of the columns, a step each */
    double slope[RECIPE_SALTS];                  /* half the derivative of the squared residual by a step */
    double ammonium[RECIPE_SALTS], ammonium_left; /* mg/L a step; what is left to the limit */
};

static void round_begin(struct rounding *rounding, const struct recipe_rows *rows)
{
    const struct recipe_request *request = rows->request;
    const struct nnls *problem = &rows->problem;
    double step = request->scale_step_g, residual[NNLS_ROWS], grams[RECIPE_SALTS] = {0};

    rounding->n = request->count;
    memcpy(residual, problem->b, sizeof residual);
    for (size_t j = 0; j < rounding->n; j++) {
        double most = floor(problem->upper[j] / step * (1.0 + 1e-12)); /* 0.3 / 0.1 is a hair below 3 */

        rounding->most[j] = (long long)fmin(most, STEPS_MOST);
        rounding->steps[j] = llround(fmin(rows->solution.x[j] / step, STEPS_MOST));
        if (rounding->steps[j] > rounding->most[j])
            rounding->steps[j] = rounding->most[j];
        grams[j] = (double)rounding->steps[j] * step;
        rounding->ammonium[j] = step * recipe_nh4_mg_l_per_g(rows, request->salt[j].salt);
        for (size_t i = 0; i < problem->rows; i++)
            residual[i] -= problem->a[j][i] * grams[j];
    }
    rounding->ammonium_left = isnan(request->target.n_nh4_max_mg_l) ? HUGE_VAL
                                                                    : request->target.n_nh4_max_mg_l - ammonium_mg_l(rows, grams);
    for (size_t j = 0; j < rounding->n; j++) {
        rounding->slope[j] = 0.0;
        for (size_t i = 0; i < problem->rows; i++)
            rounding->slope[j] -= step * problem->a[j][i] * residual[i];
        for (size_t k = 0; k <= j; k++) {
            double sum = 0.0;

            for (size_t i = 0; i < problem->rows; i++)
                sum += problem->a[j][i] * problem->a[k][i];
            rounding->products[j][k] = rounding->products[k][j] = step * step * sum;
        }
    }
}

static void round_move(struct rounding *rounding, size_t j, int by)
{
    rounding->steps[j] += by;
    rounding->ammonium_left -= by * rounding->ammonium[j];
    for (size_t k = 0; k < rounding->n; k++)
        rounding->slope[k] += by * rounding->products[k][j];
}

static bool round_may(const struct rounding *rounding, size_t j, int by)
{
    return rounding->steps[j] + by >= 0 && rounding->steps[j] + by <= rounding->most[j];
}

/* A move must not pass the limit on ammonium, nor go further beyond it where rounding did already. */
static bool round_keeps_limit(const struct rounding *rounding, double ammonium)
{
    return ammonium <= 0.0 || ammonium <= rounding->ammonium_left + 1e-9;
}

/* The best step of one salt, or of two at once; false where none lowers the squared residual. */
static bool round_step(struct rounding *rounding)
{
    double best = -1e-15;
    size_t best_j = 0, best_k = 0;
    int best_a = 0, best_b = 0;

    for (size_t j = 0; j < rounding->n; j++)
        for (int a = -1; a <= 1; a += 2) {
            double alone = 2.0 * a * rounding->slope[j] + rounding->products[j][j];

            if (!round_may(rounding, j, a))
                continue;
            if (alone < best && round_keeps_limit(rounding, a * rounding->ammonium[j])) {
                best = alone;
                best_j = best_k = j;
                best_a = a;
                best_b = 0;
            }
            for (size_t k = 0; k < j; k++)
                for (int b = -1; b <= 1; b += 2) {
                    double both = alone + 2.0 * b * rounding->slope[k] + rounding->products[k][k] + 2.0 * a * b * rounding->products[j][k];

                    if (!(both < best) || !round_may(rounding, k, b) ||
                        !round_keeps_limit(rounding, a * rounding->ammonium[j] + b * rounding->ammonium[k]))
                        continue;
                    best = both;
                    best_j = j;
                    best_k = k;
                    best_a = a;
                    best_b = b;
                }
        }
    if (best_a == 0)
        return false;
    round_move(rounding, best_j, best_a);
    if (best_b)
        round_move(rounding, best_k, best_b);
    return true;
}

/* Grams as the scale shows them. */
static void round_grams(const struct recipe_rows *rows, double grams[RECIPE_SALTS])
{
    struct rounding rounding;
    double step = rows->request->scale_step_g;

    if (!(step > 0.0)) {
        memcpy(grams, rows->solution.x, rows->request->count * sizeof *grams);
        return;
    }
    round_begin(&rounding, rows);
    /* Nearest steps may lie beyond the limit on ammonium: back, by whatever salt has the largest share in it. */
    for (int moves = 0; moves < 10000 && rounding.ammonium_left < -1e-9; moves++) {
        size_t most = 0;

        for (size_t j = 1; j < rounding.n; j++)
            if (rounding.steps[j] > 0 && (rounding.steps[most] == 0 || rounding.ammonium[j] > rounding.ammonium[most]))
                most = j;
        if (rounding.steps[most] == 0 || rounding.ammonium[most] <= 0.0)
            break; /* the water alone is beyond it */
        round_move(&rounding, most, -1);
    }
    for (int moves = 0; moves < 200 && round_step(&rounding); moves++)
        ;
    for (size_t j = 0; j < rounding.n; j++)
        grams[j] = (double)rounding.steps[j] * step;
}

/* ------------------------------------------------------------------------ answer */

static void deliver(const struct recipe_rows *rows, const double *grams, double mg_l[ELEMENT_NUTRIENTS])
{
    memcpy(mg_l, rows->water_mg_l, sizeof rows->water_mg_l);
    for (size_t j = 0; j < rows->request->count; j++)
        if (grams[j] > 0.0)
            for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
                mg_l[e] += grams[j] * recipe_mg_l_per_g(rows, rows->request->salt[j].salt, (enum element)e);
}

static void tell_off(const double target[ELEMENT_NUTRIENTS], const double mg_l[ELEMENT_NUTRIENTS], double off[ELEMENT_NUTRIENTS])
{
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        off[e] = target[e] > 0.0 ? 100.0 * (mg_l[e] / target[e] - 1.0) : NAN;
}

static void tell(const struct recipe_rows *rows, const double *grams, struct recipe *recipe)
{
    const struct recipe_request *request = rows->request;
    const double *target = request->target.mg_l;
    double exact[ELEMENT_NUTRIENTS];

    *recipe = (struct recipe){.count = request->count};
    deliver(rows, rows->solution.x, exact);
    deliver(rows, grams, recipe->delivers_mg_l);
    tell_off(target, exact, recipe->off_exact_percent);
    tell_off(target, recipe->delivers_mg_l, recipe->off_percent);
    recipe->n_nh4_mg_l = ammonium_mg_l(rows, grams);
    recipe->n_no3_mg_l = rows->water_mg_l[ELEMENT_N] - rows->water_nh4_mg_l;
    for (size_t j = 0; j < request->count; j++) {
        const struct salt *salt = request->salt[j].salt;

        recipe->weigh[j].salt = salt;
        recipe->weigh[j].grams = grams[j];
        recipe->weigh[j].grams_exact = rows->solution.x[j];
        recipe->weigh[j].at_limit = rows->solution.place[j] == NNLS_AT_UPPER && rows->solution.gradient[j] > 0.0;
        recipe->salts_g_l += grams[j] / request->volume_l;
        recipe->n_no3_mg_l += 10.0 * grams[j] * salts_nitrate_n_percent(salt) / request->volume_l;
        recipe->n_other_mg_l += 10.0 * grams[j] * salts_other_n_percent(salt) / request->volume_l;
    }
}

int recipe_make(const struct recipe_request *request, struct recipe *recipe, struct fault *fault)
{
    struct recipe_rows rows;
    double grams[RECIPE_SALTS];

    if (check(request, fault))
        return -1;
    make_rows(&rows, request);
    if (solve(&rows, fault))
        return -1;
    round_grams(&rows, grams);
    tell(&rows, grams, recipe);
    recipe_explain(&rows, recipe);
    return 0;
}

int recipe_deliver(const struct recipe_request *request, const double *grams, double mg_l[ELEMENT_NUTRIENTS], double *n_nh4_mg_l,
                   struct fault *fault)
{
    struct recipe_rows rows = {.request = request};
    struct fault found = {0};

    check_volume(request, &found);
    check_salts(request, &found);
    if (request->water)
        check_water(request->water, &found);
    for (size_t j = 0; found.code == FAULT_NONE && j < request->count; j++)
        if (!(grams[j] >= 0.0 && grams[j] <= GRAMS_MOST))
            fault_add(&found, FAULT_INPUT, "/salts", "salt %zu must be 0 g or more, was %g", j, grams[j]);
    if (found.code != FAULT_NONE)
        return fault_under(fault, "", &found);
    recipe_water_elements(request->water, rows.water_mg_l, &rows.water_nh4_mg_l);
    deliver(&rows, grams, mg_l);
    if (n_nh4_mg_l)
        *n_nh4_mg_l = ammonium_mg_l(&rows, grams);
    return 0;
}
