/* solution.c - solves a litre: species, pH, conductivity, saturation.
 *
 * Unknown are x_i, the logarithms of the activities of H+ and of one ion of each total (the basis of
 * solution_data.h). A species' molality is exp(k_j + sum a_ij x_i), all a_ij of totals positive. The mass
 * balances sum_j a_ij m_j = b_i, and the proton balance, which is the alkalinity with its sign turned, are then
 * the gradient of sum_j m_j - sum_i b_i x_i: a convex function. Newton on it, with a step cut where the slope along it
 * turns up too far, cannot diverge. Its matrix is symmetric and positive, so Cholesky does.
 * Activity coefficients hang on one number, the ionic strength; around the Newton stands a bracketed search for it.
 */
#include "calc/solution_data.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#define LN10 2.302585092994046
#define PROTON ION_TOTALS /* its index beside the totals */
#define UNKNOWNS (ION_TOTALS + 1)
#define TRACE_MOL_KG 1e-15         /* a total below this is none */
#define IONIC_STRENGTH_MOST 8.0    /* mol/kg: beyond it the activity rules mean nothing; ours */
#define WATER_LEAST_KG_L 0.5       /* ours */
#define SEARCH_ROUNDS 80
#define NEWTON_ROUNDS 100

enum wanted {
    WANTED_PH,         /* alkalinity and totals known */
    WANTED_ALKALINITY, /* pH and totals known */
    WANTED_CARBONATE   /* pH and alkalinity known */
};

struct term {
    int species;
    int count;         /* unknowns in it */
    int unknown[3];    /* index in x[] */
    double times[3];
};

struct work {
    enum wanted wanted;
    bool open;       /* CO2 held by the air, total carbonate an answer */
    bool water_held; /* the water of the litre is settled */
    double t_c, t_k;
    struct water_properties water;
    double ln_k[SPECIES_COUNT], ln_gamma[SPECIES_COUNT];
    double m[SPECIES_COUNT]; /* mol/kg */
    double fixed[SPECIES_COUNT]; /* k_j of the comment above: all that is no unknown */
    double x[UNKNOWNS], b[UNKNOWNS];
    bool known[UNKNOWNS]; /* x held: pH imposed, CO2 held by the air; or no such total */
    bool present[UNKNOWNS];
    int row[UNKNOWNS]; /* unknown -> row of the matrix, -1 where known */
    int rows;
    struct term term[SPECIES_COUNT];
    int terms;
    double ln_water;
    double ionic_strength;
    int rounds;
};

/* ------------------------------------------------------- constants at a temperature */

static void constants_at(struct work *w, double t_c)
{
    double log_k[SPECIES_COUNT];

    w->t_c = t_c;
    w->t_k = t_c + 273.15;
    solution_water_properties(t_c, &w->water);
    for (int j = 0; j < SPECIES_COUNT; j++) {
        const struct species *s = &solution_species[j];

        log_k[j] = s->formed ? solution_log10_k(&s->constant, w->t_k) : 0.0;
        if (s->via_count)
            log_k[j] += s->via_count * log_k[s->via];
    }
    for (int j = 0; j < SPECIES_COUNT; j++) {
        const struct species *s = &solution_species[j];

        w->ln_k[j] = log_k[j];
        for (int i = 0; i < s->parts; i++) {
            enum ion total = s->part[i].total;

            if (total == ION_PO4)
                w->ln_k[j] -= s->part[i].count * log_k[SPECIES_H2PO4];
            else if (total == ION_C)
                w->ln_k[j] -= s->part[i].count * log_k[SPECIES_CO2];
            else if (total == ION_CITRATE)
                w->ln_k[j] -= s->part[i].count * log_k[SPECIES_H3CIT];
        }
        w->ln_k[j] *= LN10;
    }
}

static void coefficients_at(struct work *w, double ionic_strength)
{
    double root = sqrt(ionic_strength), a = w->water.debye_a, b = w->water.debye_b_per_angstrom;
    double davies = -a * (root / (1.0 + root) - 0.3 * ionic_strength);

    w->ionic_strength = ionic_strength;
    for (int n = 0; n < w->terms; n++) {
        int j = w->term[n].species;
        const struct species *s = &solution_species[j];
        double square = (double)(s->charge * s->charge), log_gamma;

        if (s->rule == ACTIVITY_NEUTRAL)
            log_gamma = 0.1 * ionic_strength;
        else if (s->rule == ACTIVITY_DAVIES)
            log_gamma = square * davies;
        else
            log_gamma = -a * square * root / (1.0 + b * s->size_angstrom * root) + s->b * ionic_strength;
        w->ln_gamma[j] = LN10 * log_gamma;
    }
}

/* --------------------------------------------------------------------------- Newton */

/* Which species there are, and which unknowns are in each. */
static void list_terms(struct work *w)
{
    w->terms = 0;
    for (int j = 0; j < SPECIES_COUNT; j++) {
        const struct species *s = &solution_species[j];
        struct term *term = &w->term[w->terms];
        bool there = true;

        w->m[j] = 0.0;
        term->species = j;
        term->count = 0;
        for (int i = 0; i < s->parts; i++) {
            there = there && w->present[s->part[i].total];
            term->unknown[term->count] = (int)s->part[i].total;
            term->times[term->count++] = s->part[i].count;
        }
        if (s->protons) {
            term->unknown[term->count] = PROTON;
            term->times[term->count++] = s->protons;
        }
        w->terms += there;
    }
    w->rows = 0;
    for (int i = 0; i < UNKNOWNS; i++)
        w->row[i] = w->known[i] ? -1 : w->rows++;
}

static void fix_terms(struct work *w)
{
    for (int n = 0; n < w->terms; n++) {
        int j = w->term[n].species;

        w->fixed[j] = w->ln_k[j] + solution_species[j].waters * w->ln_water - w->ln_gamma[j];
    }
}

/* Molalities at x; the imbalance of each row; returns the worst one against the sum of its sizes. */
static double evaluate(struct work *w, const double x[UNKNOWNS], double imbalance[UNKNOWNS])
{
    double size[UNKNOWNS], worst = 0.0;

    for (int i = 0; i < UNKNOWNS; i++) {
        imbalance[i] = -w->b[i];
        size[i] = fabs(w->b[i]);
    }
    for (int n = 0; n < w->terms; n++) {
        const struct term *term = &w->term[n];
        double ln_m = w->fixed[term->species], m;

        for (int i = 0; i < term->count; i++)
            ln_m += term->times[i] * x[term->unknown[i]];
        m = exp(fmin(ln_m, 200.0));
        w->m[term->species] = m;
        for (int i = 0; i < term->count; i++) {
            imbalance[term->unknown[i]] += term->times[i] * m;
            size[term->unknown[i]] += fabs(term->times[i]) * m;
        }
    }
    for (int i = 0; i < UNKNOWNS; i++)
        if (w->row[i] >= 0)
            worst = fmax(worst, fabs(imbalance[i]) / size[i]);
    return worst;
}

/* step = -H^-1 imbalance, H the matrix of second derivatives, by Cholesky in place. */
static void newton_step(const struct work *w, const double imbalance[UNKNOWNS], double step[UNKNOWNS])
{
    double h[UNKNOWNS][UNKNOWNS] = {{0}}, y[UNKNOWNS];

    for (int n = 0; n < w->terms; n++) {
        const struct term *term = &w->term[n];
        double m = w->m[term->species];

        for (int i = 0; i < term->count; i++) {
            int r = w->row[term->unknown[i]];

            if (r < 0)
                continue;
            for (int k = 0; k < term->count; k++) {
                int c = w->row[term->unknown[k]];

                if (c >= 0 && c <= r)
                    h[r][c] += term->times[i] * term->times[k] * m;
            }
        }
    }
    for (int i = 0; i < UNKNOWNS; i++)
        if (w->row[i] >= 0)
            y[w->row[i]] = -imbalance[i];
    for (int c = 0; c < w->rows; c++) {
        double pivot = h[c][c], least = 1e-14 * pivot, inverse;

        for (int k = 0; k < c; k++)
            pivot -= h[c][k] * h[c][k];
        /* Rounding may leave nothing of a nearly fully bound total; then the step along it is short, not wild. */
        pivot = sqrt(fmax(fmax(pivot, least), 1e-300));
        inverse = 1.0 / pivot;
        h[c][c] = pivot;
        for (int r = c + 1; r < w->rows; r++) {
            double sum = h[r][c];

            for (int k = 0; k < c; k++)
                sum -= h[r][k] * h[c][k];
            h[r][c] = sum * inverse;
        }
        for (int k = 0; k < c; k++)
            y[c] -= h[c][k] * y[k];
        y[c] *= inverse;
    }
    for (int r = w->rows - 1; r >= 0; r--) {
        for (int k = r + 1; k < w->rows; k++)
            y[r] -= h[k][r] * y[k];
        y[r] /= h[r][r];
    }
    for (int i = 0; i < UNKNOWNS; i++)
        step[i] = w->row[i] < 0 ? 0.0 : y[w->row[i]];
}

static double slope_along(const double step[UNKNOWNS], const double imbalance[UNKNOWNS])
{
    double slope = 0.0;

    for (int i = 0; i < UNKNOWNS; i++)
        slope += step[i] * imbalance[i]; /* step is 0 where nothing is unknown */
    return slope;
}

/* Drives every imbalance below `within` of its row's size. Returns the worst that is left. */
static double newton(struct work *w, double within)
{
    double imbalance[UNKNOWNS], step[UNKNOWNS], next[UNKNOWNS];
    double worst = evaluate(w, w->x, imbalance);

    for (int round = 0; worst > within && round < NEWTON_ROUNDS; round++) {
        double longest = 0.0, slope, share = 1.0;

        newton_step(w, imbalance, step);
        for (int i = 0; i < UNKNOWNS; i++)
            longest = fmax(longest, fabs(step[i]));
        if (longest > 6.0)
            share = 6.0 / longest;
        slope = slope_along(step, imbalance);
        for (int cut = 0; cut < 40; cut++) {
            double slope_there;

            for (int i = 0; i < UNKNOWNS; i++)
                next[i] = w->x[i] + share * step[i];
            worst = evaluate(w, next, imbalance);
            slope_there = slope_along(step, imbalance);
            if (slope_there <= 0.5 * fabs(slope) || longest * share < 1e-9)
                break;
            share *= fmax(0.1, fabs(slope) / (fabs(slope) + slope_there)); /* the secant's zero of the slope */
        }
        memcpy(w->x, next, sizeof next);
        w->rounds++;
    }
    return worst;
}

/* ---------------------------------------------------------------------- first guess */

/* Shares of the basis ions, and alkalinity, at activity h of H+ with all activity coefficients 1 and no pairs. */
static double rough_alkalinity(const struct work *w, double ln_h, double ln_share[ION_TOTALS])
{
    static const enum solution_species ladder[][4] = {
        {SPECIES_NH3}, {SPECIES_HSO4}, {SPECIES_HPO4, SPECIES_PO4, SPECIES_H3PO4}, {SPECIES_HCO3, SPECIES_CO3},
        {SPECIES_H2BO3}, {SPECIES_H3SIO4, SPECIES_H2SIO4}, {SPECIES_CIT, SPECIES_HCIT, SPECIES_H2CIT},
    };
    static const enum ion of[] = {ION_NH4, ION_SO4, ION_PO4, ION_C, ION_B, ION_SI, ION_CITRATE};
    double alkalinity = exp(w->ln_k[SPECIES_OH] - ln_h) - exp(ln_h);

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        double sum = 1.0, counted = 0.0, basis;

        if (!w->present[of[i]])
            continue;
        for (int k = 0; k < 4 && ladder[i][k]; k++) {
            const struct species *s = &solution_species[ladder[i][k]];
            double ratio = exp(w->ln_k[ladder[i][k]] + s->protons * ln_h);

            sum += ratio;
            counted -= s->protons * ratio;
        }
        basis = w->known[of[i]] ? exp(w->x[of[i]]) : w->b[of[i]] / sum;
        if (ln_share)
            ln_share[of[i]] = -log(sum);
        alkalinity += basis * counted;
    }
    return alkalinity;
}

static void first_guess(struct work *w, double ph)
{
    double ln_share[ION_TOTALS] = {0}, low = -16.0 * LN10, high = 2.0 * LN10;

    if (w->wanted == WANTED_PH) {
        for (int i = 0; i < 16; i++) { /* to 0.0003 of a unit; alkalinity falls as h rises */
            double middle = 0.5 * (low + high);

            if (rough_alkalinity(w, middle, NULL) > -w->b[PROTON])
                low = middle;
            else
                high = middle;
        }
        w->x[PROTON] = 0.5 * (low + high);
    } else {
        w->x[PROTON] = -LN10 * ph;
    }
    rough_alkalinity(w, w->x[PROTON], ln_share);
    for (int i = 0; i < ION_TOTALS; i++)
        if (w->present[i] && !w->known[i])
            w->x[i] = log(w->b[i]) + ln_share[i];
}

static double full_ionic_strength(const struct work *w)
{
    double sum = fabs(w->b[PROTON]);

    for (int i = 0; i < ION_TOTALS; i++)
        if (w->present[i] && !(w->known[i] && i == ION_C))
            sum += w->b[i] * ion_charge[i] * ion_charge[i];
    return fmax(0.5 * sum, 1e-7);
}

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

/* What the caller of search() still has to follow up between two ionic strengths. */
struct litre {
    double c[ION_TOTALS]; /* mol/L */
    double alkalinity;    /* mol/L */
    double kgw;           /* kg of water */
};

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
        coefficients_at(w, strength);
        fix_terms(w);
        newton(w, within);
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
        /* While water and carbonate still move, the bracket is of a function that moves, too: only lean on it later. */
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

/* -------------------------------------------------------------------------- answers */

/* mS/cm (1e4 turns S m2/kg of mol/kg into it). Source: the method of U.S. Geological Survey Techniques and Methods 6-A43, release 3.7.3; the 298.15 K and the
 * molality (not molarity) belong to it.
 */
static double conductivity(const struct work *w)
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

static double charge_error_percent(const struct solution_input *given, double alkalinity_mmol_l)
{
    double cations = 0.0, anions = 0.0;

    for (int i = 0; i < ION_TOTALS; i++)
        if (i != ION_C)
            *(ion_charge[i] > 0 ? &cations : &anions) += given->total_mmol_l[i] * fabs((double)ion_charge[i]);
    *(alkalinity_mmol_l > 0.0 ? &anions : &cations) += fabs(alkalinity_mmol_l);
    return cations + anions > 1e-6 ? 100.0 * (cations - anions) / (cations + anions) : 0.0;
}

static void tell(const struct work *w, const struct litre *litre, const struct solution_input *given, struct solution *solved)
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
    memcpy(solved->elements_mg_l, given->elements_mg_l, sizeof solved->elements_mg_l);
    tell_saturation(solved, w->t_k);
    solved->ec_at_temperature_ms_cm = conductivity(w);
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
    constants_at(w, given->temperature_c);
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
    list_terms(w);
    first_guess(w, ph);
    return search(w, litre, 0.9 * full_ionic_strength(w), fault);
}

/* The same litre brought to 25 C in a closed bottle: what a meter with a good temperature correction would show. */
static int conductivity_at_25(struct work *w, struct litre *litre, double *ec_ms_cm, struct fault *fault)
{
    double kgw = litre->kgw;

    if (w->t_c == 25.0) {
        *ec_ms_cm = conductivity(w);
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
    constants_at(w, 25.0);
    molalities_from_litre(w, litre);
    list_terms(w);
    if (search(w, litre, w->ionic_strength, fault))
        return -1;
    *ec_ms_cm = conductivity(w);
    return 0;
}

static int solve(const struct solution_input *given, enum wanted wanted, double ph, bool ec, struct solution *solved, struct fault *fault)
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
    tell(&w, &litre, given, &answer);
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
