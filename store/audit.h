/* The audit: rows that are only ever added, each with a hash over the one before. */
#ifndef QUIETARM_AUDIT_H
#define QUIETARM_AUDIT_H

#include "store/driver.h"

/* Adds the audit rows of these effects at db->now. In a transaction. */
int audit_add(struct db *db, const struct effects *e);
/* Adds one row about a person. In a transaction. */
int audit_one(struct db *db, int64_t person, const char *clinic, const char *who, const char *action, const char *detail);
/* Walks the chain. *sound is false, with *at the first row that does not fit, or with the number of the last row when
 * rows at the end are gone. */
int audit_check(struct db *db, bool *sound, int64_t *at);

#endif
