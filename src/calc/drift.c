/* drift.c - the composition of a tank while its level falls. */
#include "calc/drift.h"
#include "calc/precipitate.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What roots take in quantity. Sodium and chloride are left behind almost whole, carbonate is none of it. */
static bool is_taken_up(enum ion ion)
{
    return !(ion == ION_NA || ion == ION_CL || ion == ION_C || ion == ION_CITRATE);
}

void drift_uptake_like(const struct solution_input *start, double strength, double uptake_mmol_l[ION_TOTALS])
{
    for (int i = 0; i < ION_TOTALS; i++)
        uptake_mmol_l[i] = is_taken_up((enum ion)i) ? strength * start->total_mmol_l[i] : 0.0;
}

/* A litre of what is left when drunk_l are gone. An ion that is used up is taken no more. */
static struct solution_input litre_left(const struct drift_request *request, double drunk_l)
{
    struct solution_input left = request->start;
    double volume_l = request->volume_l - drunk_l, charge_taken = 0.0;

    for (int i = 0; i < ION_TOTALS; i++) {
        double held = request->start.total_mmol_l[i] * request->volume_l;
        double taken = fmin(request->uptake_mmol_l[i] * drunk_l, held);

        left.total_mmol_l[i] = (held - taken) / volume_l;
        charge_taken += taken * (i == ION_C ? 0 : ion_charge[i]);
        left.elements_mg_l[ion_element[i]] += (left.total_mmol_l[i] - request->start.total_mmol_l[i]) *
                                              (i == ION_CITRATE ? 6.0 : 1.0) * element_mass_g_mol[ion_element[i]];
    }
    /* For each charge taken beyond its opposite the roots give back H+ or OH-. */
    left.alkalinity_mmol_l = (request->start.alkalinity_mmol_l * request->volume_l - charge_taken) / volume_l;
    return left;
}

static int check(const struct drift_request *request, struct fault *fault)
{
    int bad = 0;

    if (!(request->volume_l > 0.0 && request->volume_l <= 1e6))
        bad = fault_add(fault, FAULT_INPUT, "/volume_l", "must be above 0 and at most 1000000, was %g", request->volume_l);
    else if (!(request->least_l >= 0.02 * request->volume_l && request->least_l < request->volume_l))
        bad = fault_add(fault, FAULT_INPUT, "/least_l", "must be from a fiftieth of the volume to less than it, was %g",
                        request->least_l);
    if (request->points < 2 || request->points > DRIFT_POINTS)
        bad = fault_add(fault, FAULT_INPUT, "/points", "must be from 2 to %d, was %zu", DRIFT_POINTS, request->points);
    for (int i = 0; i < ION_TOTALS; i++)
        if (!(request->uptake_mmol_l[i] >= 0.0 && request->uptake_mmol_l[i] <= 1000.0))
            bad = fault_add(fault, FAULT_INPUT, "/uptake_mmol_l", "of %s must be from 0 to 1000, was %g",
                            ion_key[i] ? ion_key[i] : "citrate", request->uptake_mmol_l[i]);
    return bad;
}

void drift_shift(struct drift_request *request, double shift_mmol_l)
{
    enum ion ion = shift_mmol_l < 0.0 ? ION_NO3 : ION_CA;
    double more = fabs(shift_mmol_l) / abs(ion_charge[ion]), held = request->start.total_mmol_l[ion];

    request->start.alkalinity_mmol_l += shift_mmol_l;
    if (held > 0.0)
        request->uptake_mmol_l[ion] *= (held + more) / held;
    request->start.total_mmol_l[ion] += more;
    request->start.elements_mg_l[ion_element[ion]] += more * element_mass_g_mol[ion_element[ion]];
}

static double middle_of(double *value, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        double one = value[i];
        size_t place = i;

        for (; place > 0 && value[place - 1] > one; place--)
            value[place] = value[place - 1];
        value[place] = one;
    }
    return count % 2 ? value[count / 2] : (value[count / 2 - 1] + value[count / 2]) / 2.0;
}

/* The middle of measured less computed pH, with the start's alkalinity shifted. Falls with the shift. */
static int middle_gap(const struct drift_request *request, const struct drift_seen *seen, size_t count, double shift_mmol_l, double *gap,
                      struct fault *fault)
{
    struct drift_request shifted = *request;
    double gaps[DRIFT_SEEN_MOST];

    drift_shift(&shifted, shift_mmol_l);
    for (size_t i = 0; i < count; i++) {
        double left_l = fmax(fmin(seen[i].volume_l, request->volume_l), request->least_l);
        struct solution_input left = litre_left(&shifted, request->volume_l - left_l);
        struct solution solved;

        if (solution_solve(&left, &solved, fault))
            return -1;
        gaps[i] = seen[i].ph - solved.ph;
    }
    *gap = middle_of(gaps, count);
    return 0;
}

static int check_seen(const struct drift_seen *seen, size_t count, struct fault *fault)
{
    if (count > DRIFT_SEEN_MOST)
        return fault_add(fault, FAULT_INPUT, "/seen", "at most %d are taken, there were %zu", DRIFT_SEEN_MOST, count);
    for (size_t i = 0; i < count; i++)
        if (!(seen[i].ph >= 0.0 && seen[i].ph <= 14.0 && seen[i].volume_l >= 0.0))
            return fault_add(fault, FAULT_INPUT, "/seen", "must hold a pH from 0 to 14 and litres, was %g at %g L", seen[i].ph, seen[i].volume_l);
    return 0;
}

int drift_anchor(const struct drift_request *request, const struct drift_seen *seen, size_t count, double *shift_mmol_l, struct fault *fault)
{
    double low = -DRIFT_SHIFT_MOST_MMOL_L, high = DRIFT_SHIFT_MOST_MMOL_L, gap_low, gap_high;

    if (check(request, fault) || check_seen(seen, count, fault))
        return -1;
    *shift_mmol_l = NAN;
    if (count == 0)
        return 0;
    if (middle_gap(request, seen, count, low, &gap_low, fault) || middle_gap(request, seen, count, high, &gap_high, fault))
        return -1;
    if (gap_low < 0.0 || gap_high > 0.0)
        return 0;
    for (int halved = 0; halved < 24; halved++) { /* to 1e-6 mmol/L */
        double middle = (low + high) / 2.0, gap;

        if (middle_gap(request, seen, count, middle, &gap, fault))
            return -1;
        if (gap > 0.0)
            low = middle;
        else
            high = middle;
    }
    *shift_mmol_l = (low + high) / 2.0;
    return 0;
}

static void find_what_runs_out(const struct drift_request *request, struct drift *drift)
{
    drift->runs_out = -1;
    for (int i = 0; i < ION_TOTALS; i++) {
        double lasts_l;

        if (request->uptake_mmol_l[i] <= 0.0 || request->start.total_mmol_l[i] <= 0.0)
            continue;
        lasts_l = request->start.total_mmol_l[i] * request->volume_l / request->uptake_mmol_l[i]; /* litres drunk until then */
        if (lasts_l < request->volume_l - request->least_l && request->volume_l - lasts_l > drift->runs_out_at_l) {
            drift->runs_out = i;
            drift->runs_out_at_l = request->volume_l - lasts_l;
        }
    }
}

int drift_course(const struct drift_request *request, struct drift *drift, struct fault *fault)
{
    struct drift answer;
    const struct drift_point *first = &answer.point[0], *last;
    int used;

    if (check(request, fault))
        return -1;
    memset(&answer, 0, sizeof answer);
    answer.points = request->points;
    for (size_t n = 0; n < request->points; n++) {
        struct drift_point *point = &answer.point[n];
        double drunk_l = (request->volume_l - request->least_l) * (double)n / (double)(request->points - 1);
        struct solution_input left = litre_left(request, drunk_l);
        struct solution solved;

        if (solution_solve(&left, &solved, fault))
            return -1;
        point->volume_l = request->volume_l - drunk_l;
        point->ph = solved.ph;
        point->ec_ms_cm = solved.ec_ms_cm;
        memcpy(point->total_mmol_l, solved.total_mmol_l, sizeof point->total_mmol_l);
        memcpy(point->elements_mg_l, left.elements_mg_l, sizeof point->elements_mg_l);
        precipitate_worst(&solved, &point->worst);
        point->worst_saturation = solved.saturation[point->worst];
    }
    find_what_runs_out(request, &answer);
    last = &answer.point[answer.points - 1];
    used = snprintf(answer.said, sizeof answer.said, "From %.0f to %.0f L: EC from %.1f to %.1f mS/cm, pH from %.1f to %.1f.",
                    first->volume_l, last->volume_l, first->ec_ms_cm, last->ec_ms_cm, first->ph, last->ph);
    if (answer.runs_out >= 0 && used > 0 && (size_t)used < sizeof answer.said)
        snprintf(answer.said + used, sizeof answer.said - (size_t)used, " %s is used up at %.0f L.",
                 ion_key[answer.runs_out] ? ion_key[answer.runs_out] : "Citrate", answer.runs_out_at_l);
    *drift = answer;
    return 0;
}
