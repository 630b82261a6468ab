/* The coordinators' list: rows open once for a matter and close themselves when it is settled.
 *
 * A row never holds words of the patient, only why it is there; it points to the text. At most one open row of a kind a
 * patient (one a reading for held ones): what comes on top brings the row up to date.
 */
#include "gateway/care/inside.h"

#include <stdio.h>
#include <string.h>

static struct desk_row *desk_find(struct record *r, enum desk_kind kind, int64_t reading)
{
    for (size_t i = 0; i < r->n_desk; i++)
        if (r->desk[i].kind == kind && (reading == 0 || r->desk[i].reading == reading))
            return &r->desk[i];
    return NULL;
}

bool desk_has(const struct record *r, enum desk_kind kind)
{
    for (size_t i = 0; i < r->n_desk; i++)
        if (r->desk[i].kind == kind)
            return true;
    return false;
}

/* Rows for which a person reads the text itself: a question in it needs no row of its own. */
static bool kind_is_read(enum desk_kind kind)
{
    static const enum desk_kind read[] = {
        DESK_ASKS, DESK_MEDICINE,   DESK_SYMPTOM, DESK_FLAG_PAST, DESK_PREGNANT,     DESK_NEWS,  DESK_STRANGER,
        DESK_HELP, DESK_UNREADABLE, DESK_DIED,    DESK_LEFT,      DESK_WRONG_NUMBER, DESK_WHOSE, DESK_DECLINED};

    for (size_t i = 0; i < sizeof read / sizeof read[0]; i++)
        if (read[i] == kind)
            return true;
    return false;
}

static void desk_put(struct turn *t, enum desk_kind kind, uint8_t rank, int64_t reading, const char *note)
{
    struct desk_row row, *open = desk_find(t->r, kind, reading);

    desk_blank(&row, &t->r->person);
    if (open) {
        row = *open;
        row.version++;
        row.put_off_until = INSTANT_NONE;
    } else {
        row.id = (*t->m->next_id)++;
        row.kind = kind;
        row.rank = rank;
        row.at = t->m->now;
    }
    if (rank < row.rank)
        row.rank = rank;
    if (t->in)
        row.text = t->in->text;
    if (reading)
        row.reading = reading;
    row.week = t->r->week.id;
    snprintf(row.note, sizeof row.note, "%s", note);
    care_put_desk(t->r, &row, t->out);
    t->desk_told |= kind_is_read(kind);
}

void desk_open(struct turn *t, enum desk_kind kind, uint8_t rank, const char *note)
{
    desk_put(t, kind, rank, 0, note);
}

void desk_open_reading(struct turn *t, enum desk_kind kind, uint8_t rank, int64_t reading, const char *note)
{
    desk_put(t, kind, rank, reading, note);
}

static void desk_done(struct turn *t, const struct desk_row *open, const char *who)
{
    struct desk_row row = *open;

    row.done_at = t->m->now;
    row.version++;
    snprintf(row.done_by, sizeof row.done_by, "%s", who);
    care_put_desk(t->r, &row, t->out);
}

void desk_close(struct turn *t, enum desk_kind kind, const char *who)
{
    for (size_t i = t->r->n_desk; i-- > 0;)
        if (t->r->desk[i].kind == kind)
            desk_done(t, &t->r->desk[i], who);
}

void desk_close_reading(struct turn *t, int64_t reading)
{
    for (size_t i = t->r->n_desk; i-- > 0;)
        if (t->r->desk[i].kind == DESK_HELD && t->r->desk[i].reading == reading)
            desk_done(t, &t->r->desk[i], "settled");
}

void desk_close_text(struct turn *t, int64_t text, int64_t at, const char *who)
{
    for (size_t i = t->r->n_desk; i-- > 0;)
        if (t->r->desk[i].text == text && t->r->desk[i].at == at)
            desk_done(t, &t->r->desk[i], who);
}
