/* runner.c - running one suite. */
#include "runner.h"

#include <stdio.h>
#include <stdlib.h>

int run_suite(Suite *suite)
{
    SRunner *runner = srunner_create(suite);
    int failed;

    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}

const char *source_path(const char *relative)
{
    static char path[4096];
    const char *top = getenv("TIDEMARK_SRCDIR");

    snprintf(path, sizeof path, "%s/%s", top ? top : ".", relative);
    return path;
}
