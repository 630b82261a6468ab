/* Retention: once a day the words of old texts are blanked, those around an alert later (`retain_texts_days`,
 * `retain_alert_days`). What was measured stays; only what was written goes. A few hundred at a time, so that no text waits.
 */
#include "gateway/flow/inside.h"

enum { DAY_S = 86400, AT_ONCE = 200 };

static int blank_some(struct flow *f, int64_t now, size_t *n)
{
    int64_t texts = now - (int64_t)f->config->retain_texts_days * DAY_S;
    int64_t alerts = now - (int64_t)f->config->retain_alert_days * DAY_S;
    int error = db_begin(f->db);
    if (error)
        return error;
    error = texts_blank(f->db, texts, alerts < texts ? alerts : texts, AT_ONCE, n);
    if (!error)
        error = db_commit(f->db);
    if (error)
        db_rollback(f->db);
    return error;
}

void retain_look(struct flow *f)
{
    int64_t now = clock_now();
    size_t n = 0;
    bool set_back = f->retain_due - now > DAY_S;
    if (rest_left_ms(f) > 0 || (now < f->retain_due && !set_back))
        return;
    int error = blank_some(f, now, &n);
    if (error) {
        rest_begin(f, error);
        f->retain_due = now + 60;
        return;
    }
    f->retain_due = n >= AT_ONCE ? now : now + DAY_S;
    if (n)
        log_event(LOG_INFO, "blanked", "texts=%zu", n);
}
