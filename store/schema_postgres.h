/* The schema as PostgreSQL has it: the steps that make it, one a version. */
#ifndef QUIETARM_SCHEMA_POSTGRES_H
#define QUIETARM_SCHEMA_POSTGRES_H

#include <stddef.h>

/* Step i makes version i + 1 of version i; the number is kept by whoever runs it. A step that was released may only be
 * run again by its successors: a new column of tables.h needs a step with ADD COLUMN IF NOT EXISTS. */
extern const char *const schema_postgres[];
extern const int schema_postgres_version;

#endif
