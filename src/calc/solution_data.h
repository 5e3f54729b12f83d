/* solution_data.h - the constants behind solution.h: private, not installed. */
#ifndef TIDEMARK_SOLUTION_DATA_H
#define TIDEMARK_SOLUTION_DATA_H

#include "calc/solution.h"

/* Equilibrium constant at temperature: either log10 K = k0 + k1 T + k2/T + k3 log10 T + k4/T^2 + k5 T^2 with T in
 * kelvin, or log10 K at 25 C with its enthalpy by van 't Hoff.
 */
struct constant {
    bool analytic;
    double k[6];
    double log_k, enthalpy_kj;
};

enum activity_rule { ACTIVITY_TRUESDELL_JONES, ACTIVITY_DAVIES, ACTIVITY_NEUTRAL };

struct part {
    enum ion total;
    int count;
};

/* One dissolved species, written from the totals' own ions (H2PO4-, CO2 for carbonate, H3BO3, ...), protons and
 * water: CO3-2 = CO2 + H2O - 2 H+ has protons -2, waters 1. So minus protons is what it counts in the alkalinity.
 *
 * log10_k is that of the source's reaction, from PO4-3, CO3-2 and Cit-3; `via` names the formed species that
 * this reaction starts from (CaHPO4 from HPO4-2), whose own constant is added via_count times.
 */
struct species {
    const char *name;
    int charge;
    enum activity_rule rule;
    double size_angstrom, b; /* truesdell-jones */
    int parts;
    struct part part[2];
    int protons, waters;
    bool formed;
    struct constant constant;
    enum solution_species via;
    int via_count;
    double dw25, dw_t, dw_a, dw_a2; /* diffusion, m2/s at 25 C, its temperature and ionic strength terms; 0: carries nothing */
};

extern const struct species solution_species[SPECIES_COUNT];

struct mineral {
    struct constant constant;
    int parts;
    struct {
        enum solution_species species;
        int count;
    } part[4];
    int waters;
};

extern const struct mineral solution_mineral[MINERAL_COUNT];
extern const struct constant solution_co2_gas;

/* Pure water at t_c, 0 to 40 C, linear between whole degrees. */
struct water_properties {
    double debye_a, debye_b_per_angstrom, density_kg_l, viscosity_mpa_s;
};
void solution_water_properties(double t_c, struct water_properties *water);

/* L/mol that a total takes from the water of a litre (ions.h order). */
extern const double solution_volume_l_mol[ION_TOTALS];
extern const double solution_volume_by_strength; /* per (mol/kg)^1.5 */

double solution_log10_k(const struct constant *constant, double t_k);

/* In solution.c: as solution_solve, but ec_ms_cm is left 0, which takes half the time where only saturation is asked for. */
int solution_solve_without_ec(const struct solution_input *given, struct solution *solved, struct fault *fault);

/* In solution_tell.c: protons that citric acid has given up, meq/L. The solver counts them with the alkalinity; what is told as
 * alkalinity leaves them out.
 */
double solution_citrate_meq_l(const struct solution *solved);

/* In solution.c: total carbonate, mmol/L, that gives given->alkalinity_mmol_l at this pH; the total in `given` is
 * ignored. 0 where the alkalinity is met without any. Returns 0, or -1 with FAULT_INPUT as solution_solve.
 */
int solution_carbonate_at(const struct solution_input *given, double ph, double *c_mmol_l, struct fault *fault);

#endif
