/* garden_file.c - garden files for tests. */
#include "garden_file.h"

#include <check.h>
#include <glob.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

void garden_file_remove(const char *path)
{
    static const char *const endings[] = {"", "-wal", "-shm", "-journal", ".*.backup"};
    char pattern[4200];
    glob_t found;

    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++) {
        snprintf(pattern, sizeof pattern, "%s%s", path, endings[i]);
        if (glob(pattern, GLOB_NOSORT, NULL, &found) == 0) {
            for (size_t f = 0; f < found.gl_pathc; f++)
                unlink(found.gl_pathv[f]);
            globfree(&found);
        }
    }
}

const char *garden_file_new(const char *name)
{
    static char path[4096];
    const char *top = getenv("TIDEMARK_BUILDDIR");

    snprintf(path, sizeof path, "%s/test-%s-%ld.garden", top ? top : ".", name, (long)getpid());
    garden_file_remove(path);
    return path;
}

struct store *garden_file_open(const char *path)
{
    struct fault fault = {0};
    struct store *store = store_open(path, &fault);

    ck_assert_msg(store != NULL, "%s: %s", path, fault.item[0].detail);
    return store;
}
