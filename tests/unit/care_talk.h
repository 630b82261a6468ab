/* Conversations as tables: what the patient texts, what is answered, what is alerted, what is on the desk. */
#ifndef QUIETARM_CARE_TALK_H
#define QUIETARM_CARE_TALK_H

#include "care_play.h"
#include "gateway/texts/texts.h"

#define ON_DESK(KIND) (DESK_##KIND + 1)
enum { STEPS_MOST = 7 };

struct step {
    int after;              /* minutes since the step before */
    struct heard heard;
    bool only_wait;         /* no text: what comes of time alone */
    enum text_kind says;    /* in the reply (or, waiting, in any text to the patient); TEXT_NONE: nothing at all is sent */
    enum text_kind also;    /* a second part; TEXT_NONE not checked */
    enum alert_level level; /* of the newest alert, when cause is set */
    const char *cause;      /* an alert raised in this step; NULL: none is */
    int desk;               /* ON_DESK(KIND): open after the step; 0 not checked */
    int gone;               /* ON_DESK(KIND): not open after the step */
};

struct talk {
    const char *why;
    void (*given)(struct play *p);
    struct step steps[STEPS_MOST];
};

#define TALK_CHECK(what, row, i, ...)                                                                                  \
    do {                                                                                                               \
        if (!(what)) {                                                                                                 \
            print_error("\"%s\", step %d: ", (row)->why, (int)(i) + 1);                                                \
            print_error(__VA_ARGS__);                                                                                  \
            print_error("\n");                                                                                         \
            return false;                                                                                              \
        }                                                                                                              \
    } while (0)

static UNUSED_OK bool step_set(const struct step *s)
{
    static const struct step none;
    return memcmp(s, &none, sizeof none) != 0;
}

static UNUSED_OK bool talk_wait(struct play *p, const struct talk *t, int i)
{
    const struct step *s = &t->steps[i];
    size_t sent = p->n_sent, n = 0;
    bool found = false;

    play_wait(p, s->after);
    for (size_t k = sent; k < p->n_sent; k++)
        if (to_patient(p, &p->sent[k])) {
            n++;
            found |= say_has(&p->sent[k].saying, s->says);
        }
    if (s->says != TEXT_NONE)
        TALK_CHECK(found, t, i, "%s was not sent", text_kind_name(s->says));
    else
        TALK_CHECK(n == 0, t, i, "%zu texts were sent", n);
    return true;
}

static UNUSED_OK bool talk_text(struct play *p, const struct talk *t, int i)
{
    const struct step *s = &t->steps[i];

    play_wait(p, s->after);
    int64_t text = play_text(p, &s->heard);
    const struct outgoing *o = play_reply(p, text);
    if (s->says == TEXT_NONE) {
        TALK_CHECK(!o, t, i, "answered with %s", text_kind_name(o->kind));
        return true;
    }
    TALK_CHECK(o, t, i, "not answered: %s", play_outcome(p, text));
    TALK_CHECK(say_has(&o->saying, s->says), t, i, "%s, not %s", text_kind_name(o->kind), text_kind_name(s->says));
    if (s->also != TEXT_NONE)
        TALK_CHECK(say_has(&o->saying, s->also), t, i, "%s is not in it", text_kind_name(s->also));
    bool worry = s->says >= TEXT_W_FLAG && s->says <= TEXT_W_NOBODY_YET;
    TALK_CHECK((o->class_ == CLASS_WORRY) == worry, t, i, "its class is %d", (int)o->class_);
    return true;
}

static UNUSED_OK bool talk_step(struct play *p, const struct talk *t, int i)
{
    const struct step *s = &t->steps[i];
    size_t alerts = p->n_alerts;

    if (!(s->only_wait ? talk_wait(p, t, i) : talk_text(p, t, i)))
        return false;
    if (!s->cause) {
        TALK_CHECK(p->n_alerts == alerts, t, i, "an alert was raised: %s", p->n_alerts ? play_alert(p)->cause : "");
    } else {
        TALK_CHECK(p->n_alerts == alerts + 1, t, i, "%zu alerts were raised", p->n_alerts - alerts);
        TALK_CHECK(strcmp(play_alert(p)->cause, s->cause) == 0, t, i, "its cause is %s", play_alert(p)->cause);
        TALK_CHECK(play_alert(p)->level == s->level, t, i, "its level is %d", (int)play_alert(p)->level);
    }
    if (s->desk)
        TALK_CHECK(play_desk(p, (enum desk_kind)(s->desk - 1)), t, i, "it is not on the desk");
    if (s->gone)
        TALK_CHECK(!play_desk(p, (enum desk_kind)(s->gone - 1)), t, i, "it is still on the desk");
    return true;
}

static UNUSED_OK void talk_through(const struct talk *rows, size_t n)
{
    size_t failed = 0;

    for (size_t k = 0; k < n; k++) {
        struct play p;
        bool well = true;
        play_joined(&p);
        if (rows[k].given)
            rows[k].given(&p);
        for (int i = 0; well && i < STEPS_MOST && step_set(&rows[k].steps[i]); i++)
            well = talk_step(&p, &rows[k], i);
        failed += !well;
        play_end(&p);
    }
    assert_int_equal(failed, 0);
}

#define TALK_THROUGH(rows) talk_through((rows), sizeof(rows) / sizeof *(rows))

#endif
