/* Random input, the same on every run, to the public functions of geometry and recipe: whatever is given, a call either answers
 * with finite numbers that keep its promises, or refuses with a reason and a pointer and leaves its answer untouched.
 *
 * Numbers are of four kinds: plausible, at and just beyond the bounds, of any size, and no numbers at all. The seed and the
 * count can be given: calc_fuzz [SEED [COUNT]].
 */
#include "calc/dilute.h"
#include "calc/label.h"
#include "calc/lid.h"
#include "calc/nnls.h"
#include "calc/recipe.h"
#include "calc/units.h"
#include "calc/vessel.h"

#include <float.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static unsigned long long seed = 20260501, state;
static long trial, answered[8], refused[8];

/* ---------------------------------------------------------------------- chance */

static unsigned long long chance(void)
{
    unsigned long long z = state += 0x9E3779B97F4A7C15u; /* splitmix64 */

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

static double uniform(double low, double high)
{
    return low + (high - low) * (double)(chance() >> 11) / 9007199254740992.0;
}

static size_t below(size_t count)
{
    return (size_t)(chance() % count);
}

/* A number that should be from low to high: mostly is. */
static double number(double low, double high)
{
    static const double odd[] = {0.0, -0.0, 1.0, -1.0, DBL_MIN, DBL_TRUE_MIN, DBL_MAX, -DBL_MAX, DBL_EPSILON, 1e300, 1e-300, 4503599627370497.5};

    switch (below(40)) {
    case 0: return NAN;
    case 1: return chance() & 1 ? HUGE_VAL : -HUGE_VAL;
    case 2: return odd[below(COUNT(odd))];
    case 3: return low;
    case 4: return high;
    case 5: return nextafter(low, -HUGE_VAL);
    case 6: return nextafter(high, HUGE_VAL);
    case 7: return ldexp(uniform(-1, 1), (int)below(2000) - 1000);
    default: return uniform(low, high);
    }
}

/* The same from a narrow range, with fewer odd ones: so that most of what is made of many numbers is accepted. */
static double plain(double low, double high)
{
    return below(30) ? uniform(low, high) : number(low, high);
}

/* ---------------------------------------------------------------------- judging */

static void wrong(const char *where, const char *format, ...)
{
    va_list given;

    printf("calc_fuzz: %s, trial %ld of seed %llu: ", where, trial, seed);
    va_start(given, format);
    vprintf(format, given);
    va_end(given);
    printf("\n");
    exit(EXIT_FAILURE);
}

static void finite_all(const char *where, const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i]))
            wrong(where, "number %zu of the answer is %g", i, values[i]);
}

/* A refusal names its faults; an answer leaves none. Returns whether it was an answer. */
static bool judged(int kind, const char *where, int status, const struct fault *fault)
{
    if (status == 0 && fault->count == 0) {
        answered[kind]++;
        return true;
    }
    if (status == 0)
        wrong(where, "answered, with a fault: %s", fault->item[0].detail);
    if (status != -1 || fault->code == FAULT_NONE || fault->count == 0)
        wrong(where, "status %d, code %d, %zu faults", status, (int)fault->code, fault->count);
    for (size_t i = 0; i < fault->count; i++)
        if (!fault->item[i].detail[0] || (fault->item[i].at[0] && fault->item[i].at[0] != '/'))
            wrong(where, "\"%s\": \"%s\"", fault->item[i].at, fault->item[i].detail);
    refused[kind]++;
    return false;
}

/* ---------------------------------------------------------------------- subjects */

static void fuzz_units(void)
{
    enum unit from = (enum unit)below(UNIT_COUNT), to = (enum unit)below(UNIT_COUNT);
    struct fault fault = {0};
    double value = number(-1e6, 1e6), there = 7, back = 7;

    if (!judged(0, "units", units_convert(value, from, to, &there, &fault), &fault)) {
        if (there != 7)
            wrong("units", "refused and yet answered");
        return;
    }
    finite_all("units", &there, 1);
    if (units_convert(there, to, from, &back, 0) == 0 && fabs(back - value) > 1e-9 * (fabs(value) + 600))
        wrong("units", "%.17g %s came back as %.17g", value, unit_key[from], back);
}

static struct vessel any_vessel(struct vessel_point *points)
{
    struct vessel vessel = {.shape = (enum vessel_shape)below(3)};

    if (below(100) == 0)
        vessel.shape = (enum vessel_shape)below(9);
    for (int i = 0; i < 2; i++) {
        vessel.floor_mm[i] = plain(5, 900);
        vessel.rim_mm[i] = plain(5, 900);
    }
    vessel.height_mm = plain(5, 900);
    vessel.corner_mm = below(3) ? 0 : plain(0, 100);
    if (vessel.shape != VESSEL_POURED)
        return vessel;
    vessel.points = below(50) ? points : 0;
    vessel.point_count = below(50) ? 2 + below(9) : below(100);
    if (vessel.point_count > VESSEL_POINTS)
        vessel.points = points; /* never read: the count is refused */
    for (size_t i = 0; i < vessel.point_count && i < VESSEL_POINTS; i++) {
        points[i].waterline_mm = (i ? points[i - 1].waterline_mm : 0) + (below(60) ? uniform(0, 90) : number(0, 90));
        points[i].volume_l = (i ? points[i - 1].volume_l : 0) + (below(60) ? uniform(0, 9) : number(0, 9));
    }
    vessel.height_mm = below(2) ? NAN : plain(300, 1200);
    return vessel;
}

static void fuzz_vessel(void)
{
    struct vessel_point points[VESSEL_POINTS];
    struct vessel vessel = any_vessel(points);
    struct vessel_cups cups = {below(20), plain(5, 120), plain(5, 120), plain(5, 120), plain(0, 1)};
    struct vessel_level level = {.volume_l = 7}, found = {0};
    struct vessel_start start = {.volume_l = 7};
    struct fault fault = {0};
    double height = vessel_check(&vessel, 0) ? 100 : vessel_height_mm(&vessel);
    double waterline = plain(0, height), solution_l = 7, waterline_back = 7;

    if (judged(1, "vessel", vessel_at_waterline(&vessel, waterline, &level, &fault), &fault)) {
        finite_all("vessel", (const double *)&level, sizeof level / sizeof(double));
        if (level.volume_l < 0 || level.volume_l > level.brim_l * (1 + 1e-12) || level.surface_cm2 < 0)
            wrong("vessel", "%g L of %g, %g cm2", level.volume_l, level.brim_l, level.surface_cm2);
        if (vessel_at_volume(&vessel, level.volume_l, &found, &fault))
            wrong("vessel", "%.17g mm are %.17g L, and those are refused: %s", waterline, level.volume_l, fault.item[0].detail);
        /* Where the curve is flat, a waterline has no digits: there the volume must come back. */
        if (fabs(found.waterline_mm - waterline) > 1e-5 * height) {
            vessel_at_waterline(&vessel, found.waterline_mm, &found, 0);
            if (fabs(found.volume_l - level.volume_l) > 1e-9 * level.brim_l)
                wrong("vessel", "%.17g mm came back as %.17g", waterline, found.waterline_mm);
        }
    } else if (level.volume_l != 7) {
        wrong("vessel", "refused and yet answered");
    }
    fault = (struct fault){0};
    if (judged(1, "start", vessel_start(&vessel, &cups, &start, &fault), &fault)) {
        finite_all("start", (const double *)&start, sizeof start / sizeof(double));
        if (start.solution_l < 0 || start.solution_l > start.volume_l || start.displaced_l < 0)
            wrong("start", "%g L of %g", start.solution_l, start.volume_l);
        if (vessel_solution_l(&vessel, &cups, start.waterline_mm, &solution_l, 0) || fabs(solution_l - start.solution_l) > 1e-9 * start.brim_l)
            wrong("start", "%g L, and %g L", start.solution_l, solution_l);
        if (vessel_solution_waterline_mm(&vessel, &cups, solution_l, &waterline_back, &fault))
            wrong("start", "%.17g L are refused: %s", solution_l, fault.item[0].detail);
        finite_all("start", &waterline_back, 1);
    } else if (start.volume_l != 7) {
        wrong("start", "refused and yet answered");
    }
}

static void fuzz_lid(void)
{
    static struct lid_layout layout, turned;
    static struct lid_mark marks[LID_CUPS];
    struct lid lid = {{plain(20, 1200), plain(20, 900)}, below(3) ? 0 : plain(0, 300), plain(5, 120), plain(0, 60), plain(60, 300),
                      (enum lid_pattern)below(LID_PATTERNS)};
    struct fault fault = {0};

    if (below(100) == 0)
        lid.pattern = (enum lid_pattern)below(9);
    layout.count = 7;
    if (!judged(2, "lid", lid_lay_out(&lid, &layout, &fault), &fault)) {
        if (layout.count != 7)
            wrong("lid", "refused and yet answered");
        return;
    }
    if (layout.count < 1 || layout.count > LID_CUPS || layout.least_web_mm < -1e-6)
        wrong("lid", "%zu cups, web %g", layout.count, layout.least_web_mm);
    if (layout.count > 1 && layout.least_spacing_mm < lid.spacing_mm - 1e-6)
        wrong("lid", "%g mm apart, not %g", layout.least_spacing_mm, lid.spacing_mm);
    for (size_t i = 0; i < layout.count; i++)
        if (!(layout.cup[i].x_mm >= 0 && layout.cup[i].x_mm <= lid.lid_mm[0] && layout.cup[i].y_mm >= 0 && layout.cup[i].y_mm <= lid.lid_mm[1]))
            wrong("lid", "a cup at %g, %g", layout.cup[i].x_mm, layout.cup[i].y_mm);
    lid_underside(&lid, &layout, &turned);
    lid_drilling_list(&turned, marks);
    for (size_t i = 0; i < turned.count; i++)
        if (marks[i].cup < 1 || marks[i].cup > turned.count || !isfinite(marks[i].to_next_mm))
            wrong("lid", "mark %zu is cup %zu", i, marks[i].cup);
}

static struct label any_label(void)
{
    struct label label;

    label_clear(&label);
    for (size_t i = 0, items = below(8); i < items; i++)
        label.percent[below(LABEL_ITEMS)] = plain(0, 20);
    return label;
}

static void fuzz_label(void)
{
    struct label label = any_label();
    double percent[ELEMENT_COUNT] = {-7}, sum = 0;
    struct fault fault = {0};
    struct salt salt;

    if (!judged(3, "label", label_elements(&label, percent, &fault), &fault)) {
        if (percent[0] != -7)
            wrong("label", "refused and yet answered");
        return;
    }
    finite_all("label", percent, ELEMENT_COUNT);
    for (int e = 0; e < ELEMENT_COUNT; e++) {
        if (percent[e] < 0)
            wrong("label", "%g %% of %s", percent[e], element_key[e]);
        sum += percent[e];
    }
    if (!(sum > 0 && sum <= 100.0001))
        wrong("label", "%g %% in all", sum);
    if (label_salt(&label, "fuzz", &salt, 0))
        wrong("label", "elements yes, salt no");
    finite_all("label", salt.atoms, ELEMENT_COUNT);
    finite_all("label", salt.ions, ION_COUNT);
}

static void fuzz_nnls(void)
{
    struct nnls problem = {.rows = below(60) ? 1 + below(NNLS_ROWS) : below(40), .columns = below(60) ? 1 + below(NNLS_COLUMNS) : below(40)};
    struct nnls_solution solution = {.norm = 7};
    struct fault fault = {0};
    bool odd = below(4) == 0;
    double b_square = 0;

    for (size_t j = 0; j < NNLS_COLUMNS; j++) {
        double scale = below(3) ? 1 : pow(10, uniform(-100, 100));

        for (size_t i = 0; i < NNLS_ROWS; i++)
            problem.a[j][i] = below(3) == 0 ? 0 : odd && below(100) == 0 ? number(-1, 1) : scale * uniform(-1, 1);
        problem.upper[j] = below(2) ? HUGE_VAL : below(40) ? fabs(number(0, 1)) : number(0, 1);
    }
    for (size_t i = 0; i < NNLS_ROWS; i++)
        problem.b[i] = odd ? number(-1, 1) : uniform(-1, 1);
    if (!judged(4, "nnls", nnls_solve(&problem, &solution, &fault), &fault)) {
        if (solution.norm != 7)
            wrong("nnls", "refused and yet answered");
        return;
    }
    finite_all("nnls", solution.residual, problem.rows);
    finite_all("nnls", &solution.norm, 1);
    for (size_t i = 0; i < problem.rows; i++)
        b_square += problem.b[i] * problem.b[i];
    if (solution.norm > sqrt(b_square) * (1 + 1e-9))
        wrong("nnls", "residual %g of %g: nothing would have been better", solution.norm, sqrt(b_square));
    for (size_t j = 0; j < problem.columns; j++)
        if (!(solution.x[j] >= 0 && solution.x[j] <= problem.upper[j] && isfinite(solution.x[j])))
            wrong("nnls", "x[%zu] is %g of %g", j, solution.x[j], problem.upper[j]);
}

static void any_request(struct recipe_request *request, struct source_water *water, struct salt *bags)
{
    double *fields[] = {&water->ca_mg_l, &water->mg_mg_l, &water->na_mg_l, &water->k_mg_l, &water->nh4_mg_l, &water->cl_mg_l,
                        &water->so4_mg_l, &water->no3_mg_l, &water->po4_mg_l, &water->si_mg_l, &water->b_mg_l};

    *request = (struct recipe_request){.volume_l = plain(0.1, 2000), .scale_step_g = below(3) ? 0.1 : below(2) ? 0 : plain(0.001, 10)};
    recipe_target_clear(&request->target);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        if (below(3))
            request->target.mg_l[e] = e < ELEMENT_FE ? plain(0, 250) : plain(0, 3);
        if (below(6) == 0)
            request->target.weight[e] = plain(0, 10);
    }
    if (below(3) == 0)
        request->target.n_nh4_max_mg_l = plain(0, 40);
    for (size_t i = 0; i < COUNT(fields); i++)
        *fields[i] = below(200) ? uniform(0, 100) : number(0, 100);
    request->water = below(2) ? water : 0;
    request->count = below(80) ? 1 + below(RECIPE_SALTS) : below(40);
    for (size_t j = 0; j < RECIPE_SALTS; j++) {
        struct label label = any_label();

        request->salt[j].max_g = below(3) ? NAN : plain(0, 100);
        request->salt[j].salt = below(200) ? &salts[(j * 2 + below(2)) % salts_count] : below(2) ? 0 : &salts[below(salts_count)];
        if (below(4) == 0 && label_salt(&label, "bag", &bags[j], 0) == 0)
            request->salt[j].salt = &bags[j];
    }
}

static void judge_recipe(const struct recipe_request *request, const struct recipe *recipe)
{
    double step = request->scale_step_g;
    char text[200];

    finite_all("recipe", recipe->delivers_mg_l, ELEMENT_NUTRIENTS);
    finite_all("recipe", (double[]){recipe->n_no3_mg_l, recipe->n_nh4_mg_l, recipe->n_other_mg_l, recipe->deviation, recipe->mend_deviation,
                                    recipe->mend_grams, recipe->salts_g_l}, 7);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        bool aimed = request->target.mg_l[e] > 0;

        if (isnan(recipe->off_percent[e]) == aimed || isnan(recipe->off_exact_percent[e]) == aimed)
            wrong("recipe", "%s is off by %g", element_key[e], recipe->off_percent[e]);
    }
    for (size_t j = 0; j < recipe->count; j++) {
        double grams = recipe->weigh[j].grams, most = isnan(request->salt[j].max_g) ? HUGE_VAL : request->salt[j].max_g;

        if (!(grams >= 0 && isfinite(grams) && grams <= most * (1 + 1e-9)) || !(recipe->weigh[j].grams_exact >= 0))
            wrong("recipe", "salt %zu: %g g of %g, exactly %g", j, grams, most, recipe->weigh[j].grams_exact);
        if (step > 0 && fabs(grams / step - round(grams / step)) > 1e-6 * fmax(1, grams / step * 1e-9))
            wrong("recipe", "%.17g g are no steps of %.17g", grams, step);
    }
    if (recipe->short_count > ELEMENT_NUTRIENTS)
        wrong("recipe", "%zu short", recipe->short_count);
    for (size_t i = 0; i < recipe->short_count; i++) {
        const struct recipe_short *item = &recipe->shorts[i];

        if (!(fabs(item->off_percent) > RECIPE_OFF_PERCENT) || (int)item->why < 0 || item->why >= RECIPE_WHYS)
            wrong("recipe", "%s is short by %g", element_key[item->element], item->off_percent);
        if (!strstr(recipe_short_text(item, text, sizeof text), item->off_percent < 0 ? "short" : "over"))
            wrong("recipe", "\"%s\" for %g", text, item->off_percent);
    }
}

static void fuzz_recipe(void)
{
    static struct salt bags[RECIPE_SALTS];
    struct recipe_request request;
    struct source_water water = {.ph = 7};
    struct recipe recipe = {.deviation = -7};
    struct fault fault = {0};
    double grams[RECIPE_SALTS], mg_l[ELEMENT_NUTRIENTS] = {-7}, nh4 = -7;

    any_request(&request, &water, bags);
    if (judged(5, "recipe", recipe_make(&request, &recipe, &fault), &fault))
        judge_recipe(&request, &recipe);
    else if (recipe.deviation != -7)
        wrong("recipe", "refused and yet answered");
    for (size_t j = 0; j < RECIPE_SALTS; j++)
        grams[j] = plain(0, 100);
    fault = (struct fault){0};
    if (judged(6, "deliver", recipe_deliver(&request, grams, mg_l, &nh4, &fault), &fault)) {
        finite_all("deliver", mg_l, ELEMENT_NUTRIENTS);
        finite_all("deliver", &nh4, 1);
        if (nh4 > mg_l[ELEMENT_N] * (1 + 1e-9) + 1e-9)
            wrong("deliver", "%g mg/L ammonium of %g", nh4, mg_l[ELEMENT_N]);
    } else if (mg_l[0] != -7 || nh4 != -7) {
        wrong("deliver", "refused and yet answered");
    }
}

/* A tank's life of twelve entries; the balance of volumes must close after each. */
static void fuzz_dilute(void)
{
    struct dilute_tank tank = {0};
    struct dilute_left left;
    double mg_l[ELEMENT_NUTRIENTS], low[ELEMENT_NUTRIENTS], high[ELEMENT_NUTRIENTS], taken[ELEMENT_NUTRIENTS], each[ELEMENT_NUTRIENTS], add_l = -7;
    struct fault fault = {0};

    for (int entry = 0; entry < 12; entry++) {
        struct dilute_tank before = tank;
        double volume_l = plain(0, 100);
        int status;

        for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
            mg_l[e] = below(300) ? uniform(0, 250) : number(0, 250);
            low[e] = below(300) ? uniform(0, 100) : number(0, 100);
            high[e] = below(4) ? low[e] + uniform(0, 100) : NAN;
        }
        fault = (struct fault){0};
        switch (below(4)) {
        case 0: status = entry ? dilute_add(&tank, volume_l, mg_l, &fault) : dilute_fill(&tank, volume_l, mg_l, &fault); break;
        case 1: status = dilute_pour_out(&tank, volume_l / 2, &fault); break;
        default: status = dilute_level(&tank, volume_l, &fault);
        }
        if (!judged(7, "dilute", status, &fault) && memcmp(&before, &tank, sizeof tank) != 0)
            wrong("dilute", "refused and yet changed");
        if (fabs(tank.put_in_l + tank.gained_l - tank.drunk_l - tank.volume_l) > 1e-6 * (1 + tank.put_in_l + tank.gained_l))
            wrong("dilute", "%g in, %g gained, %g drunk, %g there", tank.put_in_l, tank.gained_l, tank.drunk_l, tank.volume_l);
        fault = (struct fault){0};
        if (!judged(7, "dilute", dilute_left(&tank, low, high, &left, &fault), &fault))
            continue;
        if (tank.volume_l > 0)
            for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
                if (!(left.low_mg_l[e] >= 0 && left.low_mg_l[e] <= left.high_mg_l[e]) ||
                    !(left.least_taken_mg[e] <= left.most_taken_mg[e] && left.most_taken_mg[e] <= tank.put_in_mg[e]))
                    wrong("dilute", "%s left from %g to %g", element_key[e], left.low_mg_l[e], left.high_mg_l[e]);
        if (dilute_taken(&tank, mg_l, taken, each, 0) == 0)
            for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
                if (isnan(taken[e]) != isnan(mg_l[e]))
                    wrong("dilute", "took %g", taken[e]);
        if (dilute_water_for(volume_l, mg_l[0], mg_l[1], mg_l[2], &add_l, 0) == 0 && !(add_l >= 0 && isfinite(add_l)))
            wrong("dilute", "add %g L", add_l);
    }
}

int main(int argc, char **argv)
{
    static void (*const subjects[])(void) = {fuzz_units, fuzz_vessel, fuzz_lid, fuzz_label, fuzz_nnls, fuzz_recipe, fuzz_dilute};
    static const char *const names[] = {"units", "vessel", "lid", "label", "nnls", "recipe", "deliver", "dilute"};
    long count = argc > 2 ? atol(argv[2]) : 4000;

    if (argc > 1)
        seed = strtoull(argv[1], 0, 10);
    state = seed;
    for (trial = 0; trial < count; trial++)
        for (size_t i = 0; i < COUNT(subjects); i++)
            subjects[i]();
    for (size_t i = 0; i < COUNT(names); i++) {
        printf("%s: %ld answered, %ld refused\n", names[i], answered[i], refused[i]);
        /* A test that only ever sees one of both shows nothing. */
        if (count >= 1000 && (answered[i] < count / 10 || refused[i] == 0))
            wrong(names[i], "too one-sided");
    }
    printf("%zu passed, 0 failed\n", COUNT(names)); /* wrong() ends it otherwise */
    return EXIT_SUCCESS;
}
