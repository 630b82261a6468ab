/* What roles.c and sizes.c share: the words about a figure. */
#ifndef QUIETARM_ROLES_H
#define QUIETARM_ROLES_H

#include "parser/steps.h"

/* The figure behind figure i, when it begins at token `first`; NULL. */
struct figure *figure_next(struct parse *p, size_t i, uint32_t first);

/* Whether figure i stands behind a slash and another figure, or before them. */
bool in_pair(const struct parse *p, size_t i);

/* Whether a lead to `role` (an enum role) stands in the clause of f, or (`sentence`) before it in its sentence. */
bool clause_speaks_of(const struct parse *p, const struct figure *f, int role, bool sentence);

/* The lead before figure i, over fillers and `: = -`, in its sentence; NULL when there is none. */
const struct mark *lead_find(const struct parse *p, size_t i);

/* Gives the figures that begin in [first, end) the role. */
void roles_set(struct parse *p, uint32_t first, uint32_t end, uint8_t role);

#endif
