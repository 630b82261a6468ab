/* Reads the files of a folder into memory, by name, so that the pure rooms need not open any. At most 64 files of 1 MiB.
 */
#include "gateway/folder.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/base.h"

enum { FOLDER_FILES = 64, FOLDER_FILE_BYTES = 1 << 20, FOLDER_PATH = 1300 };

struct folder {
    struct embedded files[FOLDER_FILES];
    size_t n;
};

static void folder_clear(struct folder *d)
{
    for (size_t i = 0; i < d->n; i++) {
        free((char *)d->files[i].name);
        free((char *)d->files[i].bytes);
    }
    d->n = 0;
}

static int folder_add(struct folder *d, const char *folder, const char *name, char *why, size_t why_size)
{
    char path[FOLDER_PATH];
    struct buffer b;
    if (d->n == FOLDER_FILES) {
        snprintf(why, why_size, "%s: more than %d files: keep only those in use", folder, FOLDER_FILES);
        return -1;
    }
    buffer_init(&b, FOLDER_FILE_BYTES);
    snprintf(path, sizeof path, "%s/%s", folder, name);
    int error = buffer_read_file(&b, path);
    if (error) {
        snprintf(why, why_size, "%s: %s: make it a readable file of at most 1 MiB", path, strerror(-error));
        buffer_clear(&b);
        return -1;
    }
    size_t size = b.n;
    struct embedded file = {.name = strdup(path), .bytes = buffer_take(&b), .size = size};
    d->files[d->n++] = file;
    if (file.name && file.bytes)
        return 0;
    snprintf(why, why_size, "%s: out of memory: try again", path);
    return -1;
}

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

/* Every file that does not begin with a dot, in the order of their names. */
static int folder_read(struct folder *d, const char *folder, char *why, size_t why_size)
{
    struct dirent **entries = NULL;
    int error = 0, n = folder[0] ? scandir(folder, &entries, NULL, by_name) : 0;
    if (n < 0) {
        snprintf(why, why_size, "%s: %s: name a folder that can be read", folder, strerror(errno));
        return -1;
    }
    for (int i = 0; i < n; i++) {
        if (!error && entries[i]->d_name[0] != '.')
            error = folder_add(d, folder, entries[i]->d_name, why, why_size);
        free(entries[i]);
    }
    free(entries);
    return error;
}

int words_open(struct parser **out, const char *folder, char *why, size_t why_size)
{
    struct folder d = {0};
    int error = folder_read(&d, folder, why, why_size);
    if (!error)
        error = parser_open(out, d.files, d.n, why, why_size);
    folder_clear(&d);
    return error;
}

int texts_load(struct texts **out, const char *folder, char *why, size_t why_size)
{
    struct folder d = {0};
    int error = folder_read(&d, folder, why, why_size);
    if (!error)
        error = texts_open(out, d.files, d.n, why, why_size);
    folder_clear(&d);
    return error;
}
