/* The clinic's own folders of words and texts, read whole at start and at a reload. */
#ifndef QUIETARM_FOLDER_H
#define QUIETARM_FOLDER_H

#include "gateway/texts/texts.h"
#include "parser/parser.h"

/* The parser with the words of `folder` beside those linked in ("" is none), and the texts likewise. 0 and an open thing
 * that the caller closes, or -1 with lines "FILE:LINE: what, what to do" in `why`, as many as fit. */
int words_open(struct parser **out, const char *folder, char *why, size_t why_size);
int texts_load(struct texts **out, const char *folder, char *why, size_t why_size);

#endif
