/* Between judge.c, whose.c and amend.c: what of a text speaks of a pair. */
#ifndef QUIETARM_PARSER_JUDGE_H
#define QUIETARM_PARSER_JUDGE_H

#include "parser/steps.h"

/* What of the text speaks of pair r: [first, end), bounded by its neighbours, its sentence and "but". */
struct scope {
    uint32_t first, end;
    uint32_t sentence_first, sentence_end;
    uint32_t next; /* where the next pair begins */
};

/* The last mark of `kind` and argument a (any if a < 0) in [first, end) that begins before `before`; NULL. */
const struct mark *mark_last(const struct parse *p, uint32_t first, uint32_t end, uint32_t before, unsigned kind, int a);
/* Whether a comma or the like stands in [first, end). */
bool comma_within(const struct parse *p, uint32_t first, uint32_t end);

/* Whether m stands right before the pair at `next`, and so speaks of that: "average 145/89", "usual: 120/80". */
bool stands_before(const struct parse *p, const struct mark *m, uint32_t next);
/* Whether r is not the patient's own of now. */
bool whose_other(const struct parse *p, const struct pair *r, const struct scope *s);
/* "from 150/95 down to 132/84": doubts what is not of now. */
void whose_moved(struct parse *p);

/* Whether the text rejects r where it stands; *replaced: and says what is right. */
bool amend_rejects(const struct parse *p, const struct pair *r, const struct scope *s, bool *replaced);
/* Drops pairs by what stands between two of them or behind all. */
void amends_between(struct parse *p, bool *replaced);
/* What it says of an earlier text: out->amend. */
void amend_find(struct parse *p, bool replaced);

#endif
