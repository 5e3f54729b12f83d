/* solution_data.c - species, minerals and water: the tables of the solution chemistry.
 *
 * Source, unless said otherwise: U.S. Geological Survey, Techniques and Methods 6-A43 (2013), database of release
 * 3.7.3 (2021), ammonium kept apart from nitrate; citrate from minteq.v4.dat of the same distribution. Row by row in
 * fixtures/chemistry/facts-aqueous.csv, facts-minerals.csv and facts-water.csv, which tests hold this file against.
 */
#include "calc/solution_data.h"

#include <math.h>

const struct species solution_species[SPECIES_COUNT] = {
    [SPECIES_H] = {"H+", 1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 9,
        .protons = 1,
        .dw25 = 9.31e-09, .dw_t = 1000, .dw_a = 0.46, .dw_a2 = 1e-10},
    [SPECIES_OH] = {"OH-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 3.5,
        .protons = -1, .waters = 1,
        .formed = true, .constant = {.analytic = true, .k = {293.29227, 0.1360833, -10576.913, -123.73158, 0, -6.996455e-05}},
        .dw25 = 5.27e-09, .dw_t = 548, .dw_a = 0.52, .dw_a2 = 1e-10},
    [SPECIES_CA] = {"Ca+2", 2, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5, .b = 0.165,
        .parts = 1, .part = {{ION_CA, 1}},
        .dw25 = 7.93e-10, .dw_t = 97, .dw_a = 3.4, .dw_a2 = 24.6},
    [SPECIES_MG] = {"Mg+2", 2, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.5, .b = 0.2,
        .parts = 1, .part = {{ION_MG, 1}},
        .dw25 = 7.05e-10, .dw_t = 111, .dw_a = 2.4, .dw_a2 = 13.7},
    [SPECIES_K] = {"K+", 1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 3.5, .b = 0.015,
        .parts = 1, .part = {{ION_K, 1}},
        .dw25 = 1.96e-09, .dw_t = 395, .dw_a = 2.5, .dw_a2 = 21},
    [SPECIES_NA] = {"Na+", 1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 4.08, .b = 0.082,
        .parts = 1, .part = {{ION_NA, 1}},
        .dw25 = 1.33e-09, .dw_t = 122, .dw_a = 1.52, .dw_a2 = 3.7},
    [SPECIES_NH4] = {"NH4+", 1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 2.5,
        .parts = 1, .part = {{ION_NH4, 1}},
        .dw25 = 1.98e-09, .dw_t = 312, .dw_a = 0.95, .dw_a2 = 4.53},
    [SPECIES_NH3] = {"NH3", 0, ACTIVITY_NEUTRAL,
        .parts = 1, .part = {{ION_NH4, 1}}, .protons = -1,
        .formed = true, .constant = {.analytic = true, .k = {0.6322, -0.001225, -2835.76, 0, 0, 0}}},
    [SPECIES_NO3] = {"NO3-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 3,
        .parts = 1, .part = {{ION_NO3, 1}},
        .dw25 = 1.9e-09, .dw_t = 184, .dw_a = 1.85, .dw_a2 = 3.85},
    [SPECIES_CL] = {"Cl-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 3.63, .b = 0.017,
        .parts = 1, .part = {{ION_CL, 1}},
        .dw25 = 2.03e-09, .dw_t = 194, .dw_a = 1.6, .dw_a2 = 6.9},
    [SPECIES_SO4] = {"SO4-2", -2, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5, .b = -0.04,
        .parts = 1, .part = {{ION_SO4, 1}},
        .dw25 = 1.07e-09, .dw_t = 34, .dw_a = 2.08, .dw_a2 = 13.4},
    [SPECIES_HSO4] = {"HSO4-", -1, ACTIVITY_DAVIES,
        .parts = 1, .part = {{ION_SO4, 1}}, .protons = 1,
        .formed = true, .constant = {.analytic = true, .k = {-56.889, 0.006473, 2307.9, 19.8858, 0, 0}},
        .dw25 = 1.33e-09, .dw_a = 1.6, .dw_a2 = 4.73},
    [SPECIES_PO4] = {"PO4-3", -3, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 4,
        .parts = 1, .part = {{ION_PO4, 1}}, .protons = -2,
        .dw25 = 6.12e-10, .dw_a = 1.6, .dw_a2 = 4.73},
    [SPECIES_HPO4] = {"HPO4-2", -2, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5,
        .parts = 1, .part = {{ION_PO4, 1}}, .protons = -1,
        .formed = true, .constant = {.log_k = 12.346, .enthalpy_kj = -14.7695},
        .dw25 = 6.9e-10, .dw_a = 1.6, .dw_a2 = 4.73},
    [SPECIES_H2PO4] = {"H2PO4-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 1, .part = {{ION_PO4, 1}},
        .formed = true, .constant = {.log_k = 19.553, .enthalpy_kj = -18.9117},
        .dw25 = 8.46e-10, .dw_a = 1.6, .dw_a2 = 4.73},
    [SPECIES_H3PO4] = {"H3PO4", 0, ACTIVITY_NEUTRAL,
        .parts = 1, .part = {{ION_PO4, 1}}, .protons = 1,
        .formed = true, .constant = {.log_k = 21.721, .enthalpy_kj = -10.1}},
    [SPECIES_CO3] = {"CO3-2", -2, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 1, .part = {{ION_C, 1}}, .protons = -2, .waters = 1,
        .dw25 = 9.55e-10, .dw_a = 1.12, .dw_a2 = 2.84},
    [SPECIES_HCO3] = {"HCO3-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 1, .part = {{ION_C, 1}}, .protons = -1, .waters = 1,
        .formed = true, .constant = {.analytic = true, .k = {107.8871, 0.03252849, -5151.79, -38.92561, 563713.9, 0}},
        .dw25 = 1.18e-09, .dw_a = 1.43, .dw_a2 = 1e-10},
    [SPECIES_CO2] = {"CO2", 0, ACTIVITY_NEUTRAL,
        .parts = 1, .part = {{ION_C, 1}},
        .formed = true, .constant = {.analytic = true, .k = {464.1965, 0.09344813, -26986.16, -165.75951, 2248628.9, 0}}},
    [SPECIES_CO2_DIMER] = {"(CO2)2", 0, ACTIVITY_NEUTRAL,
        .parts = 1, .part = {{ION_C, 2}},
        .formed = true, .constant = {.analytic = true, .k = {8.68, -0.0103, -2190.0, 0, 0, 0}}, .via = SPECIES_CO2, .via_count = 2},
    [SPECIES_H3BO3] = {"H3BO3", 0, ACTIVITY_NEUTRAL,
        .parts = 1, .part = {{ION_B, 1}}},
    [SPECIES_H2BO3] = {"H2BO3-", -1, ACTIVITY_DAVIES,
        .parts = 1, .part = {{ION_B, 1}}, .protons = -1,
        .formed = true, .constant = {.log_k = -9.24, .enthalpy_kj = 13.4892}},
    [SPECIES_H4SIO4] = {"H4SiO4", 0, ACTIVITY_NEUTRAL,
        .parts = 1, .part = {{ION_SI, 1}}},
    [SPECIES_H3SIO4] = {"H3SiO4-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 4,
        .parts = 1, .part = {{ION_SI, 1}}, .protons = -1,
        .formed = true, .constant = {.analytic = true, .k = {-302.3724, -0.050698, 15669.69, 108.18466, -1119669.0, 0}}},
    [SPECIES_H2SIO4] = {"H2SiO4-2", -2, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 1, .part = {{ION_SI, 1}}, .protons = -2,
        .formed = true, .constant = {.analytic = true, .k = {-294.0184, -0.07265, 11204.49, 108.18466, -1119669.0, 0}}},
    [SPECIES_CASO4] = {"CaSO4", 0, ACTIVITY_NEUTRAL,
        .parts = 2, .part = {{ION_CA, 1}, {ION_SO4, 1}},
        .formed = true, .constant = {.log_k = 2.25, .enthalpy_kj = 5.5438}},
    [SPECIES_CAHSO4] = {"CaHSO4+", 1, ACTIVITY_DAVIES,
        .parts = 2, .part = {{ION_CA, 1}, {ION_SO4, 1}}, .protons = 1,
        .formed = true, .constant = {.log_k = 1.08}, .via = SPECIES_HSO4, .via_count = 1},
    [SPECIES_MGSO4] = {"MgSO4", 0, ACTIVITY_NEUTRAL,
        .parts = 2, .part = {{ION_MG, 1}, {ION_SO4, 1}},
        .formed = true, .constant = {.log_k = 2.37, .enthalpy_kj = 19.0372}},
    [SPECIES_KSO4] = {"KSO4-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 2, .part = {{ION_K, 1}, {ION_SO4, 1}},
        .formed = true, .constant = {.analytic = true, .k = {3.106, 0, -673.6, 0, 0, 0}},
        .dw25 = 1.5e-09, .dw_a = 1e-10, .dw_a2 = 1e+10},
    [SPECIES_NASO4] = {"NaSO4-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 2, .part = {{ION_NA, 1}, {ION_SO4, 1}},
        .formed = true, .constant = {.log_k = 0.7, .enthalpy_kj = 4.6861},
        .dw25 = 1.33e-09, .dw_a = 0.57, .dw_a2 = 1e-10},
    [SPECIES_NH4SO4] = {"NH4SO4-", -1, ACTIVITY_DAVIES,
        .parts = 2, .part = {{ION_NH4, 1}, {ION_SO4, 1}},
        .formed = true, .constant = {.log_k = 1.11}},
    [SPECIES_CAHPO4] = {"CaHPO4", 0, ACTIVITY_NEUTRAL,
        .parts = 2, .part = {{ION_CA, 1}, {ION_PO4, 1}}, .protons = -1,
        .formed = true, .constant = {.log_k = 2.739, .enthalpy_kj = 13.8072}, .via = SPECIES_HPO4, .via_count = 1},
    [SPECIES_CAH2PO4] = {"CaH2PO4+", 1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 2, .part = {{ION_CA, 1}, {ION_PO4, 1}},
        .formed = true, .constant = {.log_k = 1.408, .enthalpy_kj = 14.2256}, .via = SPECIES_H2PO4, .via_count = 1},
    [SPECIES_CAPO4] = {"CaPO4-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 2, .part = {{ION_CA, 1}, {ION_PO4, 1}}, .protons = -2,
        .formed = true, .constant = {.log_k = 6.459, .enthalpy_kj = 12.9704}},
    [SPECIES_MGHPO4] = {"MgHPO4", 0, ACTIVITY_NEUTRAL,
        .parts = 2, .part = {{ION_MG, 1}, {ION_PO4, 1}}, .protons = -1,
        .formed = true, .constant = {.log_k = 2.87, .enthalpy_kj = 13.8072}, .via = SPECIES_HPO4, .via_count = 1},
    [SPECIES_MGH2PO4] = {"MgH2PO4+", 1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 2, .part = {{ION_MG, 1}, {ION_PO4, 1}},
        .formed = true, .constant = {.log_k = 1.513, .enthalpy_kj = 14.2256}, .via = SPECIES_H2PO4, .via_count = 1},
    [SPECIES_MGPO4] = {"MgPO4-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 2, .part = {{ION_MG, 1}, {ION_PO4, 1}}, .protons = -2,
        .formed = true, .constant = {.log_k = 6.589, .enthalpy_kj = 12.9704}},
    [SPECIES_KHPO4] = {"KHPO4-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 2, .part = {{ION_K, 1}, {ION_PO4, 1}}, .protons = -1,
        .formed = true, .constant = {.log_k = 0.29}, .via = SPECIES_HPO4, .via_count = 1},
    [SPECIES_NAHPO4] = {"NaHPO4-", -1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 5.4,
        .parts = 2, .part = {{ION_NA, 1}, {ION_PO4, 1}}, .protons = -1,
        .formed = true, .constant = {.log_k = 0.29}, .via = SPECIES_HPO4, .via_count = 1},
    [SPECIES_CAHCO3] = {"CaHCO3+", 1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 6,
        .parts = 2, .part = {{ION_CA, 1}, {ION_C, 1}}, .protons = -1, .waters = 1,
        .formed = true, .constant = {.analytic = true, .k = {1317.0071, 0.34546894, -39916.84, -517.70761, 563713.9, 0}},
        .dw25 = 5.06e-10, .dw_a = 1.6, .dw_a2 = 4.73},
    [SPECIES_CACO3] = {"CaCO3", 0, ACTIVITY_NEUTRAL,
        .parts = 2, .part = {{ION_CA, 1}, {ION_C, 1}}, .protons = -2, .waters = 1,
        .formed = true, .constant = {.analytic = true, .k = {-1228.732, -0.29944, 35512.75, 485.818, 0, 0}}},
    [SPECIES_MGHCO3] = {"MgHCO3+", 1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 4,
        .parts = 2, .part = {{ION_MG, 1}, {ION_C, 1}}, .protons = -1, .waters = 1,
        .formed = true, .constant = {.analytic = true, .k = {48.6721, 0.03252849, -2614.335, -18.00263, 563713.9, 0}},
        .dw25 = 4.78e-10, .dw_a = 1.6, .dw_a2 = 4.73},
    [SPECIES_MGCO3] = {"MgCO3", 0, ACTIVITY_NEUTRAL,
        .parts = 2, .part = {{ION_MG, 1}, {ION_C, 1}}, .protons = -2, .waters = 1,
        .formed = true, .constant = {.analytic = true, .k = {0.991, 0.00667, 0, 0, 0, 0}}},
    [SPECIES_NAHCO3] = {"NaHCO3", 0, ACTIVITY_NEUTRAL,
        .parts = 2, .part = {{ION_NA, 1}, {ION_C, 1}}, .protons = -1, .waters = 1,
        .formed = true, .constant = {.log_k = -0.25, .enthalpy_kj = -4.184}, .via = SPECIES_HCO3, .via_count = 1},
    [SPECIES_NACO3] = {"NaCO3-", -1, ACTIVITY_DAVIES,
        .parts = 2, .part = {{ION_NA, 1}, {ION_C, 1}}, .protons = -2, .waters = 1,
        .formed = true, .constant = {.log_k = 1.27, .enthalpy_kj = 37.2794},
        .dw25 = 1.2e-09, .dw_a = 1e-10, .dw_a2 = 1e-10},
    [SPECIES_CAOH] = {"CaOH+", 1, ACTIVITY_DAVIES,
        .parts = 1, .part = {{ION_CA, 1}}, .protons = -1, .waters = 1,
        .formed = true, .constant = {.log_k = -12.78}},
    [SPECIES_MGOH] = {"MgOH+", 1, ACTIVITY_TRUESDELL_JONES, .size_angstrom = 6.5,
        .parts = 1, .part = {{ION_MG, 1}}, .protons = -1, .waters = 1,
        .formed = true, .constant = {.log_k = -11.44, .enthalpy_kj = 66.7432}},
    [SPECIES_CIT] = {"Cit-3", -3, ACTIVITY_DAVIES,
        .parts = 1, .part = {{ION_CITRATE, 1}}, .protons = -3},
    [SPECIES_HCIT] = {"HCit-2", -2, ACTIVITY_DAVIES,
        .parts = 1, .part = {{ION_CITRATE, 1}}, .protons = -2,
        .formed = true, .constant = {.log_k = 6.396, .enthalpy_kj = 3.3472}},
    [SPECIES_H2CIT] = {"H2Cit-", -1, ACTIVITY_DAVIES,
        .parts = 1, .part = {{ION_CITRATE, 1}}, .protons = -1,
        .formed = true, .constant = {.log_k = 11.157, .enthalpy_kj = 1.297}},
    [SPECIES_H3CIT] = {"H3Cit", 0, ACTIVITY_NEUTRAL,
        .parts = 1, .part = {{ION_CITRATE, 1}},
        .formed = true, .constant = {.log_k = 14.285, .enthalpy_kj = -2.7614}},
    [SPECIES_CACIT] = {"CaCit-", -1, ACTIVITY_DAVIES,
        .parts = 2, .part = {{ION_CA, 1}, {ION_CITRATE, 1}}, .protons = -3,
        .formed = true, .constant = {.log_k = 4.87, .enthalpy_kj = -8.368}},
    [SPECIES_CAHCIT] = {"CaHCit", 0, ACTIVITY_NEUTRAL,
        .parts = 2, .part = {{ION_CA, 1}, {ION_CITRATE, 1}}, .protons = -2,
        .formed = true, .constant = {.log_k = 9.26, .enthalpy_kj = -0.8368}},
    [SPECIES_CAH2CIT] = {"CaH2Cit+", 1, ACTIVITY_DAVIES,
        .parts = 2, .part = {{ION_CA, 1}, {ION_CITRATE, 1}}, .protons = -1,
        .formed = true, .constant = {.log_k = 12.257}},
    [SPECIES_MGCIT] = {"MgCit-", -1, ACTIVITY_DAVIES,
        .parts = 2, .part = {{ION_MG, 1}, {ION_CITRATE, 1}}, .protons = -3,
        .formed = true, .constant = {.log_k = 4.89, .enthalpy_kj = 8.368}},
    [SPECIES_MGHCIT] = {"MgHCit", 0, ACTIVITY_NEUTRAL,
        .parts = 2, .part = {{ION_MG, 1}, {ION_CITRATE, 1}}, .protons = -2,
        .formed = true, .constant = {.log_k = 8.91, .enthalpy_kj = 3.3472}},
};

const char *const solution_species_name[SPECIES_COUNT + 1] = {
    "H+", "OH-", "Ca+2", "Mg+2", "K+", "Na+", "NH4+", "NH3", "NO3-", "Cl-", "SO4-2", "HSO4-", "PO4-3", "HPO4-2",
    "H2PO4-", "H3PO4", "CO3-2", "HCO3-", "CO2", "(CO2)2", "H3BO3", "H2BO3-", "H4SiO4", "H3SiO4-", "H2SiO4-2",
    "CaSO4", "CaHSO4+", "MgSO4", "KSO4-", "NaSO4-", "NH4SO4-", "CaHPO4", "CaH2PO4+", "CaPO4-", "MgHPO4", "MgH2PO4+",
    "MgPO4-", "KHPO4-", "NaHPO4-", "CaHCO3+", "CaCO3", "MgHCO3+", "MgCO3", "NaHCO3", "NaCO3-", "CaOH+", "MgOH+",
    "Cit-3", "HCit-2", "H2Cit-", "H3Cit", "CaCit-", "CaHCit", "CaH2Cit+", "MgCit-", "MgHCit",
};

const char *const solution_mineral_key[MINERAL_COUNT] = {
    "gypsum", "calcite", "brushite", "hydroxyapatite", "struvite", "monetite", "octacalcium_phosphate", "newberyite", "arcanite", "niter",
};

/* Sources: gypsum and calcite as above; brushite J. Res. NBS 78A:667 (1974), its temperature equation from memory;
 * struvite a study of 2007 (pKsp 13.26, 22.6 kJ/mol); monetite, octacalcium phosphate, hydroxyapatite, newberyite
 * minteq.v4.dat; arcanite, niter llnl.dat.
 */
const struct mineral solution_mineral[MINERAL_COUNT] = {
    [MINERAL_GYPSUM] = {
        .constant = {.analytic = true, .k = {93.7, 0.00599, -4000.0, -35.019, 0, 0}},
        .parts = 2, .part = {{SPECIES_CA, 1}, {SPECIES_SO4, 1}}, .waters = 2},
    [MINERAL_CALCITE] = {
        .constant = {.analytic = true, .k = {17.118, -0.046528, -3496.0, 0, 0, 0}},
        .parts = 2, .part = {{SPECIES_CA, 1}, {SPECIES_CO3, 1}}},
    [MINERAL_BRUSHITE] = {
        .constant = {.analytic = true, .k = {18.18087, -0.04203102, -3649.5937, 0, 0, 0}},
        .parts = 2, .part = {{SPECIES_CA, 1}, {SPECIES_HPO4, 1}}, .waters = 2},
    [MINERAL_HYDROXYAPATITE] = {
        .constant = {.log_k = -44.333},
        .parts = 3, .part = {{SPECIES_CA, 5}, {SPECIES_PO4, 3}, {SPECIES_H, -1}}, .waters = 1},
    [MINERAL_STRUVITE] = {
        .constant = {.log_k = -13.26, .enthalpy_kj = 22.6},
        .parts = 3, .part = {{SPECIES_MG, 1}, {SPECIES_NH4, 1}, {SPECIES_PO4, 1}}, .waters = 6},
    [MINERAL_MONETITE] = {
        .constant = {.log_k = -19.275, .enthalpy_kj = 31},
        .parts = 3, .part = {{SPECIES_CA, 1}, {SPECIES_H, 1}, {SPECIES_PO4, 1}}},
    [MINERAL_OCTACALCIUM_PHOSPHATE] = {
        .constant = {.log_k = -47.08},
        .parts = 3, .part = {{SPECIES_CA, 4}, {SPECIES_H, 1}, {SPECIES_PO4, 3}}, .waters = 3},
    [MINERAL_NEWBERYITE] = {
        .constant = {.log_k = -18.175},
        .parts = 3, .part = {{SPECIES_MG, 1}, {SPECIES_H, 1}, {SPECIES_PO4, 1}}, .waters = 3},
    [MINERAL_ARCANITE] = {
        .constant = {.analytic = true, .k = {-164.28, -0.067762, 1987.9, 71.116, 31.067, 0}},
        .parts = 2, .part = {{SPECIES_K, 2}, {SPECIES_SO4, 1}}},
    [MINERAL_NITER] = {
        .constant = {.analytic = true, .k = {-65.607, -0.028165, -401.31, 30.361, -6.2425, 0}},
        .parts = 2, .part = {{SPECIES_K, 1}, {SPECIES_NO3, 1}}},
};

/* log10 (activity of CO2 / partial pressure in atm) */
const struct constant solution_co2_gas = {.analytic = true, .k = {10.5624, -0.023547, -3972.8, 0, 587460.0, 1.9194e-05}};

/* Fitted to the reference solutions: within 0.0004 kg/L up to ionic strength 0.3, 0.0014 up to 1, 0.004 up to 3.
 * Only sums over neutral salts mean anything.
 */
const double solution_volume_l_mol[ION_TOTALS] = {
    [ION_CA] = -0.0172, [ION_MG] = -0.0176, [ION_K] = 0.0091,   [ION_NA] = -0.0013, [ION_NH4] = 0.0180,
    [ION_NO3] = 0.0291, [ION_CL] = 0.0175,  [ION_SO4] = 0.0163, [ION_PO4] = 0.0321, [ION_C] = 0.0229,
};

const double solution_volume_by_strength = 0.0012;

/* 0 to 40 C */
static const struct water_properties water_by_degree[41] = {
    {0.49083, 0.32462, 0.99984, 1.7918}, /* 0 C */
    {0.4915, 0.32477, 0.9999, 1.731},
    {0.49217, 0.32493, 0.99994, 1.6735},
    {0.49285, 0.32508, 0.99996, 1.619},
    {0.49354, 0.32523, 0.99997, 1.5673},
    {0.49424, 0.32538, 0.99996, 1.5182}, /* 5 C */
    {0.49495, 0.32554, 0.99994, 1.4715},
    {0.49566, 0.32569, 0.9999, 1.4271},
    {0.49639, 0.32584, 0.99985, 1.3847},
    {0.49712, 0.32599, 0.99978, 1.3444},
    {0.49786, 0.32615, 0.9997, 1.3059}, /* 10 C */
    {0.49861, 0.3263, 0.9996, 1.2692},
    {0.49937, 0.32646, 0.9995, 1.234},
    {0.50014, 0.32661, 0.99938, 1.2005},
    {0.50092, 0.32676, 0.99924, 1.1683},
    {0.5017, 0.32692, 0.9991, 1.1376}, /* 15 C */
    {0.5025, 0.32707, 0.99894, 1.1081},
    {0.5033, 0.32723, 0.99877, 1.0798},
    {0.50411, 0.32739, 0.99859, 1.0527},
    {0.50493, 0.32754, 0.9984, 1.0266},
    {0.50576, 0.3277, 0.9982, 1.0016}, /* 20 C */
    {0.50659, 0.32786, 0.99799, 0.97754},
    {0.50744, 0.32801, 0.99777, 0.9544},
    {0.50829, 0.32817, 0.99754, 0.93213},
    {0.50915, 0.32833, 0.99729, 0.91068},
    {0.51002, 0.32849, 0.99704, 0.89002}, /* 25 C */
    {0.5109, 0.32865, 0.99678, 0.87011},
    {0.51179, 0.32881, 0.99651, 0.85091},
    {0.51269, 0.32897, 0.99623, 0.83238},
    {0.51359, 0.32913, 0.99594, 0.81449},
    {0.51451, 0.3293, 0.99564, 0.79722}, /* 30 C */
    {0.51543, 0.32946, 0.99534, 0.78054},
    {0.51636, 0.32962, 0.99502, 0.76441},
    {0.5173, 0.32979, 0.9947, 0.74881},
    {0.51825, 0.32995, 0.99437, 0.73372},
    {0.5192, 0.33012, 0.99403, 0.71912}, /* 35 C */
    {0.52017, 0.33028, 0.99368, 0.70499},
    {0.52114, 0.33045, 0.99332, 0.6913},
    {0.52213, 0.33062, 0.99296, 0.67804},
    {0.52312, 0.33078, 0.99259, 0.66519},
    {0.52412, 0.33095, 0.99221, 0.65273}, /* 40 C */
};

void solution_water_properties(double t_c, struct water_properties *water)
{
    int below = t_c >= 40.0 ? 39 : (int)t_c;
    double share = t_c - below;
    const struct water_properties *a = &water_by_degree[below], *b = a + 1;

    water->debye_a = a->debye_a + share * (b->debye_a - a->debye_a);
    water->debye_b_per_angstrom = a->debye_b_per_angstrom + share * (b->debye_b_per_angstrom - a->debye_b_per_angstrom);
    water->density_kg_l = a->density_kg_l + share * (b->density_kg_l - a->density_kg_l);
    water->viscosity_mpa_s = a->viscosity_mpa_s + share * (b->viscosity_mpa_s - a->viscosity_mpa_s);
}

double solution_log10_k(const struct constant *constant, double t_k)
{
    const double *k = constant->k;

    if (constant->analytic)
        return k[0] + k[1] * t_k + k[2] / t_k + k[3] * log10(t_k) + k[4] / (t_k * t_k) + k[5] * t_k * t_k;
    return constant->log_k - constant->enthalpy_kj * 1000.0 / (2.302585 * 8.31446) * (1.0 / t_k - 1.0 / 298.15);
}
