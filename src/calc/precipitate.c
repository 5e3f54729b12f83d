/* precipitate.c - equilibrium with four minerals: which of them are there, and how much of each.
 *
 * Each mineral that is present must be at saturation, each that is not must be at or below it. The amounts are found by
 * Newton on the saturation indices of a working set, which a mineral joins when its index is above 0 and leaves when its amount
 * would fall below 0. (Both together are the optimality conditions of one convex problem, so there is one answer.)
 */
#include "calc/precipitate.h"
#include "calc/solution_data.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *const precipitate_verdict_text[3] = {"clear", "may slowly cloud", "will fall out"};

#define NEVER 1e9

static const struct {
    double may_cloud, falls_out;
} thresholds[MINERAL_COUNT] = {
    [MINERAL_GYPSUM] = {0.0, 0.1},
    [MINERAL_CALCITE] = {0.5, 1.0},
    [MINERAL_BRUSHITE] = {0.45, 0.75},
    [MINERAL_STRUVITE] = {0.1, 0.5},
    [MINERAL_HYDROXYAPATITE] = {NEVER, NEVER},
    [MINERAL_MONETITE] = {NEVER, NEVER},
    [MINERAL_OCTACALCIUM_PHOSPHATE] = {NEVER, NEVER},
    [MINERAL_NEWBERYITE] = {NEVER, NEVER},
    [MINERAL_ARCANITE] = {NEVER, NEVER}, /* solubility tables judge the salts themselves */
    [MINERAL_NITER] = {NEVER, NEVER},
};

enum precipitate_verdict precipitate_judge(enum solution_mineral mineral, double saturation)
{
    if (saturation > thresholds[mineral].falls_out)
        return PRECIPITATE_FALLS_OUT;
    return saturation > thresholds[mineral].may_cloud ? PRECIPITATE_MAY_CLOUD : PRECIPITATE_NONE;
}

double precipitate_threshold(enum solution_mineral mineral)
{
    return thresholds[mineral].may_cloud;
}

enum precipitate_verdict precipitate_worst(const struct solution *solved, enum solution_mineral *mineral)
{
    double least = NEVER;

    *mineral = MINERAL_GYPSUM;
    for (int i = 0; i < MINERAL_COUNT; i++) {
        double margin = thresholds[i].may_cloud - solved->saturation[i];

        if (solved->saturation[i] != SATURATION_ABSENT && margin < least) {
            least = margin;
            *mineral = (enum solution_mineral)i;
        }
    }
    return precipitate_judge(*mineral, solved->saturation[*mineral]);
}

/* ----------------------------------------------------------------------- equilibrium */

/* What a mole of each mineral takes along. */
static const struct taken {
    enum solution_mineral mineral;
    double molar_mass_g_mol;
    int parts;
    enum ion part[3];
    double alkalinity;
} taken[PRECIPITATE_MINERALS] = {
    {MINERAL_GYPSUM, 172.164, 2, {ION_CA, ION_SO4}, 0.0},
    {MINERAL_BRUSHITE, 172.086, 2, {ION_CA, ION_PO4}, 1.0},
    {MINERAL_CALCITE, 100.086, 2, {ION_CA, ION_C}, 2.0},
    {MINERAL_STRUVITE, 245.405, 3, {ION_MG, ION_NH4, ION_PO4}, 2.0},
};

static struct solution_input without(const struct solution_input *given, const double mmol_l[PRECIPITATE_MINERALS])
{
    struct solution_input left = *given;

    for (int k = 0; k < PRECIPITATE_MINERALS; k++) {
        for (int i = 0; i < taken[k].parts; i++)
            left.total_mmol_l[taken[k].part[i]] -= mmol_l[k];
        left.alkalinity_mmol_l -= taken[k].alkalinity * mmol_l[k];
    }
    /* an open tank is given its carbonate by the air */
    left.total_mmol_l[ION_C] = fmax(left.total_mmol_l[ION_C], 0.0);
    return left;
}

static int saturations(const struct solution_input *given, const double mmol_l[PRECIPITATE_MINERALS], struct solution *solved,
                       double saturation[PRECIPITATE_MINERALS], struct fault *fault)
{
    struct solution_input left = without(given, mmol_l);

    if (solution_solve_without_ec(&left, solved, fault))
        return -1;
    for (int k = 0; k < PRECIPITATE_MINERALS; k++)
        saturation[k] = solved->saturation[taken[k].mineral];
    return 0;
}

/* The least of what a mineral is made of, with these amounts gone. */
static double available(const struct solution_input *given, const double mmol_l[PRECIPITATE_MINERALS], int k)
{
    struct solution_input left = without(given, mmol_l);
    double least = INFINITY;

    for (int i = 0; i < taken[k].parts; i++)
        if (!(taken[k].part[i] == ION_C && given->gas == SOLUTION_OPEN_AIR))
            least = fmin(least, left.total_mmol_l[taken[k].part[i]]);
    return least;
}

/* Solves the small system for the step of the working set, by elimination with pivoting. */
static void small_solve(double a[PRECIPITATE_MINERALS][PRECIPITATE_MINERALS + 1], int n)
{
    for (int c = 0; c < n; c++) {
        int pivot = c;

        for (int r = c + 1; r < n; r++)
            if (fabs(a[r][c]) > fabs(a[pivot][c]))
                pivot = r;
        for (int k = 0; k <= n && pivot != c; k++) {
            double swap = a[c][k];

            a[c][k] = a[pivot][k];
            a[pivot][k] = swap;
        }
        if (fabs(a[c][c]) < 1e-12)
            a[c][c] = a[c][c] < 0.0 ? -1e-12 : 1e-12;
        for (int r = 0; r < n; r++) {
            double times = a[r][c] / a[c][c];

            for (int k = c; k <= n && r != c; k++)
                a[r][k] -= times * a[c][k];
        }
    }
    for (int r = 0; r < n; r++)
        a[r][n] /= a[r][r];
}

/* The largest share of a step that leaves a tenth of every total it draws on. */
static double share_within_reach(const struct solution_input *given, const double mmol_l[], const double step[])
{
    double share = 1.0;
    struct solution_input now = without(given, mmol_l), draw = {.temperature_c = 0.0};

    for (int k = 0; k < PRECIPITATE_MINERALS; k++)
        for (int i = 0; i < taken[k].parts; i++)
            draw.total_mmol_l[taken[k].part[i]] += step[k];
    for (int i = 0; i < ION_TOTALS; i++)
        if (draw.total_mmol_l[i] > 0.0 && !(i == ION_C && given->gas == SOLUTION_OPEN_AIR))
            share = fmin(share, 0.9 * now.total_mmol_l[i] / draw.total_mmol_l[i]);
    return share;
}

static double worst_breach(const double mmol_l[], const double saturation[])
{
    double worst = 0.0;

    for (int k = 0; k < PRECIPITATE_MINERALS; k++)
        if (saturation[k] != SATURATION_ABSENT)
            worst = fmax(worst, mmol_l[k] > 0.0 ? fabs(saturation[k]) : saturation[k]);
    return worst;
}

/* How the indices of the set move with its amounts: slope[r][c], per mmol/L. */
static int slopes(const struct solution_input *given, const double mmol_l[PRECIPITATE_MINERALS],
                  const double saturation[PRECIPITATE_MINERALS], double slope[PRECIPITATE_MINERALS][PRECIPITATE_MINERALS],
                  struct fault *fault)
{
    for (int c = 0; c < PRECIPITATE_MINERALS; c++) {
        double nudged[PRECIPITATE_MINERALS], there[PRECIPITATE_MINERALS], by = 1e-4 * available(given, mmol_l, c);
        struct solution solved;

        if (saturation[c] == SATURATION_ABSENT || (mmol_l[c] == 0.0 && saturation[c] <= 0.0))
            continue;
        memcpy(nudged, mmol_l, sizeof nudged);
        nudged[c] += by;
        if (saturations(given, nudged, &solved, there, fault))
            return -1;
        for (int r = 0; r < PRECIPITATE_MINERALS; r++)
            slope[r][c] = (there[r] - saturation[r]) / by;
    }
    return 0;
}

/* The Newton step of the working set. A mineral that is not there yet and would be taken from leaves the set. */
static int newton_step(const struct solution_input *given, const double mmol_l[PRECIPITATE_MINERALS],
                       const double saturation[PRECIPITATE_MINERALS], double step[PRECIPITATE_MINERALS], struct fault *fault)
{
    double slope[PRECIPITATE_MINERALS][PRECIPITATE_MINERALS] = {{0}};
    bool left[PRECIPITATE_MINERALS] = {false}, again = true;

    if (slopes(given, mmol_l, saturation, slope, fault))
        return -1;
    while (again) {
        double a[PRECIPITATE_MINERALS][PRECIPITATE_MINERALS + 1] = {{0}};
        int set[PRECIPITATE_MINERALS], n = 0;

        for (int k = 0; k < PRECIPITATE_MINERALS; k++) {
            step[k] = 0.0;
            if (saturation[k] != SATURATION_ABSENT && (mmol_l[k] > 0.0 || saturation[k] > 0.0) && !left[k])
                set[n++] = k;
        }
        for (int r = 0; r < n; r++) {
            for (int c = 0; c < n; c++)
                a[r][c] = slope[set[r]][set[c]];
            a[r][n] = -saturation[set[r]];
        }
        small_solve(a, n);
        again = false;
        for (int r = 0; r < n; r++) {
            step[set[r]] = a[r][n];
            if (mmol_l[set[r]] == 0.0 && a[r][n] < 0.0)
                again = left[set[r]] = true;
        }
    }
    return 0;
}

static double along(const double saturation[PRECIPITATE_MINERALS], const double step[PRECIPITATE_MINERALS])
{
    double sum = 0.0;

    for (int k = 0; k < PRECIPITATE_MINERALS; k++)
        if (step[k] != 0.0)
            sum += saturation[k] * step[k];
    return sum;
}

/* Goes along the step, cut so that no amount falls below 0, nothing is used up, and the indices along it do not turn from
 * too high to far too low: they are the falling slopes of a function with one summit.
 */
static int improve(const struct solution_input *given, double mmol_l[PRECIPITATE_MINERALS],
                   double saturation[PRECIPITATE_MINERALS], struct solution *solved, struct fault *fault)
{
    double step[PRECIPITATE_MINERALS], share, rise, before[PRECIPITATE_MINERALS];

    if (newton_step(given, mmol_l, saturation, step, fault))
        return -1;
    rise = along(saturation, step);
    if (rise < 0.0) /* rounding in a matrix of nearly used up totals: go up the slope itself */
        for (int k = 0; k < PRECIPITATE_MINERALS; k++)
            step[k] = step[k] != 0.0 ? 0.1 * saturation[k] * available(given, mmol_l, k) : 0.0;
    rise = along(saturation, step);
    share = share_within_reach(given, mmol_l, step);
    for (int k = 0; k < PRECIPITATE_MINERALS; k++)
        if (step[k] < 0.0)
            share = fmin(share, -mmol_l[k] / step[k]);
    memcpy(before, mmol_l, sizeof before);
    for (int cut = 0; cut < 30; cut++) {
        double rise_there;

        for (int k = 0; k < PRECIPITATE_MINERALS; k++) {
            mmol_l[k] = before[k] + share * step[k];
            if (mmol_l[k] <= 1e-9 * before[k])
                mmol_l[k] = 0.0; /* it has all gone back into solution */
        }
        if (saturations(given, mmol_l, solved, saturation, fault))
            return -1;
        rise_there = along(saturation, step);
        if (rise_there >= -0.5 * rise)
            break;
        share *= fmax(0.1, rise / (rise - rise_there));
    }
    return 0;
}

static int settle(const struct solution_input *given, double mmol_l[PRECIPITATE_MINERALS], struct solution *after,
                  struct fault *fault)
{
    double saturation[PRECIPITATE_MINERALS];

    if (saturations(given, mmol_l, after, saturation, fault))
        return -1;
    for (int round = 0; round < 100; round++) {
        if (worst_breach(mmol_l, saturation) <= 1e-5)
            return 0;
        if (improve(given, mmol_l, saturation, after, fault))
            return -1;
    }
    return fault_add(fault, FAULT_INPUT, "", "the minerals of this solution came to no rest; please report it");
}

int precipitate_equilibrium(const struct solution_input *given, struct precipitate *precipitate, struct fault *fault)
{
    struct precipitate answer;
    double mmol_l[PRECIPITATE_MINERALS] = {0};
    struct solution_input left;

    memset(&answer, 0, sizeof answer);
    if (solution_solve(given, &answer.before, fault) || settle(given, mmol_l, &answer.after, fault))
        return -1;
    left = without(given, mmol_l);
    if (solution_solve(&left, &answer.after, fault))
        return -1;
    for (int k = 0; k < PRECIPITATE_MINERALS; k++) {
        struct precipitate_item *item = &answer.item[k];

        item->mineral = taken[k].mineral;
        item->saturation = answer.before.saturation[taken[k].mineral];
        item->verdict = precipitate_judge(taken[k].mineral, item->saturation);
        item->mmol_l = mmol_l[k];
        item->g_l = mmol_l[k] * taken[k].molar_mass_g_mol / 1000.0;
        answer.g_l += item->g_l;
        for (int i = 0; i < taken[k].parts; i++) {
            enum element element = ion_element[taken[k].part[i]];

            answer.lost_mg_l[element] += mmol_l[k] * element_mass_g_mol[element];
        }
    }
    for (int e = 0; e < ELEMENT_COUNT; e++)
        if (given->elements_mg_l[e] > 0.0)
            answer.lost_percent[e] = 100.0 * answer.lost_mg_l[e] / given->elements_mg_l[e];
    *precipitate = answer;
    return 0;
}

/* --------------------------------------------------------------------- for a person */

static const struct {
    enum element element;
    const char *name;
} told[] = {
    {ELEMENT_CA, "calcium"}, {ELEMENT_P, "phosphorus"}, {ELEMENT_S, "sulfur"}, {ELEMENT_MG, "magnesium"}, {ELEMENT_N, "nitrogen"},
};

static const char *const mineral_name[PRECIPITATE_MINERALS] = {"gypsum", "calcium phosphate (brushite)", "lime (calcite)",
                                                               "magnesium ammonium phosphate (struvite)"};

/* Appends; what does not fit is cut. */
static void append(char *text, size_t size, const char *more)
{
    size_t used = strlen(text);

    snprintf(text + used, size - used, "%s", more);
}

const char *precipitate_sentence(const struct precipitate *precipitate, double volume_l, char *text, size_t size)
{
    double lost_mg_l[ELEMENT_COUNT] = {0};
    enum precipitate_verdict worst = PRECIPITATE_NONE;
    char piece[96];
    int items = 0;

    text[0] = '\0';
    for (int k = 0; k < PRECIPITATE_MINERALS; k++) {
        const struct precipitate_item *item = &precipitate->item[k];
        double grams = item->g_l * volume_l;

        if (item->verdict == PRECIPITATE_NONE || grams < 0.0005)
            continue;
        worst = item->verdict > worst ? item->verdict : worst;
        snprintf(piece, sizeof piece, "%s%.*f g of %s", items++ ? " and " : "up to ",
                 grams < 0.1    ? 3
                 : grams < 10.0 ? 1
                                : 0,
                 grams, mineral_name[k]);
        append(text, size, piece);
        for (int i = 0; i < taken[k].parts; i++)
            lost_mg_l[ion_element[taken[k].part[i]]] += item->mmol_l * element_mass_g_mol[ion_element[taken[k].part[i]]];
    }
    if (!items)
        return text;
    append(text, size, worst == PRECIPITATE_FALLS_OUT ? " will fall out and take" : " may slowly cloud it and take");
    items = 0;
    for (size_t i = 0; i < sizeof told / sizeof *told; i++) {
        double held = precipitate->before.elements_mg_l[told[i].element];

        if (lost_mg_l[told[i].element] <= 0.005 * held || held <= 0.0)
            continue;
        snprintf(piece, sizeof piece, "%s %.0f %% of the %s", items++ ? "," : "", 100.0 * lost_mg_l[told[i].element] / held,
                 told[i].name);
        append(text, size, piece);
    }
    append(text, size, items ? " along" : " next to nothing along");
    return text;
}
