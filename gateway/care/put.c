/* Record and effects kept together: every change is made in the record and noted as an effect in one call, so that a
 * second rule, or a second event of the same batch, decides on the record as the first changed it.
 *
 * Must never lose an effect silently: out of memory sets `failed`, and then nothing of the list may be applied. A text
 * leaves three to eight effects.
 */
#include "gateway/care/inside.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_ROOM = 8 };

/* Room for one more of `size` bytes; false when there is none. */
static bool grow(void **at, size_t n, size_t *cap, size_t size)
{
    if (n < *cap)
        return true;
    size_t cap_new = *cap ? *cap * 2 : FIRST_ROOM;
    void *at_new = realloc(*at, cap_new * size);
    if (!at_new)
        return false;
    *at = at_new;
    *cap = cap_new;
    return true;
}

void record_clear(struct record *r)
{
    free(r->readings);
    free(r->alerts);
    free(r->desk);
    free(r->sent);
    memset(r, 0, sizeof *r);
}

void effects_clear(struct effects *e)
{
    for (size_t i = 0; i < e->n; i++)
        if (e->at[i].kind == EFFECT_SEND)
            free(e->at[i].send);
    free(e->at);
    memset(e, 0, sizeof *e);
}

/* A zeroed effect at the end of the list, or NULL. */
static struct effect *effect_add(struct effects *out, enum effect_kind kind)
{
    void *at = out->at;
    if (out->failed || !grow(&at, out->n, &out->cap, sizeof *out->at)) {
        out->failed = true;
        return NULL;
    }
    out->at = at;
    struct effect *e = &out->at[out->n++];
    memset(e, 0, sizeof *e);
    e->kind = kind;
    return e;
}

/* A row that is set twice in one list is set once, as it was last. */
static struct effect *effect_of(struct effects *out, enum effect_kind kind, int64_t id)
{
    for (size_t i = out->n; i-- > 0;) {
        struct effect *e = &out->at[i];
        if (e->kind != kind)
            continue;
        int64_t has = kind == EFFECT_PERSON ? e->person.id : kind == EFFECT_COURSE ? e->course.person
                    : kind == EFFECT_WEEK ? e->week.id : kind == EFFECT_READING ? e->reading.id
                    : kind == EFFECT_ALERT ? e->alert.id : e->desk.id;
        if (has == id)
            return e;
    }
    return effect_add(out, kind);
}

void care_put_person(struct record *r, struct effects *out)
{
    struct effect *e = effect_of(out, EFFECT_PERSON, r->person.id);
    if (e)
        e->person = r->person;
}

void care_put_course(struct record *r, struct effects *out)
{
    struct effect *e = effect_of(out, EFFECT_COURSE, r->person.id);
    r->course.person = r->person.id;
    if (e)
        e->course = r->course;
}

void care_put_week(struct record *r, struct effects *out)
{
    struct effect *e = effect_of(out, EFFECT_WEEK, r->week.id);
    if (e)
        e->week = r->week;
}

static bool reading_before(const struct reading *a, const struct reading *b)
{
    return a->at != b->at ? a->at < b->at : a->id < b->id;
}

struct reading *care_put_reading(struct record *r, const struct reading *x, struct effects *out)
{
    struct reading row = *x; /* x may point into the array that moves */
    struct effect *e = effect_of(out, EFFECT_READING, row.id);
    void *at = r->readings;
    size_t i = 0;

    if (e)
        e->reading = row;
    while (i < r->n_readings && r->readings[i].id != row.id)
        i++;
    if (i == r->n_readings) {
        if (!grow(&at, r->n_readings, &r->cap_readings, sizeof *r->readings)) {
            out->failed = true;
            return NULL;
        }
        r->readings = at;
        r->n_readings++;
    }
    for (; i > 0 && reading_before(&row, &r->readings[i - 1]); i--)
        r->readings[i] = r->readings[i - 1];
    for (; i + 1 < r->n_readings && r->readings[i + 1].id != row.id && reading_before(&r->readings[i + 1], &row); i++)
        r->readings[i] = r->readings[i + 1];
    r->readings[i] = row;
    return &r->readings[i];
}

struct alert *care_put_alert(struct record *r, const struct alert *x, struct effects *out)
{
    struct alert row = *x;
    struct effect *e = effect_of(out, EFFECT_ALERT, row.id);
    void *at = r->alerts;
    size_t i = 0;

    if (e)
        e->alert = row;
    while (i < r->n_alerts && r->alerts[i].id != row.id)
        i++;
    if (row.resolved_at != INSTANT_NONE) {
        if (i < r->n_alerts)
            memmove(&r->alerts[i], &r->alerts[i + 1], (--r->n_alerts - i) * sizeof *r->alerts);
        return NULL;
    }
    if (i == r->n_alerts && !grow(&at, r->n_alerts, &r->cap_alerts, sizeof *r->alerts)) {
        out->failed = true;
        return NULL;
    }
    r->alerts = at;
    if (i == r->n_alerts)
        r->n_alerts++;
    r->alerts[i] = row;
    return &r->alerts[i];
}

void care_put_desk(struct record *r, const struct desk_row *x, struct effects *out)
{
    struct desk_row row = *x;
    struct effect *e = effect_of(out, EFFECT_DESK, row.id);
    void *at = r->desk;
    size_t i = 0;

    if (e)
        e->desk = row;
    while (i < r->n_desk && r->desk[i].id != row.id)
        i++;
    if (row.done_at != INSTANT_NONE) {
        if (i < r->n_desk)
            memmove(&r->desk[i], &r->desk[i + 1], (--r->n_desk - i) * sizeof *r->desk);
        return;
    }
    if (i == r->n_desk && !grow(&at, r->n_desk, &r->cap_desk, sizeof *r->desk)) {
        out->failed = true;
        return;
    }
    r->desk = at;
    if (i == r->n_desk)
        r->n_desk++;
    r->desk[i] = row;
}

void care_put_outcome(int64_t text, int64_t person, const char *why, struct effects *out)
{
    struct effect *e = effect_add(out, EFFECT_OUTCOME);
    if (!e)
        return;
    e->outcome.text = text;
    e->outcome.person = person;
    snprintf(e->outcome.why, sizeof e->outcome.why, "%s", why);
}

void care_put_audit(const struct record *r, const char *who, const char *action, const char *detail,
                    struct effects *out)
{
    struct effect *e = effect_add(out, EFFECT_AUDIT);
    if (!e)
        return;
    e->audit.person = r->person.id;
    snprintf(e->audit.clinic, sizeof e->audit.clinic, "%s", r->person.clinic);
    snprintf(e->audit.who, sizeof e->audit.who, "%s", who);
    snprintf(e->audit.action, sizeof e->audit.action, "%s", action);
    snprintf(e->audit.detail, sizeof e->audit.detail, "%s", detail);
}

struct outgoing *care_put_send(struct record *r, const struct moment_of_care *m, enum outgoing_class class_,
                               struct effects *out)
{
    struct outgoing *o = calloc(1, sizeof *o);
    struct effect *e = o ? effect_add(out, EFFECT_SEND) : NULL;
    if (!e) {
        out->failed = true;
        free(o);
        return NULL;
    }
    e->send = o;
    o->id = (*m->next_id)++;
    o->person = r->person.id;
    o->class_ = class_;
    o->state = OUTGOING_WAITING;
    o->created = o->due = m->now;
    o->expires = o->sent_at = o->delivered_at = INSTANT_NONE;
    snprintf(o->clinic, sizeof o->clinic, "%s", r->clinic->id);
    snprintf(o->from, sizeof o->from, "%s", r->clinic->text_number);
    snprintf(o->key, sizeof o->key, "q%" PRId64, o->id);
    snprintf(o->tag, sizeof o->tag, "%s", r->person.tag);
    return o;
}

bool record_remember(struct record *r, const struct outgoing *o)
{
    void *at = r->sent;
    if (!grow(&at, r->n_sent, &r->cap_sent, sizeof *r->sent))
        return false;
    r->sent = at;
    r->sent[r->n_sent++] = (struct sent){.at = o->created, .kind = o->kind, .hint = o->hint,
                                         .class_ = (uint8_t)o->class_, .unprompted = o->unprompted};
    return true;
}

void care_put_withdraw(struct record *r, uint32_t classes, bool unprompted_only, const char *reason,
                       struct effects *out)
{
    struct effect *e = effect_add(out, EFFECT_WITHDRAW);
    if (!e)
        return;
    e->withdraw.person = r->person.id;
    e->withdraw.classes = classes;
    e->withdraw.unprompted_only = unprompted_only;
    snprintf(e->withdraw.reason, sizeof e->withdraw.reason, "%s", reason);
}
