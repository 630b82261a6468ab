/* An INI file as a list of sections and keys, each with its line. See ini.c for what the form allows. */
#ifndef QUIETARM_INI_H
#define QUIETARM_INI_H

#include "gateway/base.h"

enum { INI_LINE_BYTES = 190, INI_NAME_BYTES = 50, INI_FILE_BYTES = 1 << 20 };

struct ini_section {
    int line;
    char name[INI_NAME_BYTES]; /* "clinic maple" */
};

struct ini_key {
    int line, section;         /* section: index; -1 before the first */
    char name[INI_NAME_BYTES];
    char *value;               /* owned by the list; white space and comment taken off */
};

struct ini {
    struct ini_section *sections;
    struct ini_key *keys;
    int n_sections, n_keys;
};

/* Told for each line that cannot be taken; the line is left out. */
typedef void ini_mistake(void *context, int line, const char *what);

/* Reads `size` bytes. 0, or -1 when out of memory. The caller calls ini_clear in both cases. */
int ini_read(struct ini *out, const char *bytes, size_t size, ini_mistake *mistake, void *context);
void ini_clear(struct ini *ini);
int ini_section(const struct ini *ini, const char *name);                      /* the first so named; -1 */
const struct ini_key *ini_key(const struct ini *ini, int section, const char *name); /* the first so named; NULL */

#endif
