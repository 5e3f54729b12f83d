/* salts.h - salts that are weighed in: what they are made of and how much dissolves.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread. The table is constant.
 * A caller may fill in a struct salt of its own from a label (see below); every
 * function here and in solution.h takes it like one of the table.
 */
#ifndef TIDEMARK_SALTS_H
#define TIDEMARK_SALTS_H

#include "calc/fault.h"
#include "calc/ions.h"

#define SALT_POINTS 5

struct salt {
    char id[40];              /* "epsom-salt"; JSON "salt" */
    char name[64];            /* for people */
    char formula[40];         /* "" for a blend known by its label */
    double molar_mass_g_mol;  /* 100 for a blend: then the counts below are mol in 100 g */
    double atoms[ELEMENT_COUNT]; /* per formula; iron and the other metals of a blend stand here alone */
    double ions[ION_COUNT];   /* per formula; electroneutral; see below for what is left out */
    struct {
        double t_c;
        double g_per_kg_water; /* of this salt, crystal water counted as water */
    } solubility[SALT_POINTS]; /* rising t_c; ends at g_per_kg_water 0; none: not known */
    const char *solubility_source; /* publication and how it was seen; "" when not known */
};

/* Ions: manganese, zinc, copper, molybdenum and chelated iron stay out of the speciation with the
 * counter ion they came with (0.1 % of a full solution's EC), and count by weight in atoms[] alone.
 * Urea has no ions. Borax, silicates and hydroxides bring OH, acids bring H.
 *
 * A blend from a label: set molar_mass_g_mol to 100, atoms[e] to percent / element_mass_g_mol[e],
 * ions[] to the mol in 100 g of NO3, NH4, PO4 (each P one), K, Ca, Mg, SO4, Cl, Na, B, Si. The sum of
 * ions[i] x ion_charge[i] must be made 0 by the caller (a label leaves out what it need not print, mostly
 * sulfate or chloride); salts_close_charge does it.
 */

extern const struct salt salts[];
extern const size_t salts_count;

/* The salt of this id, or NULL. */
const struct salt *salts_find(const char *id);

/* Mass percent of an element in the salt, by formula or label. */
double salts_element_percent(const struct salt *salt, enum element element);

/* Mass percent of nitrogen as nitrate, as ammonium, and the rest (urea, amides). */
double salts_nitrate_n_percent(const struct salt *salt);
double salts_ammonium_n_percent(const struct salt *salt);
double salts_other_n_percent(const struct salt *salt);

/* Makes the ions of a labelled blend electroneutral with what labels leave out: sulfate where anions are
 * missing (added to ions, not to atoms: the label did not promise it), sodium where cations are.
 *
 *   *gap_meq_g  the charge that was missing, meq per g of the blend; positive: anions were added
 *
 * Returns 0, or -1 with FAULT_INPUT when the gap is more than a third of the larger side, or, where no sulfur is printed and
 * cations are left over, two thirds: many bags of magnesium and potassium sulfate with nitrates and phosphate leave the sulfur
 * out. Beyond that a main ingredient is missing, and a guess would make pH and EC fiction. Source of the rule: ours.
 */
int salts_close_charge(struct salt *salt, double *gap_meq_g, struct fault *fault);

/* Most of the salt that a kilogram of water holds by itself, g/kg water, linear between the known points.
 *
 *   t_c      degrees C, 0 to 40
 *   *g_per_kg_water  untouched on error
 *   *exact   false where t_c is outside the known points: then the value at the nearest point is given
 *            when that is the safe side (colder point), or reduced by 2 % a degree below the coldest (ours)
 *
 * Returns 0; -1 with FAULT_ABSENT where no solubility is known, FAULT_INPUT where t_c is out of range.
 */
int salts_solubility(const struct salt *salt, double t_c, double *g_per_kg_water, bool *exact, struct fault *fault);

#endif
