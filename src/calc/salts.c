/* salts.c - the table of salts, and what it says of each. */
#include "calc/salts.h"

#include <math.h>
#include <string.h>

/* Formulas and ions: textbook chemistry. Molar masses are the sums of element_mass_g_mol.
 * Solubilities are of this salt in a kilogram of water, its crystal water counted as water. Where a trade
 * table does not say whether its figure is of the hydrate, it is taken for the hydrate: the safe side.
 * The iron chelates hold the percentage that bags commonly print (common practice, no source).
 */
const struct salt salts[] = {
    {"calcium-nitrate-4h2o", "calcium nitrate, tetrahydrate", "Ca(NO3)2.4H2O", 236.146,
     {[ELEMENT_CA] = 1, [ELEMENT_N] = 2, [ELEMENT_O] = 10, [ELEMENT_H] = 8},
     {[ION_CA] = 1, [ION_NO3] = 2},
     {{0, 1020}, {10, 1150}, {20, 1290}, {30, 1520}, {40, 1910}},
     "a trade table of fertilizer solubilities (20 C, read); other temperatures from memory, on the safe side"},
    {"calcium-nitrate-anhydrous", "calcium nitrate, anhydrous", "Ca(NO3)2", 164.086,
     {[ELEMENT_CA] = 1, [ELEMENT_N] = 2, [ELEMENT_O] = 6},
     {[ION_CA] = 1, [ION_NO3] = 2},
     {{0, 1020}, {10, 1150}, {20, 1290}, {30, 1520}, {40, 1910}},
     "from memory, handbook solubilities"},
    {"calcium-nitrate-double", "calcium nitrate, fertilizer grade (with ammonium nitrate)", "5Ca(NO3)2.NH4NO3.10H2O", 1080.623,
     {[ELEMENT_CA] = 5, [ELEMENT_N] = 12, [ELEMENT_O] = 43, [ELEMENT_H] = 24},
     {[ION_CA] = 5, [ION_NO3] = 11, [ION_NH4] = 1},
     {{0, 1020}, {10, 1150}, {20, 1290}, {30, 1520}, {40, 1910}},
     "from memory: taken as calcium nitrate"},
    {"potassium-nitrate", "potassium nitrate", "KNO3", 101.102,
     {[ELEMENT_K] = 1, [ELEMENT_N] = 1, [ELEMENT_O] = 3},
     {[ION_K] = 1, [ION_NO3] = 1},
     {{0, 139}, {10, 210}, {20, 316}, {30, 453}, {40, 613}},
     "a chemical supplier's solubility table (10 and 20 C, secondary); the rest from memory"},
    {"monopotassium-phosphate", "monopotassium phosphate", "KH2PO4", 136.084,
     {[ELEMENT_K] = 1, [ELEMENT_H] = 2, [ELEMENT_P] = 1, [ELEMENT_O] = 4},
     {[ION_K] = 1, [ION_PO4] = 1},
     {{0, 148}, {10, 180}, {20, 226}, {30, 280}, {40, 355}},
     "CRC Handbook of Chemistry and Physics, from memory; 10 C: trade table, read"},
    {"dipotassium-phosphate", "dipotassium phosphate", "K2HPO4", 174.174,
     {[ELEMENT_K] = 2, [ELEMENT_H] = 1, [ELEMENT_P] = 1, [ELEMENT_O] = 4},
     {[ION_K] = 2, [ION_PO4] = 1, [ION_OH] = 1},
     {{20, 1600}},
     "CRC Handbook of Chemistry and Physics, from memory"},
    {"monoammonium-phosphate", "monoammonium phosphate", "NH4H2PO4", 115.025,
     {[ELEMENT_N] = 1, [ELEMENT_H] = 6, [ELEMENT_P] = 1, [ELEMENT_O] = 4},
     {[ION_NH4] = 1, [ION_PO4] = 1},
     {{0, 227}, {10, 295}, {20, 368}, {30, 464}, {40, 567}},
     "a chemical supplier's solubility table (0, 20, 40 C, read); the rest from memory"},
    {"epsom-salt", "magnesium sulfate, heptahydrate (Epsom salt)", "MgSO4.7H2O", 246.466,
     {[ELEMENT_MG] = 1, [ELEMENT_S] = 1, [ELEMENT_O] = 11, [ELEMENT_H] = 14},
     {[ION_MG] = 1, [ION_SO4] = 1},
     {{0, 450}, {10, 577}, {20, 690}, {30, 797}, {40, 911}},
     "CRC Handbook of Chemistry and Physics, as MgSO4, from memory"},
    {"potassium-sulfate", "potassium sulfate", "K2SO4", 174.252,
     {[ELEMENT_K] = 2, [ELEMENT_S] = 1, [ELEMENT_O] = 4},
     {[ION_K] = 2, [ION_SO4] = 1},
     {{0, 69}, {10, 85.9}, {20, 102.8}, {25, 110.3}, {40, 137}},
     "Geochim. Cosmochim. Acta 51:2429 (1987), 10 to 25 C, secondary; the rest from memory"},
    {"ammonium-nitrate", "ammonium nitrate", "NH4NO3", 80.043,
     {[ELEMENT_N] = 2, [ELEMENT_H] = 4, [ELEMENT_O] = 3},
     {[ION_NH4] = 1, [ION_NO3] = 1},
     {{0, 1180}, {10, 1500}, {20, 1920}, {30, 2420}, {40, 2970}},
     "a trade table of fertilizer solubilities (20 C, read); other temperatures from memory"},
    {"ammonium-sulfate", "ammonium sulfate", "(NH4)2SO4", 132.134,
     {[ELEMENT_N] = 2, [ELEMENT_H] = 8, [ELEMENT_S] = 1, [ELEMENT_O] = 4},
     {[ION_NH4] = 2, [ION_SO4] = 1},
     {{0, 706}, {10, 730}, {20, 750}, {30, 780}, {40, 810}},
     "a trade table of fertilizer solubilities (20 C, read); other temperatures from memory"},
    {"magnesium-nitrate-6h2o", "magnesium nitrate, hexahydrate", "Mg(NO3)2.6H2O", 256.403,
     {[ELEMENT_MG] = 1, [ELEMENT_N] = 2, [ELEMENT_O] = 12, [ELEMENT_H] = 12},
     {[ION_MG] = 1, [ION_NO3] = 2},
     {{0, 621}, {10, 660}, {20, 690}, {30, 736}, {40, 789}},
     "a trade table of fertilizer solubilities (20 C, read); other temperatures from memory, on the safe side"},
    {"calcium-chloride-2h2o", "calcium chloride, dihydrate", "CaCl2.2H2O", 147.008,
     {[ELEMENT_CA] = 1, [ELEMENT_CL] = 2, [ELEMENT_H] = 4, [ELEMENT_O] = 2},
     {[ION_CA] = 1, [ION_CL] = 2},
     {{0, 788}, {10, 857}, {20, 987}, {30, 1325}, {40, 1696}},
     "from memory, handbook solubilities"},
    {"potassium-chloride", "potassium chloride", "KCl", 74.548,
     {[ELEMENT_K] = 1, [ELEMENT_CL] = 1},
     {[ION_K] = 1, [ION_CL] = 1},
     {{0, 280}, {10, 312}, {20, 342}, {30, 372}, {40, 401}},
     "from memory, handbook solubilities"},
    {"sodium-chloride", "sodium chloride", "NaCl", 58.440,
     {[ELEMENT_NA] = 1, [ELEMENT_CL] = 1},
     {[ION_NA] = 1, [ION_CL] = 1},
     {{0, 357}, {10, 358}, {20, 359}, {30, 361}, {40, 364}},
     "from memory, handbook solubilities"},
    {"sodium-bicarbonate", "sodium bicarbonate", "NaHCO3", 84.006,
     {[ELEMENT_NA] = 1, [ELEMENT_H] = 1, [ELEMENT_C] = 1, [ELEMENT_O] = 3},
     {[ION_NA] = 1, [ION_C] = 1},
     {{0, 70}, {10, 81}, {20, 96}, {30, 111}, {40, 127}},
     "from memory, handbook solubilities"},
    {"potassium-bicarbonate", "potassium bicarbonate", "KHCO3", 100.114,
     {[ELEMENT_K] = 1, [ELEMENT_H] = 1, [ELEMENT_C] = 1, [ELEMENT_O] = 3},
     {[ION_K] = 1, [ION_C] = 1},
     {{0, 225}, {10, 274}, {20, 337}, {30, 399}, {40, 475}},
     "from memory, handbook solubilities"},
    {"sodium-dihydrogen-phosphate-2h2o", "sodium dihydrogen phosphate, dihydrate", "NaH2PO4.2H2O", 156.006,
     {[ELEMENT_NA] = 1, [ELEMENT_H] = 6, [ELEMENT_P] = 1, [ELEMENT_O] = 6},
     {[ION_NA] = 1, [ION_PO4] = 1},
     {{0, 735}, {10, 908}, {20, 1130}, {30, 1391}, {40, 1729}},
     "from memory, handbook solubilities"},
    {"boric-acid", "boric acid", "H3BO3", 61.831,
     {[ELEMENT_H] = 3, [ELEMENT_B] = 1, [ELEMENT_O] = 3},
     {[ION_B] = 1},
     {{0, 25.2}, {10, 34.9}, {20, 47}, {30, 62.3}, {40, 80.8}},
     "from memory, handbook solubilities"},
    {"gypsum", "gypsum (calcium sulfate, dihydrate)", "CaSO4.2H2O", 172.164,
     {[ELEMENT_CA] = 1, [ELEMENT_S] = 1, [ELEMENT_O] = 6, [ELEMENT_H] = 4},
     {[ION_CA] = 1, [ION_SO4] = 1},
     {{0, 2.2}, {10, 2.4}, {20, 2.6}, {30, 2.65}, {40, 2.65}},
     "from memory, handbook solubilities"},
    {"nitric-acid", "nitric acid", "HNO3", 63.012,
     {[ELEMENT_H] = 1, [ELEMENT_N] = 1, [ELEMENT_O] = 3},
     {[ION_NO3] = 1, [ION_H] = 1},
     {{0, 0}},
     ""},
    {"phosphoric-acid", "phosphoric acid", "H3PO4", 97.994,
     {[ELEMENT_H] = 3, [ELEMENT_P] = 1, [ELEMENT_O] = 4},
     {[ION_PO4] = 1, [ION_H] = 1},
     {{0, 0}},
     ""},
    {"sulfuric-acid", "sulfuric acid", "H2SO4", 98.072,
     {[ELEMENT_H] = 2, [ELEMENT_S] = 1, [ELEMENT_O] = 4},
     {[ION_SO4] = 1, [ION_H] = 2},
     {{0, 0}},
     ""},
    {"urea", "urea", "CO(NH2)2", 60.056,
     {[ELEMENT_C] = 1, [ELEMENT_O] = 1, [ELEMENT_N] = 2, [ELEMENT_H] = 4},
     {0},
     {{0, 670}, {10, 840}, {20, 1050}, {30, 1330}, {40, 1650}},
     "from memory, handbook solubilities"},
    {"manganese-sulfate-h2o", "manganese sulfate, monohydrate", "MnSO4.H2O", 169.009,
     {[ELEMENT_MN] = 1, [ELEMENT_S] = 1, [ELEMENT_O] = 5, [ELEMENT_H] = 2},
     {0},
     {{0, 592}, {10, 668}, {20, 704}, {30, 704}, {40, 672}},
     "from memory, handbook solubilities"},
    {"manganese-chloride-4h2o", "manganese chloride, tetrahydrate", "MnCl2.4H2O", 197.898,
     {[ELEMENT_MN] = 1, [ELEMENT_CL] = 2, [ELEMENT_H] = 8, [ELEMENT_O] = 4},
     {0},
     {{0, 997}, {10, 1071}, {20, 1162}, {30, 1271}, {40, 1392}},
     "from memory, handbook solubilities"},
    {"zinc-sulfate-7h2o", "zinc sulfate, heptahydrate", "ZnSO4.7H2O", 287.541,
     {[ELEMENT_ZN] = 1, [ELEMENT_S] = 1, [ELEMENT_O] = 11, [ELEMENT_H] = 14},
     {0},
     {{0, 741}, {10, 841}, {20, 958}, {30, 1092}, {40, 1256}},
     "from memory, handbook solubilities"},
    {"copper-sulfate-5h2o", "copper sulfate, pentahydrate", "CuSO4.5H2O", 249.677,
     {[ELEMENT_CU] = 1, [ELEMENT_S] = 1, [ELEMENT_O] = 9, [ELEMENT_H] = 10},
     {0},
     {{0, 231}, {10, 275}, {20, 320}, {30, 378}, {40, 446}},
     "from memory, handbook solubilities"},
    {"borax-10h2o", "borax, decahydrate", "Na2B4O7.10H2O", 381.363,
     {[ELEMENT_NA] = 2, [ELEMENT_B] = 4, [ELEMENT_O] = 17, [ELEMENT_H] = 20},
     {[ION_NA] = 2, [ION_B] = 4, [ION_OH] = 2},
     {{0, 21}, {10, 30}, {20, 48.5}, {30, 73}, {40, 126}},
     "from memory, handbook solubilities"},
    {"sodium-molybdate-2h2o", "sodium molybdate, dihydrate", "Na2MoO4.2H2O", 241.956,
     {[ELEMENT_NA] = 2, [ELEMENT_MO] = 1, [ELEMENT_O] = 6, [ELEMENT_H] = 4},
     {0},
     {{0, 518}, {10, 760}, {20, 767}, {30, 786}, {40, 806}},
     "from memory, handbook solubilities"},
    {"potassium-hydroxide", "potassium hydroxide", "KOH", 56.105,
     {[ELEMENT_K] = 1, [ELEMENT_O] = 1, [ELEMENT_H] = 1},
     {[ION_K] = 1, [ION_OH] = 1},
     {{0, 957}, {10, 1030}, {20, 1120}, {30, 1260}, {40, 1340}},
     "from memory, handbook solubilities"},
    {"citric-acid-anhydrous", "citric acid, anhydrous", "C6H8O7", 192.123,
     {[ELEMENT_C] = 6, [ELEMENT_H] = 8, [ELEMENT_O] = 7},
     {[ION_CITRATE] = 1},
     {{10, 1170}, {20, 1450}, {30, 1800}, {40, 2180}},
     "from memory, handbook solubilities"},
    {"citric-acid-h2o", "citric acid, monohydrate", "C6H8O7.H2O", 210.138,
     {[ELEMENT_C] = 6, [ELEMENT_H] = 10, [ELEMENT_O] = 8},
     {[ION_CITRATE] = 1},
     {{10, 1280}, {20, 1590}, {30, 1970}, {40, 2390}},
     "from memory, handbook solubilities"},
    {"diammonium-phosphate", "diammonium phosphate", "(NH4)2HPO4", 132.056,
     {[ELEMENT_N] = 2, [ELEMENT_H] = 9, [ELEMENT_P] = 1, [ELEMENT_O] = 4},
     {[ION_NH4] = 2, [ION_PO4] = 1, [ION_OH] = 1},
     {{0, 429}, {10, 629}, {20, 689}, {30, 751}, {40, 818}},
     "from memory, handbook solubilities"},
    {"magnesium-chloride-6h2o", "magnesium chloride, hexahydrate", "MgCl2.6H2O", 203.295,
     {[ELEMENT_MG] = 1, [ELEMENT_CL] = 2, [ELEMENT_H] = 12, [ELEMENT_O] = 6},
     {[ION_MG] = 1, [ION_CL] = 2},
     {{0, 1130}, {10, 1144}, {20, 1166}, {30, 1191}, {40, 1228}},
     "from memory, handbook solubilities"},
    {"potassium-silicate-K2SiO3", "potassium silicate", "K2SiO3", 154.278,
     {[ELEMENT_K] = 2, [ELEMENT_SI] = 1, [ELEMENT_O] = 3},
     {[ION_K] = 2, [ION_SI] = 1, [ION_OH] = 2},
     {{0, 0}},
     ""},
    {"iron-edta-13", "iron chelate EDTA, 13 % Fe", "", 100.0,
     {[ELEMENT_FE] = 13 / 55.845},
     {0},
     {{0, 0}},
     ""},
    {"iron-dtpa-11", "iron chelate DTPA, 11 % Fe", "", 100.0,
     {[ELEMENT_FE] = 11 / 55.845},
     {0},
     {{0, 0}},
     ""},
    {"iron-eddha-6", "iron chelate EDDHA, 6 % Fe", "", 100.0,
     {[ELEMENT_FE] = 6 / 55.845},
     {0},
     {{0, 0}},
     ""},
};
const size_t salts_count = sizeof salts / sizeof *salts;

const struct salt *salts_find(const char *id)
{
    for (size_t i = 0; i < salts_count; i++)
        if (strcmp(salts[i].id, id) == 0)
            return &salts[i];
    return NULL;
}

double salts_element_percent(const struct salt *salt, enum element element)
{
    return 100.0 * salt->atoms[element] * element_mass_g_mol[element] / salt->molar_mass_g_mol;
}

static double nitrogen_percent(const struct salt *salt, double mol)
{
    return 100.0 * mol * element_mass_g_mol[ELEMENT_N] / salt->molar_mass_g_mol;
}

double salts_nitrate_n_percent(const struct salt *salt)
{
    return nitrogen_percent(salt, salt->ions[ION_NO3]);
}

double salts_ammonium_n_percent(const struct salt *salt)
{
    return nitrogen_percent(salt, salt->ions[ION_NH4]);
}

double salts_other_n_percent(const struct salt *salt)
{
    double mol = salt->atoms[ELEMENT_N] - salt->ions[ION_NO3] - salt->ions[ION_NH4];

    return mol > 1e-9 ? nitrogen_percent(salt, mol) : 0.0;
}

int salts_close_charge(struct salt *salt, double *gap_meq_g, struct fault *fault)
{
    double cations = 0.0, anions = 0.0, gap;

    for (int i = 0; i < ION_COUNT; i++)
        *(ion_charge[i] > 0 ? &cations : &anions) += salt->ions[i] * fabs((double)ion_charge[i]);
    gap = cations - anions;
    if (!(fabs(gap) <= (gap > 0 && salt->ions[ION_SO4] == 0.0 ? 2.0 : 1.0) / 3.0 * fmax(cations, anions)))
        return fault_add(fault, FAULT_INPUT, "/label",
                         "the %s on the label do not balance: %.0f %% of their charge has no partner; is a main ingredient missing?",
                         gap > 0 ? "cations" : "anions", 100.0 * fabs(gap) / fmax(cations, anions));
    if (gap > 0)
        salt->ions[ION_SO4] += gap / 2.0;
    else
        salt->ions[ION_NA] -= gap;
    *gap_meq_g = 1000.0 * gap / salt->molar_mass_g_mol;
    return 0;
}

int salts_solubility(const struct salt *salt, double t_c, double *g_per_kg_water, bool *exact, struct fault *fault)
{
    int last = -1;

    if (!(t_c >= 0.0 && t_c <= 40.0))
        return fault_add(fault, FAULT_INPUT, "/temperature_c", "must be from 0 to 40 degrees C, was %g", t_c);
    while (last + 1 < SALT_POINTS && salt->solubility[last + 1].g_per_kg_water > 0.0)
        last++;
    if (last < 0)
        return fault_add(fault, FAULT_ABSENT, "/salt", "no solubility is known for %s", salt->name);
    *exact = t_c >= salt->solubility[0].t_c && t_c <= salt->solubility[last].t_c;
    if (t_c < salt->solubility[0].t_c) {
        *g_per_kg_water = salt->solubility[0].g_per_kg_water * fmax(0.2, 1.0 - 0.02 * (salt->solubility[0].t_c - t_c));
        return 0;
    }
    *g_per_kg_water = salt->solubility[last].g_per_kg_water;
    for (int i = 0; i < last; i++) {
        double from = salt->solubility[i].t_c, to = salt->solubility[i + 1].t_c;

        if (t_c >= from && t_c < to) {
            double share = (t_c - from) / (to - from);

            *g_per_kg_water = salt->solubility[i].g_per_kg_water * (1.0 - share) + salt->solubility[i + 1].g_per_kg_water * share;
        }
    }
    return 0;
}
