/* files.h - the pages, read into memory at start.
 *
 * A request's path is only ever compared with the names in this table, so that no path from outside
 * reaches the file system. What changes on the disk is seen after a restart.
 */
#ifndef TIDEMARK_FILES_H
#define TIDEMARK_FILES_H

#include <stddef.h>

#include "calc/fault.h"

#define FILES_ETAG 40

struct file_form {
    char *bytes;
    size_t length;
    char etag[FILES_ETAG]; /* with its quotation marks; made from the content */
};

struct file {
    char *path;       /* "/today.html" */
    const char *type;
    struct file_form plain, gz; /* gz.bytes NULL: there was no twin with .gz at its name's end */
};

struct files;

/* Lists and reads a folder with all below it. Names with a dot in front are left out. NULL with a fault. */
struct files *files_load(const char *folder, struct fault *fault);
void files_free(struct files *files);
size_t files_count(const struct files *files);

/* "/" is "/index.html". NULL: there is none. */
const struct file *files_find(const struct files *files, const char *path);

#endif
