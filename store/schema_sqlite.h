/* The schema as SQLite has it: the steps that make it, one a version. */
#ifndef QUIETARM_SCHEMA_SQLITE_H
#define QUIETARM_SCHEMA_SQLITE_H

#include <stddef.h>

enum { SCHEMA_APPLICATION_ID = 0x7161726d }; /* "qarm", in the file's header */

/* Step i makes version i + 1 of version i, and says so: it ends with PRAGMA user_version. A step that was released is never
 * edited: a change is a new step. */
struct schema {
    const char *const *steps;
    int version; /* how many there are */
};

extern const struct schema schema_sqlite;

#endif
