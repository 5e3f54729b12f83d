/* rows.c - from the rows of fixtures/chemistry to inputs. */
#include "rows.h"
#include "runner.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct source_water rows_water(const char *water_id)
{
    static struct csv waters;
    struct source_water water = {.ph = 7.0};

    if (!waters.rows)
        waters = csv_read(source_path("fixtures/chemistry/waters.csv"));
    for (size_t row = 0; row < waters.rows; row++) {
        if (strcmp(csv_text(&waters, row, csv_column(&waters, "water_id")), water_id) != 0)
            continue;
        water.ph = csv_number(&waters, row, csv_column(&waters, "ph_25"));
        water.alkalinity_mg_caco3_l = csv_number(&waters, row, csv_column(&waters, "alkalinity_mg_caco3_l"));
        water.ca_mg_l = csv_number(&waters, row, csv_column(&waters, "ca_mg_l"));
        water.mg_mg_l = csv_number(&waters, row, csv_column(&waters, "mg_mg_l"));
        water.na_mg_l = csv_number(&waters, row, csv_column(&waters, "na_mg_l"));
        water.k_mg_l = csv_number(&waters, row, csv_column(&waters, "k_mg_l"));
        water.cl_mg_l = csv_number(&waters, row, csv_column(&waters, "cl_mg_l"));
        water.so4_mg_l = csv_number(&waters, row, csv_column(&waters, "so4_mg_l"));
        water.no3_mg_l = csv_number(&waters, row, csv_column(&waters, "no3_mg_l"));
        water.si_mg_l = csv_number(&waters, row, csv_column(&waters, "si_mg_l"));
        return water;
    }
    ck_abort_msg("no water %s", water_id);
    return water;
}

void rows_ions(const char *json, double ions[ION_COUNT])
{
    for (int i = 0; i < ION_COUNT; i++) {
        char key[16];
        const char *at;

        ions[i] = 0.0;
        if (!ion_key[i])
            continue;
        snprintf(key, sizeof key, "\"%s\"", ion_key[i]);
        at = strstr(json, key);
        if (at)
            ions[i] = strtod(strchr(at, ':') + 1, NULL);
    }
}

struct solution_input rows_input(const struct csv *csv, size_t row)
{
    struct fault fault = {0};
    struct solution_input given;
    struct source_water water = rows_water(csv_text(csv, row, csv_column(csv, "water_id")));
    double ions[ION_COUNT];

    solution_begin(&given, csv_number(csv, row, csv_column(csv, "temp_c")));
    if (strcmp(csv_text(csv, row, csv_column(csv, "gas")), "open_air") == 0) {
        given.gas = SOLUTION_OPEN_AIR;
        given.pco2_atm = pow(10.0, csv_number(csv, row, csv_column(csv, "pco2_log10_atm")));
    }
    ck_assert_int_eq(solution_add_water(&given, &water, 1.0, &fault), 0);
    rows_ions(csv_text(csv, row, csv_column(csv, "added_ions_mmol_l")), ions);
    ck_assert_msg(solution_add_ions(&given, ions, &fault) == 0, "%s: %s", csv_text(csv, row, 0), fault.item[0].detail);
    return given;
}
