/* What else a text tells that changes how the patient is looked after: died, away, in hospital, a new number, night
 * work, another language.
 *
 * It never changes a window or a number by itself: a person does that at the desk. After a death nothing automatic
 * is sent.
 */
#include "gateway/care/inside.h"

#include <stdio.h>
#include <string.h>

enum {
    AWAY_MOST = 92,  /* days that a patient's own word pauses for; the desk may pause for longer (ours) */
    AWAY_UNKNOWN = 7 /* where no end was said */
};

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

/* The days of an absence, local: the first one away, and the first one back, DAY_NONE where that is not known. A very long
 * absence is looked at again before its end. */
struct absence {
    int32_t from, back;
};

static struct absence absence_said(const struct turn *t)
{
    int32_t today = day_of(t->r, t->in->received), from = today + t->said.away_from;
    int16_t days = t->said.away_days < AWAY_MOST ? t->said.away_days : AWAY_MOST;

    if (days <= 0 && from == today)
        return (struct absence){today, DAY_NONE};
    return (struct absence){from, days > 0 ? today + days : from + AWAY_UNKNOWN};
}

static void date_add(char *note, size_t size, const char *words, int32_t day)
{
    size_t n = strlen(note);
    int year, month, of_month;

    civil_date(day, &year, &month, &of_month);
    snprintf(note + n, size - n, "%s%04d-%02d-%02d", words, year, month, of_month);
}

static void absence_tell(struct turn *t, bool hospital, const struct absence *a)
{
    char note[NOTE_MAX];

    snprintf(note, sizeof note, "The patient is %s: no reminders", hospital ? "in hospital" : "away");
    if (a->back == DAY_NONE) {
        snprintf(note + strlen(note), sizeof note - strlen(note), " for 7 days");
    } else {
        if (a->from > day_of(t->r, t->in->received))
            date_add(note, sizeof note, " from ", a->from);
        date_add(note, sizeof note, " before ", a->back);
    }
    snprintf(note + strlen(note), sizeof note - strlen(note), ".");
    desk_open(t, DESK_NEWS, hospital ? 2 : 5, note);
}

static int64_t start_of(const struct turn *t, int32_t day)
{
    return day == DAY_NONE ? INSTANT_NONE : civil_instant(&t->r->zone, (struct civil){.day = day});
}

static void absence_begin(struct turn *t, const struct absence *a)
{
    enum person_state s = t->r->person.state;

    if (s == PERSON_JOINED && a->from > day_of(t->r, t->in->received))
        person_pause_later(t, start_of(t, a->from), start_of(t, a->back));
    else if (s == PERSON_JOINED || (s == PERSON_PAUSED && a->back != DAY_NONE))
        person_pause(t, start_of(t, a->back), "patient");
}

/* "I was in hospital until Thursday", "I'm back now": a pause ends, and an absence that nobody was told of is. */
static void news_absence_over(struct turn *t)
{
    bool hospital = t->said.news & NEWS_IN_HOSPITAL;

    if (t->said.news & (NEWS_AWAY | NEWS_IN_HOSPITAL))
        desk_open(t, DESK_NEWS, hospital ? 2 : 5, hospital ? "The patient was in hospital." : "The patient was away.");
    if (t->r->person.state != PERSON_PAUSED)
        return;
    person_resume(t, "patient");
    if (!t->said.readings.n)
        opener(t, TEXT_WELCOME_BACK);
}

static enum text_kind absence_text(const struct turn *t, bool hospital, const struct absence *a)
{
    if (a->back == DAY_NONE)
        return hospital ? TEXT_IN_HOSPITAL : TEXT_PAUSED;
    if (a->from > day_of(t->r, t->in->received))
        return hospital ? TEXT_IN_HOSPITAL_FROM : TEXT_PAUSED_FROM;
    return hospital ? TEXT_IN_HOSPITAL_UNTIL : TEXT_PAUSED_UNTIL;
}

static void news_absence(struct turn *t)
{
    bool hospital = t->said.news & NEWS_IN_HOSPITAL;

    if (t->said.away_days == AWAY_OVER)
        news_absence_over(t);
    if (!news_still_absent(&t->said))
        return;
    struct absence a = absence_said(t);
    absence_begin(t, &a);
    absence_tell(t, hospital, &a);
    t->say.from = a.from;
    t->say.day = a.back;
    opener(t, absence_text(t, hospital, &a));
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
