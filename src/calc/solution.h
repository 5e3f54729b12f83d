/* solution.h - what is really in the water: species, pH, EC, saturation.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread. A solution is
 * solved from totals by mass action, mass balance and the balance of protons,
 * with the constants and the activity rules of solution_data.c, from 0 to 40 C.
 *
 *     struct solution_input given;
 *     struct solution solved;
 *
 *     solution_begin(&given, 20.0);
 *     if (solution_add_water(&given, &tap, 1.0, &fault) ||
 *         solution_add_salt(&given, salts_find("epsom-salt"), 0.3, &fault) ||
 *         solution_solve(&given, &solved, &fault))
 *         ... fault says why ...
 *
 * Everything is per litre of finished solution at its temperature: the water counts
 * with its full concentrations, salts on top.
 *
 * Nobody should be promised better than the spreads below; solution_told gives them.
 * Source of constants: U.S. Geological Survey Techniques and Methods 6-A43 (2013), database of release 3.7.3;
 * what each row came from stands in fixtures/chemistry/README.md.
 *
 * How the fields of POST /api/v1/calc/solution map:
 *   temperature_c            solution_begin
 *   gas, pco2_atm            .gas, .pco2_atm ("closed", "open_air"; default closed)
 *   water{}                  struct source_water, solution_add_water with 1 litre a litre; left out: nothing
 *   added[].salt, .g_l       salts_find, solution_add_salt
 *   added[].ions_mmol_l      double[ION_COUNT] by ion_key[], solution_add_ions
 *   added[].acid, .mmol_l    reagent_key[], solution_add_reagent
 *   ph .. alkalinity_mmol_l  the fields of the same name in struct solution
 *   species_mmol_l           species_mmol_l[] by solution_species_name[], those above 0
 *   saturation               saturation[] by solution_mineral_key[], the first SOLUTION_MINERALS_TOLD, where not SATURATION_ABSENT
 *   elements_mg_l            elements_mg_l[] by element_key[], the first ELEMENT_NUTRIENTS
 *   charge_error_percent     the same
 */
#ifndef TIDEMARK_SOLUTION_H
#define TIDEMARK_SOLUTION_H

#include "calc/fault.h"
#include "calc/ions.h"
#include "calc/salts.h"

/* ------------------------------------------------------------------ given */

/* A source water by its analysis. mg/L of the ion as water reports print it: nitrate as NO3, sulfate as SO4,
 * phosphate as PO4, ammonium as NH4; silicon as Si, boron as B. What was not analysed is 0.
 */
struct source_water {
    double ph; /* as analysed at 25 C, nothing lost to the air */
    double alkalinity_mg_caco3_l;
    double ca_mg_l, mg_mg_l, na_mg_l, k_mg_l, nh4_mg_l;
    double cl_mg_l, so4_mg_l, no3_mg_l, po4_mg_l, si_mg_l, b_mg_l;
};

enum solution_gas {
    SOLUTION_CLOSED,  /* what carbon dioxide there is stays in */
    SOLUTION_OPEN_AIR /* carbon dioxide has come to rest with the air at pco2_atm */
};

#define PCO2_OUTDOOR_AIR_ATM 0.00042 /* about 420 ppm, mid 2020s, from memory */

struct solution_input {
    double temperature_c; /* 0 to 40 */
    enum solution_gas gas;
    double pco2_atm;                /* 1e-6 to 1; used in open air only */
    double total_mmol_l[ION_TOTALS]; /* per litre of finished solution */
    double alkalinity_mmol_l;       /* what the totals' charges leave over: kept when CO2 comes and goes */
    double elements_mg_l[ELEMENT_COUNT]; /* by weight, metals and urea included */
};

/* ----------------------------------------------------------------- solved */

enum solution_species {
    SPECIES_H, SPECIES_OH,
    SPECIES_CA, SPECIES_MG, SPECIES_K, SPECIES_NA, SPECIES_NH4, SPECIES_NH3,
    SPECIES_NO3, SPECIES_CL, SPECIES_SO4, SPECIES_HSO4,
    SPECIES_PO4, SPECIES_HPO4, SPECIES_H2PO4, SPECIES_H3PO4,
    SPECIES_CO3, SPECIES_HCO3, SPECIES_CO2, SPECIES_CO2_DIMER,
    SPECIES_H3BO3, SPECIES_H2BO3, SPECIES_H4SIO4, SPECIES_H3SIO4, SPECIES_H2SIO4,
    SPECIES_CASO4, SPECIES_CAHSO4, SPECIES_MGSO4, SPECIES_KSO4, SPECIES_NASO4, SPECIES_NH4SO4,
    SPECIES_CAHPO4, SPECIES_CAH2PO4, SPECIES_CAPO4, SPECIES_MGHPO4, SPECIES_MGH2PO4, SPECIES_MGPO4,
    SPECIES_KHPO4, SPECIES_NAHPO4,
    SPECIES_CAHCO3, SPECIES_CACO3, SPECIES_MGHCO3, SPECIES_MGCO3, SPECIES_NAHCO3, SPECIES_NACO3,
    SPECIES_CAOH, SPECIES_MGOH,
    SPECIES_CIT, SPECIES_HCIT, SPECIES_H2CIT, SPECIES_H3CIT,
    SPECIES_CACIT, SPECIES_CAHCIT, SPECIES_CAH2CIT, SPECIES_MGCIT, SPECIES_MGHCIT
};
#define SPECIES_COUNT 56

/* "H+", "OH-", "Ca+2", "CaSO4", "(CO2)2", ... */
extern const char *const solution_species_name[SPECIES_COUNT + 1]; /* ended by NULL */

enum solution_mineral {
    MINERAL_GYPSUM,
    MINERAL_CALCITE,
    MINERAL_BRUSHITE,
    MINERAL_HYDROXYAPATITE, /* always far above 0, does not form within a crop's time: never an alarm */
    MINERAL_STRUVITE,
    MINERAL_MONETITE, /* from here on for stocks and comparisons, not in the answer of calc/solution */
    MINERAL_OCTACALCIUM_PHOSPHATE,
    MINERAL_NEWBERYITE,
    MINERAL_ARCANITE,
    MINERAL_NITER
};
#define MINERAL_COUNT 10
#define SOLUTION_MINERALS_TOLD 5

/* "gypsum", "calcite", "brushite", "hydroxyapatite", "struvite", "monetite", ... */
extern const char *const solution_mineral_key[MINERAL_COUNT];

#define SATURATION_ABSENT (-999.0) /* an ingredient of the mineral is missing */

struct solution {
    double temperature_c;
    double ph;
    double ec_ms_cm;                /* of the same sample brought to 25 C, closed */
    double ec_at_temperature_ms_cm; /* uncompensated */
    double ionic_strength_mol_l;
    double ionic_strength_mol_kg;
    double alkalinity_mmol_l;       /* = meq/L; phosphate, ammonia, borate and silicate included, citrate not */
    double pco2_atm;                /* in equilibrium with the solution; 0 where there is no carbonate */
    double kgw_per_l;               /* kg of water in a litre of solution */
    double charge_error_percent;    /* 100 x (cations - anions) / (cations + anions) of what was given */
    double total_mmol_l[ION_TOTALS];
    double species_mmol_l[SPECIES_COUNT];
    double saturation[MINERAL_COUNT]; /* log10; SATURATION_ABSENT */
    double elements_mg_l[ELEMENT_COUNT];
    double log10_activity[SPECIES_COUNT]; /* mol/kg scale; SATURATION_ABSENT where there is none */
    double log10_activity_water;
    int rounds; /* Newton steps taken: of interest to tests and the bench */
};

/* An empty litre of water, closed, at this temperature (checked by solution_solve). */
void solution_begin(struct solution_input *given, double temperature_c);

/* Adds `litres` of a source water to each litre of solution (1 for all of it, 0.3 in a blend).
 *
 * Its total carbonate is what its pH and alkalinity imply at 25 C, closed. Where the analysis does not
 * balance, alkalinity and pH are believed; the charge without a partner is inert and shows as charge_error_percent.
 *
 * Returns 0; -1 with FAULT_INPUT, pointers "/ph", "/alkalinity_mg_caco3_l", "/ca_mg_l" ...: a value is not
 * finite, below 0 or above 10,000 mg/L (pH outside 3 to 11), or pH and alkalinity contradict each other.
 * `given` is untouched on error.
 */
int solution_add_water(struct solution_input *given, const struct source_water *water, double litres, struct fault *fault);

/* Adds grams of a salt per litre of solution. Returns 0; -1 with FAULT_INPUT at "/g_l" (not 0 to 2000, our bounds). */
int solution_add_salt(struct solution_input *given, const struct salt *salt, double g_l, struct fault *fault);

/* Adds totals, mmol per litre of solution, H and OH included. They must be electroneutral within 0.1 % of
 * their charge; what is left within that is closed with H or OH. elements_mg_l is counted along.
 *
 * Returns 0; -1 with FAULT_INPUT at "/ions_mmol_l" or "/ions_mmol_l/Ca": not finite, negative, above 10,000, not neutral.
 */
int solution_add_ions(struct solution_input *given, const double mmol_l[ION_COUNT], struct fault *fault);

/* Adds an acid or base, mmol of the molecule per litre. Returns 0; -1 with FAULT_INPUT at "/mmol_l" (not 0 to 10,000). */
int solution_add_reagent(struct solution_input *given, enum reagent reagent, double mmol_l, struct fault *fault);

/* Scales everything in the litre: 0.1 for the same salts in ten times the water. */
void solution_scale(struct solution_input *given, double factor);

/* Solves. Untouched *solved on error.
 *
 * Returns 0; -1 with FAULT_INPUT where a total is not finite or negative, the temperature is not 0 to 40 C, pCO2 not
 * 1e-6 to 1 atm, or the solution is beyond what the activity rules carry (ionic strength above 8 mol/kg, less
 * than half a kilogram of water in the litre). Every other input converges: for given activity coefficients the
 * balances are the gradient of a convex function, and the coefficients are found by a bracketed search.
 */
int solution_solve(const struct solution_input *given, struct solution *solved, struct fault *fault);

/* The same with the pH imposed: the alkalinity is an answer (solved->alkalinity_mmol_l), given->alkalinity_mmol_l
 * is ignored. The work of acid.h. EC is that of the charges at hand.
 */
int solution_solve_at_ph(const struct solution_input *given, double ph, struct solution *solved, struct fault *fault);

/* What a person may be told: the honest spread around the computed values, as in the reference (databases and
 * methods differ by this much): EC 3 %, pH 0.1, SI 0.1 (0.3 above ionic strength 0.4); pH 0.5 in unbuffered water.
 */
struct solution_told {
    double ec_low_ms_cm, ec_high_ms_cm;
    double ph_low, ph_high;
    double saturation_within;
    bool unbuffered; /* so little buffer that the air and the glass decide the pH */
};
void solution_told(const struct solution *solved, struct solution_told *told);

/* log10 of the equilibrium constant of a mineral's dissolving at t_c (0 to 40), as written in fixtures/chemistry/facts-minerals.csv. */
double solution_mineral_log_k(enum solution_mineral mineral, double t_c);

#endif
