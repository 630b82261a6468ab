/* Dispatch: whether a page may be had, in one order, then its handler.
 *
 *     421 Host · 404 path · 405 method · 403 Origin · sign-in · 403 role · 403 form token · 404 what the path names
 *
 * No handler looks at roles or clinics again: the route table says who may, and what a number in the path is of is loaded
 * here and belongs to a clinic of the account, or is "not found" like one that does not exist.
 */
#include "gateway/web/desk/room.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* -- where it comes from --------------------------------------------------------------------------------------------------- */

/* Under plain HTTP everything is on loopback: then this machine's own names count too, with the port that we listen at. */
static bool host_good(const struct page *p)
{
    static const char *const own[] = {"127.0.0.1", "localhost", "[::1]"};
    char with_port[40];
    if (strcasecmp(p->ask.host, p->desk->authority) == 0)
        return true;
    for (size_t i = 0; i < sizeof own / sizeof *own && !config_https(p->config); i++) {
        snprintf(with_port, sizeof with_port, "%s:%d", own[i], p->desk->web->listeners[LISTENER_DESK].port);
        if (strcasecmp(p->ask.host, with_port) == 0)
            return true;
    }
    return false;
}

/* A form comes from a page of the same origin. Browsers say so in Origin, or in Sec-Fetch-Site. */
static bool origin_good(const struct page *p)
{
    char own[300];
    snprintf(own, sizeof own, "%s://%s", config_https(p->config) ? "https" : "http", p->ask.host);
    return p->ask.origin[0] ? strcasecmp(p->ask.origin, own) == 0 : strcmp(p->ask.site, "same-origin") == 0;
}

/* -- what it is about ------------------------------------------------------------------------------------------------------- */

bool page_sees(const struct page *p, const char *clinic)
{
    return clinic[0] && config_clinic(p->config, clinic) && (!p->me.clinic[0] || strcmp(p->me.clinic, clinic) == 0);
}

const struct clinic *page_clinic_chosen(const struct page *p)
{
    char chosen[CLINIC_MAX];
    form_value(p, "clinic", chosen, sizeof chosen);
    if (!chosen[0])
        query_value(p, "clinic", chosen, sizeof chosen);
    if (page_sees(p, chosen))
        return config_clinic(p->config, chosen);
    if (p->me.clinic[0])
        return config_clinic(p->config, p->me.clinic);
    return p->config->n_clinics ? &p->config->clinics[0] : NULL;
}

/* Fills what the first number names, and the person behind it. */
static bool noun_load(struct page *p, bool *found)
{
    int64_t person = p->ids[0];
    int error = 0;
    *found = true;
    if (p->route->noun == NOUN_ALERT) {
        error = alert_get(p->db, p->ids[0], &p->alert, found);
        person = p->alert.person;
    } else if (p->route->noun == NOUN_ROW) {
        error = desk_get(p->db, p->ids[0], &p->row, found);
        person = p->row.person;
    } else if (p->route->noun == NOUN_READING) {
        error = reading_get(p->db, p->ids[0], &p->reading, found);
        person = p->reading.person;
    }
    if (!error && *found)
        error = person_get(p->db, person, &p->person, found);
    return !error;
}

static bool noun_good(struct page *p)
{
    bool found = false;
    if (p->route->noun == NOUN_NONE)
        return true;
    if (!noun_load(p, &found)) {
        page_unstored(p);
        return false;
    }
    if (found && page_sees(p, p->person.clinic)) {
        p->clinic = config_clinic(p->config, p->person.clinic);
        return true;
    }
    memset(&p->person, 0, sizeof p->person);
    page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
    return false;
}

/* -- once ---------------------------------------------------------------------------------------------------------------------- */

/* A double click sends a form twice. Taken is what was not refused: a form that comes back with an error may be sent again. */
static uint64_t once_read(const struct page *p)
{
    char mark[24], *end;
    form_value(p, "once", mark, sizeof mark);
    uint64_t value = strtoull(mark, &end, 16);
    return *end || end - mark != 16 ? 0 : value;
}

static bool once_take(struct page *p, uint64_t mark)
{
    struct desk *d = p->desk;
    bool fresh = true;
    pthread_mutex_lock(&d->lock);
    for (size_t i = 0; mark && i < ONCE_KEPT; i++)
        fresh = fresh && d->once[i] != mark;
    if (mark && fresh) {
        d->once[d->once_next] = mark;
        d->once_next = (d->once_next + 1) % ONCE_KEPT;
    }
    pthread_mutex_unlock(&d->lock);
    return fresh;
}

static void once_forget(struct page *p, uint64_t mark)
{
    struct desk *d = p->desk;
    pthread_mutex_lock(&d->lock);
    for (size_t i = 0; i < ONCE_KEPT; i++)
        if (d->once[i] == mark)
            d->once[i] = 0;
    pthread_mutex_unlock(&d->lock);
}

/* A page that only counts or fills in words is answered 200 and taken as often as one likes. */
static void page_post(struct page *p)
{
    uint64_t mark = once_read(p);
    if (!once_take(p, mark)) {
        page_error(p, MHD_HTTP_CONFLICT, WORD_SENT_TWICE);
        return;
    }
    p->route->handle(p);
    if (mark && p->status != MHD_HTTP_SEE_OTHER)
        once_forget(p, mark);
}

/* -- the order ------------------------------------------------------------------------------------------------------------------ */

static void ask_to_sign_in(struct page *p)
{
    char to[220];
    if (p->ask.method != METHOD_GET) {
        page_error(p, MHD_HTTP_FORBIDDEN, WORD_SIGNED_OUT);
        return;
    }
    snprintf(to, sizeof to, "/desk/sign-in?next=%s", p->ask.path);
    page_goto(p, to);
}

static bool arrival_good(struct page *p, unsigned allow)
{
    if (p->ask.too_long)
        page_error(p, MHD_HTTP_BAD_REQUEST, WORD_TOO_LONG);
    else if (!host_good(p))
        page_error(p, MHD_HTTP_MISDIRECTED_REQUEST, WORD_OTHER_HOST);
    else if (!p->route && !allow)
        page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
    else if (!p->route) {
        page_error(p, MHD_HTTP_METHOD_NOT_ALLOWED, WORD_NOT_SO);
        page_header(p, "Allow", methods_text(allow));
    } else if (p->ask.method == METHOD_POST && !origin_good(p))
        page_error(p, MHD_HTTP_FORBIDDEN, WORD_OTHER_SITE);
    else
        return true;
    return false;
}

void page_run(struct page *p)
{
    unsigned allow = 0;
    p->route = page_route_find(p->ask.path, p->ask.method, p->ids, &allow);
    if (host_good(p) && !p->ask.too_long)
        session_find(p);
    if (!arrival_good(p, allow))
        return;
    bool open = p->route->roles & ROLE_NOBODY;
    if (!open && !p->me.user[0]) {
        ask_to_sign_in(p);
        return;
    }
    if (!open && !(p->route->roles & p->role))
        page_error(p, MHD_HTTP_FORBIDDEN, WORD_NOT_YOURS);
    else if (p->ask.method == METHOD_POST && !csrf_fits(p, open ? p->ask.door : p->ask.token))
        page_error(p, MHD_HTTP_FORBIDDEN, WORD_OLD_FORM);
    else if (!noun_good(p))
        return;
    else if (p->ask.method == METHOD_POST)
        page_post(p);
    else
        p->route->handle(p);
}
