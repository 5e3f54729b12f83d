/* water.h - a source water from what is known of it: a full analysis, a few numbers, a strip, a meter alone.
 *
 * The less is known, the wider the range that comes with it. Pure: no clock, no locale, no allocation; any thread.
 */
#ifndef TIDEMARK_WATER_H
#define TIDEMARK_WATER_H

#include "calc/solution.h"

enum water_basis {
    WATER_BY_ANALYSIS,          /* all main ions */
    WATER_BY_HARDNESS,          /* hardness, alkalinity and EC */
    WATER_BY_STRIP,             /* classes of a test strip */
    WATER_BY_EC                 /* conductivity alone */
};

/* How sure: one water in the middle, and for each number how low and high it may well be (about nine in ten; ours). */
struct water_estimate {
    enum water_basis basis;
    struct source_water water, low, high; /* low and high field by field; not waters of their own */
    double ec_ms_cm;             /* computed of .water */
    double ec_low_ms_cm, ec_high_ms_cm;
    double charge_error_percent; /* of the analysis as it was given; 0 where charges were made to balance */
    double missing_meq_l;        /* charge without partner, positive: anions are missing */
    char missing[160];           /* "sodium, about 42 mg/L: a guess" or "" where it balances within 5 % */
    char said[240];              /* what this rests on and what would make it surer */
};

/* From a full analysis: checks it. Where EC was measured (NAN: not) the computed one is held against it.
 *
 * Returns 0; -1 with FAULT_INPUT as solution_add_water; "/ec_ms_cm" not 0 to 20.
 */
int water_from_analysis(const struct source_water *analysis, double measured_ec_ms_cm, struct water_estimate *estimate, struct fault *fault);

/* From total hardness (mg/L CaCO3), alkalinity (mg/L CaCO3), EC at 25 C (mS/cm) and pH (NAN: 7.6 is assumed).
 *
 * Four of five parts of hardness are taken for calcium (range 0.6 to 0.95; ours); what EC the bicarbonate hardness leaves over is taken for
 * sodium with chloride and sulfate. Returns 0; -1 with FAULT_INPUT at "/hardness_mg_caco3_l", "/alkalinity_mg_caco3_l", "/ec_ms_cm", "/ph";
 * an EC below what hardness and alkalinity alone conduct by more than 15 % is refused, with that said.
 */
int water_from_hardness(double hardness_mg_caco3_l, double alkalinity_mg_caco3_l, double ec_ms_cm, double ph, struct water_estimate *estimate,
                        struct fault *fault);

/* A strip's classes: each value with the neighbouring classes' bounds. NAN where the strip has no such pad. */
struct water_strip {
    double hardness_mg_caco3_l, hardness_low, hardness_high;
    double alkalinity_mg_caco3_l, alkalinity_low, alkalinity_high;
    double ph, ph_low, ph_high;
    double no3_mg_l, no3_low, no3_high;
};
int water_from_strip(const struct water_strip *strip, struct water_estimate *estimate, struct fault *fault);

/* From EC alone, mS/cm at 25 C: a bicarbonate water of that EC; wide ranges. Returns 0; -1 with FAULT_INPUT at "/ec_ms_cm" (not 0.001 to 5). */
int water_from_ec(double ec_ms_cm, struct water_estimate *estimate, struct fault *fault);

/* The share of a soft water (rain, demineralised) in a blend that has the wished alkalinity, and the blend.
 *
 *   *soft_share  0 to 1
 *   *blend       mg/L by volume; its pH computed, closed, at 25 C
 *
 * Returns 0; -1 with FAULT_INPUT at "/alkalinity_mg_caco3_l" where the wish is not between the two waters.
 */
int water_blend_for(const struct source_water *hard, const struct source_water *soft, double alkalinity_mg_caco3_l, double *soft_share,
                    struct source_water *blend, struct fault *fault);

/* The blend of two waters, share of the second from 0 to 1. */
int water_blend(const struct source_water *first, const struct source_water *second, double second_share, struct source_water *blend,
                struct fault *fault);

#endif
