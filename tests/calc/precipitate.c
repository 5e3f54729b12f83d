/* What falls out: solubilities that handbooks print, conservation, verdicts, and many random brews. */
#include "calc/precipitate.h"
#include "calc/solution_data.h"
#include "csv.h"
#include "rows.h"
#include "runner.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct solution_input ions(double t_c, const double mmol_l[ION_COUNT])
{
    struct solution_input given;
    struct fault fault = {0};

    solution_begin(&given, t_c);
    ck_assert_msg(solution_add_ions(&given, mmol_l, &fault) == 0, "%s", fault.item[0].detail);
    return given;
}

/* More gypsum than dissolves: what stays dissolved is its solubility. Source: 15.1 to 15.3 mmol/kg at 20 to 25 C and 2.6 g/L, CRC
 * Handbook of Chemistry and Physics (from memory, fixtures/chemistry/facts-salts.csv).
 */
START_TEST(gypsum_in_water)
{
    struct solution_input given = ions(25.0, (double[ION_COUNT]){[ION_CA] = 50.0, [ION_SO4] = 50.0});
    struct precipitate precipitate;
    struct fault fault = {0};

    ck_assert_int_eq(precipitate_equilibrium(&given, &precipitate, &fault), 0);
    ck_assert_double_eq_tol(precipitate.after.total_mmol_l[ION_CA] / precipitate.after.kgw_per_l, 15.2, 0.5);
    ck_assert_double_eq_tol(precipitate.after.saturation[MINERAL_GYPSUM], 0.0, 2e-5);
    ck_assert_int_eq(precipitate.item[0].verdict, PRECIPITATE_FALLS_OUT);
    ck_assert_double_eq_tol(precipitate.g_l, (50.0 - precipitate.after.total_mmol_l[ION_CA]) * 0.172164, 1e-9);
    ck_assert_double_eq_tol(precipitate.lost_percent[ELEMENT_CA], 2.0 * precipitate.item[0].mmol_l, 1e-9);
}
END_TEST

/* Calcite in water open to air: 20 to 21 mg/L of calcium at 25 C and 10^-3.5 atm, and pH 8.3: textbook value (from memory). */
START_TEST(calcite_in_open_water)
{
    struct solution_input given = ions(25.0, (double[ION_COUNT]){[ION_CA] = 5.0, [ION_C] = 10.0});
    struct precipitate precipitate;
    struct fault fault = {0};

    given.gas = SOLUTION_OPEN_AIR;
    given.pco2_atm = pow(10.0, -3.5);
    ck_assert_int_eq(precipitate_equilibrium(&given, &precipitate, &fault), 0);
    ck_assert_double_eq_tol(precipitate.after.ph, 8.3, 0.05);
    ck_assert_double_eq_tol(precipitate.after.total_mmol_l[ION_CA] * 40.078, 20.0, 1.5);
}
END_TEST

/* Solubility of brushite at 25 C: pH 6.0 to 6.2 solutions hold about 1 to 4 mmol/L of calcium along the isotherm. Here the index alone is
 * checked against the measured constant, -log K 6.59 (J. Res. NBS 78A:667, 1974), by hand from the activities.
 */
START_TEST(brushite_at_equilibrium)
{
    struct solution_input given =
        ions(25.0, (double[ION_COUNT]){[ION_CA] = 8.0, [ION_NO3] = 12.0, [ION_PO4] = 8.0, [ION_OH] = 3.0, [ION_K] = 7.0});
    struct precipitate precipitate;
    struct fault fault = {0};
    const struct solution *after = &precipitate.after;

    ck_assert_int_eq(precipitate_equilibrium(&given, &precipitate, &fault), 0);
    ck_assert_double_gt(precipitate.item[1].mmol_l, 1.0);
    ck_assert_double_eq_tol(after->log10_activity[SPECIES_CA] + after->log10_activity[SPECIES_HPO4] +
                                2.0 * after->log10_activity_water,
                            -6.59, 0.003);
    /* brushite takes the alkaline HPO4-2: what is left is more acid */
    ck_assert_double_lt(after->ph, precipitate.before.ph);
}
END_TEST

START_TEST(nothing_falls_out_of_a_thin_solution)
{
    struct solution_input given =
        ions(20.0, (double[ION_COUNT]){[ION_CA] = 4.0, [ION_NO3] = 8.0, [ION_K] = 2.0, [ION_PO4] = 1.0, [ION_CL] = 1.0});
    struct precipitate precipitate;
    struct fault fault = {0};
    char text[200] = "x";
    enum solution_mineral mineral;

    ck_assert_int_eq(precipitate_equilibrium(&given, &precipitate, &fault), 0);
    ck_assert_double_eq(precipitate.g_l, 0.0);
    ck_assert_str_eq(precipitate_sentence(&precipitate, 100.0, text, sizeof text), "");
    ck_assert_int_eq(precipitate_worst(&precipitate.before, &mineral), PRECIPITATE_NONE);
    ck_assert_int_eq(mineral, MINERAL_BRUSHITE);
}
END_TEST

START_TEST(the_sentence_says_what_is_lost)
{
    struct solution_input given = ions(20.0, (double[ION_COUNT]){[ION_CA] = 100.0, [ION_SO4] = 100.0});
    struct precipitate precipitate;
    struct fault fault = {0};
    char text[240], small[12];

    ck_assert_int_eq(precipitate_equilibrium(&given, &precipitate, &fault), 0);
    precipitate_sentence(&precipitate, 2.0, text, sizeof text);
    ck_assert_msg(strstr(text, "g of gypsum will fall out and take 8") == text + 9, "%s", text);
    ck_assert(strstr(text, "of the calcium") && strstr(text, "of the sulfur"));
    ck_assert_uint_lt(strlen(precipitate_sentence(&precipitate, 2.0, small, sizeof small)), sizeof small);
}
END_TEST

/* Source of the verdicts on brushite: computed for 60 measured working solutions that stay clear; see precipitate.h. */
START_TEST(verdicts)
{
    ck_assert_int_eq(precipitate_judge(MINERAL_BRUSHITE, 0.32), PRECIPITATE_NONE);
    ck_assert_int_eq(precipitate_judge(MINERAL_BRUSHITE, 0.5), PRECIPITATE_MAY_CLOUD);
    ck_assert_int_eq(precipitate_judge(MINERAL_BRUSHITE, 0.8), PRECIPITATE_FALLS_OUT);
    ck_assert_int_eq(precipitate_judge(MINERAL_HYDROXYAPATITE, 14.0), PRECIPITATE_NONE);
    ck_assert_int_eq(precipitate_judge(MINERAL_GYPSUM, 0.05), PRECIPITATE_MAY_CLOUD);
    ck_assert_int_eq(precipitate_judge(MINERAL_GYPSUM, SATURATION_ABSENT), PRECIPITATE_NONE);
}
END_TEST

/* 60 working solutions that a laboratory measured and that grew tomatoes: their indices at the measured pH as computed elsewhere, and no
 * alarm on any of them. Source: 4TU.ResearchData, doi 10.4121/uuid:88d22c60-21b3-4ea8-90db-20249a5be2a7 (2020); indices by PHREEQC 3.8.8.
 */
START_TEST(working_solutions_do_not_alarm)
{
    static const struct {
        const char *column;
        enum solution_mineral mineral;
    } columns[] = {{"si_gypsum_at_measured_ph", MINERAL_GYPSUM},
                   {"si_brushite_at_measured_ph", MINERAL_BRUSHITE},
                   {"si_struvite_at_measured_ph", MINERAL_STRUVITE}};
    struct csv csv = csv_read(source_path("fixtures/chemistry/measured-nutrient-samples.csv"));
    double highest = -9.0;

    ck_assert_uint_eq(csv.rows, 60);
    for (size_t row = 0; row < csv.rows; row++) {
        double mmol_l[ION_COUNT];
        struct solution_input given;
        struct solution solved;
        struct fault fault = {0};
        enum solution_mineral mineral;

        rows_ions(csv_text(&csv, row, csv_column(&csv, "balanced_ions_mmol_l")), mmol_l);
        given = ions(25.0, mmol_l);
        ck_assert_int_eq(solution_solve_at_ph(&given, csv_number(&csv, row, csv_column(&csv, "measured_ph")), &solved, &fault), 0);
        for (size_t i = 0; i < COUNT(columns); i++) {
            double printed = csv_number(&csv, row, csv_column(&csv, columns[i].column));

            if (!isnan(printed))
                ck_assert_msg(fabs(solved.saturation[columns[i].mineral] - printed) <= 0.02, "%s: %s is %g, not %g", csv_text(&csv, row, 0),
                              columns[i].column, solved.saturation[columns[i].mineral], printed);
        }
        highest = fmax(highest, solved.saturation[MINERAL_BRUSHITE]);
        ck_assert_msg(precipitate_worst(&solved, &mineral) == PRECIPITATE_NONE, "%s alarms for %s", csv_text(&csv, row, 0),
                      solution_mineral_key[mineral]);
    }
    printf("60 working solutions: highest index of brushite %.2f\n", highest);
    ck_assert_double_gt(highest, 0.2);
    csv_free(&csv);
}
END_TEST

/* Random brews far above saturation: an end is always found, nothing is conjured, nothing stays supersaturated. */
START_TEST(many_brews_come_to_rest)
{
    uint64_t state = 12345;
    size_t fell = 0;

    for (int n = 0; n < 3000; n++) {
        double mmol_l[ION_COUNT] = {0}, charge = 0.0;
        struct solution_input given;
        struct precipitate precipitate;
        struct fault fault = {0};

        for (int i = 0; i < ION_TOTALS; i++) {
            state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
            if (i != ION_CITRATE && (state >> 33) % 3)
                mmol_l[i] = 0.01 * pow(20000.0, (double)(state >> 40) / 16777216.0);
            charge += mmol_l[i] * ion_charge[i];
        }
        mmol_l[charge > 0 ? (n % 5 ? ION_CL : ION_OH) : (n % 7 ? ION_K : ION_H)] += fabs(charge);
        given = ions(5.0 + n % 30, mmol_l);
        if (n % 4 == 0)
            given.gas = SOLUTION_OPEN_AIR;
        ck_assert_msg(precipitate_equilibrium(&given, &precipitate, &fault) == 0, "%d: %s", n, fault.item[0].detail);
        for (int k = 0; k < PRECIPITATE_MINERALS; k++) {
            double index = precipitate.after.saturation[precipitate.item[k].mineral];

            ck_assert_double_ge(precipitate.item[k].mmol_l, 0.0);
            ck_assert_msg(index <= 2e-5, "%d: mineral %d is left at %g", n, k, index);
            if (precipitate.item[k].mmol_l > 0.0)
                ck_assert_double_ge(index, -2e-5);
        }
        for (int i = 0; i < ION_TOTALS; i++)
            ck_assert(precipitate.after.total_mmol_l[i] >= 0.0);
        /* a mineral takes no charge along: what is left is neutral */
        charge = 0.0;
        for (int j = 0; j < SPECIES_COUNT; j++)
            charge += solution_species[j].charge * precipitate.after.species_mmol_l[j];
        ck_assert_msg(fabs(charge) <= 1e-6 * (1.0 + precipitate.after.ionic_strength_mol_l * 1000.0), "%d: charge %g", n, charge);
        fell += precipitate.g_l > 0.0;
    }
    printf("3000 random brews: something fell out of %zu\n", fell);
    ck_assert_uint_gt(fell, 500);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("precipitate");
    TCase *tcase = tcase_create("precipitate");

    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, gypsum_in_water);
    tcase_add_test(tcase, calcite_in_open_water);
    tcase_add_test(tcase, brushite_at_equilibrium);
    tcase_add_test(tcase, nothing_falls_out_of_a_thin_solution);
    tcase_add_test(tcase, the_sentence_says_what_is_lost);
    tcase_add_test(tcase, verdicts);
    tcase_add_test(tcase, working_solutions_do_not_alarm);
    tcase_add_test(tcase, many_brews_come_to_rest);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
