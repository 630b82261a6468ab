/* Months: the practice's figures. Triggers count them as they happen (schema); here they are gathered by month.
 *
 * Some twenty rows a month and clinic.
 */
#include <stdlib.h>
#include <string.h>

#include "store/driver.h"

#define FIGURE(member) {#member, offsetof(struct month, member)}
static const struct {
    const char *what;
    size_t at;
} figures[] = {
    FIGURE(weeks_complete), FIGURE(weeks_short),   FIGURE(texts_sent),         FIGURE(segments_sent),
    FIGURE(texts_received), FIGURE(readings),      FIGURE(readings_held),      FIGURE(readings_corrected),
    FIGURE(alerts),         FIGURE(alerts_taken),  FIGURE(seconds_to_take),    FIGURE(cuffs),
};

struct months {
    struct month *at;
    size_t n, max;
    bool failed;
};

static void figure_set(struct month *m, const char *what, int64_t n)
{
    char *end;
    long days = strncmp(what, "days_", 5) == 0 ? strtol(what + 5, &end, 10) : -1;
    if (days >= 0 && days < (long)COUNT(m->days))
        m->days[days] = n;
    for (size_t i = 0; i < COUNT(figures); i++)
        if (strcmp(figures[i].what, what) == 0)
            *(int64_t *)((char *)m + figures[i].at) = n;
}

static int month_row(void *context, const struct value *columns, size_t n)
{
    struct months *list = context;
    if (n != 3 || columns[1].kind != VALUE_TEXT)
        return STORE_CORRUPT;
    int month = (int)columns[0].whole;
    if (!list->n || list->at[list->n - 1].month != month) {
        if (list->n == list->max)
            return 0;
        list->at[list->n++] = (struct month){.month = month};
    }
    figure_set(&list->at[list->n - 1], columns[1].text, columns[2].whole);
    return 0;
}

int months_list(struct db *db, const char *clinic, struct month *out, size_t max, size_t *n)
{
    static const char latest[] =
        "SELECT month, what, n FROM months WHERE clinic = $1 AND month >= (SELECT coalesce(min(month), 0) FROM"
        " (SELECT DISTINCT month FROM months WHERE clinic = $1 ORDER BY month DESC LIMIT $2) AS latest) ORDER BY month";
    struct value values[] = {value_text(clinic), value_whole((int64_t)max)};
    struct months list = {.at = out, .max = max};
    int error = db_load(db, &(struct query){latest, values, COUNT(values), month_row, &list}, 1);
    *n = list.n;
    return error;
}
