/* files.c - the pages, read into memory at start. */
#include "http/files.h"

#include <dirent.h>
#include <errno.h>
#include <sodium.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

/* Ours: far above what the pages need, far below what a phone or this machine's memory would suffer from. */
#define FILE_MOST ((size_t)8 << 20)
#define ALL_MOST ((size_t)32 << 20)
#define DEPTH_MOST 8

struct files {
    struct file *file;
    size_t count, room, bytes;
};

static const struct {
    const char *ending, *type;
} types[] = {
    {".html", "text/html; charset=utf-8"},
    {".css", "text/css; charset=utf-8"},
    {".js", "text/javascript; charset=utf-8"},
    {".mjs", "text/javascript; charset=utf-8"},
    {".json", "application/json"},
    {".webmanifest", "application/manifest+json"},
    {".svg", "image/svg+xml"},
    {".png", "image/png"},
    {".jpg", "image/jpeg"},
    {".webp", "image/webp"},
    {".ico", "image/x-icon"},
    {".woff2", "font/woff2"},
    {".txt", "text/plain; charset=utf-8"},
    {".pdf", "application/pdf"},
};

static bool ends_with(const char *text, const char *ending)
{
    size_t length = strlen(text), tail = strlen(ending);

    return length > tail && strcasecmp(text + length - tail, ending) == 0;
}

static const char *type_of(const char *path)
{
    for (size_t i = 0; i < sizeof types / sizeof *types; i++)
        if (ends_with(path, types[i].ending))
            return types[i].type;
    return "application/octet-stream";
}

/* Each form has a tag of its own: the same tag for both would let a cache mix them. */
static void tag(struct file_form *form, const char *ending)
{
    unsigned char hash[16];
    char hex[33];

    crypto_generichash(hash, sizeof hash, (unsigned char *)form->bytes, form->length, NULL, 0);
    snprintf(form->etag, sizeof form->etag, "\"%s%s\"", sodium_bin2hex(hex, 25, hash, 12), ending);
}

static int read_form(struct files *files, const char *name, struct file_form *form, struct fault *fault)
{
    FILE *stream = fopen(name, "rb");
    struct stat about;
    size_t length;

    if (!stream || fstat(fileno(stream), &about)) {
        fault_add(fault, FAULT_STORE, "", "%s: %s", name, strerror(errno));
        goto failed;
    }
    length = (size_t)about.st_size;
    if (about.st_size < 0 || length > FILE_MOST || files->bytes + length > ALL_MOST) {
        fault_add(fault, FAULT_INPUT, "", "%s: more than a folder of pages may hold", name);
        goto failed;
    }
    form->bytes = malloc(length + 1);
    if (!form->bytes || fread(form->bytes, 1, length, stream) != length) {
        fault_add(fault, FAULT_STORE, "", "%s: cannot be read", name);
        goto failed;
    }
    fclose(stream);
    form->length = length;
    files->bytes += length;
    return 0;
failed:
    if (stream)
        fclose(stream);
    free(form->bytes);
    form->bytes = NULL;
    return -1;
}

static struct file *add(struct files *files, const char *path, struct fault *fault)
{
    char *copy = malloc(strlen(path) + 1);

    if (files->count == files->room) {
        size_t room = files->room ? 2 * files->room : 64;
        struct file *grown = realloc(files->file, room * sizeof *grown);

        if (grown) {
            files->file = grown;
            files->room = room;
        }
    }
    if (!copy || files->count == files->room) {
        free(copy);
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    files->file[files->count] = (struct file){.path = strcpy(copy, path), .type = type_of(path)};
    return &files->file[files->count++];
}

static int load_one(struct files *files, const char *name, const char *path, struct fault *fault)
{
    struct file *file = add(files, path, fault);
    char twin[4200];
    struct stat about;

    if (!file || read_form(files, name, &file->plain, fault))
        return -1;
    tag(&file->plain, "");
    snprintf(twin, sizeof twin, "%s.gz", name);
    if (stat(twin, &about))
        return 0;
    if (read_form(files, twin, &file->gz, fault))
        return -1;
    tag(&file->gz, "-gz");
    return 0;
}

/* Walks one folder; path_length is where the folder's name ends and the path that browsers use begins. */
static int load_folder(struct files *files, const char *folder, size_t path_length, int depth, struct fault *fault)
{
    DIR *list = opendir(folder);
    struct dirent *next;
    char name[4096];
    struct stat about;
    int result = 0;

    if (!list)
        return fault_add(fault, FAULT_STORE, "", "the folder of the pages, %s: %s", folder, strerror(errno));
    while (result == 0 && (next = readdir(list)) != NULL) {
        if (next->d_name[0] == '.' || ends_with(next->d_name, ".gz"))
            continue;
        if ((size_t)snprintf(name, sizeof name, "%s/%s", folder, next->d_name) >= sizeof name || stat(name, &about))
            result = fault_add(fault, FAULT_STORE, "", "%s: %s", name, strerror(errno));
        else if (S_ISDIR(about.st_mode) && depth < DEPTH_MOST)
            result = load_folder(files, name, path_length, depth + 1, fault);
        else if (S_ISREG(about.st_mode))
            result = load_one(files, name, name + path_length, fault);
    }
    closedir(list);
    return result;
}

static int by_path(const void *a, const void *b)
{
    return strcmp(((const struct file *)a)->path, ((const struct file *)b)->path);
}

struct files *files_load(const char *folder, struct fault *fault)
{
    struct files *files = calloc(1, sizeof *files);

    if (!files) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    if (load_folder(files, folder, strlen(folder), 0, fault)) {
        files_free(files);
        return NULL;
    }
    if (files->count)
        qsort(files->file, files->count, sizeof *files->file, by_path);
    return files;
}

void files_free(struct files *files)
{
    if (!files)
        return;
    for (size_t i = 0; i < files->count; i++) {
        free(files->file[i].path);
        free(files->file[i].plain.bytes);
        free(files->file[i].gz.bytes);
    }
    free(files->file);
    free(files);
}

size_t files_count(const struct files *files)
{
    return files->count;
}

const struct file *files_find(const struct files *files, const char *path)
{
    struct file wanted = {.path = NULL};
    char index[] = "/index.html", copy[512];

    if (strcmp(path, "/") == 0) {
        wanted.path = index;
    } else if (strlen(path) < sizeof copy) {
        wanted.path = strcpy(copy, path);
    }
    if (!wanted.path || !files->count)
        return NULL;
    return bsearch(&wanted, files->file, files->count, sizeof *files->file, by_path);
}
