/* solution_tell.c - from molalities to what is asked for. */
#include "calc/solution_work.h"

#include <math.h>
#include <string.h>

/* mS/cm (1e4 makes it so from S m2/mol and mol/kg). Source: the method of U.S. Geological Survey Techniques and Methods 6-A43,
 * release 3.7.3; the 298.15 K at every temperature and the molality, not molarity, belong to it.
 */
double solution_conductivity(const struct work *w)
{
    const double faraday = 96485.33, gas = 8.31446;
    double root = sqrt(w->ionic_strength), sum = 0.0;
    double shade = w->water.debye_b_per_angstrom * root / (1.0 + pow(w->ionic_strength, 0.75));
    double warmth = 1.0 / w->t_k - 1.0 / 298.15;

    for (int n = 0; n < w->terms; n++) {
        int j = w->term[n].species;
        const struct species *s = &solution_species[j];
        double z = fabs((double)s->charge), exponent;

        if (s->dw25 == 0.0)
            continue;
        exponent = s->dw_t * warmth - s->dw_a * w->water.debye_a * z * root / (1.0 + s->dw_a2 * shade);
        sum += w->m[j] * z * z * s->dw25 * exp(exponent);
    }
    return 1e4 * faraday * faraday / (gas * 298.15) * sum * 0.89002 / w->water.viscosity_mpa_s;
}

static void tell_saturation(struct solution *solved, double t_k)
{
    for (int i = 0; i < MINERAL_COUNT; i++) {
        const struct mineral *mineral = &solution_mineral[i];
        double product = mineral->waters * solved->log10_activity_water;
        bool there = true;

        for (int p = 0; p < mineral->parts; p++) {
            double log_a = solved->log10_activity[mineral->part[p].species];

            there = there && log_a != SATURATION_ABSENT;
            product += mineral->part[p].count * log_a;
        }
        solved->saturation[i] = there ? product - solution_log10_k(&mineral->constant, t_k) : SATURATION_ABSENT;
    }
}

double solution_citrate_meq_l(const struct solution *solved)
{
    double meq_l = 0.0;

    for (int j = SPECIES_CIT; j < SPECIES_COUNT; j++)
        meq_l -= solution_species[j].protons * solved->species_mmol_l[j];
    return meq_l;
}

static double charge_error_percent(const struct solution_input *given, double alkalinity_mmol_l)
{
    double cations = 0.0, anions = 0.0;

    for (int i = 0; i < ION_TOTALS; i++)
        if (i != ION_C)
            *(ion_charge[i] > 0 ? &cations : &anions) += given->total_mmol_l[i] * fabs((double)ion_charge[i]);
    *(alkalinity_mmol_l > 0.0 ? &anions : &cations) += fabs(alkalinity_mmol_l);
    return cations + anions > 1e-6 ? 100.0 * (cations - anions) / (cations + anions) : 0.0;
}

void solution_tell(const struct work *w, const struct litre *litre, const struct solution_input *given, struct solution *solved)
{
    double alkalinity = 0.0;

    solved->temperature_c = w->t_c;
    solved->ph = -w->x[PROTON] / LN10;
    solved->ionic_strength_mol_kg = w->ionic_strength;
    solved->ionic_strength_mol_l = w->ionic_strength * litre->kgw;
    solved->kgw_per_l = litre->kgw;
    solved->log10_activity_water = w->ln_water / LN10;
    for (int j = 0; j < SPECIES_COUNT; j++)
        solved->log10_activity[j] = SATURATION_ABSENT;
    for (int n = 0; n < w->terms; n++) {
        int j = w->term[n].species;

        solved->species_mmol_l[j] = 1000.0 * w->m[j] * litre->kgw;
        solved->log10_activity[j] = fmax((w->fixed[j] + w->ln_gamma[j]) / LN10, -990.0);
        for (int i = 0; i < w->term[n].count; i++)
            solved->log10_activity[j] += w->term[n].times[i] * w->x[w->term[n].unknown[i]] / LN10;
        alkalinity -= solution_species[j].protons * w->m[j];
    }
    for (int i = 0; i < ION_TOTALS; i++)
        solved->total_mmol_l[i] = 1000.0 * litre->c[i];
    solved->alkalinity_mmol_l = w->wanted == WANTED_ALKALINITY ? 1000.0 * alkalinity * litre->kgw : given->alkalinity_mmol_l;
    solved->pco2_atm = w->present[ION_C] ? exp(w->x[ION_C] - LN10 * solution_log10_k(&solution_co2_gas, w->t_k)) : 0.0;
    solved->charge_error_percent = charge_error_percent(given, solved->alkalinity_mmol_l);
    solved->alkalinity_mmol_l -= solution_citrate_meq_l(solved);
    memcpy(solved->elements_mg_l, given->elements_mg_l, sizeof solved->elements_mg_l);
    tell_saturation(solved, w->t_k);
    solved->ec_at_temperature_ms_cm = solution_conductivity(w);
}

double solution_mineral_log_k(enum solution_mineral mineral, double t_c)
{
    return solution_log10_k(&solution_mineral[mineral].constant, t_c + 273.15);
}

void solution_told(const struct solution *solved, struct solution_told *told)
{
    double buffer = fmax(solved->alkalinity_mmol_l, 0.0) + solved->total_mmol_l[ION_C] + solved->total_mmol_l[ION_PO4] +
                    solved->total_mmol_l[ION_CITRATE];
    double ph_within;

    told->unbuffered = buffer < 0.02 && solved->ph > 5.5 && solved->ph < 8.5;
    ph_within = told->unbuffered ? 0.5 : solved->ionic_strength_mol_kg > 0.4 ? 0.3 : 0.1;
    told->ph_low = solved->ph - ph_within;
    told->ph_high = solved->ph + ph_within;
    told->ec_low_ms_cm = 0.97 * solved->ec_ms_cm;
    told->ec_high_ms_cm = 1.03 * solved->ec_ms_cm;
    told->saturation_within = solved->ionic_strength_mol_kg > 0.4 ? 0.3 : 0.1;
}
