/* Between labels.c, elements.c and pairs.c: from free figures to pairs. */
#ifndef QUIETARM_PARSER_PAIRING_H
#define QUIETARM_PARSER_PAIRING_H

#include "parser/steps.h"

/* A figure that may be a pressure or a pulse. */
bool figure_free(const struct figure *f);
/* Whether the text says to change the number f, or the pair that it ends, into another ("change 182/82 to 128/82"). */
bool figure_changed(const struct parse *p, const struct figure *f);
/* Whether nothing but a slash, "over" or the like, and units, stands between two figures. */
bool slash_joins(const struct parse *p, const struct figure *a, const struct figure *b);

void labels_attach(struct parse *p);
void elements_find(struct parse *p);

#endif
