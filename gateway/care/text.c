/* One text of one person: the spine. Keyword and news, readings, worry, reply; each in its own file.
 *
 * Must leave exactly one outcome and at most one reply. What a text says is decided by the parser, who sent it by the
 * caller; here is what follows from both.
 */
#include "gateway/care/inside.h"

#include <string.h>

/* A relative's figure from a carer's phone is the patient's. */
static void hear_carer(struct turn *t)
{
    struct said_list *doubtful = &t->said.doubtful, *certain = &t->said.readings;
    uint16_t kept = 0;

    if (!t->r->person.carer)
        return;
    t->said.flags_past = 0; /* "mum has collapsed": the patient's own, and now */
    t->flags = t->said.flags;
    if (!(t->said.doubt & DOUBT_NOT_OWN))
        return;
    for (uint16_t i = 0; i < doubtful->n; i++) {
        struct said s = doubtful->at[i];
        if (s.doubt == DOUBT_NOT_OWN && s.sys > s.dia && s.dia != SAID_NONE && certain->n < MEANING_READINGS) {
            s.doubt = 0;
            certain->at[certain->n++] = s;
        } else {
            doubtful->at[kept++] = s;
        }
    }
    doubtful->n = kept;
    t->said.doubt &= ~(uint32_t)DOUBT_NOT_OWN;
}

static bool keeps_readings(const struct turn *t)
{
    enum person_state s = t->r->person.state;
    return s == PERSON_JOINED || s == PERSON_PAUSED || s == PERSON_INVITED || s == PERSON_CLOSED;
}

static void hear_stranger(struct turn *t)
{
    if (t->r->person.state != PERSON_STRANGER)
        return;
    desk_open(t, DESK_STRANGER, 5, "A text from a number that nobody has.");
    if (t->opener == TEXT_NONE)
        t->opener = TEXT_UNKNOWN_NUMBER;
}

/* A reading ends a pause: the patient measures again. Before it is taken, for it may begin another week. */
static void hear_back(struct turn *t)
{
    if (t->said.readings.n && t->r->person.state == PERSON_PAUSED && !news_still_absent(&t->said))
        person_resume(t, "patient");
}

static bool reminder_waits(const struct record *r, int64_t now)
{
    for (size_t i = r->n_sent; i-- > 0;)
        if (r->sent[i].class_ == CLASS_REMINDER && now - r->sent[i].at < 12 * HOURS)
            return true;
    return false;
}

static void hear_readings(struct turn *t)
{
    hear_back(t);
    readings_take(t);
    if (t->n_taken && reminder_waits(t->r, t->m->now))
        care_put_withdraw(t->r, 1u << CLASS_REMINDER, true, "a reading came", t->out);
}

void care_text(struct record *r, const struct moment_of_care *m, const struct inbound *in, struct effects *out)
{
    struct turn t;

    turn_begin(&t, r, m, in, out);
    r->course.last_text = in->received;
    if (r->person.state == PERSON_JOINED) {
        r->course.silent_told = false;
        desk_close(&t, DESK_SILENT, "texted again");
    }
    if (in->resent) /* heard again: a timer of the untagged text would take the same number for its repeat */
        whose_told(&t, &r->course.question);
    hear_carer(&t);
    bool died = t.said.news & NEWS_DIED && keeps_readings(&t); /* "she has died, please stop": not an answer about START */
    bool word = !died && keyword_act(&t);
    if (!word)
        news_act(&t);
    if (!word && keeps_readings(&t)) {
        hear_readings(&t);
        cuff_heard(&t);
    }
    hear_stranger(&t);
    worry_judge(&t);
    reply_compose(&t);
    week_check(&t);
    turn_end(&t);
}
