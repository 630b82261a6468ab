/* What else a text tells that changes how the patient is looked after: died, away, in hospital, a new number, night
 * work, another language.
 *
 * It never changes a window or a number by itself: a person does that at the desk. After a death nothing automatic
 * is sent.
 */
#include "gateway/care/inside.h"

#include <stdio.h>
#include <string.h>

enum { AWAY_MOST = 92 }; /* days that a patient's own word pauses for; the desk may pause for longer (ours) */

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

bool news_still_absent(const struct meaning *said)
{
    return said->news & (NEWS_AWAY | NEWS_IN_HOSPITAL) && said->away_days != AWAY_OVER;
}

/* The first day back, local; DAY_NONE where none was said. A very long absence is looked at again before its end. */
static int32_t day_back(const struct turn *t)
{
    int16_t days = t->said.away_days;

    if (days <= 0)
        return DAY_NONE;
    return day_of(t->r, t->in->received) + (days < AWAY_MOST ? days : AWAY_MOST);
}

static void absence_tell(struct turn *t, bool hospital, int32_t back)
{
    const char *where = hospital ? "in hospital" : "away";
    char note[NOTE_MAX];
    int year, month, day;

    if (back == DAY_NONE) {
        snprintf(note, sizeof note, "The patient is %s: no reminders for 7 days.", where);
    } else {
        civil_date(back, &year, &month, &day);
        snprintf(note, sizeof note, "The patient is %s: no reminders before %04d-%02d-%02d.", where, year, month, day);
    }
    desk_open(t, DESK_NEWS, hospital ? 2 : 5, note);
}

/* "I was in hospital until Thursday": told, and no pause. */
static void news_absence_over(struct turn *t)
{
    bool hospital = t->said.news & NEWS_IN_HOSPITAL;

    desk_open(t, DESK_NEWS, hospital ? 2 : 5, hospital ? "The patient was in hospital." : "The patient was away.");
}

static void news_absence(struct turn *t)
{
    bool hospital = t->said.news & NEWS_IN_HOSPITAL;
    enum person_state s = t->r->person.state;

    if (!(t->said.news & (NEWS_AWAY | NEWS_IN_HOSPITAL)))
        return;
    if (!news_still_absent(&t->said)) {
        news_absence_over(t);
        return;
    }
    int32_t back = day_back(t);
    int64_t until = back == DAY_NONE ? INSTANT_NONE : civil_instant(&t->r->zone, (struct civil){.day = back});
    if (s == PERSON_JOINED || (s == PERSON_PAUSED && back != DAY_NONE))
        person_pause(t, until, "patient");
    absence_tell(t, hospital, back);
    t->say.day = back;
    if (back == DAY_NONE)
        opener(t, hospital ? TEXT_IN_HOSPITAL : TEXT_PAUSED);
    else
        opener(t, hospital ? TEXT_IN_HOSPITAL_UNTIL : TEXT_PAUSED_UNTIL);
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
