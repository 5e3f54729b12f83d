/* label.h - from the analysis printed on a bag to elements.
 *
 * Labels print nitrogen by form and phosphorus, potassium and others as oxides, in percent of mass.
 * Pure: no clock, no locale, no allocation; safe from any thread.
 */
#ifndef TIDEMARK_LABEL_H
#define TIDEMARK_LABEL_H

#include "calc/fault.h"
#include "calc/ions.h"
#include "calc/salts.h"

enum label_item {
    LABEL_N_NO3, LABEL_N_NH4, LABEL_N_UREA, /* nitrogen as N, by form */
    LABEL_P2O5, LABEL_P, LABEL_K2O, LABEL_K, LABEL_CAO, LABEL_CA, LABEL_MGO, LABEL_MG, LABEL_SO3, LABEL_S,
    LABEL_FE, LABEL_MN, LABEL_ZN, LABEL_B, LABEL_CU, LABEL_MO, LABEL_NA, LABEL_CL
};
#define LABEL_ITEMS 21

/* "n_no3", "p2o5", "p", ...: the keys of "label". */
extern const char *const label_key[LABEL_ITEMS];

/* Mass percent as printed; NAN or 0 where the label does not name it. */
struct label {
    double percent[LABEL_ITEMS];
};

/* A label that names nothing yet. */
void label_clear(struct label *label);

/* Mass percent of each element in *element (C, H, O are 0), from whichever form was printed.
 *
 * Returns 0, or -1 with FAULT_INPUT, all faults gathered: at "/p2o5" a percentage not from 0 to 100; at "/p" and the like
 * the second form of an element that is given already; at "" where the printed masses come to more than 100, or to nothing.
 * Nitrogen by form: n_no3 + n_nh4 + n_urea.
 */
int label_elements(const struct label *label, double element_percent[ELEMENT_COUNT], struct fault *fault);

/* A salt of 100 g "molar mass" for the recipe and the chemistry, made from the label. Its ions may lack the
 * counter ion that a label need not print: salts_close_charge adds it, which only the chemistry needs.
 * name is cut to fit; id is left empty for the caller. Faults as label_elements.
 */
int label_salt(const struct label *label, const char *name, struct salt *salt, struct fault *fault);

/* g of element in a g of its oxide as the trade prints it: P in P2O5, K in K2O, Ca in CaO, Mg in MgO, S in SO3; 1 for the
 * elements themselves. From the atomic masses of ions.h.
 */
double label_factor(enum label_item item);

#endif
