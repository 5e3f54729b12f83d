/* Time of one solution: the median over the computed rows of fixtures/chemistry, each the best of several runs. */
#include "calc/rows.h"
#include "runner.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define RUNS 25

static double now_us(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return 1e6 * (double)now.tv_sec + 1e-3 * (double)now.tv_nsec;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

START_TEST(one_solution)
{
    static const char *const files[] = {"single-salts", "full", "household", "mixes", "acid", "dissolving", "concentrates"};
    static double alone_us[1024], whole_us[1024];
    size_t rows = 0, steps = 0;

    for (size_t f = 0; f < COUNT(files); f++) {
        char path[96];
        struct csv csv;

        snprintf(path, sizeof path, "fixtures/chemistry/solutions-%s.csv", files[f]);
        csv = csv_read(source_path(path));
        for (size_t row = 0; row < csv.rows; row++, rows++) {
            struct source_water water = rows_water(csv_text(&csv, row, csv_column(&csv, "water_id")));
            struct solution_input given = rows_input(&csv, row);
            struct solution solved;

            alone_us[rows] = whole_us[rows] = 1e9;
            for (int run = 0; run < RUNS; run++) {
                struct solution_input other;
                double start = now_us(), between;

                if (solution_solve(&given, &solved, NULL))
                    ck_abort_msg("row %zu of %s", row, files[f]);
                between = now_us();
                solution_begin(&other, given.temperature_c);
                if (solution_add_water(&other, &water, 1.0, NULL) || solution_solve(&given, &solved, NULL))
                    ck_abort_msg("row %zu of %s", row, files[f]);
                whole_us[rows] = now_us() - between < whole_us[rows] ? now_us() - between : whole_us[rows];
                alone_us[rows] = between - start < alone_us[rows] ? between - start : alone_us[rows];
            }
            steps += (size_t)solved.rounds;
        }
        csv_free(&csv);
    }
    qsort(alone_us, rows, sizeof *alone_us, by_size);
    qsort(whole_us, rows, sizeof *whole_us, by_size);
    printf("one solution, %zu rows: median %.1f us, slowest %.1f us, %.1f Newton steps on average\n", rows, alone_us[rows / 2],
           alone_us[rows - 1], (double)steps / (double)rows);
    printf("with the carbonate of its water: median %.1f us, slowest %.1f us (budget 100 us)\n", whole_us[rows / 2],
           whole_us[rows - 1]);
    fflush(stdout);
    ck_assert_double_le(whole_us[rows / 2], 100.0);
}
END_TEST

/* A suite of one test, because the readers of the tables report their faults by libcheck. */
int main(void)
{
    Suite *suite = suite_create("bench");
    TCase *tcase = tcase_create("solution");

    tcase_set_timeout(tcase, 0);
    tcase_add_test(tcase, one_solution);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
