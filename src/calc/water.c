/* water.c - a source water from much or little knowledge of it. */
#include "calc/water.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MEQ_PER_MS_CM 10.0 /* sum of cations, meq/L, in a natural water of 1 mS/cm: rule of thumb, from memory */

static int solve_water(const struct source_water *water, struct solution *solved, struct fault *fault)
{
    struct solution_input given;

    solution_begin(&given, 25.0);
    return solution_add_water(&given, water, 1.0, fault) || solution_solve(&given, solved, fault) ? -1 : 0;
}

static int check_range(double value, double least, double most, const char *at, struct fault *fault)
{
    if (!(value >= least && value <= most))
        return fault_add(fault, FAULT_INPUT, at, "must be from %g to %g, was %g", least, most, value);
    return 0;
}

/* Every field of low and high as a share of water, with a little for what was not found. */
static void spread(struct water_estimate *estimate, double below, double above)
{
    static const size_t fields[] = {
        offsetof(struct source_water, alkalinity_mg_caco3_l),
        offsetof(struct source_water, ca_mg_l),
        offsetof(struct source_water, mg_mg_l),
        offsetof(struct source_water, na_mg_l),
        offsetof(struct source_water, k_mg_l),
        offsetof(struct source_water, nh4_mg_l),
        offsetof(struct source_water, cl_mg_l),
        offsetof(struct source_water, so4_mg_l),
        offsetof(struct source_water, no3_mg_l),
        offsetof(struct source_water, po4_mg_l),
        offsetof(struct source_water, si_mg_l),
        offsetof(struct source_water, b_mg_l),
    };

    estimate->low = estimate->high = estimate->water;
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        double value;

        memcpy(&value, (const char *)&estimate->water + fields[i], sizeof value);
        value *= 1.0 - below;
        memcpy((char *)&estimate->low + fields[i], &value, sizeof value);
        value *= (1.0 + above) / (1.0 - below);
        memcpy((char *)&estimate->high + fields[i], &value, sizeof value);
    }
}

static void spread_ph(struct water_estimate *estimate, double low, double high)
{
    estimate->low.ph = fmin(low, estimate->water.ph);
    estimate->high.ph = fmax(high, estimate->water.ph);
}

/* -------------------------------------------------------------------- full analysis */

/* The ion that most likely is missing, and how much of it would close the charge. */
static void guess_missing(struct water_estimate *estimate)
{
    const struct source_water *water = &estimate->water;
    static const struct {
        enum ion ion;
        const char *name;
    } anions[] = {{ION_CL, "chloride"}, {ION_SO4, "sulfate"}, {ION_NO3, "nitrate"}};
    double given[] = {water->cl_mg_l, water->so4_mg_l, water->no3_mg_l}, meq_l = fabs(estimate->missing_meq_l);

    if (fabs(estimate->charge_error_percent) <= 5.0)
        return;
    if (estimate->missing_meq_l < 0.0) {
        bool calcium = water->ca_mg_l == 0.0;

        snprintf(estimate->missing, sizeof estimate->missing, "%s, about %.0f mg/L: a guess", calcium ? "calcium" : "sodium",
                 calcium ? meq_l * 40.078 / 2.0 : meq_l * 22.990);
        return;
    }
    for (size_t i = 0; i < sizeof anions / sizeof *anions; i++)
        if (given[i] == 0.0 || i == 2) {
            size_t pick = given[i] == 0.0 ? i : 0; /* all are there: then chloride, the most variable one */

            snprintf(estimate->missing, sizeof estimate->missing, "%s, about %.0f mg/L: a guess", anions[pick].name,
                     meq_l * ion_mass_g_mol[anions[pick].ion] / fabs((double)ion_charge[anions[pick].ion]));
            return;
        }
}

int water_from_analysis(const struct source_water *analysis, double measured_ec_ms_cm, struct water_estimate *estimate,
                        struct fault *fault)
{
    struct water_estimate answer = {.basis = WATER_BY_ANALYSIS};
    struct solution solved;
    double cations;

    if (!isnan(measured_ec_ms_cm) && check_range(measured_ec_ms_cm, 0.0, 20.0, "/ec_ms_cm", fault))
        return -1;
    if (solve_water(analysis, &solved, fault))
        return -1;
    answer.water = *analysis;
    spread(&answer, 0.05, 0.05); /* a laboratory's spread; ours */
    spread_ph(&answer, analysis->ph - 0.2, analysis->ph + 0.2);
    answer.ec_ms_cm = solved.ec_ms_cm;
    answer.ec_low_ms_cm = 0.95 * solved.ec_ms_cm;
    answer.ec_high_ms_cm = 1.05 * solved.ec_ms_cm;
    answer.charge_error_percent = solved.charge_error_percent;
    cations = 2.0 * (solved.total_mmol_l[ION_CA] + solved.total_mmol_l[ION_MG]) + solved.total_mmol_l[ION_K] +
              solved.total_mmol_l[ION_NA] + solved.total_mmol_l[ION_NH4];
    answer.missing_meq_l = cations - solved.alkalinity_mmol_l - solved.total_mmol_l[ION_CL] - solved.total_mmol_l[ION_NO3] -
                           solved.total_mmol_l[ION_PO4] - 2.0 * solved.total_mmol_l[ION_SO4];
    guess_missing(&answer);
    if (answer.missing[0])
        snprintf(answer.said, sizeof answer.said,
                 "The analysis does not balance: %.0f %% of the charge has no partner. Alkalinity and pH are believed; an ion "
                 "may be missing or a "
                 "figure mistyped.",
                 fabs(answer.charge_error_percent));
    else if (!isnan(measured_ec_ms_cm) && fabs(solved.ec_ms_cm / measured_ec_ms_cm - 1.0) > 0.1)
        snprintf(answer.said, sizeof answer.said,
                 "The ions of this analysis conduct %.2f mS/cm, %.2f was measured: the water may have changed since.",
                 solved.ec_ms_cm, measured_ec_ms_cm);
    else
        snprintf(answer.said, sizeof answer.said,
                 "A full analysis that balances. Waters change with the season: measure alkalinity now and then.");
    *estimate = answer;
    return 0;
}

/* ------------------------------------------------- hardness, alkalinity, conductivity */

/* A water of this hardness and alkalinity, its charge closed with sodium, or chloride and sulfate, and `salt` meq/L of
 * sodium chloride and sulfate on top. Chloride and sulfate share their charge evenly (ours).
 */
static struct source_water compose(double hardness, double calcium_share, double alkalinity, double ph, double salt_meq_l)
{
    struct source_water water = {.ph = ph, .alkalinity_mg_caco3_l = alkalinity};
    double hardness_meq = hardness / CACO3_MG_PER_MEQ, alkalinity_meq = alkalinity / CACO3_MG_PER_MEQ;
    double sodium = fmax(0.0, alkalinity_meq - hardness_meq) + salt_meq_l,
           strong = fmax(0.0, hardness_meq - alkalinity_meq) + salt_meq_l;

    water.ca_mg_l = calcium_share * hardness_meq / 2.0 * 40.078;
    water.mg_mg_l = (1.0 - calcium_share) * hardness_meq / 2.0 * 24.305;
    water.na_mg_l = sodium * 22.990;
    water.cl_mg_l = 0.5 * strong * 35.45;
    water.so4_mg_l = 0.5 * strong / 2.0 * 96.056;
    return water;
}

/* What nobody measured lies in a range that hangs on the rest of the charge. */
static void spread_unmeasured(struct water_estimate *estimate, double hardness, double hardness_below, double hardness_above,
                              double alkalinity_below, double alkalinity_above)
{
    const struct source_water *water = &estimate->water;
    double strong_meq = water->cl_mg_l / 35.45 + water->so4_mg_l / 48.028;

    estimate->low = estimate->high = *water;
    estimate->low.ca_mg_l = 0.6 * hardness * hardness_below / CACO3_MG_PER_MEQ / 2.0 * 40.078;
    estimate->high.ca_mg_l = 0.95 * hardness * hardness_above / CACO3_MG_PER_MEQ / 2.0 * 40.078;
    estimate->low.mg_mg_l = 0.05 * hardness * hardness_below / CACO3_MG_PER_MEQ / 2.0 * 24.305;
    estimate->high.mg_mg_l = 0.4 * hardness * hardness_above / CACO3_MG_PER_MEQ / 2.0 * 24.305;
    estimate->low.alkalinity_mg_caco3_l *= alkalinity_below;
    estimate->high.alkalinity_mg_caco3_l *= alkalinity_above;
    estimate->low.na_mg_l *= 0.5;
    estimate->high.na_mg_l = 1.5 * water->na_mg_l + 5.0;
    estimate->low.cl_mg_l = estimate->low.so4_mg_l = 0.0;
    estimate->high.cl_mg_l = strong_meq * 35.45 + 5.0;
    estimate->high.so4_mg_l = strong_meq * 48.028 + 5.0;
    estimate->high.no3_mg_l = fmax(water->no3_mg_l, 50.0); /* the usual legal limit of drinking water, mg/L NO3 */
    estimate->high.k_mg_l = 5.0;
    estimate->high.si_mg_l = 10.0;
}

int water_from_hardness(double hardness_mg_caco3_l, double alkalinity_mg_caco3_l, double ec_ms_cm, double ph,
                        struct water_estimate *estimate, struct fault *fault)
{
    struct water_estimate answer = {.basis = WATER_BY_HARDNESS};
    struct solution solved;
    double low = 0.0, high, given_ph = isnan(ph) ? 7.6 : ph;
    int bad = check_range(hardness_mg_caco3_l, 0.0, 2000.0, "/hardness_mg_caco3_l", fault);

    bad |= check_range(alkalinity_mg_caco3_l, 0.0, 2000.0, "/alkalinity_mg_caco3_l", fault);
    bad |= check_range(ec_ms_cm, 0.0, 20.0, "/ec_ms_cm", fault);
    bad |= check_range(given_ph, 5.0, 10.0, "/ph", fault);
    if (bad)
        return -1;
    answer.water = compose(hardness_mg_caco3_l, 0.8, alkalinity_mg_caco3_l, given_ph, 0.0);
    if (solve_water(&answer.water, &solved, fault))
        return -1;
    if (ec_ms_cm < 0.85 * solved.ec_ms_cm)
        return fault_add(fault, FAULT_INPUT, "/ec_ms_cm",
                         "hardness and alkalinity alone conduct %.2f mS/cm, more than the %.2f given: one of them is wrong",
                         solved.ec_ms_cm, ec_ms_cm);
    high = fmax(1.0, 30.0 * ec_ms_cm);
    for (int round = 0; round < 50 && high - low > 1e-6; round++) {
        double middle = 0.5 * (low + high);

        answer.water = compose(hardness_mg_caco3_l, 0.8, alkalinity_mg_caco3_l, given_ph, middle);
        if (solve_water(&answer.water, &solved, fault))
            return -1;
        if (solved.ec_ms_cm < ec_ms_cm)
            low = middle;
        else
            high = middle;
    }
    answer.ec_ms_cm = solved.ec_ms_cm;
    answer.ec_low_ms_cm = 0.95 * solved.ec_ms_cm;
    answer.ec_high_ms_cm = 1.05 * solved.ec_ms_cm;
    spread_unmeasured(&answer, hardness_mg_caco3_l, 0.95, 1.05, 0.95, 1.05);
    spread_ph(&answer, isnan(ph) ? 7.0 : ph - 0.2, isnan(ph) ? 8.4 : ph + 0.2);
    snprintf(answer.said, sizeof answer.said,
             "From hardness, alkalinity and EC: calcium and magnesium are shared by habit, the rest is taken for sodium, "
             "chloride and sulfate. A full "
             "analysis would narrow the ranges.");
    *estimate = answer;
    return 0;
}

/* -------------------------------------------------------------------------- a strip */

/* One pad of a strip: its value inside its bounds. */
static int check_pad(double value, double low, double high, double most, const char *at, struct fault *fault)
{
    if (isnan(value))
        return 0;
    if (!(value >= 0.0 && value <= most && low >= 0.0 && low <= value && high >= value && high <= 2.0 * most))
        return fault_add(fault, FAULT_INPUT, at, "must be from 0 to %g and between its bounds, was %g in %g to %g", most, value,
                         low, high);
    return 0;
}

int water_from_strip(const struct water_strip *strip, struct water_estimate *estimate, struct fault *fault)
{
    struct water_estimate answer = {.basis = WATER_BY_STRIP};
    struct solution solved;
    double hardness, alkalinity, ph, below, above, alkalinity_below, alkalinity_above, no3_meq;
    int bad =
        check_pad(strip->hardness_mg_caco3_l, strip->hardness_low, strip->hardness_high, 2000.0, "/hardness_mg_caco3_l", fault);

    bad |= check_pad(strip->alkalinity_mg_caco3_l, strip->alkalinity_low, strip->alkalinity_high, 2000.0,
                     "/alkalinity_mg_caco3_l", fault);
    bad |= check_pad(strip->ph, strip->ph_low, strip->ph_high, 14.0, "/ph", fault);
    bad |= check_pad(strip->no3_mg_l, strip->no3_low, strip->no3_high, 500.0, "/no3_mg_l", fault);
    if (!bad && isnan(strip->hardness_mg_caco3_l) && isnan(strip->alkalinity_mg_caco3_l))
        bad = fault_add(fault, FAULT_INPUT, "", "a strip without hardness and without alkalinity says too little");
    if (bad)
        return -1;
    hardness = isnan(strip->hardness_mg_caco3_l) ? strip->alkalinity_mg_caco3_l : strip->hardness_mg_caco3_l;
    alkalinity =
        isnan(strip->alkalinity_mg_caco3_l) ? 0.8 * hardness : strip->alkalinity_mg_caco3_l; /* mostly bicarbonate; ours */
    ph = isnan(strip->ph) ? 7.6 : fmin(fmax(strip->ph, 5.0), 9.5);
    no3_meq = isnan(strip->no3_mg_l) ? 0.0 : strip->no3_mg_l / 62.004;
    /* a tenth of the charge as common salt (ours): strips have no pad for it */
    answer.water = compose(hardness, 0.8, alkalinity, ph, 0.1 * fmax(hardness, alkalinity) / CACO3_MG_PER_MEQ);
    answer.water.no3_mg_l = no3_meq * 62.004;
    answer.water.na_mg_l += no3_meq * 22.990;
    if (solve_water(&answer.water, &solved, fault))
        return -1;
    below = isnan(strip->hardness_mg_caco3_l) || hardness == 0.0 ? 0.5 : strip->hardness_low / hardness;
    above = isnan(strip->hardness_mg_caco3_l) || hardness == 0.0 ? 1.6 : strip->hardness_high / hardness;
    alkalinity_below = isnan(strip->alkalinity_mg_caco3_l) || alkalinity == 0.0 ? 0.5 : strip->alkalinity_low / alkalinity;
    alkalinity_above = isnan(strip->alkalinity_mg_caco3_l) || alkalinity == 0.0 ? 1.25 : strip->alkalinity_high / alkalinity;
    spread_unmeasured(&answer, hardness, below, above, alkalinity_below, alkalinity_above);
    spread_ph(&answer, isnan(strip->ph) ? 7.0 : strip->ph_low, isnan(strip->ph) ? 8.4 : strip->ph_high);
    if (!isnan(strip->no3_mg_l)) {
        answer.low.no3_mg_l = strip->no3_low;
        answer.high.no3_mg_l = strip->no3_high;
    }
    answer.ec_ms_cm = solved.ec_ms_cm;
    answer.ec_low_ms_cm = solved.ec_ms_cm * fmin(below, alkalinity_below);
    answer.ec_high_ms_cm = solved.ec_ms_cm * (fmax(above, alkalinity_above) + 0.3);
    snprintf(answer.said, sizeof answer.said,
             "From a test strip: whole classes, and nothing on sodium, chloride or sulfate. Measure the EC, or ask the supplier "
             "for an analysis.");
    *estimate = answer;
    return 0;
}

/* ------------------------------------------------------------- conductivity alone */

/* A bicarbonate water with `meq` meq/L of cations. Shares of the charge: ours, a water of middling hardness. */
static struct source_water common_water(double meq)
{
    struct source_water water = {.ph = 7.6, .alkalinity_mg_caco3_l = 0.65 * meq * CACO3_MG_PER_MEQ};

    water.ca_mg_l = 0.60 * meq / 2.0 * 40.078;
    water.mg_mg_l = 0.18 * meq / 2.0 * 24.305;
    water.na_mg_l = 0.20 * meq * 22.990;
    water.k_mg_l = 0.02 * meq * 39.098;
    water.cl_mg_l = 0.17 * meq * 35.45;
    water.so4_mg_l = 0.15 * meq / 2.0 * 96.056;
    water.no3_mg_l = 0.03 * meq * 62.004;
    return water;
}

int water_from_ec(double ec_ms_cm, struct water_estimate *estimate, struct fault *fault)
{
    struct water_estimate answer = {.basis = WATER_BY_EC};
    struct solution solved;
    double meq = MEQ_PER_MS_CM * ec_ms_cm;

    if (check_range(ec_ms_cm, 0.001, 5.0, "/ec_ms_cm", fault))
        return -1;
    for (int round = 0; round < 12; round++) { /* EC is nearly in proportion */
        answer.water = common_water(meq);
        if (solve_water(&answer.water, &solved, fault))
            return -1;
        meq *= ec_ms_cm / solved.ec_ms_cm;
    }
    answer.ec_ms_cm = solved.ec_ms_cm;
    answer.ec_low_ms_cm = 0.95 * ec_ms_cm;
    answer.ec_high_ms_cm = 1.05 * ec_ms_cm;
    spread(&answer, 0.8, 0.6);
    answer.low.alkalinity_mg_caco3_l = 0.15 * meq * CACO3_MG_PER_MEQ;
    answer.high.alkalinity_mg_caco3_l = 0.95 * meq * CACO3_MG_PER_MEQ;
    answer.high.na_mg_l = 0.9 * meq * 22.990; /* softened water is all sodium */
    answer.low.ca_mg_l = 0.0;
    answer.high.cl_mg_l = 0.8 * meq * 35.45;
    answer.high.so4_mg_l = 0.6 * meq / 2.0 * 96.056;
    answer.high.no3_mg_l = fmax(50.0, answer.water.no3_mg_l);
    answer.high.si_mg_l = 10.0;
    spread_ph(&answer, 6.5, 8.5);
    snprintf(answer.said, sizeof answer.said,
             "From the EC alone: it says how much is dissolved, not what. Hardness could be anything up to the whole of it; at "
             "least measure the "
             "alkalinity, which decides the acid.");
    *estimate = answer;
    return 0;
}

/* -------------------------------------------------------------------------- blends */

int water_blend(const struct source_water *first, const struct source_water *second, double second_share,
                struct source_water *blend, struct fault *fault)
{
    struct solution_input given;
    struct solution solved;
    struct source_water mixed = {.ph = 7.0};
    double first_share = 1.0 - second_share;

    if (check_range(second_share, 0.0, 1.0, "/share", fault))
        return -1;
    solution_begin(&given, 25.0);
    if (solution_add_water(&given, first, first_share, fault) || solution_add_water(&given, second, second_share, fault) ||
        solution_solve(&given, &solved, fault))
        return -1;
    mixed.alkalinity_mg_caco3_l = first_share * first->alkalinity_mg_caco3_l + second_share * second->alkalinity_mg_caco3_l;
    mixed.ca_mg_l = first_share * first->ca_mg_l + second_share * second->ca_mg_l;
    mixed.mg_mg_l = first_share * first->mg_mg_l + second_share * second->mg_mg_l;
    mixed.na_mg_l = first_share * first->na_mg_l + second_share * second->na_mg_l;
    mixed.k_mg_l = first_share * first->k_mg_l + second_share * second->k_mg_l;
    mixed.nh4_mg_l = first_share * first->nh4_mg_l + second_share * second->nh4_mg_l;
    mixed.cl_mg_l = first_share * first->cl_mg_l + second_share * second->cl_mg_l;
    mixed.so4_mg_l = first_share * first->so4_mg_l + second_share * second->so4_mg_l;
    mixed.no3_mg_l = first_share * first->no3_mg_l + second_share * second->no3_mg_l;
    mixed.po4_mg_l = first_share * first->po4_mg_l + second_share * second->po4_mg_l;
    mixed.si_mg_l = first_share * first->si_mg_l + second_share * second->si_mg_l;
    mixed.b_mg_l = first_share * first->b_mg_l + second_share * second->b_mg_l;
    mixed.ph = fmin(fmax(solved.ph, 3.0), 11.0);
    *blend = mixed;
    return 0;
}

int water_blend_for(const struct source_water *hard, const struct source_water *soft, double alkalinity_mg_caco3_l,
                    double *soft_share, struct source_water *blend, struct fault *fault)
{
    double most = hard->alkalinity_mg_caco3_l, least = soft->alkalinity_mg_caco3_l, share;
    struct source_water mixed;

    if (!(alkalinity_mg_caco3_l >= least && alkalinity_mg_caco3_l <= most))
        return fault_add(fault, FAULT_INPUT, "/alkalinity_mg_caco3_l",
                         "must be between those of the two waters, %g and %g mg/L, was %g", least, most, alkalinity_mg_caco3_l);
    share = most > least ? (most - alkalinity_mg_caco3_l) / (most - least) : 0.0;
    if (water_blend(hard, soft, share, &mixed, fault))
        return -1;
    *soft_share = share;
    *blend = mixed;
    return 0;
}
