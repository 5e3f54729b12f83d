/* Every computed solution of fixtures/chemistry, within the tolerances that its README names. */
#include "rows.h"
#include "runner.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Source of all: PHREEQC 3.8.8 with the constants of release 3.7.3 (see fixtures/chemistry/README.md). */
static const struct {
    const char *file;
    size_t rows;
} files[] = {
    {"solutions-single-salts", 152}, {"solutions-full", 120},      {"solutions-household", 60},     {"solutions-mixes", 30},
    {"solutions-acid", 66},          {"solutions-dissolving", 60}, {"solutions-concentrates", 120},
};

struct worst {
    double of_tolerance; /* deviation as a share of what is allowed */
    double value;
    char row[96];
};

enum kind { PH, EC, EC_AT_T, STRENGTH, ALKALINITY, SPECIES, SATURATION, KINDS };
static const char *const kind_name[KINDS] = {"pH", "EC 25", "EC at T", "I", "alkalinity", "species", "SI"};

/* Notes a deviation; returns whether it is allowed, and prints the row where it is not. */
static bool within(struct worst *worst, const char *row, const char *what, double got, double printed, double deviation,
                   double allowed)
{
    if (!(deviation / allowed <= worst->of_tolerance)) {
        worst->of_tolerance = deviation / allowed;
        worst->value = deviation;
        snprintf(worst->row, sizeof worst->row, "%.60s %.20s", row, what);
    }
    if (deviation <= allowed)
        return true;
    fprintf(stderr, "%s: %s %.8g in place of %.8g\n", row, what, got, printed);
    return false;
}

/* Without buffer a rounding of 1e-5 mmol/L shows in the pH: README, tolerances. */
static bool unbuffered(const struct solution *solved)
{
    return solved->alkalinity_mmol_l + solved->total_mmol_l[ION_C] + solved->total_mmol_l[ION_PO4] < 0.02 && solved->ph > 5.5 &&
           solved->ph < 8.5;
}

static bool row_agrees(const struct csv *csv, size_t row, struct worst worst[KINDS])
{
    const char *id = csv_text(csv, row, 0);
    struct solution_input given = rows_input(csv, row);
    struct solution solved;
    struct fault fault = {0};
    bool strong, fine = true, loose;
    double printed, relative;

    ck_assert_msg(solution_solve(&given, &solved, &fault) == 0, "%s: %s", id, fault.item[0].detail);
    printed = csv_number(csv, row, csv_column(csv, "ionic_strength_mol_kg"));
    strong = printed > 0.3;
    relative = strong ? 0.01 : 0.003;
    fine &= within(&worst[STRENGTH], id, "I", solved.ionic_strength_mol_kg, printed,
                   fabs(solved.ionic_strength_mol_kg / printed - 1.0), strong ? 0.005 : 0.002);
    loose = unbuffered(&solved);
    printed = csv_number(csv, row, csv_column(csv, "ph"));
    fine &= within(&worst[PH], id, "pH", solved.ph, printed, fabs(solved.ph - printed), loose ? 0.1 : strong ? 0.02 : 0.005);
    printed = csv_number(csv, row, csv_column(csv, "ec25_ms_cm"));
    fine &= within(&worst[EC], id, "EC 25", solved.ec_ms_cm, printed, fabs(solved.ec_ms_cm / printed - 1.0), relative);
    printed = csv_number(csv, row, csv_column(csv, "ec_at_temperature_ms_cm"));
    fine &= within(&worst[EC_AT_T], id, "EC at T", solved.ec_at_temperature_ms_cm, printed,
                   fabs(solved.ec_at_temperature_ms_cm / printed - 1.0), relative);
    printed = csv_number(csv, row, csv_column(csv, "alkalinity_meq_l"));
    fine &= within(&worst[ALKALINITY], id, "alkalinity", solved.alkalinity_mmol_l, printed,
                   fabs(solved.alkalinity_mmol_l - printed), 0.00002 + 0.001 * fabs(printed));
    for (size_t column = 0; column < csv->columns; column++) {
        const char *name = csv->cell[column];

        printed = strncmp(name, "c_", 2) == 0 || strncmp(name, "si_", 3) == 0 ? csv_number(csv, row, column) : NAN;
        if (isnan(printed) || strstr(name, "_min") || strstr(name, "_max"))
            continue;
        for (int j = 0; j < SPECIES_COUNT; j++)
            /* of an unbuffered water the acid and base species are as uncertain as its pH */
            if (strcmp(name + 2, solution_species_name[j]) == 0 && printed > 0.001 &&
                !(loose && (j == SPECIES_H || j == SPECIES_OH || j == SPECIES_NH3 || j == SPECIES_HSO4)))
                fine &= within(&worst[SPECIES], id, name, solved.species_mmol_l[j], printed,
                               fabs(solved.species_mmol_l[j] / printed - 1.0), strong ? 0.01 : 0.005);
        for (int i = 0; i < MINERAL_COUNT; i++)
            if (strcmp(name + 3, solution_mineral_key[i]) == 0 && !loose)
                fine &= within(&worst[SATURATION], id, name, solved.saturation[i], printed, fabs(solved.saturation[i] - printed),
                               strong ? 0.02 : 0.01);
    }
    return fine;
}

START_TEST(rows_as_computed_elsewhere)
{
    char path[128];
    struct csv csv;
    struct worst worst[KINDS];
    size_t wrong = 0;

    memset(worst, 0, sizeof worst);
    snprintf(path, sizeof path, "fixtures/chemistry/%s.csv", files[_i].file);
    csv = csv_read(source_path(path));
    ck_assert_uint_eq(csv.rows, files[_i].rows);
    for (size_t row = 0; row < csv.rows; row++)
        wrong += !row_agrees(&csv, row, worst);
    printf("%s: %zu rows, %zu outside\n", files[_i].file, csv.rows, wrong);
    for (int kind = 0; kind < KINDS; kind++)
        printf("  %-10s worst %.2g, %3.0f %% of what is allowed: %s\n", kind_name[kind], worst[kind].value,
               100.0 * worst[kind].of_tolerance, worst[kind].row);
    fflush(stdout);
    csv_free(&csv);
    ck_assert_msg(wrong == 0, "%s: %zu rows are outside (named above)", files[_i].file, wrong);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("solution rows");
    TCase *tcase = tcase_create("rows");

    tcase_set_timeout(tcase, 60);
    tcase_add_loop_test(tcase, rows_as_computed_elsewhere, 0, COUNT(files));
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
