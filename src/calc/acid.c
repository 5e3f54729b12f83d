/* acid.c - the dose that reaches a wished pH. */
#include "calc/acid.h"
#include "calc/solution_data.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ----------------------------------------------------------------------- products */

#define DENSITY_POINTS 11

/* Densities at 20 C, kg/L, by mass percent. Source: handbook tables of aqueous solutions (CRC Handbook of Chemistry and
 * Physics), from memory; 67 % nitric, 75 % phosphoric, 35 and 93 % sulfuric as in fixtures/chemistry/acid-worked-examples.csv.
 */
static const struct product {
    double molar_mass_g_mol;
    enum element adds;
    double powder_above_percent;
    struct {
        double percent, kg_l;
    } density[DENSITY_POINTS];
} products[REAGENT_COUNT] = {
    [REAGENT_NITRIC] = {63.012, ELEMENT_N, 101,
                        {{0, 0.998}, {10, 1.054}, {20, 1.115}, {30, 1.180}, {40, 1.246}, {50, 1.310},
                         {60, 1.367}, {67, 1.400}, {70, 1.413}, {100, 1.513}}},
    [REAGENT_PHOSPHORIC] = {97.994, ELEMENT_P, 101,
                            {{0, 0.998}, {10, 1.053}, {20, 1.113}, {30, 1.180}, {40, 1.254}, {50, 1.335},
                             {60, 1.426}, {75, 1.580}, {85, 1.689}, {100, 1.864}}},
    [REAGENT_SULFURIC] = {98.072, ELEMENT_S, 101,
                          {{0, 0.998}, {10, 1.066}, {20, 1.139}, {35, 1.260}, {50, 1.395}, {60, 1.498},
                           {70, 1.611}, {80, 1.727}, {93, 1.832}, {98, 1.836}, {100, 1.831}}},
    [REAGENT_CITRIC] = {192.123, ELEMENT_C, 60,
                        {{0, 0.998}, {10, 1.039}, {20, 1.083}, {30, 1.131}, {40, 1.182}, {50, 1.236}, {60, 1.295}}},
    [REAGENT_POTASSIUM_HYDROXIDE] = {56.105, ELEMENT_K, 55,
                                     {{0, 0.998}, {10, 1.090}, {20, 1.186}, {30, 1.288}, {40, 1.396}, {50, 1.511}, {55, 1.570}}},
    [REAGENT_POTASSIUM_BICARBONATE] = {100.114, ELEMENT_K, 25, {{0, 0.998}, {10, 1.065}, {20, 1.137}, {25, 1.175}}},
};

double acid_molar_mass_g_mol(enum reagent reagent)
{
    return products[reagent].molar_mass_g_mol;
}

double acid_density_kg_l(enum reagent reagent, double strength_percent)
{
    const struct product *product = &products[reagent];

    if (!(strength_percent <= product->powder_above_percent))
        return 0.0;
    for (int i = 1; i < DENSITY_POINTS && product->density[i].kg_l > 0.0; i++) {
        double from = product->density[i - 1].percent, to = product->density[i].percent;

        if (strength_percent <= to)
            return product->density[i - 1].kg_l +
                   (strength_percent - from) / (to - from) * (product->density[i].kg_l - product->density[i - 1].kg_l);
    }
    return 0.0;
}

/* ----------------------------------------------------------------- leaflet's dose */

double acid_closed_form_mmol_l(enum reagent reagent, double alkalinity_mmol_l, double ph)
{
    double left = 1.0 / (1.0 + pow(10.0, 6.35 - ph)), protons;

    if (reagent == REAGENT_NITRIC)
        protons = 1.0;
    else if (reagent == REAGENT_SULFURIC)
        protons = 2.0;
    else if (reagent == REAGENT_PHOSPHORIC)
        protons = 1.0 + 1.0 / (1.0 + pow(10.0, 7.20 - ph));
    else
        return NAN;
    return fmax(alkalinity_mmol_l, 0.0) * (1.0 - left) / protons;
}

static void explain_closed_form(const struct acid_request *request, struct acid_dose *dose)
{
    double more;

    dose->closed_form_mmol_l = acid_closed_form_mmol_l(request->reagent, request->given.alkalinity_mmol_l, request->ph);
    if (isnan(dose->closed_form_mmol_l) || !dose->needed)
        return;
    more = 100.0 * (dose->closed_form_mmol_l / dose->mmol_l - 1.0);
    snprintf(dose->closed_form_why, sizeof dose->closed_form_why,
             "The leaflets' rule gives %.0f %% %s: it keeps a fixed %.0f %% of the alkalinity and leaves out the carbon dioxide that "
             "the water held before%s.",
             fabs(more), more >= 0.0 ? "more" : "less", 100.0 / (1.0 + pow(10.0, 6.35 - request->ph)),
             request->given.total_mmol_l[ION_PO4] > 0.0 ? ", its salts and the phosphate in it" : " and its salts");
}

/* ----------------------------------------------------------------------- the dose */

/* What is asked of every dose tried: how much alkalinity the wished pH needs beyond what the dosed litre has.
 * Falls through 0 at the right dose of a base, rises through 0 at that of an acid.
 */
static int shortfall(const struct acid_request *request, enum solution_gas gas, double mmol_l, double *meq_l, struct fault *fault)
{
    struct solution_input dosed = request->given;
    struct solution at_ph;

    dosed.gas = gas;
    if (solution_add_reagent(&dosed, request->reagent, mmol_l, fault) || solution_solve_at_ph(&dosed, request->ph, &at_ph, fault))
        return -1;
    *meq_l = at_ph.alkalinity_mmol_l + solution_citrate_meq_l(&at_ph) - dosed.alkalinity_mmol_l;
    return 0;
}

static bool is_base(enum reagent reagent)
{
    return reagent == REAGENT_POTASSIUM_HYDROXIDE || reagent == REAGENT_POTASSIUM_BICARBONATE;
}

/* *mmol_l: the dose; 0 where the pH is beyond the wish already; NAN where this reagent never gets there. */
static int find_dose(const struct acid_request *request, enum solution_gas gas, double *mmol_l, struct fault *fault)
{
    double sign = is_base(request->reagent) ? -1.0 : 1.0, low = 0.0, high, at_low, at_high, none;

    if (shortfall(request, gas, 0.0, &none, fault))
        return -1;
    at_low = sign * none;
    if (at_low >= 0.0) {
        *mmol_l = 0.0;
        return 0;
    }
    high = fmax(1e-6, fabs(none));
    for (;;) {
        struct fault beyond = {0};

        if (high > 3000.0 || shortfall(request, gas, high, &at_high, &beyond)) {
            *mmol_l = NAN; /* it only grows too strong */
            return 0;
        }
        at_high *= sign;
        if (at_high >= 0.0)
            break;
        low = high;
        at_low = at_high;
        high *= 2.0;
    }
    /* Regula falsi, the side that stays put halved (Illinois). */
    for (int round = 0, side = 0; round < 60 && high - low > 1e-10 * high; round++) {
        double next = (low * at_high - high * at_low) / (at_high - at_low), at_next;

        if (shortfall(request, gas, next, &at_next, fault))
            return -1;
        at_next *= sign;
        if (fabs(at_next) <= 1e-9 * fabs(none)) {
            low = high = next;
        } else if (at_next < 0.0) {
            low = next;
            at_low = at_next;
            at_high *= side == -1 ? 0.5 : 1.0;
            side = -1;
        } else {
            high = next;
            at_high = at_next;
            at_low *= side == 1 ? 0.5 : 1.0;
            side = 1;
        }
    }
    *mmol_l = 0.5 * (low + high);
    return 0;
}

/* ---------------------------------------------------------------------- cautions */

static void warn(struct acid_dose *dose, const char *text)
{
    if (dose->cautions < ACID_CAUTIONS)
        dose->caution[dose->cautions++] = text;
}

static void gather_cautions(const struct acid_request *request, struct acid_dose *dose)
{
    bool strong = !(request->reagent == REAGENT_CITRIC || request->reagent == REAGENT_POTASSIUM_BICARBONATE);

    if (!dose->needed)
        return;
    if (strong) {
        warn(dose, "Always pour the acid or lye into water, never water into it: it heats up and spits.");
        warn(dose, "Wear goggles and gloves that withstand it, keep water at hand to rinse skin or eyes for 15 minutes; work in "
                   "fresh air.");
        warn(dose,
             "Store it in its own bottle with its label, locked away from children, and apart from bleach, bases and metals.");
    } else {
        warn(dose, "Avoid the dust and splashes in the eyes; rinse with water.");
    }
    if (request->reagent == REAGENT_NITRIC)
        warn(dose, "Nitric acid oxidises: keep it away from wood, paper, sawdust and other organic matter. Its sale is "
                   "restricted in places: follow local law.");
    if (request->reagent == REAGENT_SULFURIC && request->strength_percent > 40.0)
        warn(dose, "Strong sulfuric acid heats water violently; dilute it before use, or buy it diluted. Its sale is restricted "
                   "in places: follow local law.");
    if (request->reagent == REAGENT_CITRIC)
        warn(dose, "Microbes eat citric acid: within days the pH climbs back and the water may turn cloudy. A stopgap, not for a "
                   "tank that stands for weeks.");
    warn(dose, "Add three quarters of the dose, stir, wait, measure, then go on in small steps: meter and water analysis each "
               "have their error.");
    if (isfinite(dose->ph_after_standing_open) && !is_base(request->reagent) && dose->ph_after_standing_open > request->ph + 0.3)
        warn(dose, "In an open tank the carbon dioxide that the acid set free escapes, and the pH climbs back: measure again "
                   "after a day.");
}

/* ------------------------------------------------------------------------- whole */

static int check(const struct acid_request *request, struct fault *fault)
{
    int bad = 0;

    if (!(request->ph >= 3.0 && request->ph <= 10.0))
        bad = fault_add(fault, FAULT_INPUT, "/ph", "must be from 3 to 10, was %g", request->ph);
    if (!(request->strength_percent >= 0.1 && request->strength_percent <= 100.0))
        bad = fault_add(fault, FAULT_INPUT, "/strength_percent", "must be from 0.1 to 100, was %g", request->strength_percent);
    if (!(request->volume_l > 0.0 && request->volume_l <= 1e6))
        bad = fault_add(fault, FAULT_INPUT, "/volume_l", "must be above 0 and at most 1000000, was %g", request->volume_l);
    if ((unsigned)request->reagent >= REAGENT_COUNT)
        bad = fault_add(fault, FAULT_INPUT, "/acid", "is no acid or base known here");
    return bad;
}

static void measure_out(const struct acid_request *request, double mmol_l, double density_kg_l, double *grams, double *ml)
{
    *grams =
        mmol_l / 1000.0 * request->volume_l * products[request->reagent].molar_mass_g_mol / (request->strength_percent / 100.0);
    *ml = density_kg_l > 0.0 ? *grams / density_kg_l : 0.0;
}

static void count_nutrient(const struct acid_request *request, struct acid_dose *dose)
{
    enum element adds = products[request->reagent].adds;

    if (adds != ELEMENT_C) /* the carbon of citric acid is no nutrient */
        dose->adds_mg_l[adds] = dose->mmol_l * element_mass_g_mol[adds];
}

int acid_dose(const struct acid_request *request, struct acid_dose *dose, struct fault *fault)
{
    struct acid_dose answer;
    struct solution_input closed = request->given, dosed;
    struct solution before, open;

    if (check(request, fault))
        return -1;
    memset(&answer, 0, sizeof answer);
    closed.gas = SOLUTION_CLOSED;
    if (solution_solve(&closed, &before, fault) || find_dose(request, SOLUTION_CLOSED, &answer.mmol_l, fault))
        return -1;
    if (isnan(answer.mmol_l))
        return fault_add(fault, FAULT_INPUT, "/ph", "%s cannot bring this water from pH %.1f to %.1f",
                         reagent_key[request->reagent], before.ph, request->ph);
    if (find_dose(request, SOLUTION_OPEN_AIR, &answer.open_mmol_l, fault))
        return -1;
    answer.needed = answer.mmol_l > 0.0;
    answer.ph_before = before.ph;
    answer.alkalinity_before_mmol_l = closed.alkalinity_mmol_l;

    dosed = closed;
    if (solution_add_reagent(&dosed, request->reagent, answer.mmol_l, fault) || solution_solve(&dosed, &answer.after, fault))
        return -1;
    dosed.gas = SOLUTION_OPEN_AIR;
    if (solution_solve(&dosed, &open, fault))
        return -1;
    answer.ph_after_standing_open = open.ph;
    answer.alkalinity_left_mmol_l = answer.after.alkalinity_mmol_l;
    if (closed.alkalinity_mmol_l > 0.0 && !is_base(request->reagent))
        answer.fraction_neutralised = 1.0 - answer.alkalinity_left_mmol_l / closed.alkalinity_mmol_l;

    answer.density_kg_l = acid_density_kg_l(request->reagent, request->strength_percent);
    measure_out(request, answer.mmol_l, answer.density_kg_l, &answer.grams, &answer.ml);
    measure_out(request, answer.open_mmol_l, answer.density_kg_l, &answer.open_grams, &answer.open_ml);
    explain_closed_form(request, &answer);
    if (isnan(answer.closed_form_mmol_l)) {
        answer.closed_form_ml = NAN;
    } else {
        double grams;

        measure_out(request, answer.closed_form_mmol_l, answer.density_kg_l, &grams, &answer.closed_form_ml);
    }
    count_nutrient(request, &answer);
    gather_cautions(request, &answer);
    *dose = answer;
    return 0;
}
