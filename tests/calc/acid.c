/* Acid doses against 79 computed rows, published worked examples, and what must be refused. */
#include "calc/acid.h"
#include "csv.h"
#include "rows.h"
#include "runner.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static enum reagent reagent_named(const char *key)
{
    for (int i = 0; i < REAGENT_COUNT; i++)
        if (strcmp(reagent_key[i], key) == 0)
            return (enum reagent)i;
    ck_abort_msg("no acid %s", key);
    return 0;
}

/* "calcium-nitrate-4h2o:2.5 nitric-acid:0.525": salts into given, and the amount of the one that ends in -acid. */
static double add_listed(const char *listed, struct solution_input *given)
{
    struct fault fault = {0};
    double acid_mmol_l = NAN;
    char text[512], *rest = text, *word;

    snprintf(text, sizeof text, "%s", listed);
    while ((word = strtok_r(rest, " ", &rest))) {
        char *colon = strchr(word, ':');
        size_t length = (size_t)(colon - word);
        const struct salt *salt;

        *colon = '\0';
        if (length > 5 && strcmp(word + length - 5, "-acid") == 0 && strcmp(word, "boric-acid") != 0) {
            acid_mmol_l = strtod(colon + 1, NULL);
            continue;
        }
        salt = salts_find(word);
        ck_assert_msg(salt != NULL, "no salt %s", word);
        ck_assert_int_eq(solution_add_salt(given, salt, strtod(colon + 1, NULL) * salt->molar_mass_g_mol / 1000.0, &fault), 0);
    }
    return acid_mmol_l;
}

static struct acid_request request_of(const struct csv *csv, size_t row, double *acid_mmol_l)
{
    struct acid_request request = {.strength_percent = 10.0, .volume_l = 100.0};
    struct source_water water = rows_water(csv_text(csv, row, csv_column(csv, "water_id")));
    struct fault fault = {0};

    solution_begin(&request.given, csv_number(csv, row, csv_column(csv, "temp_c")));
    request.given.pco2_atm = pow(10.0, -3.4);
    ck_assert_int_eq(solution_add_water(&request.given, &water, 1.0, &fault), 0);
    *acid_mmol_l = add_listed(csv_text(csv, row, csv_column(csv, "added_salts_mmol_l")), &request.given);
    request.ph = csv_number(csv, row, csv_column(csv, "target_ph"));
    request.reagent = reagent_named(csv_text(csv, row, csv_column(csv, "acid")));
    return request;
}

/* Source: PHREEQC 3.8.8 with the constants of release 3.7.3 (fixtures/chemistry/README.md). Within 0.5 % of the dose. */
START_TEST(doses_as_computed_elsewhere)
{
    struct csv csv = csv_read(source_path("fixtures/chemistry/solutions-acid.csv"));
    double worst = 0.0;

    ck_assert_uint_eq(csv.rows, 66);
    for (size_t row = 0; row < csv.rows; row++) {
        const char *id = csv_text(&csv, row, 0);
        double expected, got, printed;
        struct acid_request request = request_of(&csv, row, &expected);
        struct acid_dose dose;
        struct fault fault = {0};
        bool open = strcmp(csv_text(&csv, row, csv_column(&csv, "gas")), "open_air") == 0;

        ck_assert_msg(acid_dose(&request, &dose, &fault) == 0, "%s: %s", id, fault.item[0].detail);
        got = open ? dose.open_mmol_l : dose.mmol_l;
        worst = fmax(worst, fabs(got / expected - 1.0));
        ck_assert_msg(fabs(got / expected - 1.0) <= 0.005, "%s: %g mmol/L in place of %g", id, got, expected);
        printed = csv_number(&csv, row, csv_column(&csv, "closed_form_dose_mmol_l"));
        ck_assert_msg(fabs(dose.closed_form_mmol_l / printed - 1.0) <= 0.0005, "%s: closed form %g in place of %g", id,
                      dose.closed_form_mmol_l, printed);
        if (open)
            continue;
        ck_assert_double_eq_tol(dose.after.ph, request.ph, 1e-5);
        printed = csv_number(&csv, row, csv_column(&csv, "ph_after_standing_open"));
        ck_assert_msg(fabs(dose.ph_after_standing_open - printed) <= 0.005, "%s: open pH %g in place of %g", id,
                      dose.ph_after_standing_open, printed);
        printed = csv_number(&csv, row, csv_column(&csv, "fraction_of_alkalinity_neutralised"));
        ck_assert_msg(fabs(dose.fraction_neutralised - printed) <= 0.0005, "%s: share %g in place of %g", id,
                      dose.fraction_neutralised, printed);
        printed = strtod(csv_text(&csv, row, csv_column(&csv, "adds_mg_l_element")) + 2, NULL);
        ck_assert_msg(fabs(dose.adds_mg_l[ELEMENT_N] + dose.adds_mg_l[ELEMENT_P] + dose.adds_mg_l[ELEMENT_S] - printed) <= 0.0051,
                      "%s: adds other than %g mg/L", id, printed);
    }
    printf("66 acid rows: worst dose off by %.4f %%\n", 100.0 * worst);
    csv_free(&csv);
}
END_TEST

START_TEST(citric_doses_as_computed_elsewhere)
{
    struct csv csv = csv_read(source_path("fixtures/chemistry/solutions-citric.csv"));
    double worst = 0.0;

    ck_assert_uint_eq(csv.rows, 13);
    for (size_t row = 0; row < csv.rows; row++) {
        const char *id = csv_text(&csv, row, 0);
        double none, expected = csv_number(&csv, row, csv_column(&csv, "dose_mmol_l"));
        struct acid_request request = request_of(&csv, row, &none);
        struct acid_dose dose;
        struct fault fault = {0};

        ck_assert_msg(acid_dose(&request, &dose, &fault) == 0, "%s: %s", id, fault.item[0].detail);
        worst = fmax(worst, fabs(dose.mmol_l / expected - 1.0));
        ck_assert_msg(fabs(dose.mmol_l / expected - 1.0) <= 0.005, "%s: %g mmol/L in place of %g", id, dose.mmol_l, expected);
        /* the citrate itself is no alkalinity: what is left is the water's, less what the acid took */
        ck_assert_double_lt(dose.after.alkalinity_mmol_l, 0.7 * request.given.alkalinity_mmol_l);
        for (int j = SPECIES_CIT; j < SPECIES_COUNT; j++) {
            char column[24];
            size_t c = 0;

            snprintf(column, sizeof column, "c_%s", solution_species_name[j]);
            while (c < csv.columns && strcmp(csv.cell[c], column) != 0)
                c++;
            if (c < csv.columns && csv_number(&csv, row, c) > 0.001)
                ck_assert_msg(fabs(dose.after.species_mmol_l[j] / csv_number(&csv, row, c) - 1.0) <= 0.005, "%s: %s", id, column);
        }
    }
    printf("13 citric rows: worst dose off by %.4f %%\n", 100.0 * worst);
    csv_free(&csv);
}
END_TEST

/* Published worked examples; sources in the id column's rows of fixtures/chemistry/acid-worked-examples.csv. The amounts are by
 * stoichiometry there; here the product's volume follows from the dose, its strength and its density.
 */
static const struct {
    const char *id;
    enum reagent reagent;
    double strength_percent, mmol_l, litres, printed_ml, within;
    const char *source;
} examples[] = {
    {"W1", REAGENT_SULFURIC, 93, 0.99913, 378.541, 23, 0.07,
     "University of Massachusetts Extension, Adjusting alkalinity with acids"},
    {"W2", REAGENT_NITRIC, 67, 0.99913, 378.541, 0.87 * 29.5735, 0.02,
     "a training page on acids for reducing water alkalinity, table 1"},
    {"W3", REAGENT_PHOSPHORIC, 75, 0.88784, 378.541, 0.94 * 29.5735, 0.02, "the same"},
    {"W4", REAGENT_SULFURIC, 35, 0.49957, 378.541, 1.42 * 29.5735, 0.02, "the same"},
};

START_TEST(volumes_as_published)
{
    double density = acid_density_kg_l(examples[_i].reagent, examples[_i].strength_percent);
    double ml = examples[_i].mmol_l / 1000.0 * examples[_i].litres * acid_molar_mass_g_mol(examples[_i].reagent) /
                (examples[_i].strength_percent / 100.0) / density;

    ck_assert_msg(fabs(ml / examples[_i].printed_ml - 1.0) <= examples[_i].within, "%s: %g mL in place of %g (%s)",
                  examples[_i].id, ml, examples[_i].printed_ml, examples[_i].source);
}
END_TEST

/* The same examples poured into the invented waters: pH and alkalinity after, closed and open, by PHREEQC 3.8.8. The phosphoric row counts
 * HPO4 in its alkalinity, as everywhere here.
 */
START_TEST(published_doses_poured)
{
    struct csv csv = csv_read(source_path("fixtures/chemistry/acid-worked-examples.csv"));

    ck_assert_uint_eq(csv.rows, 6);
    for (size_t row = 0; row < csv.rows; row++) {
        const char *ion = csv_text(&csv, row, csv_column(&csv, "acid_ion"));
        enum reagent reagent = strcmp(ion, "SO4") == 0 ? REAGENT_SULFURIC : strcmp(ion, "PO4") == 0 ? REAGENT_PHOSPHORIC : REAGENT_NITRIC;
        struct source_water water = rows_water(csv_text(&csv, row, csv_column(&csv, "tried_on_water")));
        struct solution_input given;
        struct solution solved;
        struct fault fault = {0};

        solution_begin(&given, csv_number(&csv, row, csv_column(&csv, "temp_c")));
        ck_assert_int_eq(solution_add_water(&given, &water, 1.0, &fault), 0);
        ck_assert_int_eq(solution_add_reagent(&given, reagent, csv_number(&csv, row, csv_column(&csv, "dose_mmol_l")), &fault), 0);
        ck_assert_int_eq(solution_solve(&given, &solved, &fault), 0);
        ck_assert_double_eq_tol(solved.ph, csv_number(&csv, row, csv_column(&csv, "ph_closed")), 0.005);
        ck_assert_double_eq_tol(solved.alkalinity_mmol_l * CACO3_MG_PER_MEQ,
                                csv_number(&csv, row, csv_column(&csv, "alkalinity_after_mg_caco3_l")), 0.06);
        given.gas = SOLUTION_OPEN_AIR;
        given.pco2_atm = pow(10.0, -3.4);
        ck_assert_int_eq(solution_solve(&given, &solved, &fault), 0);
        ck_assert_double_eq_tol(solved.ph, csv_number(&csv, row, csv_column(&csv, "ph_open")), 0.005);
    }
    csv_free(&csv);
}
END_TEST

static bool cautioned(const struct acid_dose *dose, const char *words)
{
    for (size_t i = 0; i < dose->cautions; i++)
        if (strstr(dose->caution[i], words))
            return true;
    return false;
}

/* The whole path from a water to millilitres: what the dose weighs must be what the molecules weigh. */
START_TEST(millilitres_follow_from_the_label)
{
    struct acid_request request = {.ph = 6.0, .reagent = REAGENT_NITRIC, .strength_percent = 38.0, .volume_l = 95.0};
    struct source_water water = rows_water("medium");
    struct acid_dose dose;
    struct fault fault = {0};

    solution_begin(&request.given, 20.0);
    ck_assert_int_eq(solution_add_water(&request.given, &water, 1.0, &fault), 0);
    ck_assert_int_eq(acid_dose(&request, &dose, &fault), 0);
    ck_assert(dose.needed);
    ck_assert_double_eq_tol(dose.grams, dose.mmol_l * 0.095 * 63.012 / 0.38, 1e-9);
    ck_assert_double_eq_tol(dose.ml * dose.density_kg_l, dose.grams, 1e-9);
    ck_assert_double_gt(dose.open_mmol_l, dose.mmol_l);
    ck_assert_double_gt(dose.ph_after_standing_open, 7.5);
    ck_assert_uint_ge(dose.cautions, 5);
    ck_assert(cautioned(&dose, "acid or lye into water") && cautioned(&dose, "climbs back") && cautioned(&dose, "goggles"));
    ck_assert(strstr(dose.closed_form_why, "more") != NULL);
    /* citric acid as a powder is weighed */
    request.reagent = REAGENT_CITRIC;
    request.strength_percent = 100.0;
    ck_assert_int_eq(acid_dose(&request, &dose, &fault), 0);
    ck_assert_double_eq(dose.ml, 0.0);
    ck_assert_double_gt(dose.grams, 1.0);
    ck_assert(isnan(dose.closed_form_mmol_l));
}
END_TEST

START_TEST(bases_lift_the_ph)
{
    struct acid_request request = {.ph = 6.0, .reagent = REAGENT_POTASSIUM_HYDROXIDE, .strength_percent = 10.0, .volume_l = 10.0};
    double ions[ION_COUNT] = {[ION_K] = 2.0, [ION_PO4] = 2.0};
    struct acid_dose dose;
    struct fault fault = {0};

    solution_begin(&request.given, 25.0);
    ck_assert_int_eq(solution_add_ions(&request.given, ions, &fault), 0);
    for (int i = 0; i < 2; i++) {
        request.reagent = i ? REAGENT_POTASSIUM_BICARBONATE : REAGENT_POTASSIUM_HYDROXIDE;
        ck_assert_int_eq(acid_dose(&request, &dose, &fault), 0);
        ck_assert_double_lt(dose.ph_before, 5.2);
        ck_assert_double_eq_tol(dose.after.ph, 6.0, 1e-5);
        ck_assert_double_eq_tol(dose.adds_mg_l[ELEMENT_K], 39.098 * dose.mmol_l, 1e-9);
    }
    /* bicarbonate alone never reaches pH 9.5 */
    request.ph = 9.5;
    ck_assert_int_eq(acid_dose(&request, &dose, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/ph");
    /* and an acid is not needed to go up */
    request.ph = 6.0;
    request.reagent = REAGENT_NITRIC;
    fault = (struct fault){0};
    ck_assert_int_eq(acid_dose(&request, &dose, &fault), 0);
    ck_assert(!dose.needed);
    ck_assert_double_eq(dose.ml, 0.0);
    ck_assert_uint_eq(dose.cautions, 0);
}
END_TEST

START_TEST(nonsense_is_refused)
{
    struct acid_request request = {.ph = NAN, .reagent = REAGENT_NITRIC, .strength_percent = 120.0, .volume_l = 0.0};
    struct acid_dose dose = {.mmol_l = 77.0};
    struct fault fault = {0};

    solution_begin(&request.given, 20.0);
    ck_assert_int_eq(acid_dose(&request, &dose, &fault), -1);
    ck_assert_uint_eq(fault.count, 3);
    ck_assert_str_eq(fault.item[0].at, "/ph");
    ck_assert_str_eq(fault.item[1].at, "/strength_percent");
    ck_assert_str_eq(fault.item[2].at, "/volume_l");
    ck_assert_double_eq(dose.mmol_l, 77.0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("acid");
    TCase *tcase = tcase_create("acid");

    tcase_add_test(tcase, doses_as_computed_elsewhere);
    tcase_add_test(tcase, citric_doses_as_computed_elsewhere);
    tcase_add_loop_test(tcase, volumes_as_published, 0, COUNT(examples));
    tcase_add_test(tcase, published_doses_poured);
    tcase_add_test(tcase, millilitres_follow_from_the_label);
    tcase_add_test(tcase, bases_lift_the_ph);
    tcase_add_test(tcase, nonsense_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
