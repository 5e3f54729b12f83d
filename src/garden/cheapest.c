/* cheapest.c - the linear programme, solved by GLPK. */
#include "garden/cheapest.h"

#include <glpk.h>
#include <math.h>
#include <stdio.h>

#include "garden/shelf.h"
#include "garden/targets.h"
#include "garden/waters.h"

static bool main_element(int element)
{
    return element == ELEMENT_N || element == ELEMENT_P || element == ELEMENT_K || element == ELEMENT_CA || element == ELEMENT_MG;
}

/* Rows of the programme: elements aimed at, and the limit on ammonium. Columns: the salts, then, where the least tolerance
 * is asked for, the tolerance itself. */
struct programme {
    const struct cheapest_request *request;
    double water_mg_l[ELEMENT_NUTRIENTS], water_nh4_mg_l;
    glp_prob *problem;
    bool seeks_tolerance;
};

/* mg/L that a gram in the whole volume brings. */
static double brings(const struct programme *programme, int salt, int element)
{
    return 10.0 * salts_element_percent(programme->request->recipe.salt[salt].salt, (enum element)element) / programme->request->recipe.volume_l;
}

static double share_of(const struct programme *programme, int element)
{
    const struct cheapest_request *request = programme->request;

    return (main_element(element) ? request->tolerance_percent : request->other_tolerance_percent) / 100;
}

/* Fills a row with what the salts bring of an element, and the tolerance's column with `spread`; GLPK counts from 1. */
static void fill_row(struct programme *programme, int row, int element, bool ammonium, double spread)
{
    int index[RECIPE_SALTS + 2], count = 0;
    double value[RECIPE_SALTS + 2];

    for (int i = 0; i < (int)programme->request->recipe.count; i++) {
        double mg_l = ammonium ? 10.0 * salts_ammonium_n_percent(programme->request->recipe.salt[i].salt) / programme->request->recipe.volume_l
                               : brings(programme, i, element);

        if (mg_l != 0.0) {
            index[++count] = i + 1;
            value[count] = mg_l;
        }
    }
    if (programme->seeks_tolerance && spread != 0.0) {
        index[++count] = (int)programme->request->recipe.count + 1;
        value[count] = spread;
    }
    glp_set_mat_row(programme->problem, row, count, index, value);
}

static void bound_row(struct programme *programme, int row, double least, double most)
{
    if (isinf(most))
        glp_set_row_bnds(programme->problem, row, GLP_LO, least, 0);
    else if (isinf(least))
        glp_set_row_bnds(programme->problem, row, GLP_UP, 0, most);
    else
        glp_set_row_bnds(programme->problem, row, least < most ? GLP_DB : GLP_FX, least, most);
}

/* With a fixed tolerance one row holds both sides; where it is sought each side is a row of its own:
 *     salts + tolerance x share x target >= target - water,   salts - tolerance x share x target <= target - water */
static void add_element(struct programme *programme, int element)
{
    double target = programme->request->recipe.target.mg_l[element], wanted = target - programme->water_mg_l[element];
    double share = share_of(programme, element);
    int row = glp_add_rows(programme->problem, programme->seeks_tolerance ? 2 : 1);

    if (programme->seeks_tolerance) {
        fill_row(programme, row, element, false, share * target);
        bound_row(programme, row, wanted, INFINITY);
        fill_row(programme, row + 1, element, false, -share * target);
        bound_row(programme, row + 1, -INFINITY, wanted);
    } else {
        fill_row(programme, row, element, false, 0);
        bound_row(programme, row, wanted - share * target, wanted + share * target);
    }
}

static void build(struct programme *programme)
{
    const struct cheapest_request *request = programme->request;
    int count = (int)request->recipe.count;

    glp_set_obj_dir(programme->problem, GLP_MIN);
    glp_add_cols(programme->problem, count + programme->seeks_tolerance);
    for (int i = 0; i < count; i++) {
        double most = request->recipe.salt[i].max_g;

        if (isnan(most))
            glp_set_col_bnds(programme->problem, i + 1, GLP_LO, 0, 0);
        else
            glp_set_col_bnds(programme->problem, i + 1, most > 0 ? GLP_DB : GLP_FX, 0, most);
        glp_set_obj_coef(programme->problem, i + 1, programme->seeks_tolerance ? 0 : request->price_per_kg[i] / 1000);
    }
    if (programme->seeks_tolerance) { /* in units of the tolerances asked for */
        glp_set_col_bnds(programme->problem, count + 1, GLP_LO, 0, 0);
        glp_set_obj_coef(programme->problem, count + 1, 1);
    }
    for (int element = 0; element < ELEMENT_NUTRIENTS; element++)
        if (request->recipe.target.mg_l[element] > 0)
            add_element(programme, element);
    if (!isnan(request->recipe.target.n_nh4_max_mg_l)) {
        int row = glp_add_rows(programme->problem, 1);

        fill_row(programme, row, ELEMENT_N, true, 0);
        bound_row(programme, row, -INFINITY, request->recipe.target.n_nh4_max_mg_l - programme->water_nh4_mg_l);
    }
}

/* 1 solved, 0 no solution, -1 fault. */
static int solve(struct programme *programme, struct fault *fault)
{
    glp_smcp how;
    int failed;

    glp_term_out(GLP_OFF);
    programme->problem = glp_create_prob();
    build(programme);
    glp_scale_prob(programme->problem, GLP_SF_AUTO);
    glp_init_smcp(&how);
    how.msg_lev = GLP_MSG_OFF;
    how.it_lim = 10000; /* a hundred times what 16 columns take */
    failed = glp_simplex(programme->problem, &how);
    if (failed)
        return fault_add(fault, FAULT_MEMORY, "", "the cheapest recipe could not be worked out (%d)", failed);
    return glp_get_status(programme->problem) == GLP_OPT;
}

static void end(struct programme *programme)
{
    glp_delete_prob(programme->problem);
    programme->problem = NULL;
    glp_free_env(); /* of this thread */
}

static void tell(const struct programme *programme, struct cheapest *cheapest)
{
    const struct recipe_request *recipe = &programme->request->recipe;
    double step = isnan(recipe->scale_step_g) ? 0 : recipe->scale_step_g;

    for (int i = 0; i < (int)recipe->count; i++) {
        double exact = fmax(0, glp_get_col_prim(programme->problem, i + 1));

        cheapest->grams_exact[i] = exact;
        cheapest->grams[i] = step > 0 ? round(exact / step) * step : exact;
        cheapest->cost_exact += exact / 1000 * programme->request->price_per_kg[i];
        cheapest->cost += cheapest->grams[i] / 1000 * programme->request->price_per_kg[i];
    }
    for (int element = 0; element < ELEMENT_NUTRIENTS; element++) {
        double target = recipe->target.mg_l[element];

        cheapest->delivers_mg_l[element] = programme->water_mg_l[element];
        for (int i = 0; i < (int)recipe->count; i++)
            cheapest->delivers_mg_l[element] += brings(programme, i, element) * cheapest->grams[i];
        cheapest->off_percent[element] = target > 0 ? 100 * (cheapest->delivers_mg_l[element] / target - 1) : (double)NAN;
    }
}

static int check(const struct cheapest_request *request, struct fault *fault)
{
    struct recipe closest; /* asked for its checks of everything that is not money */
    int failed = recipe_make(&request->recipe, &closest, fault);

    if (!(request->tolerance_percent > 0 && request->tolerance_percent <= 100))
        failed = fault_add(fault, FAULT_INPUT, "/tolerance_percent", "must be above 0, at most 100");
    if (!(request->other_tolerance_percent > 0 && request->other_tolerance_percent <= 100))
        failed = fault_add(fault, FAULT_INPUT, "/other_tolerance_percent", "must be above 0, at most 100");
    for (size_t i = 0; i < request->recipe.count && i < RECIPE_SALTS; i++)
        if (!(request->price_per_kg[i] >= 0 && request->price_per_kg[i] < 1e9)) {
            char at[48];

            snprintf(at, sizeof at, "/salts/%zu/price_per_kg", i);
            failed = fault_add(fault, FAULT_INPUT, at, "needs a price, 0 or more");
        }
    return failed;
}

int cheapest_make(const struct cheapest_request *request, struct cheapest *cheapest, struct fault *fault)
{
    struct programme programme = {.request = request, .seeks_tolerance = true};
    struct cheapest found = {.feasible = false, .nearest_percent = NAN};
    int solved;

    if (check(request, fault))
        return -1;
    recipe_water_elements(request->recipe.water, programme.water_mg_l, &programme.water_nh4_mg_l);
    solved = solve(&programme, fault);
    if (solved == 1)
        found.nearest_percent = request->tolerance_percent * glp_get_col_prim(programme.problem, (int)request->recipe.count + 1);
    end(&programme);
    programme.seeks_tolerance = false;
    if (solved >= 0) {
        solved = solve(&programme, fault);
        found.feasible = solved == 1;
        if (found.feasible)
            tell(&programme, &found);
        end(&programme);
    }
    if (solved < 0)
        return -1;
    *cheapest = found;
    return 0;
}

/* ---- from the shelf ---- */

static bool moves_ph(const struct shelf_salt *salt)
{
    return (salt->hazards & (1u << HAZARD_ACID | 1u << HAZARD_ACID_MILD | 1u << HAZARD_ALKALI)) != 0;
}

static int add_salt(struct shelf_cheapest *found, struct cheapest_request *request, const struct shelf_salt *salt, const char *at,
                    struct fault *fault)
{
    size_t i = request->recipe.count;

    if (i == RECIPE_SALTS)
        return fault_add(fault, FAULT_INPUT, "/salts", "name at most %d salts; more have a price", RECIPE_SALTS);
    if (isnan(salt->price_per_kg))
        return fault_add(fault, FAULT_INPUT, at, "%s has no price; note one on the shelf", salt->name);
    request->recipe.salt[i] = (struct recipe_salt){&salt->salt, NAN};
    request->price_per_kg[i] = found->price_per_kg[i] = salt->price_per_kg;
    found->salt[i] = salt->id;
    found->name[i] = salt->name;
    found->count = ++request->recipe.count;
    return 0;
}

static int add_named(struct db *db, const struct shelf_ask *ask, struct shelf_cheapest *found, struct cheapest_request *request,
                     struct arena *arena, struct fault *fault)
{
    const char *const *id = ask->salts.item;

    for (size_t i = 0; i < ask->salts.count; i++) {
        struct shelf_salt *salt = arena_take(arena, sizeof *salt);
        char at[40];
        int there = salt ? shelf_salt_one(db, id[i], salt, arena, fault) : fault_add(fault, FAULT_MEMORY, "", "out of memory");

        snprintf(at, sizeof at, "/salts/%zu", i);
        if (there == 0)
            fault_add(fault, FAULT_INPUT, at, "there is no such salt on the shelf");
        if (there != 1 || add_salt(found, request, salt, at, fault))
            return -1;
    }
    return 0;
}

static int add_priced(struct db *db, struct shelf_cheapest *found, struct cheapest_request *request, struct arena *arena,
                      struct fault *fault)
{
    struct list shelf;
    const struct shelf_salt *salt;

    if (shelf_salts_in(db, &shelf, arena, fault))
        return -1;
    salt = shelf.item;
    for (size_t i = 0; i < shelf.count; i++)
        if (!isnan(salt[i].price_per_kg) && !moves_ph(&salt[i]) && add_salt(found, request, &salt[i], "/salts", fault))
            return -1;
    return found->count ? 0 : fault_add(fault, FAULT_INPUT, "/salts", "no salt on the shelf has a price");
}

static int find_names(struct db *db, const struct shelf_ask *ask, struct cheapest_request *request, struct source_water *water,
                      struct arena *arena, struct fault *fault)
{
    struct garden_target target;
    struct water_row row;
    int there = garden_target_one(db, ask->target, &target, arena, fault);

    if (there != 1)
        return there ? -1 : fault_add(fault, FAULT_INPUT, "/target", "there is no such target");
    for (int i = 0; i < ELEMENT_NUTRIENTS; i++)
        request->recipe.target.mg_l[i] = target.mg_l[i];
    request->recipe.target.n_nh4_max_mg_l = target.mg_l[TARGET_NH4_MAX];
    if (!ask->water)
        return 0;
    there = water_rows_one(db, ask->water, &row, arena, fault);
    if (there != 1)
        return there ? -1 : fault_add(fault, FAULT_INPUT, "/water", "there is no such water");
    *water = water_source(&row);
    request->recipe.water = water;
    return 0;
}

int shelf_cheapest(struct garden *garden, const struct shelf_ask *ask, struct shelf_cheapest *found, struct arena *arena, struct fault *fault)
{
    struct cheapest_request request = {.recipe = {.volume_l = ask->volume_l, .scale_step_g = ask->scale_step_g},
                                       .tolerance_percent = ask->tolerance_percent,
                                       .other_tolerance_percent = ask->other_tolerance_percent};
    struct source_water water;
    struct db *db = store_read(garden->store, fault);
    int failed;

    *found = (struct shelf_cheapest){.count = 0};
    recipe_target_clear(&request.recipe.target);
    failed = !db || find_names(db, ask, &request, &water, arena, fault) ||
             (ask->salts.count ? add_named(db, ask, found, &request, arena, fault) : add_priced(db, found, &request, arena, fault));
    store_done(garden->store, db);
    if (failed || cheapest_make(&request, &found->cheapest, fault) || recipe_make(&request.recipe, &found->closest, fault))
        return -1;
    for (size_t i = 0; i < found->count; i++)
        found->closest_cost += found->closest.weigh[i].grams / 1000 * found->price_per_kg[i];
    return 0;
}
