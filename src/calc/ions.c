/* ions.c - the tables of ions.h. */
#include "calc/ions.h"

const char *const element_key[ELEMENT_COUNT] = {
    "n", "p", "k", "ca", "mg", "s", "fe", "mn", "zn", "b", "cu", "mo", "na", "cl", "si", "c", "h", "o",
};

const double element_mass_g_mol[ELEMENT_COUNT] = {
    [ELEMENT_N] = 14.007,  [ELEMENT_P] = 30.974,  [ELEMENT_K] = 39.098,  [ELEMENT_CA] = 40.078, [ELEMENT_MG] = 24.305,
    [ELEMENT_S] = 32.06,   [ELEMENT_FE] = 55.845, [ELEMENT_MN] = 54.938, [ELEMENT_ZN] = 65.38,  [ELEMENT_B] = 10.81,
    [ELEMENT_CU] = 63.546, [ELEMENT_MO] = 95.95,  [ELEMENT_NA] = 22.990, [ELEMENT_CL] = 35.45,  [ELEMENT_SI] = 28.085,
    [ELEMENT_C] = 12.011,  [ELEMENT_H] = 1.008,   [ELEMENT_O] = 15.999,
};

const char *const ion_key[ION_COUNT] = {
    "Ca", "Mg", "K", "Na", "NH4", "NO3", "Cl", "SO4", "PO4", "C", "B", "Si", 0, "H", "OH",
};

const int ion_charge[ION_COUNT] = {
    [ION_CA] = 2,   [ION_MG] = 2,   [ION_K] = 1,    [ION_NA] = 1, [ION_NH4] = 1, [ION_NO3] = -1,    [ION_CL] = -1, [ION_SO4] = -2,
    [ION_PO4] = -1, [ION_C] = -1,   [ION_B] = 0,    [ION_SI] = 0, [ION_CITRATE] = 0, [ION_H] = 1, [ION_OH] = -1,
};

const enum element ion_element[ION_TOTALS] = {
    [ION_CA] = ELEMENT_CA, [ION_MG] = ELEMENT_MG, [ION_K] = ELEMENT_K,   [ION_NA] = ELEMENT_NA, [ION_NH4] = ELEMENT_N,
    [ION_NO3] = ELEMENT_N, [ION_CL] = ELEMENT_CL, [ION_SO4] = ELEMENT_S, [ION_PO4] = ELEMENT_P, [ION_C] = ELEMENT_C,
    [ION_B] = ELEMENT_B,   [ION_SI] = ELEMENT_SI, [ION_CITRATE] = ELEMENT_C,
};

const double ion_mass_g_mol[ION_TOTALS] = {
    [ION_CA] = 40.078,  [ION_MG] = 24.305,  [ION_K] = 39.098, [ION_NA] = 22.990, [ION_NH4] = 18.039,
    [ION_NO3] = 62.004, [ION_CL] = 35.45,   [ION_SO4] = 96.056, [ION_PO4] = 94.970, [ION_C] = 61.016,
    [ION_B] = 10.81,    [ION_SI] = 28.085,  [ION_CITRATE] = 192.123,
};

const char *const reagent_key[REAGENT_COUNT] = {
    "nitric", "phosphoric", "sulfuric", "citric", "potassium-hydroxide", "potassium-bicarbonate",
};

const char *const element_name[ELEMENT_NUTRIENTS] = {
    "nitrogen", "phosphorus", "potassium", "calcium",    "magnesium", "sulfur",   "iron",    "manganese",
    "zinc",     "boron",      "copper",    "molybdenum", "sodium",    "chloride", "silicon",
};
