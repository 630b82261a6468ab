/* The state folder that every store has, and which store the process was told to use. */
#ifndef QUIETARM_PLACE_H
#define QUIETARM_PLACE_H

#include "store/driver.h"

enum { PLACE_PATH = 1100 };

/* One line into `why`; each returns its error. */
int place_fail(char *why, size_t size, int error, const char *what, const char *name);
int place_fail_errno(char *why, size_t size, const char *name); /* by errno */

int folder_make(const char *folder, char *why, size_t size);            /* 0700 */
/* The one server's lock; *lock is a descriptor, closed by the caller. STORE_BUSY: another serves this folder. */
int folder_lock(const char *folder, int *lock, char *why, size_t size);

/* What store_choose was told; the embedded one until then. */
const struct driver *place_driver(void);
const char *place_conninfo(void);

#endif
