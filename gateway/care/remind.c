/* Reminders, nudges, and the end of them when a patient has gone silent.
 *
 * A reminder is not sent if its sitting has a reading, nor twice for a sitting, nor in the quiet hours, nor while an
 * alert is open, nor before joining. One that is over an hour late, as after an outage, is skipped and recorded: it
 * no longer makes sense. About two texts a patient and day, a third at most.
 */
#include "gateway/care/inside.h"

#include <stdio.h>

enum { REMINDER_WORTH = 60 * MINUTES, HALF_AFTER = 20 * MINUTES, SILENT_SITTINGS = 4, DAYS_LOOKED_AT = 4 };

/* From when on reminders are this patient's: joined, the week open, back from a pause. */
static int64_t reminded_from(const struct record *r)
{
    int64_t a = r->week.opened_at, b = r->person.state_since;
    return a > b ? a : b;
}

static bool day_wanted(const struct record *r, int32_t day)
{
    if (r->person.start != DAY_NONE && day < r->person.start)
        return false;
    return r->week.first_day == DAY_NONE || day < r->week.first_day + r->week.days_wanted;
}

static bool reminding(const struct record *r)
{
    return state_permits(r->person.state, PERMIT_REMINDER) && (r->week.state == WEEK_WAITING ||
           r->week.state == WEEK_MEASURING) && r->week.id && !r->course.silent_told;
}

static bool held_off(const struct record *r)
{
    return alert_open(r) || r->course.follow.kind == FOLLOW_SEVERE || r->course.follow.kind == FOLLOW_DOUBTFUL;
}

static int slot_index(enum slot s)
{
    return s == SLOT_EVENING;
}

/* -- reminders ----------------------------------------------------------------------------------------------------- */

static bool reminder_open(const struct record *r, int32_t day, enum slot s)
{
    int32_t last = r->course.reminded_day[slot_index(s)];

    return (last == DAY_NONE || day > last) && day_wanted(r, day) && remind_at(r, day, s) > reminded_from(r);
}

static void remind(struct turn *t, int32_t day, enum slot s)
{
    struct record *r = t->r;
    int64_t at = remind_at(r, day, s), due = quiet_over(r, t->m->now);
    bool late = t->m->now - at > REMINDER_WORTH || due - at > REMINDER_WORTH;
    char detail[64];

    r->course.reminded_day[slot_index(s)] = day;
    if (sitting_any(r, day, s) || held_off(r))
        return;
    if (!late) {
        send_one(t, s == SLOT_MORNING ? TEXT_REMIND_MORNING : TEXT_REMIND_EVENING, CLASS_REMINDER, true);
        return;
    }
    snprintf(detail, sizeof detail, "reminder %lld minutes late", (long long)((t->m->now - at) / MINUTES));
    care_put_audit(r, "care", "skipped", detail, t->out);
    r->course.nudged_day[slot_index(s)] = day; /* who was not reminded is not nudged */
}

/* -- nudges -------------------------------------------------------------------------------------------------------- */

/* When the sitting's first part came, if it is half done; else when it was reminded plus nudge_after. */
static int64_t nudge_at(const struct record *r, int32_t day, enum slot s)
{
    int64_t last = INSTANT_NONE;

    if (r->course.nudged_day[slot_index(s)] >= day || !day_wanted(r, day))
        return INSTANT_NONE;
    for (size_t i = 0; i < r->n_readings; i++)
        if (r->readings[i].day == day && r->readings[i].slot == s && r->readings[i].standing == STANDING_ACCEPTED &&
            !r->readings[i].sent_late && r->readings[i].received > last)
            last = r->readings[i].received;
    int n = sitting_any(r, day, s);
    if (n >= per_sitting(r) || (n && last == INSTANT_NONE))
        return INSTANT_NONE;
    if (n)
        return last + HALF_AFTER;
    if (!r->clinic->nudge_after || r->course.reminded_day[slot_index(s)] != day)
        return INSTANT_NONE;
    return remind_at(r, day, s) + (int64_t)r->clinic->nudge_after * MINUTES;
}

static void nudge(struct turn *t, int32_t day, enum slot s)
{
    struct record *r = t->r;
    int64_t at = nudge_at(r, day, s);
    bool past = t->m->now >= sitting_end(r, day, s) || t->m->now - at > REMINDER_WORTH;

    r->course.nudged_day[slot_index(s)] = day;
    if (past) {
        care_put_audit(r, "care", "skipped", "nudge for a window that is over", t->out);
        return;
    }
    enum text_kind kind = sitting_any(r, day, s) ? TEXT_NUDGE_HALF : TEXT_NUDGE;
    bool told = sent_within(r, kind, t->m->now, HOURS); /* for the other sitting */
    if (!told && !held_off(r) && !quiet_now(r, t->m->now) && !question_open(r, t->m->now))
        send_one(t, kind, CLASS_REMINDER, true);
}

/* -- silent -------------------------------------------------------------------------------------------------------- */

/* The end of the fourth sitting in a row that nothing was heard in. */
static int64_t silent_at(const struct record *r)
{
    int64_t from = reminded_from(r);
    int n = 0;

    if (r->course.last_text != INSTANT_NONE && r->course.last_text > from)
        from = r->course.last_text;
    for (int32_t day = day_of(r, from) - 1; day < day_of(r, from) + DAYS_LOOKED_AT; day++)
        for (int i = 0; i < 2; i++) {
            enum slot s = i == 0 ? slot_first(r) : slot_last(r);
            if (sitting_start(r, day, s) >= from && day_wanted(r, day) && ++n == SILENT_SITTINGS)
                return sitting_end(r, day, s);
        }
    return INSTANT_NONE;
}

static void silent_look(struct turn *t)
{
    int64_t at = silent_at(t->r);

    if (at == INSTANT_NONE || at > t->m->now)
        return;
    t->r->course.silent = SILENT_SITTINGS;
    t->r->course.silent_told = true;
    care_put_withdraw(t->r, 1u << CLASS_REMINDER, true, "silent", t->out);
    desk_open(t, DESK_SILENT, 4, "Nothing heard for four sittings. No more reminders until the patient texts.");
    if (!held_off(t->r))
        send_one(t, TEXT_SILENT, CLASS_REPLY, true);
}

/* -- looking ------------------------------------------------------------------------------------------------------- */

void remind_look(struct turn *t)
{
    struct record *r = t->r;
    int32_t today = day_of(r, t->m->now);

    if (!reminding(r))
        return;
    silent_look(t);
    for (int32_t day = today - 1; day <= today && reminding(r); day++)
        for (enum slot s = SLOT_MORNING; s <= SLOT_EVENING; s++) {
            if (reminder_open(r, day, s) && remind_at(r, day, s) <= t->m->now)
                remind(t, day, s);
            int64_t at = nudge_at(r, day, s);
            if (at != INSTANT_NONE && at <= t->m->now)
                nudge(t, day, s);
        }
}

static int64_t earlier(int64_t a, int64_t b)
{
    return a == INSTANT_NONE ? b : b == INSTANT_NONE || a < b ? a : b;
}

int64_t remind_next(const struct turn *t)
{
    const struct record *r = t->r;
    int32_t today = day_of(r, t->m->now);
    int64_t next = INSTANT_NONE;

    if (!reminding(r))
        return INSTANT_NONE;
    for (int32_t day = today - 1; day <= today + 1; day++)
        for (enum slot s = SLOT_MORNING; s <= SLOT_EVENING; s++) {
            if (reminder_open(r, day, s))
                next = earlier(next, remind_at(r, day, s));
            next = earlier(next, nudge_at(r, day, s));
        }
    if (r->person.start != DAY_NONE && r->person.start > today)
        next = earlier(next, remind_at(r, r->person.start, slot_first(r)));
    return earlier(next, silent_at(r));
}
