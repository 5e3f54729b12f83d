/* runner.h - what each test program does in its main. */
#ifndef TIDEMARK_TESTS_RUNNER_H
#define TIDEMARK_TESTS_RUNNER_H

#include <check.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* As ck_assert_msg, for loops of millions: libcheck's own notes each check that holds in a file. */
#define HOLDS(condition, ...)               \
    do {                                    \
        if (!(condition))                   \
            ck_abort_msg(__VA_ARGS__);      \
    } while (0)

/* Runs one suite, prints its closing line, frees it. Returns what main returns. */
int run_suite(Suite *suite);

/* The path of a file of the source tree, as "fixtures/NAME"; a static buffer, overwritten by the next call. */
const char *source_path(const char *relative);

#endif
