/* Golden files: what a surface gave when somebody looked at it and found it good (tests/unit/golden). After a wanted change
 * they are written anew by GOLDEN=renew in the environment, and looked at again in the diff. For tests only. */
#ifndef QUIETARM_GOLDEN_H
#define QUIETARM_GOLDEN_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/base.h"

static inline void golden_write(const char *path, const void *bytes, size_t size)
{
    FILE *f = fopen(path, "wb");
    if (!f || fwrite(bytes, 1, size, f) != size)
        fail_msg("%s cannot be written", path);
    fclose(f);
}

/* The first line that differs, for whoever reads the failure. */
static inline void golden_differs(const char *path, const char *old, const char *new_)
{
    int line = 1;
    while (*old && *old == *new_) {
        line += *old == '\n';
        old++;
        new_++;
    }
    fail_msg("%s:%d differs from \"%.60s\" to \"%.60s\"; if that is wanted: GOLDEN=renew, then look at the diff", path, line, old,
             new_);
}

static inline void golden_same(const char *name, const void *bytes, size_t size)
{
    char path[200];
    struct buffer old;
    const char *renew = getenv("GOLDEN");
    snprintf(path, sizeof path, "tests/unit/golden/%s", name);
    if (renew && strcmp(renew, "renew") == 0) {
        golden_write(path, bytes, size);
        return;
    }
    buffer_init(&old, 8 << 20);
    if (buffer_read_file(&old, path) < 0)
        fail_msg("%s is not there; make it with GOLDEN=renew and look at it", path);
    if (old.n != size || memcmp(old.at ? old.at : "", bytes, size) != 0)
        golden_differs(path, old.at ? old.at : "", bytes);
    buffer_clear(&old);
}

#endif
