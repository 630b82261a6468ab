/* Talk: the conversation, both ways, with what became of each text; and the page where a text is written.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One text of either side. */
struct turn_of_talk {
    int64_t at;
    const char *body, *to;         /* to: NULL from the patient */
    enum outgoing_state state;
    int segments;
    const char *reason;
};

struct talk {
    struct stored_text *texts;
    struct outgoing *sent;
    size_t n_texts, n_sent;
    struct turn_of_talk *list;
    size_t n;
};

static int by_time(const void *a, const void *b)
{
    const struct turn_of_talk *x = a, *y = b;
    if (x->at != y->at)
        return x->at < y->at ? -1 : 1;
    return !!x->to - !!y->to;
}

/* The latest `most` of each side before an instant. */
static bool talk_load(struct page *p, size_t most, int64_t before, struct talk *t)
{
    if (texts_of_person(p->db, p->person.id, 0, before, most, &t->texts, &t->n_texts) ||
        outbox_said(p->db, p->person.id, 0, before, most, &t->sent, &t->n_sent))
        return false;
    t->list = calloc(t->n_texts + t->n_sent + 1, sizeof *t->list);
    for (size_t i = 0; t->list && i < t->n_texts; i++)
        t->list[t->n++] = (struct turn_of_talk){.at = t->texts[i].received, .body = t->texts[i].body};
    for (size_t i = 0; t->list && i < t->n_sent; i++) {
        const struct outgoing *o = &t->sent[i];
        t->list[t->n++] = (struct turn_of_talk){o->created, o->body, o->to, o->state, o->segments, o->reason};
    }
    if (t->list)
        qsort(t->list, t->n, sizeof *t->list, by_time);
    return t->list;
}

static void talk_free(struct talk *t)
{
    texts_free(t->texts, t->n_texts);
    free(t->sent);
    free(t->list);
}

static void turn_write(struct page *p, const struct turn_of_talk *t)
{
    char segments[16];
    raw(p, "<li");
    if (t->to)
        raw(p, " class=\"ours\"");
    raw(p, "><p class=\"second\">");
    text(p, word(t->to ? WORD_WE_WROTE : WORD_PATIENT_WROTE));
    raw(p, " ");
    when(p, p->clinic, t->at);
    if (t->to) {
        snprintf(segments, sizeof segments, "%d", t->segments);
        raw(p, ", ");
        text(p, word(outgoing_word(t->state)));
        raw(p, ", ");
        page_say(p, t->segments == 1 ? WORD_SEGMENT_ONE : WORD_SEGMENTS, (const char *const[4]){segments});
        if (t->reason[0] && t->state >= OUTGOING_FAILED) {
            raw(p, ": ");
            text(p, t->reason);
        }
    }
    raw(p, "</p><p>");
    if (t->body && (t->body[0] || !t->to))
        name(p, t->body[0] ? t->body : word(WORD_TEXT_EMPTY));
    else
        say(p, TEXT_FORGOTTEN);
    raw(p, "</p></li>\n");
}

/* The latest `most` turns; those of one second are not torn apart. The instant of the first when there are earlier ones,
 * else INSTANT_NONE. */
static int64_t turns_write(struct page *p, const struct talk *t, size_t most)
{
    size_t first = t->n > most ? t->n - most : 0;
    while (first > 0 && t->list[first - 1].at == t->list[first].at)
        first--;
    raw(p, "<ul class=\"talk\">\n");
    for (size_t i = first; i < t->n; i++)
        turn_write(p, &t->list[i]);
    raw(p, "</ul>\n");
    return first || t->n_texts == most || t->n_sent == most ? t->list[first].at : INSTANT_NONE;
}

/* INSTANT_NONE: there is nothing earlier. */
static int64_t talk_part(struct page *p, size_t most, int64_t before)
{
    struct talk t = {0};
    int64_t earlier = INSTANT_NONE;
    if (!talk_load(p, most, before, &t)) {
        p->out.failed = true;
    } else if (!t.n) {
        raw(p, "<p>");
        say(p, TALK_NONE);
        raw(p, "</p>\n");
    } else {
        earlier = turns_write(p, &t, most);
    }
    talk_free(&t);
    return earlier;
}

void talk_write(struct page *p, size_t most)
{
    section_begin(p, WORD_TALK);
    if (talk_part(p, most, INT64_MAX) != INSTANT_NONE) {
        raw(p, "<p>");
        link_to(p, "/desk/patient/", p->person.id, "/talk", word(WORD_TALK_ALL));
        raw(p, "</p>\n");
    }
    raw(p, "</section>\n");
}

void talk_page(struct page *p)
{
    char who[REF_MAX + NAME_MAX_BYTES + 8], value[24], after[48];
    enum { TURNS = 200 };
    int64_t before;
    if (!page_audit(p, p->person.id, p->person.clinic, "saw", "conversation"))
        return;
    if (!whole_read(query_value(p, "before", value, sizeof value), 1, INT64_MAX, &before))
        before = INT64_MAX;
    page_begin(p, WORD_TALK_TITLE, person_words(&p->person, who, sizeof who));
    raw(p, "<p>");
    person_link(p, &p->person);
    raw(p, "</p>\n");
    int64_t earlier = talk_part(p, TURNS, before);
    if (earlier != INSTANT_NONE) {
        snprintf(after, sizeof after, "/talk?before=%lld", (long long)earlier);
        raw(p, "<p class=\"pages\">");
        link_to(p, "/desk/patient/", p->person.id, after, word(WORD_EARLIER));
        raw(p, "</p>\n");
    }
    zone_note(p, p->clinic);
    page_end(p);
}

/* -- writing a text ---------------------------------------------------------------------------------------------------------------- */

static void write_show(struct page *p, enum word fault)
{
    enum { LATEST = 6 };
    char who[REF_MAX + NAME_MAX_BYTES + 8];
    page_begin(p, WORD_WRITE_TITLE, person_words(&p->person, who, sizeof who));
    fault_write(p, fault);
    raw(p, "<p>");
    person_link(p, &p->person);
    raw(p, "</p>\n");
    talk_write(p, LATEST);
    if (writing_possible(p)) {
        form_begin(p, "/desk/patient/", p->person.id, "/write");
        writing_fields(p, false);
    }
    page_end(p);
}

void write_page(struct page *p)
{
    if (page_audit(p, p->person.id, p->person.clinic, "saw", "conversation"))
        write_show(p, WORD_NONE);
}

void write_do(struct page *p)
{
    struct care_action a = {.kind = ACTION_WRITE, .version = -1};
    enum word fault = WORD_NONE;
    if (writing_ready(p, a.note, sizeof a.note, &fault))
        patient_act(p, &a, "sent");
    else
        write_show(p, fault);
}
