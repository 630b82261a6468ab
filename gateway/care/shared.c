/* A text without a tag from a phone that several patients share: worry is answered and alerted first, for all of them;
 * then it is asked whose it is. STOP stops all. Nobody's readings are guessed: the text is kept and heard again with
 * the tag.
 */
#include "gateway/care/inside.h"

#include <stdio.h>
#include <string.h>

/* "Ann, Bob" for the question; "Ann, Bob, ..." when not all have room: half a tag would be nobody's. */
static void say_tags(struct saying *s, struct record **records, size_t n)
{
    static const char more[] = ", ...";
    size_t used = 0;

    for (size_t i = 0; i < n; i++) {
        const char *tag = records[i]->person.tag;
        size_t need = strlen(tag) + (i ? 2 : 0) + (i + 1 < n ? sizeof more - 1 : 0);
        bool fits = used + need < sizeof s->word;
        used += (size_t)snprintf(s->word + used, sizeof s->word - used, "%s%s", i ? ", " : "", fits ? tag : "...");
        if (!fits)
            return;
    }
}

static bool needs_whose(const struct meaning *m)
{
    return m->readings.n || m->doubtful.n || m->technique || m->asks || m->amend != AMEND_NONE || m->news ||
           m->arm_cm > 0 || m->cuff_cm[1] > 0 || m->keyword == KEYWORD_YES || m->keyword == KEYWORD_NO;
}

static void ask_whose(struct turn *t, struct record **records, size_t n)
{
    if (!needs_whose(&t->said))
        return;
    say_tags(&t->say, records, n);
    say_part(&t->say, TEXT_WHOSE);
    desk_open(t, DESK_WHOSE, 3, "A text from a shared phone without a tag: it was asked whose it is.");
    question_close(t);
    t->r->course.question.kind = QUESTION_WHOSE;
    t->r->course.question.asked_at = t->m->now;
    t->r->course.question.text = t->in->text;
}

static void stop_all(struct turn *t)
{
    enum person_state s = t->r->person.state;

    if (s == PERSON_LEFT || s == PERSON_DIED || s == PERSON_WRONG_NUMBER || s == PERSON_WITHDRAWN)
        return;
    person_leave(t, PERSON_LEFT, "stopped", "patient");
    desk_open(t, DESK_LEFT, 3, "STOP from a shared phone, without a tag: it has stopped the texts of all on that number.");
    t->opener = TEXT_STOPPED_SHARED;
    t->confirmation = true;
}

/* One of them: its alert, timer, question. The reply is that of the one heard last. */
static void hear_one(struct turn *t, struct record **records, size_t n)
{
    if (t->said.keyword == KEYWORD_STOP || t->said.keyword == KEYWORD_WRONG_NUMBER)
        stop_all(t);
    else if (t->said.keyword == KEYWORD_HELP)
        t->opener = TEXT_HELP;
    worry_judge(t);
    if (t->opener != TEXT_NONE)
        turn_reply(t, t->opener);
    else
        ask_whose(t, records, n);
    if (!t->say.n_parts && !t->silence)
        t->silence = "a remark from a shared phone";
}

/* Whose record speaks for the phone: the first that may be sent replies. */
static size_t speaker(struct record **records, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (state_permits(records[i]->person.state, PERMIT_REPLY))
            return i;
    return 0;
}

/* What the untagged text began in this record ends: its timer, its rows, its "within the hour". Alerts stay, for a person
 * to end. */
void whose_told(struct turn *t, const struct question *asked)
{
    struct course *c = &t->r->course;
    const struct question q = *asked;

    if (q.kind != QUESTION_WHOSE)
        return;
    if (c->follow.since == q.asked_at)
        c->follow = (struct follow){.kind = FOLLOW_NONE, .since = INSTANT_NONE};
    if (c->last_flag == q.asked_at)
        c->last_flag = INSTANT_NONE;
    if (c->last_severe == q.asked_at)
        c->last_severe = INSTANT_NONE;
    if (c->question.kind == QUESTION_WHOSE && c->question.text == q.text)
        question_close(t);
    desk_close_text(t, q.text, q.asked_at, "told whose it is");
}

void care_told_whose(struct record *r, const struct moment_of_care *m, const struct question *asked, struct effects *out)
{
    struct turn t;

    turn_begin(&t, r, m, NULL, out);
    whose_told(&t, asked);
    turn_end(&t);
}

void care_text_shared(struct record **records, size_t n, const struct moment_of_care *m, const struct inbound *in,
                      struct effects *out)
{
    size_t first = speaker(records, n);
    struct turn t;

    for (size_t i = 0; i < n; i++) {
        if (i == first)
            continue;
        turn_begin(&t, records[i], m, in, out);
        records[i]->course.last_text = in->received;
        hear_one(&t, records, n);
        records[i]->course.follow.asked_again = true; /* one phone is asked once to measure again */
        records[i]->course.next_look = look_next(&t);
        care_put_course(records[i], out);
    }
    turn_begin(&t, records[first], m, in, out);
    records[first]->course.last_text = in->received;
    hear_one(&t, records, n);
    turn_end(&t);
}
