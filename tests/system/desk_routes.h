/* For the tests that walk the table of routes: a patient about whom there is one thing of each kind, and paths with its ids.
 */
#ifndef QUIETARM_TESTS_DESK_ROUTES_H
#define QUIETARM_TESTS_DESK_ROUTES_H

#include "tests/system/desk_client.h"

#include "gateway/web/desk/room.h"

struct ids {
    long long person, alert, row, reading;
};

/* A patient with a severe episode (alert), readings and a question (row). */
static inline struct ids patient_make(struct stage *g, const char *clinic, const char *number_of, const char *ref, const char *phone,
                                      const char *user)
{
    char command[256];
    struct ids ids = {0};
    snprintf(command, sizeof command, "enrol --clinic %s --ref %s --phone %s --joined --name 'Ada Example'", clinic, ref, phone);
    assert_int_equal(stage_run(g, command, 0), 0);
    assert_int_equal(stage_text(g, phone, number_of, "186/104 80"), 200);
    assert_int_equal(stage_move(g, g->now + 300), 0);
    assert_int_equal(stage_text(g, phone, number_of, "188/106 82"), 200);
    assert_int_equal(stage_text(g, phone, number_of, "72/50 60"), 200);
    assert_int_equal(stage_text(g, phone, number_of, "can I take my tablets at noon instead?"), 200);
    assert_int_equal(stage_move(g, g->now + 1900), 0);
    struct client *c = client_in(g, user);
    ids.person = page_number(c, "/desk/patient/");
    ids.alert = page_number(c, "/desk/alert/");
    ids.row = page_number(c, "/desk/row/");
    snprintf(command, sizeof command, "/desk/patient/%lld", ids.person);
    assert_int_equal(client_get(c, command), 200);
    ids.reading = page_number(c, "/desk/reading/");
    if (!ids.person || !ids.alert || !ids.row || !ids.reading)
        fail_msg("the list lacks something: %lld %lld %lld %lld\n%s", ids.person, ids.alert, ids.row, ids.reading, c->page);
    client_free(c);
    return ids;
}

static inline struct ids maple_make(struct stage *g)
{
    return patient_make(g, "maple", "+447700900001", "P-0001", "+447700900101", "anna");
}

/* A route's path with the ids in it. */
static inline void path_make(const struct page_route *r, const struct ids *ids, char path[200])
{
    size_t n = 0;
    int which = 0;
    for (const char *at = r->path; *at && n < 150; at++) {
        long long id = which ? 1
                       : r->noun == NOUN_ALERT ? ids->alert
                       : r->noun == NOUN_ROW ? ids->row
                       : r->noun == NOUN_READING ? ids->reading
                                                 : ids->person;
        if (*at == '#')
            n += (size_t)snprintf(path + n, 200 - n, "%lld", id), which++;
        else
            path[n++] = *at;
    }
    path[n] = '\0';
}

#endif
