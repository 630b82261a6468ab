/* What else a text tells that changes how the patient is looked after: died, away, in hospital, a new number, night
 * work, another language.
 *
 * It never changes a window or a number by itself: a person does that at the desk. After a death nothing automatic
 * is sent.
 */
#include "gateway/care/inside.h"

#include <stdio.h>
#include <string.h>

static bool looked_after(const struct turn *t)
{
    enum person_state s = t->r->person.state;
    return s == PERSON_INVITED || s == PERSON_JOINED || s == PERSON_PAUSED || s == PERSON_CLOSED;
}

static void opener(struct turn *t, enum text_kind kind)
{
    if (t->opener == TEXT_NONE)
        t->opener = kind;
}

static void news_language(struct turn *t)
{
    const char *language = t->said.news & NEWS_ES ? "es" : t->said.news & NEWS_EN ? "en" : NULL;

    if (!language)
        return;
    if (strcmp(t->r->person.language, language) != 0) {
        snprintf(t->r->person.language, sizeof t->r->person.language, "%s", language);
        care_put_person(t->r, t->out);
    }
    opener(t, TEXT_LANGUAGE_CHANGED);
}

static void news_absence(struct turn *t)
{
    bool hospital = t->said.news & NEWS_IN_HOSPITAL;

    if (!(t->said.news & (NEWS_AWAY | NEWS_IN_HOSPITAL)))
        return;
    if (t->r->person.state == PERSON_JOINED)
        person_pause(t, INSTANT_NONE, "patient");
    desk_open(t, DESK_NEWS, hospital ? 2 : 5, hospital ? "The patient is in hospital: no reminders for 7 days."
                                                       : "The patient is away: no reminders for 7 days.");
    opener(t, hospital ? TEXT_IN_HOSPITAL : TEXT_PAUSED);
}

void news_act(struct turn *t)
{
    uint32_t news = t->said.news;

    if (!looked_after(t))
        return;
    if (news & NEWS_DIED) {
        person_leave(t, PERSON_DIED, "died", "text");
        desk_open(t, DESK_DIED, 0, "A text says that the patient has died. Nothing more is sent.");
        t->silence = "the patient has died: nothing automatic";
        return;
    }
    news_language(t);
    news_absence(t);
    if (news & NEWS_NEW_NUMBER) {
        desk_open(t, DESK_NEWS, 3, "The patient's number changes.");
        opener(t, TEXT_NEW_NUMBER);
    }
    if (news & (NEWS_NIGHTS | NEWS_DAYS)) {
        desk_open(t, DESK_NEWS, 3, "The patient's working hours change: set the windows.");
        opener(t, TEXT_NIGHTS);
    }
}
