/* A worrying number and its repeat: severe, low, pulse, and doubtful ones that may be either.
 *
 *     none ──severe──▶ severe ──severe again──▶ confirmed ──12 h──▶ none        urgent at "again"
 *                        │ ╲ 15 min: please measure now; 30 min: urgent
 *                        └──below the line──▶ none                            the desk; urgent the second time in a week
 *     none ──≤ 90──▶ low ──again──▶ none (urgent)      none ──pulse──▶ pulse ──again──▶ none (urgent)
 *     none ──doubtful──▶ doubtful ──30 min unanswered──▶ urgent
 *
 * One at a time, severe before doubtful before the others. Lines and steps: care.md, Worry; sources in evidence of the
 * protocol file and HAZARDS.md. Must never lose a severe one: each leaves a desk row or an alert.
 */
#include "gateway/care/inside.h"

enum {
    ASK_AGAIN = 15 * MINUTES, UNREPEATED = 30 * MINUTES,
    FORGET = 12 * HOURS,               /* a follow nobody answered, and the time in which more severe ones join */
    VERY_HIGH_SYS = 220, VERY_HIGH_DIA = 130, /* ours */
    PREGNANT_SYS = 160, PREGNANT_DIA = 110,   /* NICE NG133 */
    LOW_AT_ONCE = 80, LOW = 90, LOW_DIZZY = 100,
    PULSE_LOW = 40, PULSE_HIGH = 131   /* from memory, confirm against the original: early-warning scores */
};

bool expecting(const struct turn *t)
{
    return person_expecting(t->r, day_of(t->r, t->m->now)) || desk_has(t->r, DESK_PREGNANT) ||
           t->flags & FLAG_PREGNANT;
}

bool figures_severe(const struct turn *t, struct figures f)
{
    const struct protocol *p = &t->r->protocol;

    if (expecting(t))
        return f.sys >= PREGNANT_SYS || f.dia >= PREGNANT_DIA;
    if (p->severe_either_at)
        return f.sys >= p->severe.sys || f.dia >= p->severe.dia;
    return f.sys > p->severe.sys || f.dia > p->severe.dia;
}

bool figures_very_high(struct figures f)
{
    return f.sys >= VERY_HIGH_SYS || f.dia >= VERY_HIGH_DIA;
}

bool follow_waits(const struct record *r)
{
    enum follow_kind k = r->course.follow.kind;
    return k != FOLLOW_NONE && k != FOLLOW_CONFIRMED;
}

static void follow_set(struct turn *t, enum follow_kind kind, int64_t reading)
{
    t->r->course.follow = (struct follow){.kind = kind, .since = t->m->now, .reading = reading};
}

static void follow_none(struct turn *t)
{
    t->r->course.follow = (struct follow){.kind = FOLLOW_NONE, .since = INSTANT_NONE};
}

static void note_confirmed(struct turn *t)
{
    desk_close(t, DESK_SEVERE, "alert raised");
    if (!t->r->week.id)
        return;
    t->r->week.noted |= NOTED_SEVERE;
    care_put_week(t->r, t->out);
}

/* -- severe -------------------------------------------------------------------------------------------------------- */

static enum text_kind severe_first(struct turn *t, struct figures f, int64_t reading, bool old)
{
    bool very_high = figures_very_high(f), pregnant = expecting(t);

    follow_set(t, FOLLOW_SEVERE, reading);
    desk_open_reading(t, DESK_SEVERE, 1, reading, "A severe reading: the patient was asked to measure again.");
    if (pregnant || very_high) {
        alert_raise(t, ALERT_URGENT, pregnant ? "pregnant_severe" : "very_high", ALERT_JOIN);
        t->r->course.follow.alerted = true;
    }
    return pregnant ? TEXT_W_PREGNANT_SEVERE : old ? TEXT_W_SEVERE_OLD : very_high ? TEXT_W_VERY_HIGH : TEXT_W_SEVERE;
}

static enum text_kind severe_again(struct turn *t, int64_t reading)
{
    alert_raise(t, ALERT_URGENT, expecting(t) ? "pregnant_severe" : "severe", ALERT_JOIN);
    follow_set(t, FOLLOW_CONFIRMED, reading);
    note_confirmed(t);
    return expecting(t) ? TEXT_W_PREGNANT_SEVERE : TEXT_W_SEVERE_AGAIN;
}

static enum text_kind severe_more(struct turn *t)
{
    struct follow *f = &t->r->course.follow;
    bool open = alert_open(t->r), told = f->asked_again;

    alert_raise(t, ALERT_URGENT, "severe", ALERT_JOIN);
    if (!open)
        return TEXT_W_SEVERE_AGAIN;
    f->asked_again = true;
    return told ? TEXT_W_KEPT : TEXT_W_NO_NEED;
}

/* Sittings of this week that had a severe reading. */
static int severe_sittings(const struct turn *t)
{
    int n = 0;
    int64_t last = -1;

    for (size_t i = 0; i < t->r->n_readings; i++) {
        const struct reading *x = &t->r->readings[i];
        int64_t sitting = (int64_t)x->day * 2 + (x->slot == SLOT_EVENING);
        if (x->week != t->r->week.id || x->standing != STANDING_ACCEPTED || sitting == last ||
            !figures_severe(t, (struct figures){x->sys, x->dia, x->pulse}))
            continue;
        last = sitting;
        n++;
    }
    return n;
}

static enum text_kind severe_settled(struct turn *t)
{
    int before = t->r->course.settled_severe++;

    follow_none(t);
    desk_close(t, DESK_SEVERE, "came down");
    desk_open(t, DESK_CAME_DOWN, 1, "A severe reading, and the repeat was below the line. Look at both today.");
    if (before == 0 || severe_sittings(t) < 2)
        return TEXT_W_CAME_DOWN;
    alert_raise(t, ALERT_URGENT, "came_down_again", ALERT_JOIN);
    return TEXT_W_CAME_DOWN_AGAIN;
}

enum text_kind follow_severe(struct turn *t, struct figures f, int64_t reading, bool old, bool believed)
{
    const struct follow *now = &t->r->course.follow;

    if (!figures_severe(t, f))
        return now->kind == FOLLOW_SEVERE && believed && !old ? severe_settled(t) : TEXT_NONE;
    t->r->course.last_severe = t->m->now;
    if (now->kind == FOLLOW_SEVERE && reading && now->reading == reading) /* the same one, corrected: still the first */
        return severe_first(t, f, reading, old);
    if (now->kind == FOLLOW_SEVERE && !old)
        return severe_again(t, reading);
    if (now->kind == FOLLOW_SEVERE && (!now->alerted || alert_open(t->r))) {
        desk_open_reading(t, DESK_SEVERE, 1, reading, "A severe reading, sent late: the patient was asked to measure now.");
        return TEXT_W_SEVERE_OLD;
    }
    if (now->kind == FOLLOW_CONFIRMED && t->m->now - now->since < FORGET)
        return severe_more(t);
    return severe_first(t, f, reading, old);
}

/* With a red flag the alert is out and the patient was told to ring: nothing more is asked of them. */
void follow_flagged(struct turn *t, int64_t reading)
{
    t->r->course.last_severe = t->m->now;
    follow_set(t, FOLLOW_CONFIRMED, reading);
    note_confirmed(t);
}

/* -- low, pulse, doubtful ------------------------------------------------------------------------------------------ */

/* Severe and doubtful ones are waited for first. */
static bool follow_free(const struct turn *t)
{
    enum follow_kind k = t->r->course.follow.kind;
    return k != FOLLOW_SEVERE && k != FOLLOW_DOUBTFUL;
}

/* Which of the symptoms that go to the desk it was is not kept: of dizziness, palpitations and a fall, dizziness. */
static bool symptom_lately(const struct turn *t)
{
    return sent_within(t->r, TEXT_W_SYMPTOM, t->m->now, 60 * MINUTES);
}

bool figures_low(const struct turn *t, struct figures f)
{
    bool dizzy = t->flags & FLAG_DIZZY || symptom_lately(t), any = t->flags || dizzy;

    return f.sys != SAID_NONE && (f.sys < LOW_AT_ONCE || (f.sys <= LOW && any) || (f.sys < LOW_DIZZY && dizzy));
}

bool figures_lowish(struct figures f)
{
    return f.sys != SAID_NONE && f.sys <= LOW;
}

static enum text_kind low_urgent(struct turn *t)
{
    alert_raise(t, ALERT_URGENT, "low", ALERT_JOIN);
    if (t->r->course.follow.kind == FOLLOW_LOW)
        follow_none(t);
    desk_close(t, DESK_LOW, "alert raised");
    return expecting(t) ? TEXT_W_LOW_PREGNANT : TEXT_W_LOW;
}

enum text_kind follow_low(struct turn *t, struct figures f, int64_t reading, bool believed)
{
    bool waiting = t->r->course.follow.kind == FOLLOW_LOW;

    if (figures_low(t, f) || (figures_lowish(f) && waiting))
        return low_urgent(t);
    if (figures_lowish(f)) {
        if (follow_free(t))
            follow_set(t, FOLLOW_LOW, reading);
        desk_open_reading(t, DESK_LOW, 2, reading, "A low reading: the patient was asked to measure again.");
        return TEXT_W_LOW_CHECK;
    }
    if (!waiting || !believed || f.sys == SAID_NONE)
        return TEXT_NONE;
    follow_none(t);
    desk_close(t, DESK_LOW, "higher again");
    return TEXT_W_LOW_SETTLED;
}

enum text_kind follow_pulse(struct turn *t, struct figures f, int64_t reading)
{
    bool waiting = t->r->course.follow.kind == FOLLOW_PULSE;

    if (f.pulse == SAID_NONE)
        return TEXT_NONE;
    bool odd = f.pulse <= PULSE_LOW || f.pulse >= PULSE_HIGH;
    if (odd && !waiting && !t->flags) {
        if (follow_free(t))
            follow_set(t, FOLLOW_PULSE, reading);
        desk_open_reading(t, DESK_PULSE, 2, reading, "An unusual pulse: the patient was asked to measure again.");
        return TEXT_W_PULSE;
    }
    if (waiting)
        follow_none(t);
    if (waiting || odd)
        desk_close(t, DESK_PULSE, odd ? "alert raised" : "as usual again");
    if (!odd)
        return TEXT_NONE;
    alert_raise(t, ALERT_URGENT, "pulse", ALERT_JOIN);
    return TEXT_W_PULSE_AGAIN;
}

void follow_doubtful(struct turn *t, int64_t reading)
{
    enum follow_kind k = t->r->course.follow.kind;

    if (k != FOLLOW_SEVERE && k != FOLLOW_DOUBTFUL && k != FOLLOW_CONFIRMED)
        follow_set(t, FOLLOW_DOUBTFUL, reading);
    desk_open_reading(t, DESK_SEVERE, 1, reading, "A number that may be severe or low, not confirmed yet.");
}

/* Another severe reading that came while the repeat of this one was waited for, and still stands; 0 when there is none. */
static int64_t other_severe(const struct turn *t, int64_t reading)
{
    for (size_t i = 0; i < t->r->n_readings; i++) {
        const struct reading *x = &t->r->readings[i];
        if (x->id != reading && x->received >= t->r->course.follow.since && reading_stands(x) && !x->doubt &&
            figures_severe(t, (struct figures){x->sys, x->dia, x->pulse}))
            return x->id;
    }
    return 0;
}

void follow_end(struct turn *t, int64_t reading)
{
    struct follow *f = &t->r->course.follow;

    if (f->kind == FOLLOW_NONE || f->kind == FOLLOW_CONFIRMED || f->reading != reading)
        return;
    int64_t other = f->kind == FOLLOW_SEVERE ? other_severe(t, reading) : 0;
    if (other) { /* the timer is now that one's */
        f->reading = other;
        return;
    }
    if (f->kind == FOLLOW_SEVERE || f->kind == FOLLOW_DOUBTFUL)
        desk_close(t, DESK_SEVERE, "corrected");
    if (f->kind == FOLLOW_LOW)
        desk_close(t, DESK_LOW, "corrected");
    if (f->kind == FOLLOW_PULSE)
        desk_close(t, DESK_PULSE, "corrected");
    follow_none(t);
}

/* -- when nothing comes -------------------------------------------------------------------------------------------- */

int64_t follow_next(const struct record *r)
{
    const struct follow *f = &r->course.follow;

    if (f->kind == FOLLOW_NONE)
        return INSTANT_NONE;
    if (f->kind == FOLLOW_SEVERE && !f->asked_again)
        return f->since + ASK_AGAIN;
    if ((f->kind == FOLLOW_SEVERE || f->kind == FOLLOW_DOUBTFUL) && !f->alerted)
        return f->since + UNREPEATED;
    return f->since + FORGET;
}

static void ask_again(struct turn *t, struct follow *f)
{
    enum person_state s = t->r->person.state;

    f->asked_again = true;
    if (t->m->now - f->since < UNREPEATED && state_permits(s, PERMIT_WORRY) && !state_worry_hourly(s))
        send_one(t, TEXT_W_REPEAT_NOW, CLASS_WORRY, false);
}

void follow_look(struct turn *t)
{
    struct follow *f = &t->r->course.follow;
    bool urgent = f->kind == FOLLOW_SEVERE || f->kind == FOLLOW_DOUBTFUL;

    if (f->kind == FOLLOW_NONE)
        return;
    int64_t waited = t->m->now - f->since;
    if (f->kind == FOLLOW_SEVERE && !f->asked_again && waited >= ASK_AGAIN)
        ask_again(t, f);
    if (urgent && !f->alerted && waited >= UNREPEATED) {
        alert_raise(t, ALERT_URGENT, f->kind == FOLLOW_SEVERE ? "no_repeat" : "doubtful", ALERT_JOIN);
        f->alerted = true;
        desk_close(t, DESK_SEVERE, "alert raised");
    }
    if (waited >= FORGET)
        follow_none(t);
}
