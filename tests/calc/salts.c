/* The table of salts against formulas, printed solubilities and the rule that closes a label. */
#include "calc/salts.h"
#include "csv.h"
#include "runner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Molar masses and percentages follow from the atomic masses (CIAAW 2021); facts-salts.csv holds them to the
 * last printed digit, its formulas are textbook chemistry.
 */
START_TEST(percentages_as_computed_elsewhere)
{
    static const struct {
        const char *column;
        enum element element;
    } columns[] = {
        {"n_percent", ELEMENT_N},   {"p_percent", ELEMENT_P},   {"k_percent", ELEMENT_K},   {"ca_percent", ELEMENT_CA},
        {"mg_percent", ELEMENT_MG}, {"s_percent", ELEMENT_S},   {"na_percent", ELEMENT_NA}, {"cl_percent", ELEMENT_CL},
        {"b_percent", ELEMENT_B},   {"mn_percent", ELEMENT_MN}, {"zn_percent", ELEMENT_ZN}, {"cu_percent", ELEMENT_CU},
        {"mo_percent", ELEMENT_MO}, {"si_percent", ELEMENT_SI},
    };
    struct csv csv = csv_read(source_path("fixtures/chemistry/facts-salts.csv"));

    ck_assert_uint_eq(csv.rows, 36);
    for (size_t row = 0; row < csv.rows; row++) {
        const char *id = csv_text(&csv, row, csv_column(&csv, "salt"));
        const struct salt *salt = salts_find(id);

        ck_assert_msg(salt != NULL, "%s is not in the table", id);
        ck_assert_str_eq(salt->formula, csv_text(&csv, row, csv_column(&csv, "formula")));
        ck_assert_double_eq_tol(salt->molar_mass_g_mol, csv_number(&csv, row, csv_column(&csv, "molar_mass_g_mol")), 0.0011);
        for (size_t i = 0; i < COUNT(columns); i++) {
            double printed = csv_number(&csv, row, csv_column(&csv, columns[i].column));

            ck_assert_msg(fabs(salts_element_percent(salt, columns[i].element) - (isnan(printed) ? 0.0 : printed)) <= 0.00051,
                          "%s: %g in place of %g %s", id, salts_element_percent(salt, columns[i].element), printed,
                          columns[i].column);
        }
    }
    csv_free(&csv);
}
END_TEST

START_TEST(formulas_add_up)
{
    for (size_t i = 0; i < salts_count; i++) {
        double mass = 0.0, charge = 0.0;

        for (int e = 0; e < ELEMENT_COUNT; e++)
            mass += salts[i].atoms[e] * element_mass_g_mol[e];
        for (int ion = 0; ion < ION_COUNT; ion++)
            charge += salts[i].ions[ion] * ion_charge[ion];
        if (salts[i].formula[0])
            ck_assert_msg(fabs(mass - salts[i].molar_mass_g_mol) < 0.0011, "%s weighs %g", salts[i].id, mass);
        ck_assert_msg(charge == 0.0, "%s has charge %g", salts[i].id, charge);
        for (int ion = 0; ion < ION_TOTALS; ion++)
            ck_assert_msg(ion == ION_CITRATE || ion == ION_NH4 || ion == ION_NO3 || salts[i].ions[ion] == 0.0 ||
                              salts[i].ions[ion] == salts[i].atoms[ion_element[ion]],
                          "%s: %s in ions and formula differ", salts[i].id, ion_key[ion]);
        ck_assert_msg(salts[i].ions[ION_NH4] + salts[i].ions[ION_NO3] <= salts[i].atoms[ELEMENT_N], "%s: more N in ions",
                      salts[i].id);
    }
}
END_TEST

START_TEST(nitrogen_is_told_apart)
{
    const struct salt *salt = salts_find("calcium-nitrate-double");

    /* 11 of 12 nitrogen atoms are nitrate: its formula */
    ck_assert_double_eq_tol(salts_nitrate_n_percent(salt), 15.554 * 11 / 12, 0.001);
    ck_assert_double_eq_tol(salts_ammonium_n_percent(salt), 15.554 / 12, 0.001);
    ck_assert_double_eq(salts_other_n_percent(salt), 0.0);
    ck_assert_double_eq_tol(salts_other_n_percent(salts_find("urea")), 46.646, 0.001);
}
END_TEST

/* Solubilities of facts-salts.csv; sources as there. */
static const struct {
    const char *id;
    double t_c, g_per_kg, within;
    const char *source;
} printed[] = {
    {"potassium-nitrate", 20, 316, 1, "a solubility table on a chemical supplier's page"},
    {"potassium-nitrate", 10, 210, 1, "the same"},
    {"monoammonium-phosphate", 0, 227, 1, "the same"},
    {"monoammonium-phosphate", 40, 567, 1, "the same"},
    {"potassium-sulfate", 10, 0.493 * 174.252, 0.1, "Geochim. Cosmochim. Acta 51:2429 (1987), arcanite, mol/kg"},
    {"potassium-sulfate", 20, 0.590 * 174.252, 0.1, "the same"},
    {"potassium-sulfate", 25, 0.633 * 174.252, 0.1, "the same"},
    {"ammonium-nitrate", 20, 1920, 1, "a trade table of fertilizer solubilities"},
    {"ammonium-sulfate", 20, 750, 1, "the same"},
    {"calcium-nitrate-4h2o", 20, 1290, 1, "the same"},
    {"monopotassium-phosphate", 15, 203, 1, "half way between 180 (trade table, 10 C) and 226 (CRC Handbook, from memory, 20 C)"},
};

START_TEST(solubilities_as_printed)
{
    struct fault fault = {0};
    double g_per_kg = NAN;
    bool exact = false;

    ck_assert_int_eq(salts_solubility(salts_find(printed[_i].id), printed[_i].t_c, &g_per_kg, &exact, &fault), 0);
    ck_assert(exact);
    ck_assert_msg(fabs(g_per_kg - printed[_i].g_per_kg) <= printed[_i].within, "%s at %g C: %g (%s)", printed[_i].id,
                  printed[_i].t_c, g_per_kg, printed[_i].source);
}
END_TEST

START_TEST(solubility_beyond_what_is_known)
{
    struct fault fault = {0};
    double g_per_kg = 0;
    bool exact = true;

    ck_assert_int_eq(salts_solubility(salts_find("dipotassium-phosphate"), 10, &g_per_kg, &exact, &fault), 0);
    ck_assert(!exact);
    ck_assert_double_eq_tol(g_per_kg, 1600 * 0.8, 1e-9);
    ck_assert_int_eq(salts_solubility(salts_find("iron-dtpa-11"), 10, &g_per_kg, &exact, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_ABSENT);
    fault = (struct fault){0};
    ck_assert_int_eq(salts_solubility(salts_find("urea"), NAN, &g_per_kg, &exact, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
}
END_TEST

START_TEST(a_label_is_closed_with_what_labels_leave_out)
{
    struct fault fault = {0};
    double gap = 0;
    /* invented: 10 % K2O, of which 2.3 % N as nitrate; the rest of the potassium came as sulfate */
    struct salt blend = {"x", "blend", "", 100.0, {0}, {[ION_K] = 0.2124, [ION_NO3] = 0.1642}, {{0, 0}}, ""};

    ck_assert_int_eq(salts_close_charge(&blend, &gap, &fault), 0);
    ck_assert_double_eq_tol(blend.ions[ION_SO4], 0.0241, 1e-9);
    ck_assert_double_eq_tol(gap, 0.482, 1e-9);
    /* invented, of a common kind: N as nitrate 5 %, P2O5 12 %, K2O 26 %, Mg 6 %, sulfur not printed */
    blend = (struct salt){
        "y", "blend", "", 100.0, {0}, {[ION_NO3] = 0.357, [ION_PO4] = 0.169, [ION_K] = 0.552, [ION_MG] = 0.247}, {{0, 0}}, ""};
    ck_assert_int_eq(salts_close_charge(&blend, &gap, &fault), 0);
    ck_assert_double_eq_tol(blend.ions[ION_SO4], 0.26, 1e-9);
    /* with sulfur printed the same hole is no habit of labels */
    blend.ions[ION_SO4] = 0.01;
    ck_assert_int_eq(salts_close_charge(&blend, &gap, &fault), -1);
    fault = (struct fault){0};
    /* a cation without any anion is no label */
    blend.ions[ION_NO3] = blend.ions[ION_SO4] = blend.ions[ION_PO4] = 0;
    ck_assert_int_eq(salts_close_charge(&blend, &gap, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("salts");
    TCase *tcase = tcase_create("salts");

    tcase_add_test(tcase, percentages_as_computed_elsewhere);
    tcase_add_test(tcase, formulas_add_up);
    tcase_add_test(tcase, nitrogen_is_told_apart);
    tcase_add_loop_test(tcase, solubilities_as_printed, 0, COUNT(printed));
    tcase_add_test(tcase, solubility_beyond_what_is_known);
    tcase_add_test(tcase, a_label_is_closed_with_what_labels_leave_out);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
