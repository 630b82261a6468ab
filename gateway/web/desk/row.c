/* Row: one row of the list on a page of its own, where notes and answers are written: take, done, put off, hand over,
 * answer by text.
 *
 * Each form carries the version of the row as it was seen: whoever comes second is told, and nothing is overwritten.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *row_path(const struct page *p, char path[64])
{
    snprintf(path, 64, "/desk/row/%lld", (long long)p->row.id);
    return path;
}

/* -- the forms ------------------------------------------------------------------------------------------------------------------ */

static void row_form(struct page *p, const char *after)
{
    form_begin(p, "/desk/row/", p->row.id, after);
    hidden_number(p, "version", p->row.version);
}

static void put_off_form(struct page *p)
{
    char local[MOMENT];
    section_begin(p, WORD_PUT_OFF);
    row_form(p, "/put-off");
    field_write(p, &(struct control){.name = "until", .label = WORD_PUT_OFF_UNTIL, .type = "datetime-local",
                                   .value = local_write(p->clinic, p->now + 3600, local), .needed = true});
    form_end(p, WORD_PUT_OFF, "");
    raw(p, "</section>\n");
}

/* Whoever of the clinic may work on it, but for oneself. */
static void colleagues_write(struct page *p)
{
    struct account *list = NULL;
    size_t n = 0;
    if (accounts_list(p->db, "", &list, &n))
        n = 0;
    for (size_t i = 0; i < n; i++) {
        const struct account *a = &list[i];
        bool here = !a->clinic[0] || strcmp(a->clinic, p->row.clinic) == 0;
        if (!here || !a->enabled || !(role_named(a->role) & ROLE_CARE) || strcmp(a->user, p->me.user) == 0)
            continue;
        raw(p, "<option");
        attribute(p, "value", a->user);
        raw(p, ">");
        text(p, a->user);
        raw(p, "</option>\n");
    }
    free(list);
}

static void hand_over_form(struct page *p)
{
    section_begin(p, WORD_HAND_OVER);
    row_form(p, "/hand-over");
    raw(p, "<div class=\"field\">\n<label for=\"to\">");
    say(p, HAND_OVER_TO);
    raw(p, "</label>\n<select name=\"to\" id=\"to\">\n");
    colleagues_write(p);
    raw(p, "</select>\n</div>\n");
    field_write(p, &(struct control){.name = "note", .label = WORD_NOTE, .rows = 2});
    form_end(p, WORD_HAND_OVER, "");
    raw(p, "</section>\n");
}

static void answer_form(struct page *p)
{
    section_begin(p, WORD_ANSWER_BY_TEXT);
    if (writing_possible(p)) {
        row_form(p, "/answer");
        writing_fields(p, row_may_be_done(p, p->row.kind));
    }
    raw(p, "</section>\n");
}

/* What it is, and what to do about it. */
static void row_head(struct page *p)
{
    const struct desk_row *d = &p->row;
    const struct row_kind *k = row_kind(d->kind);
    raw(p, "<p>");
    person_link(p, &p->person);
    raw(p, " ");
    tel_write(p, &p->person);
    raw(p, "</p>\n<p class=\"what\"><strong class=\"badge\">");
    text(p, word(k->what));
    raw(p, "</strong> ");
    text(p, d->note);
    raw(p, " ");
    when(p, p->clinic, d->at);
    raw(p, "</p>\n");
    quote_write(p, p->clinic, d->text, 0);
    if (d->taken_by[0]) {
        raw(p, "<p>");
        say_of(p, TAKEN_BY, d->taken_by);
        raw(p, "</p>\n");
    }
    if (d->put_off_until != INSTANT_NONE && d->put_off_until > p->now) {
        raw(p, "<p>");
        say(p, PUT_OFF_TO);
        raw(p, " ");
        when(p, p->clinic, d->put_off_until);
        raw(p, "</p>\n");
    }
    if (d->done_at != INSTANT_NONE)
        return;
    task_write(p, k->task);
    raw(p, "<div class=\"buttons\">");
    row_go(p, d, true);
    raw(p, "</div>\n");
}

static void take_form(struct page *p)
{
    bool done = row_may_be_done(p, p->row.kind);
    section_begin(p, done ? WORD_TAKE_OR_DONE : WORD_TAKE_IT);
    row_form(p, "/take");
    form_end(p, WORD_TAKE, "");
    if (done) {
        row_form(p, "/done");
        form_end(p, WORD_DONE, "");
    }
    raw(p, "</section>\n");
}

static void row_show(struct page *p, enum word fault)
{
    char who[REF_MAX + NAME_MAX_BYTES + 8];
    page_begin(p, WORD_ROW_TITLE, person_words(&p->person, who, sizeof who));
    fault_write(p, fault);
    said_write(p);
    row_head(p);
    if (p->row.done_at != INSTANT_NONE) {
        raw(p, "<p class=\"note settled\">");
        say_of(p, DONE_BY, p->row.done_by);
        raw(p, " ");
        when(p, p->clinic, p->row.done_at);
        raw(p, "</p>\n");
    } else if (p->role & ROLE_CARE) {
        answer_form(p);
        raw(p, "<div class=\"side\">\n");
        take_form(p);
        put_off_form(p);
        hand_over_form(p);
        raw(p, "</div>\n");
    }
    zone_note(p, p->clinic);
    page_end(p);
}

void row_page(struct page *p)
{
    char detail[48];
    snprintf(detail, sizeof detail, "row %lld", (long long)p->row.id);
    if (page_audit(p, p->person.id, p->person.clinic, "saw", detail))
        row_show(p, WORD_NONE);
}

/* -- doing ------------------------------------------------------------------------------------------------------------------------ */

static void row_act(struct page *p, struct care_action *a, const char *to)
{
    char back[64];
    bool answered;
    a->id = p->row.id;
    a->version = (int32_t)form_number(p, "version", -1);
    if (a->version < 0) { /* every form of ours has one */
        page_error(p, MHD_HTTP_BAD_REQUEST, WORD_OLD_FORM);
        return;
    }
    enum care_answer answer = page_act(p, p->person.id, a, &answered);
    if (!answered)
        acted(p, answer, to, row_path(p, back));
}

void row_take_do(struct page *p)
{
    row_act(p, &(struct care_action){.kind = ACTION_TAKE}, "/desk/list?said=taken");
}

/* What waits for a decision or a clinician's review ends with that, not with a click. */
void row_done_do(struct page *p)
{
    if (!row_may_be_done(p, p->row.kind))
        row_show(p, WORD_NOT_DONE_SO);
    else
        row_act(p, &(struct care_action){.kind = ACTION_DONE}, "/desk/list?said=done");
}

void row_put_off_do(struct page *p)
{
    char until[32];
    struct care_action a = {.kind = ACTION_PUT_OFF};
    form_value(p, "until", until, sizeof until);
    if (!local_read(p->clinic, until, &a.until) || a.until <= p->now)
        row_show(p, WORD_PUT_OFF_WRONG);
    else
        row_act(p, &a, "/desk/list?said=put-off");
}

static bool colleague(struct page *p, const char *user)
{
    struct account a;
    bool found = false;
    return !account_get(p->db, user, &a, &found) && found && a.enabled && (role_named(a.role) & ROLE_CARE) &&
           (!a.clinic[0] || strcmp(a.clinic, p->row.clinic) == 0);
}

void row_hand_over_do(struct page *p)
{
    struct care_action a = {.kind = ACTION_HAND_OVER};
    form_value(p, "to", a.to, sizeof a.to);
    form_value(p, "note", a.note, sizeof a.note);
    if (!colleague(p, a.to))
        row_show(p, WORD_HAND_OVER_WRONG);
    else
        row_act(p, &a, "/desk/list?said=handed");
}

/* The text first: a row that somebody else has changed meanwhile does not keep an answer from going. */
void row_answer_do(struct page *p)
{
    char back[64], step[8];
    bool answered, done = row_may_be_done(p, p->row.kind) && strcmp(form_value(p, "step", step, sizeof step), "keep") != 0;
    struct care_action a = {.kind = ACTION_WRITE, .version = -1};
    enum word fault = WORD_NONE;
    if (!writing_ready(p, a.note, sizeof a.note, &fault)) {
        row_show(p, fault);
        return;
    }
    enum care_answer answer = page_act(p, p->person.id, &a, &answered);
    if (answered)
        return;
    if (answer != CARE_DONE || !done)
        acted(p, answer, "/desk/list?said=sent", row_path(p, back));
    else
        row_act(p, &(struct care_action){.kind = ACTION_DONE}, "/desk/list?said=sent");
}
