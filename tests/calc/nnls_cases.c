/* Solves the least squares problems it reads, for nnls_against_scipy.py: a line "rows columns", then a by rows, b, the upper
 * bounds; numbers as %a or decimal, inf for no bound. Answers a line of x for each, then the norm.
 */
#include "calc/nnls.h"

#include <stdio.h>
#include <stdlib.h>

static double number(void)
{
    char word[64];

    if (scanf("%63s", word) != 1) {
        fprintf(stderr, "a number is missing\n");
        exit(EXIT_FAILURE);
    }
    return strtod(word, 0);
}

int main(void)
{
    struct nnls problem;
    struct nnls_solution solution;
    struct fault fault = {0};

    while (scanf("%zu %zu", &problem.rows, &problem.columns) == 2) {
        if (problem.rows > NNLS_ROWS || problem.columns > NNLS_COLUMNS)
            return EXIT_FAILURE;
        for (size_t i = 0; i < problem.rows; i++)
            for (size_t j = 0; j < problem.columns; j++)
                problem.a[j][i] = number();
        for (size_t i = 0; i < problem.rows; i++)
            problem.b[i] = number();
        for (size_t j = 0; j < problem.columns; j++)
            problem.upper[j] = number();
        if (nnls_solve(&problem, &solution, &fault)) {
            fprintf(stderr, "%s\n", fault.item[0].detail);
            return EXIT_FAILURE;
        }
        for (size_t j = 0; j < problem.columns; j++)
            printf("%a ", solution.x[j]);
        printf("%a\n", solution.norm);
    }
    return EXIT_SUCCESS;
}
