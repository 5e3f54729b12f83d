/* Label arithmetic against published factors and worked examples. */
#include "calc/label.h"
#include "csv.h"
#include "runner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct label label_of(enum label_item a, double a_percent, enum label_item b, double b_percent)
{
    struct label label;

    label_clear(&label);
    label.percent[a] = a_percent;
    label.percent[b] = b_percent;
    return label;
}

static double percent_of(const struct label *label, enum element element)
{
    struct fault fault = {0};
    double percent[ELEMENT_COUNT];

    ck_assert_msg(label_elements(label, percent, &fault) == 0, "%s: %s", fault.item[0].at, fault.item[0].detail);
    return percent[element];
}

/* facts-label.csv: derived there from the CIAAW atomic masses, five digits. */
START_TEST(factors_as_in_the_table)
{
    static const struct {
        const char *from;
        enum label_item item;
    } rows[] = {{"P2O5", LABEL_P2O5}, {"K2O", LABEL_K2O}, {"CaO", LABEL_CAO}, {"MgO", LABEL_MGO}, {"SO3", LABEL_SO3}};
    struct csv csv = csv_read(source_path("fixtures/chemistry/facts-label.csv"));
    size_t found = 0;

    for (size_t row = 0; row < csv.rows; row++)
        for (size_t i = 0; i < COUNT(rows); i++)
            if (strcmp(csv_text(&csv, row, csv_column(&csv, "from")), rows[i].from) == 0) {
                ck_assert_double_eq_tol(label_factor(rows[i].item), csv_number(&csv, row, csv_column(&csv, "factor")), 6e-6);
                found++;
            }
    ck_assert_uint_eq(found, COUNT(rows));
    ck_assert_double_eq(label_factor(LABEL_FE), 1.0);
    csv_free(&csv);
}
END_TEST

static double worked(const char *id, const char *column)
{
    struct csv csv = csv_read(source_path("fixtures/horticulture/salts-worked-examples.csv"));
    double value = NAN;

    for (size_t row = 0; row < csv.rows; row++)
        if (strcmp(csv_text(&csv, row, csv_column(&csv, "example_id")), id) == 0)
            value = csv_number(&csv, row, csv_column(&csv, column));
    csv_free(&csv);
    ck_assert_msg(!isnan(value), "no %s", id);
    return value;
}

/* Exact within the digits in which older atomic masses differ. W7, W8: 50 lb of 15-10-20, an irrigation trade text; printed
 * with 43.7 % and 83.0 %. W9: potassium sulfate 0-0-50, a web page. W10: the factors the other way round, the same page.
 */
START_TEST(labels_as_worked_by_others)
{
    struct label blend = label_of(LABEL_P2O5, 10, LABEL_K2O, 20), sulfate = label_of(LABEL_K2O, 50, LABEL_SO3, 46);

    ck_assert_double_eq_tol(50 * percent_of(&blend, ELEMENT_P) / 100, worked("W7", "exact_answer"), 5e-5);
    ck_assert_double_eq_tol(50 * percent_of(&blend, ELEMENT_P) / 100, worked("W7", "printed_answer"), 0.05);
    ck_assert_double_eq_tol(50 * percent_of(&blend, ELEMENT_K) / 100, worked("W8", "exact_answer"), 5e-5);
    ck_assert_double_eq_tol(50 * percent_of(&blend, ELEMENT_K) / 100, worked("W8", "printed_answer"), 0.05);
    ck_assert_double_eq_tol(percent_of(&sulfate, ELEMENT_K), worked("W9", "exact_answer"), 2e-4);
    ck_assert_double_eq_tol(percent_of(&sulfate, ELEMENT_K), worked("W9", "printed_answer"), 0.05);
    ck_assert_double_eq_tol(1.0 / label_factor(LABEL_P2O5), 2.2914, 1e-4); /* W10 prints 2.2915, its exact column 2.2914 */
    ck_assert_double_eq_tol(1.0 / label_factor(LABEL_K2O), 1.2046, 5e-5);
}
END_TEST

/* A bag of a pure salt labelled as the trade would must come out as the formula does. */
START_TEST(labels_of_pure_salts_agree_with_their_formulas)
{
    struct label label;
    struct salt bag;
    const struct salt *salt = salts_find("calcium-nitrate-double");

    label_clear(&label);
    label.percent[LABEL_N_NO3] = salts_nitrate_n_percent(salt);
    label.percent[LABEL_N_NH4] = salts_ammonium_n_percent(salt);
    label.percent[LABEL_CAO] = salts_element_percent(salt, ELEMENT_CA) / label_factor(LABEL_CAO);
    ck_assert_int_eq(label_salt(&label, "a bag", &bag, 0), 0);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        ck_assert_double_eq_tol(salts_element_percent(&bag, (enum element)e), salts_element_percent(salt, (enum element)e), 1e-9);
    for (int ion = 0; ion < ION_COUNT; ion++)
        ck_assert_double_eq_tol(bag.ions[ion] / 100, salt->ions[ion] / salt->molar_mass_g_mol, 1e-12);
    ck_assert_str_eq(bag.name, "a bag");
    label.percent[LABEL_N_UREA] = 2.0;
    label.percent[LABEL_FE] = 0.1;
    ck_assert_int_eq(label_salt(&label, "with urea and iron", &bag, 0), 0);
    ck_assert_double_eq_tol(salts_other_n_percent(&bag), 2.0, 1e-9);
    ck_assert_double_eq_tol(salts_element_percent(&bag, ELEMENT_FE), 0.1, 1e-12);
}
END_TEST

static const struct {
    enum label_item a;
    double a_percent;
    enum label_item b;
    double b_percent;
    const char *at;
} refused[] = {
    {LABEL_P2O5, 10, LABEL_P, 4, "/p"},     {LABEL_K2O, 10, LABEL_K, 8, "/k"},     {LABEL_CAO, 10, LABEL_CA, 7, "/ca"},
    {LABEL_MGO, 10, LABEL_MG, 6, "/mg"},    {LABEL_SO3, 10, LABEL_S, 4, "/s"},     {LABEL_K2O, 60, LABEL_P2O5, 41, ""},
    {LABEL_FE, -1, LABEL_B, 1, "/fe"},      {LABEL_FE, 101, LABEL_B, 0, "/fe"},    {LABEL_FE, HUGE_VAL, LABEL_B, 0, "/fe"},
    {LABEL_FE, 0, LABEL_B, NAN, ""},
};

START_TEST(what_no_bag_can_hold_is_refused)
{
    struct label label = label_of(refused[_i].a, refused[_i].a_percent, refused[_i].b, refused[_i].b_percent);
    struct fault fault = {0};
    double percent[ELEMENT_COUNT] = {7.0};

    ck_assert_int_eq(label_elements(&label, percent, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
    ck_assert_uint_eq(fault.count, 1);
    ck_assert_str_eq(fault.item[0].at, refused[_i].at);
    ck_assert_double_eq(percent[0], 7.0);
}
END_TEST

/* A pure element and a bag named to the last percent are labels. */
START_TEST(all_of_a_bag_may_be_named)
{
    struct label label = label_of(LABEL_S, 100, LABEL_FE, 0);

    ck_assert_double_eq(percent_of(&label, ELEMENT_S), 100);
    label = label_of(LABEL_K2O, 60, LABEL_P2O5, 40);
    ck_assert_double_eq_tol(percent_of(&label, ELEMENT_K), 60 * label_factor(LABEL_K2O), 1e-12);
}
END_TEST

/* 0 beside a form is no second form: some labels print every line. */
START_TEST(zero_beside_the_other_form_is_fine)
{
    struct label label = label_of(LABEL_P2O5, 10, LABEL_P, 0);

    ck_assert_double_eq_tol(percent_of(&label, ELEMENT_P), 4.3643, 1e-4);
    label = label_of(LABEL_P2O5, 0, LABEL_P, 4);
    ck_assert_double_eq_tol(percent_of(&label, ELEMENT_P), 4.0, 1e-12);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("label");
    TCase *tcase = tcase_create("label");

    tcase_add_test(tcase, factors_as_in_the_table);
    tcase_add_test(tcase, labels_as_worked_by_others);
    tcase_add_test(tcase, labels_of_pure_salts_agree_with_their_formulas);
    tcase_add_loop_test(tcase, what_no_bag_can_hold_is_refused, 0, COUNT(refused));
    tcase_add_test(tcase, all_of_a_bag_may_be_named);
    tcase_add_test(tcase, zero_beside_the_other_form_is_fine);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
