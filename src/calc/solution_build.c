/* solution_build.c - from water, salts, ions and acids to the totals of a litre. */
#include "calc/solution_data.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void solution_begin(struct solution_input *given, double temperature_c)
{
    memset(given, 0, sizeof *given);
    given->temperature_c = temperature_c;
    given->gas = SOLUTION_CLOSED;
    given->pco2_atm = PCO2_OUTDOOR_AIR_ATM;
}

/* The alkalinity that strong ions and salts of weak ones bring: what charge the ions themselves, as named in
 * ions.h, leave over once carbonate is set aside (bicarbonate counts one).
 */
static double alkalinity_of(const double ions[ION_COUNT])
{
    return ions[ION_C] + ions[ION_OH] - ions[ION_H];
}

static void add_totals(struct solution_input *given, const double mmol_l[ION_COUNT], double times)
{
    for (int i = 0; i < ION_TOTALS; i++)
        given->total_mmol_l[i] += times * mmol_l[i];
    given->alkalinity_mmol_l += times * alkalinity_of(mmol_l);
}

static void add_elements_of_ions(struct solution_input *given, const double mmol_l[ION_COUNT])
{
    for (int i = 0; i < ION_TOTALS; i++)
        given->elements_mg_l[ion_element[i]] += (i == ION_CITRATE ? 6.0 : 1.0) * mmol_l[i] * element_mass_g_mol[ion_element[i]];
}

/* The ions that a water's analysis lists, carbonate aside. */
static const struct {
    const char *at;
    size_t offset;
    enum ion ion;
} analysed[] = {
    {"/ca_mg_l", offsetof(struct source_water, ca_mg_l), ION_CA},
    {"/mg_mg_l", offsetof(struct source_water, mg_mg_l), ION_MG},
    {"/na_mg_l", offsetof(struct source_water, na_mg_l), ION_NA},
    {"/k_mg_l", offsetof(struct source_water, k_mg_l), ION_K},
    {"/nh4_mg_l", offsetof(struct source_water, nh4_mg_l), ION_NH4},
    {"/cl_mg_l", offsetof(struct source_water, cl_mg_l), ION_CL},
    {"/so4_mg_l", offsetof(struct source_water, so4_mg_l), ION_SO4},
    {"/no3_mg_l", offsetof(struct source_water, no3_mg_l), ION_NO3},
    {"/po4_mg_l", offsetof(struct source_water, po4_mg_l), ION_PO4},
    {"/si_mg_l", offsetof(struct source_water, si_mg_l), ION_SI},
    {"/b_mg_l", offsetof(struct source_water, b_mg_l), ION_B},
};

/* A deficit of alkalinity up to this is rounding of the analysis, and the pH is let go; ours. */
#define DEFICIT_FORGIVEN_MMOL_L 0.02

/* What water at 25 C takes up from pure carbon dioxide at one atmosphere (the reference's constant, 10^-1.468 mol/L): above it bubbles out. */
#define CO2_MOST_MMOL_L 34.0

int solution_add_water(struct solution_input *given, const struct source_water *water, double litres, struct fault *fault)
{
    struct solution_input alone;
    double mmol_l[ION_COUNT] = {0};
    bool bad = false;

    solution_begin(&alone, 25.0);
    for (size_t i = 0; i < sizeof analysed / sizeof *analysed; i++) {
        double mg_l;

        memcpy(&mg_l, (const char *)water + analysed[i].offset, sizeof mg_l);
        if (!(mg_l >= 0.0 && mg_l <= 10000.0)) {
            fault_add(fault, FAULT_INPUT, analysed[i].at, "must be from 0 to 10000 mg/L, was %g", mg_l);
            bad = true;
        }
        mmol_l[analysed[i].ion] = mg_l / ion_mass_g_mol[analysed[i].ion];
    }
    if (!(water->alkalinity_mg_caco3_l >= 0.0 && water->alkalinity_mg_caco3_l <= 10000.0)) {
        fault_add(fault, FAULT_INPUT, "/alkalinity_mg_caco3_l", "must be from 0 to 10000 mg/L, was %g",
                  water->alkalinity_mg_caco3_l);
        bad = true;
    }
    if (!(water->ph >= 3.0 && water->ph <= 11.0)) {
        fault_add(fault, FAULT_INPUT, "/ph", "must be from 3 to 11, was %g", water->ph);
        bad = true;
    }
    if (!(litres >= 0.0 && litres <= 1.0)) {
        fault_add(fault, FAULT_INPUT, "", "must be 0 to 1 litre of water in a litre of solution, was %g", litres);
        bad = true;
    }
    if (bad)
        return -1;

    add_totals(&alone, mmol_l, 1.0);
    alone.alkalinity_mmol_l = water->alkalinity_mg_caco3_l / CACO3_MG_PER_MEQ;
    if (solution_carbonate_at(&alone, water->ph, &mmol_l[ION_C], fault))
        return -1;
    if (mmol_l[ION_C] - alone.alkalinity_mmol_l > CO2_MOST_MMOL_L)
        return fault_add(fault, FAULT_INPUT, "/ph",
                         "pH %g with an alkalinity of %.3g mg/L would mean %.0f mmol/L of carbon dioxide, more than water holds open to the air: one "
                         "of the two is wrong", water->ph, water->alkalinity_mg_caco3_l, mmol_l[ION_C] - alone.alkalinity_mmol_l);
    if (mmol_l[ION_C] == 0.0) {
        struct solution imposed;

        if (solution_solve_at_ph(&alone, water->ph, &imposed, fault))
            return -1;
        if (fabs(imposed.alkalinity_mmol_l - alone.alkalinity_mmol_l) > DEFICIT_FORGIVEN_MMOL_L)
            return fault_add(
                fault, FAULT_INPUT, "/alkalinity_mg_caco3_l",
                "pH %g without any carbonate would mean an alkalinity of %.3g mg/L, not %.3g: one of the two is wrong", water->ph,
                imposed.alkalinity_mmol_l * CACO3_MG_PER_MEQ, water->alkalinity_mg_caco3_l);
    }
    for (int i = 0; i < ION_TOTALS; i++)
        given->total_mmol_l[i] += litres * mmol_l[i];
    given->alkalinity_mmol_l += litres * alone.alkalinity_mmol_l;
    for (int i = 0; i < ION_COUNT; i++)
        mmol_l[i] *= litres;
    add_elements_of_ions(given, mmol_l);
    return 0;
}

int solution_add_salt(struct solution_input *given, const struct salt *salt, double g_l, struct fault *fault)
{
    double formulas_mmol_l;

    if (!(g_l >= 0.0 && g_l <= 2000.0))
        return fault_add(fault, FAULT_INPUT, "/g_l", "must be from 0 to 2000 g/L, was %g", g_l);
    formulas_mmol_l = 1000.0 * g_l / salt->molar_mass_g_mol;
    add_totals(given, salt->ions, formulas_mmol_l);
    for (int e = 0; e < ELEMENT_COUNT; e++)
        given->elements_mg_l[e] += formulas_mmol_l * salt->atoms[e] * element_mass_g_mol[e];
    return 0;
}

int solution_add_ions(struct solution_input *given, const double mmol_l[ION_COUNT], struct fault *fault)
{
    double cations = 0.0, anions = 0.0, closed[ION_COUNT];
    bool bad = false;

    for (int i = 0; i < ION_COUNT; i++) {
        if (!(mmol_l[i] >= 0.0 && mmol_l[i] <= 10000.0)) {
            char at[40];

            snprintf(at, sizeof at, "/ions_mmol_l/%s", ion_key[i] ? ion_key[i] : "");
            fault_add(fault, FAULT_INPUT, at, "must be from 0 to 10000 mmol/L, was %g", mmol_l[i]);
            bad = true;
        }
        *(ion_charge[i] > 0 ? &cations : &anions) += mmol_l[i] * fabs((double)ion_charge[i]);
    }
    if (bad)
        return -1;
    if (fabs(cations - anions) > 0.001 * fmax(cations, anions))
        return fault_add(fault, FAULT_INPUT, "/ions_mmol_l",
                         "cations carry %.6g and anions %.6g meq/L: they must be equal within 0.1 %% (H or OH close the charge)",
                         cations, anions);
    memcpy(closed, mmol_l, sizeof closed);
    closed[ION_OH] += fmax(0.0, cations - anions);
    closed[ION_H] += fmax(0.0, anions - cations);
    add_totals(given, closed, 1.0);
    add_elements_of_ions(given, closed);
    return 0;
}

int solution_add_reagent(struct solution_input *given, enum reagent reagent, double mmol_l, struct fault *fault)
{
    static const struct {
        enum ion brings;
        int hydrogen, hydroxide;
        bool potassium;
    } what[REAGENT_COUNT] = {
        [REAGENT_NITRIC] = {ION_NO3, 1, 0, false},
        [REAGENT_PHOSPHORIC] = {ION_PO4, 1, 0, false},
        [REAGENT_SULFURIC] = {ION_SO4, 2, 0, false},
        [REAGENT_CITRIC] = {ION_CITRATE, 0, 0, false},
        [REAGENT_POTASSIUM_HYDROXIDE] = {ION_K, 0, 1, false},
        [REAGENT_POTASSIUM_BICARBONATE] = {ION_C, 0, 0, true},
    };
    double ions[ION_COUNT] = {0};

    if (!(mmol_l >= 0.0 && mmol_l <= 10000.0))
        return fault_add(fault, FAULT_INPUT, "/mmol_l", "must be from 0 to 10000 mmol/L, was %g", mmol_l);
    ions[what[reagent].brings] = mmol_l;
    ions[ION_H] = mmol_l * what[reagent].hydrogen;
    ions[ION_OH] = mmol_l * what[reagent].hydroxide;
    if (what[reagent].potassium)
        ions[ION_K] = mmol_l;
    add_totals(given, ions, 1.0);
    add_elements_of_ions(given, ions);
    return 0;
}

void solution_scale(struct solution_input *given, double factor)
{
    for (int i = 0; i < ION_TOTALS; i++)
        given->total_mmol_l[i] *= factor;
    for (int e = 0; e < ELEMENT_COUNT; e++)
        given->elements_mg_l[e] *= factor;
    given->alkalinity_mmol_l *= factor;
}
