/* garden_file.h - a garden file of its own for each test. */
#ifndef TIDEMARK_TESTS_GARDEN_FILE_H
#define TIDEMARK_TESTS_GARDEN_FILE_H

#include "store/store.h"

/* A name in the build folder that no other test has; what stood there is removed. A static buffer. */
const char *garden_file_new(const char *name);
void garden_file_remove(const char *path);

/* Opens, or ends the test with what the fault says. */
struct store *garden_file_open(const char *path);

#endif
