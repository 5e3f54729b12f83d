/* solution.c - solves a litre: the ionic strength, and what callers see.
 *
 * Activity coefficients hang on one number, the ionic strength. For a guess of it Newton finds the species
 * (solution_newton.c), which have an ionic strength of their own; the two are brought together by a bracketed secant search. The
 * water's activity, the kilograms of water in the litre and, in open air, the carbonate follow along.
 */
#include "calc/solution_work.h"

#include <math.h>
#include <string.h>

#define TRACE_MOL_KG 1e-15      /* a total below this is none */
#define IONIC_STRENGTH_MOST 8.0 /* mol/kg: beyond it the activity rules mean nothing; ours */
#define WATER_LEAST_KG_L 0.5    /* ours */
#define SEARCH_ROUNDS 80

/* --------------------------------------------------- the search for the ionic strength */

static double sum_ionic_strength(const struct work *w, double *all)
{
    double strength = 0.0;

    *all = 0.0;
    for (int n = 0; n < w->terms; n++) {
        int j = w->term[n].species, z = solution_species[j].charge;

        strength += 0.5 * w->m[j] * z * z;
        *all += w->m[j];
    }
    return strength;
}

static double carbonate(const struct work *w, double *alkalinity_with, double *alkalinity_without)
{
    double total = 0.0;

    *alkalinity_with = *alkalinity_without = 0.0;
    for (int n = 0; n < w->terms; n++) {
        int j = w->term[n].species;
        const struct species *s = &solution_species[j];
        bool in = false;

        for (int i = 0; i < s->parts; i++)
            if (s->part[i].total == ION_C) {
                total += s->part[i].count * w->m[j];
                in = true;
            }
        *(in ? alkalinity_with : alkalinity_without) -= s->protons * w->m[j];
    }
    return total;
}

/* Kilograms of water in a litre, c in mol/L. The last term is the electrostriction that the limiting law gives (it
 * goes with I^1.5), its factor fitted like the volumes: it halves their error in stocks above 3 mol/kg.
 */
static double water_in_litre(const struct work *w, const double c[ION_TOTALS])
{
    double taken = solution_volume_by_strength * w->ionic_strength * sqrt(w->ionic_strength);

    for (int i = 0; i < ION_TOTALS; i++)
        taken += solution_volume_l_mol[i] * c[i];
    return w->water.density_kg_l * (1.0 - taken);
}

static void molalities_from_litre(struct work *w, const struct litre *litre)
{
    for (int i = 0; i < ION_TOTALS; i++)
        w->b[i] = litre->c[i] / litre->kgw;
    w->b[PROTON] = -litre->alkalinity / litre->kgw;
}

/* The carbonate that the air, or the alkalinity, asks for, and the water that such a litre holds; returns how much
 * they moved, relative.
 */
static double follow(struct work *w, struct litre *litre)
{
    double with, without, total, carbonate_before = litre->c[ION_C], water_before = litre->kgw;

    if (w->water_held)
        return 0.0;
    if (w->open) {
        total = carbonate(w, &with, &without);
        litre->c[ION_C] = total * litre->kgw;
    } else if (w->wanted == WANTED_CARBONATE) {
        double room;

        carbonate(w, &with, &without);
        room = litre->alkalinity / litre->kgw - without;
        litre->c[ION_C] *= room > 0.0 && with > 0.0 ? fmin(fmax(room / with, 0.01), 100.0) : 0.01;
    }
    litre->kgw = water_in_litre(w, litre->c);
    molalities_from_litre(w, litre);
    return fmax(fabs(litre->c[ION_C] - carbonate_before) / (litre->c[ION_C] + 1e-12), fabs(litre->kgw - water_before));
}

static int too_little_water(double kgw, struct fault *fault)
{
    return fault_add(fault, FAULT_INPUT, "", "too concentrated to be computed: the litre would hold only %.2g kg of water", kgw);
}

/* Finds the ionic strength that the species it gives have. Returns 0, or -1 where it is beyond the rules. */
static int search(struct work *w, struct litre *litre, double strength, struct fault *fault)
{
    double low = 0.0, high = IONIC_STRENGTH_MOST, last = 0.0, last_sum = 0.0, within = 1e-4;

    for (int round = 0; round < SEARCH_ROUNDS; round++) {
        double all, sum, moved, slope, next, gap;

        strength = fmin(strength, IONIC_STRENGTH_MOST);
        solution_coefficients_at(w, strength);
        solution_newton(w, within);
        sum = sum_ionic_strength(w, &all);
        if (!(all < 40.0) || (strength >= IONIC_STRENGTH_MOST && sum > strength))
            return fault_add(fault, FAULT_INPUT, "", "too concentrated to be computed: its ionic strength is above %g mol/kg",
                             IONIC_STRENGTH_MOST);
        gap = sum - strength;
        moved = fabs(log(1.0 - 0.017 * all) - w->ln_water);
        w->ln_water = log(1.0 - 0.017 * all);
        moved = fmax(moved, follow(w, litre));
        if (!(litre->kgw >= WATER_LEAST_KG_L))
            return too_little_water(litre->kgw, fault);
        if (fabs(gap) <= 1e-9 * sum && moved <= 1e-9 && within <= 1e-10)
            return 0;
        if (gap > 0.0)
            low = fmax(low, strength);
        else
            high = fmin(high, strength);
        slope = round && strength != last ? (sum - last_sum) / (strength - last) : 0.0;
        slope = fmin(fmax(slope, -2.0), 0.9);
        next = (sum - slope * strength) / (1.0 - slope);
        /* While carbonate and water still move, the bracket is of a function that moves, too: only lean on it later. */
        if (round > 15 && !(next > low && next < high))
            next = low < high ? 0.5 * (low + high) : sum;
        if (round > 15 && low >= high) {
            low = 0.0;
            high = IONIC_STRENGTH_MOST;
        }
        within = fmin(within, fmax(1e-11, fmin(1e-4, 0.01 * fmax(fabs(gap) / sum, moved))));
        last = strength;
        last_sum = sum;
        strength = fmax(next, 0.0);
    }
    return fault_add(fault, FAULT_INPUT, "", "no equilibrium was found for this solution; please report it");
}

/* ----------------------------------------------------------------------------- whole */

static int check(const struct solution_input *given, struct fault *fault)
{
    int bad = 0;

    if (!(given->temperature_c >= 0.0 && given->temperature_c <= 40.0))
        bad = fault_add(fault, FAULT_INPUT, "/temperature_c", "must be from 0 to 40 degrees C, was %g", given->temperature_c);
    if (given->gas == SOLUTION_OPEN_AIR && !(given->pco2_atm >= 1e-6 && given->pco2_atm <= 1.0))
        bad = fault_add(fault, FAULT_INPUT, "/pco2_atm", "must be from 0.000001 to 1 atm, was %g", given->pco2_atm);
    for (int i = 0; i < ION_TOTALS; i++)
        if (!(given->total_mmol_l[i] >= 0.0 && given->total_mmol_l[i] <= 20000.0))
            bad = fault_add(fault, FAULT_INPUT, "", "the total of %s must be from 0 to 20000 mmol/L, was %g",
                            ion_key[i] ? ion_key[i] : "citrate", given->total_mmol_l[i]);
    if (!(fabs(given->alkalinity_mmol_l) <= 20000.0))
        bad = fault_add(fault, FAULT_INPUT, "", "the alkalinity must be within 20000 mmol/L, was %g", given->alkalinity_mmol_l);
    return bad;
}

/* Sets a litre up for the Newton and finds its equilibrium. */
static int equilibrate(struct work *w, struct litre *litre, const struct solution_input *given, double ph, struct fault *fault)
{
    w->rounds = 0;
    w->ln_water = w->ionic_strength = 0.0;
    w->water_held = false;
    litre->alkalinity = given->alkalinity_mmol_l / 1000.0;
    for (int i = 0; i < ION_TOTALS; i++)
        litre->c[i] = given->total_mmol_l[i] / 1000.0;
    if (w->wanted == WANTED_CARBONATE)
        litre->c[ION_C] = fmax(litre->alkalinity, 1e-6);
    else if (w->open)
        litre->c[ION_C] = fmax(litre->alkalinity, 1e-5);
    solution_constants_at(w, given->temperature_c);
    litre->kgw = water_in_litre(w, litre->c);
    if (!(litre->kgw >= WATER_LEAST_KG_L))
        return too_little_water(litre->kgw, fault);
    molalities_from_litre(w, litre);
    for (int i = 0; i < ION_TOTALS; i++) {
        w->present[i] = w->b[i] > TRACE_MOL_KG;
        w->known[i] = !w->present[i];
        w->x[i] = 0.0;
    }
    w->present[PROTON] = true;
    w->known[PROTON] = w->wanted == WANTED_ALKALINITY || w->wanted == WANTED_CARBONATE;
    if (w->open) {
        w->known[ION_C] = true;
        w->x[ION_C] = LN10 * (solution_log10_k(&solution_co2_gas, w->t_k) + log10(given->pco2_atm));
    }
    solution_list_terms(w);
    solution_first_guess(w, ph);
    return search(w, litre, 0.9 * solution_full_ionic_strength(w), fault);
}

/* The same litre brought to 25 C in a closed bottle: what a meter with a good temperature correction would show. */
static int conductivity_at_25(struct work *w, struct litre *litre, double *ec_ms_cm, struct fault *fault)
{
    double kgw = litre->kgw;

    if (w->t_c == 25.0) {
        *ec_ms_cm = solution_conductivity(w);
        return 0;
    }
    if (w->wanted == WANTED_ALKALINITY) {
        double with, without;

        carbonate(w, &with, &without);
        litre->alkalinity = (with + without) * kgw;
    }
    w->wanted = WANTED_PH;
    w->open = false;
    w->water_held = true;
    w->known[ION_C] = !w->present[ION_C];
    w->known[PROTON] = false;
    solution_constants_at(w, 25.0);
    molalities_from_litre(w, litre);
    solution_list_terms(w);
    if (search(w, litre, w->ionic_strength, fault))
        return -1;
    *ec_ms_cm = solution_conductivity(w);
    return 0;
}

static int solve(const struct solution_input *given, enum wanted wanted, double ph, bool ec, struct solution *solved,
                 struct fault *fault)
{
    struct work w;
    struct litre litre;
    struct solution answer;

    if (check(given, fault))
        return -1;
    w.wanted = wanted;
    w.open = given->gas == SOLUTION_OPEN_AIR;
    if (equilibrate(&w, &litre, given, ph, fault))
        return -1;
    memset(&answer, 0, sizeof answer);
    solution_tell(&w, &litre, given, &answer);
    if (ec && conductivity_at_25(&w, &litre, &answer.ec_ms_cm, fault))
        return -1;
    answer.rounds = w.rounds;
    if (!(isfinite(answer.ph) && isfinite(answer.ec_ms_cm) && isfinite(answer.ec_at_temperature_ms_cm)))
        return fault_add(fault, FAULT_INPUT, "", "no equilibrium was found for this solution; please report it");
    *solved = answer;
    return 0;
}

int solution_solve(const struct solution_input *given, struct solution *solved, struct fault *fault)
{
    return solve(given, WANTED_PH, 0.0, true, solved, fault);
}

int solution_solve_without_ec(const struct solution_input *given, struct solution *solved, struct fault *fault)
{
    return solve(given, WANTED_PH, 0.0, false, solved, fault);
}

int solution_solve_at_ph(const struct solution_input *given, double ph, struct solution *solved, struct fault *fault)
{
    if (!(ph >= 0.0 && ph <= 14.0))
        return fault_add(fault, FAULT_INPUT, "/ph", "must be from 0 to 14, was %g", ph);
    return solve(given, WANTED_ALKALINITY, ph, true, solved, fault);
}

int solution_carbonate_at(const struct solution_input *given, double ph, double *c_mmol_l, struct fault *fault)
{
    struct work w;
    struct litre litre;

    if (check(given, fault))
        return -1;
    w.wanted = WANTED_CARBONATE;
    w.open = false;
    if (equilibrate(&w, &litre, given, ph, fault))
        return -1;
    *c_mmol_l = litre.c[ION_C] > 1e-9 ? 1000.0 * litre.c[ION_C] : 0.0;
    return 0;
}
