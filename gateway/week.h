/* A patient's week loaded whole: record, result, alerts, the bodies of its texts. */
#ifndef QUIETARM_WEEK_H
#define QUIETARM_WEEK_H

#include "gateway/config.h"
#include "gateway/week_json.h"
#include "store/store.h"

enum { WEEKS_BEFORE = 3 };

struct week_loaded {
    struct record record;
    struct week_result result;
    struct alert *alerts;
    char **bodies;                 /* for each reading; NULL entries */
    struct week_before before[WEEKS_BEFORE];
    struct week_view view;         /* of the above */
};

/* Week `number` of this person, 0 the current or last. 0 or a store_error; *found: there is such a week (a person without any
 * has week 0 and week 1, empty). The caller calls week_unload in every case. */
int week_load(struct db *db, const struct config *config, int64_t now, int64_t person, int number, struct week_loaded *out,
              bool *found);
void week_unload(struct week_loaded *w);
/* For people, in the patient's own zone. */
void week_text(const struct week_view *v, struct buffer *out);

#endif
