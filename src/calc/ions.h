/* ions.h - the words of the solution chemistry: elements, totals, reagents.
 *
 * A solution is known by its totals: how much calcium, phosphate and so on one
 * litre holds, whatever pairs they form in it. Ammonium and nitrate are two
 * totals that never turn into each other. Pure data, no allocation.
 *
 * In JSON the totals are the keys of "ions_mmol_l": the names in ion_key[].
 */
#ifndef TIDEMARK_IONS_H
#define TIDEMARK_IONS_H

/* What a label, an analysis or an answer counts by weight. H and O are here for molar masses alone. */
enum element {
    ELEMENT_N,
    ELEMENT_P,
    ELEMENT_K,
    ELEMENT_CA,
    ELEMENT_MG,
    ELEMENT_S,
    ELEMENT_FE,
    ELEMENT_MN,
    ELEMENT_ZN,
    ELEMENT_B,
    ELEMENT_CU,
    ELEMENT_MO,
    ELEMENT_NA,
    ELEMENT_CL,
    ELEMENT_SI,
    ELEMENT_C,
    ELEMENT_H,
    ELEMENT_O
};
#define ELEMENT_COUNT 18     /* with C, H and O */
#define ELEMENT_NUTRIENTS 15 /* N to Si: the keys of "elements_mg_l" and of "target_mg_l" */

/* "n", "p", "k", "ca", ... as in JSON. */
extern const char *const element_key[ELEMENT_COUNT];
extern const char *const element_name[ELEMENT_NUTRIENTS]; /* in words: "nitrogen" */

/* g/mol. Source: CIAAW, standard atomic weights 2021 (abridged values from memory, inside the printed intervals). */
extern const double element_mass_g_mol[ELEMENT_COUNT];

/* Totals of a solution. Each stands for the ion of ion_charge[]: PO4 for H2PO4-, C for HCO3-, B for H3BO3,
 * SI for H4SiO4, CITRATE for the undissociated acid; H and OH close the charge.
 */
enum ion {
    ION_CA,
    ION_MG,
    ION_K,
    ION_NA,
    ION_NH4,
    ION_NO3,
    ION_CL,
    ION_SO4,
    ION_PO4,
    ION_C,
    ION_B,
    ION_SI,
    ION_CITRATE, /* no key in "ions_mmol_l": it only comes in as an acid */
    ION_H,
    ION_OH
};
#define ION_COUNT 15
#define ION_TOTALS 13 /* without H and OH, which are no totals but move the pH */

/* "Ca", "Mg", ..., "PO4", "C", "B", "Si", NULL for citrate, "H", "OH": the keys of "ions_mmol_l". */
extern const char *const ion_key[ION_COUNT];

/* Charge of the ion that the total stands for: Ca +2, PO4 -1, B 0, ... */
extern const int ion_charge[ION_COUNT];

/* The element that a total is weighed as, and g of that element in a mole of it (Ca 40.078, SO4 32.06 as S). */
extern const enum element ion_element[ION_TOTALS];

/* g/mol of the ion as water reports print it: SO4 96.056, NO3 62.004, PO4 94.970, NH4 18.039, HCO3 61.016, Si 28.085. */
extern const double ion_mass_g_mol[ION_TOTALS];

/* What is poured in to move the pH. */
enum reagent {
    REAGENT_NITRIC,
    REAGENT_PHOSPHORIC,
    REAGENT_SULFURIC,
    REAGENT_CITRIC,
    REAGENT_POTASSIUM_HYDROXIDE,
    REAGENT_POTASSIUM_BICARBONATE
};
#define REAGENT_COUNT 6

/* "nitric", "phosphoric", "sulfuric", "citric", "potassium-hydroxide", "potassium-bicarbonate". */
extern const char *const reagent_key[REAGENT_COUNT];

/* mg/L of CaCO3 in a mmol/L (= meq/L) of alkalinity: half the molar mass 100.087 g/mol, as the reference waters count. */
#define CACO3_MG_PER_MEQ 50.0435

#endif
