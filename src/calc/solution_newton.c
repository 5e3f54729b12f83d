/* solution_newton.c - mass balances and the balance of protons, for given activity coefficients.
 *
 * Unknown are x_i, the logarithms of the activities of H+ and of one ion of each total (the basis of
 * solution_data.h). A species' molality is exp(k_j + sum a_ij x_i), all a_ij of totals positive. The mass
 * balances sum_j a_ij m_j = b_i, and the proton balance, which is the alkalinity with its sign turned, are then
 * the gradient of sum_j m_j - sum_i b_i x_i: a convex function. Newton on it, with a step cut where the slope along it
 * turns up too far, cannot diverge. Its matrix is symmetric and positive, so Cholesky does.
 */
#include "calc/solution_work.h"

#include <math.h>
#include <string.h>

#define NEWTON_ROUNDS 100

/* ------------------------------------------------------- constants at a temperature */

void solution_constants_at(struct work *w, double t_c)
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

void solution_coefficients_at(struct work *w, double ionic_strength)
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
void solution_list_terms(struct work *w)
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

/* All of a species' logarithm that is no unknown. */
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
double solution_newton(struct work *w, double within)
{
    double imbalance[UNKNOWNS], step[UNKNOWNS], next[UNKNOWNS], worst;

    fix_terms(w);
    worst = evaluate(w, w->x, imbalance);
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
        {SPECIES_NH3},
        {SPECIES_HSO4},
        {SPECIES_HPO4, SPECIES_PO4, SPECIES_H3PO4},
        {SPECIES_HCO3, SPECIES_CO3},
        {SPECIES_H2BO3},
        {SPECIES_H3SIO4, SPECIES_H2SIO4},
        {SPECIES_CIT, SPECIES_HCIT, SPECIES_H2CIT},
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

void solution_first_guess(struct work *w, double ph)
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

double solution_full_ionic_strength(const struct work *w)
{
    double sum = fabs(w->b[PROTON]);

    for (int i = 0; i < ION_TOTALS; i++)
        if (w->present[i] && !(w->known[i] && i == ION_C))
            sum += w->b[i] * ion_charge[i] * ion_charge[i];
    return fmax(0.5 * sum, 1e-7);
}
