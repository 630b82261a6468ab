/* The sheet of `quietarm parse --why`. */
#ifndef QUIETARM_PARSER_WHY_H
#define QUIETARM_PARSER_WHY_H

#include "parser/steps.h"

/* How the parse `p`, just run, took its text; ends with the meaning's JSON. Malloced, NULL when out of memory. */
char *why_write(const struct parse *p, const struct meaning *m);

#endif
