/* A patient's week as the contract's JSON object. */
#ifndef QUIETARM_WEEK_JSON_H
#define QUIETARM_WEEK_JSON_H

#include "gateway/base.h"
#include "gateway/care/care.h"

/* An earlier week of the same patient that has a mean. */
struct week_before {
    struct week week;
    struct mean mean;              /* of its counted readings */
};

/* What there is to show of one week. */
struct week_view {
    const struct record *record;
    const struct week_result *result;
    const struct alert *alerts;    /* those of the week, oldest first */
    size_t n_alerts;
    const char *const *texts;      /* for each reading the body of its text; NULL where there is none (any more) */
    const struct week_before *before; /* the latest first */
    size_t n_before;
};

/* One line without its end, malloced; NULL when out of memory. Every key is there; what is not known is null. */
char *week_json(const struct week_view *v);

/* As the contract spells them; a state that it has no word for is "left". */
const char *person_state_word(const struct person *p);
const char *week_state_word(const struct week *w);
const char *standing_word(const struct reading *x);

#endif
