/* The words that are all a text says: STOP, START, HELP, YES, NO, and "wrong number". Each means one thing in each
 * state.
 *
 * STOP wins over everything but worry. YES is consent only from one who is invited, and never while a question is open.
 */
#include "gateway/care/inside.h"

static bool said_stop(struct turn *t)
{
    enum person_state s = t->r->person.state;

    if (s == PERSON_LEFT || s == PERSON_DIED || s == PERSON_WRONG_NUMBER || s == PERSON_WITHDRAWN) {
        t->silence = "stopped already";
        return true;
    }
    t->opener = TEXT_STOPPED;
    if (s == PERSON_STRANGER)
        return true;
    person_leave(t, PERSON_LEFT, "stopped", "patient");
    desk_open(t, DESK_LEFT, 4, "The patient has stopped the texts.");
    t->confirmation = true;
    return true;
}

static bool said_wrong_number(struct turn *t)
{
    enum person_state s = t->r->person.state;

    if (s == PERSON_STRANGER || s == PERSON_WRONG_NUMBER)
        return false;
    person_leave(t, PERSON_WRONG_NUMBER, "wrong number", "patient");
    desk_open(t, DESK_WRONG_NUMBER, 2, "Whoever has this phone says that it is the wrong number.");
    t->opener = TEXT_WRONG_NUMBER;
    t->confirmation = true;
    return true;
}

static void invite_anew(struct turn *t)
{
    person_state_set(t, PERSON_INVITED, "patient");
    t->r->person.enrolled_at = t->m->now;
    care_put_person(t->r, t->out);
    t->opener = TEXT_INVITE_AGAIN;
}

static bool said_start(struct turn *t)
{
    switch (t->r->person.state) {
    case PERSON_LEFT:
        if (t->r->person.consent_at == INSTANT_NONE) { /* left before ever joining: START is no consent */
            invite_anew(t);
            return true;
        }
        person_return(t, "patient");
        t->opener = TEXT_WELCOME_BACK;
        return true;
    case PERSON_PAUSED:
        person_resume(t, "patient");
        t->opener = TEXT_WELCOME_BACK;
        return true;
    case PERSON_DECLINED: /* asked for again, but not yet agreed to */
        invite_anew(t);
        return true;
    case PERSON_INVITED:
        t->opener = TEXT_INVITE_AGAIN;
        return true;
    case PERSON_JOINED:
        t->opener = week_ended(t->r) ? TEXT_WELCOME_BACK : TEXT_ALREADY_JOINED;
        if (week_ended(t->r)) { /* asked for by the patient: another week */
            week_open(t);
            desk_open(t, DESK_NEWS, 5, "The patient has begun another week by START.");
        }
        return true;
    default:
        return false;
    }
}

static bool said_help(struct turn *t)
{
    bool stranger = t->r->person.state == PERSON_STRANGER;

    t->opener = stranger ? TEXT_HELP_STRANGER : TEXT_HELP;
    if (!stranger)
        desk_open(t, DESK_HELP, 4, "The patient has asked for help.");
    return true;
}

static bool said_yes(struct turn *t)
{
    if (question_answer(t, true))
        return true;
    if (t->r->person.state == PERSON_INVITED) {
        person_join(t, "patient");
        t->opener = TEXT_WELCOME;
        return true;
    }
    if (t->r->person.state == PERSON_JOINED || t->r->person.state == PERSON_PAUSED)
        t->opener = TEXT_ALREADY_JOINED;
    return true;
}

static bool said_no(struct turn *t)
{
    if (question_answer(t, false))
        return true;
    if (t->r->person.state == PERSON_INVITED) {
        person_leave(t, PERSON_DECLINED, "declined", "patient");
        desk_open(t, DESK_DECLINED, 5, "The patient does not want to take part.");
        t->opener = TEXT_DECLINED;
        t->confirmation = true;
        return true;
    }
    t->opener = TEXT_NOTHING_TO_CHANGE;
    return true;
}

bool keyword_act(struct turn *t)
{
    switch (t->said.keyword) {
    case KEYWORD_STOP:
        return said_stop(t);
    case KEYWORD_WRONG_NUMBER:
        return said_wrong_number(t);
    case KEYWORD_START:
        return said_start(t);
    case KEYWORD_HELP:
        return said_help(t);
    case KEYWORD_YES:
        return said_yes(t);
    case KEYWORD_NO:
        return said_no(t);
    default:
        return false;
    }
}
