/* Enrolment: the invitation, which asks YES and says nothing clinical, or the welcome for one who agreed in the clinic.
 *
 * Consent first: arm and cuff are asked only after it, in the welcome's second text. Under 18: refused.
 */
#include "gateway/care/inside.h"

#include <stdio.h>

enum { ADULT = 18 };

bool care_may_enrol(const struct person *p, int32_t today, const char **why)
{
    int year, month, day, year_now, month_now, day_now;

    *why = NULL;
    if (p->born == DAY_NONE)
        return true;
    civil_date(p->born, &year, &month, &day);
    civil_date(today, &year_now, &month_now, &day_now);
    int age = year_now - year - (month_now < month || (month_now == month && day_now < day));
    if (p->born > today)
        *why = "born in the future: check the date";
    else if (age < ADULT)
        *why = "under 18: this program is for adults";
    return *why == NULL;
}

static void invite(struct turn *t)
{
    struct saying s = {.both_languages = t->r->clinic->bilingual};

    person_state_set(t, PERSON_INVITED, "enrol");
    say_part(&s, TEXT_INVITE);
    send_patient(t, &s, CLASS_REPLY, true);
}

void care_enrol(struct record *r, const struct moment_of_care *m, bool joined, struct effects *out)
{
    struct turn t;

    turn_begin(&t, r, m, NULL, out);
    r->person.enrolled_at = r->person.state_since = m->now;
    if (r->course.person != r->person.id)
        course_blank(&r->course, r->person.id);
    care_put_person(r, out);
    care_put_audit(r, "enrol", "enrolled", joined ? "joined in the clinic" : "invited", out);
    if (joined) {
        r->person.state = PERSON_INVITED; /* so that one setter logs the step */
        send_one(&t, TEXT_WELCOME_CLINIC, CLASS_REPLY, true);
        person_join(&t, "enrol");
    } else {
        r->person.state = PERSON_STRANGER;
        invite(&t);
        cuff_judge(&t, false);
        monitor_judge(&t, false);
    }
    desk_close(&t, DESK_STRANGER, "enrolled");
    turn_end(&t);
}
