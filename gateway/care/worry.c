/* Worry: the table of care.md, row by row, on certain and on doubtful numbers.
 *
 * Every row that applies has its alert, desk row and timer; the first that speaks has the reply. Numbers are judged in
 * each way that they could be meant. Nothing here asks who the sender is: an emergency, severe or low text is answered
 * and alerted whoever sends it. Errs on the side of alarm; a missed one is the worst this program can do.
 */
#include "gateway/care/inside.h"

#include <string.h>

enum {
    FLAG_AND_SEVERE = 60 * MINUTES, /* either order */
    OLD_SEVERE = 2 * HOURS,
    PREGNANT_HIGH_SYS = 140, PREGNANT_HIGH_DIA = 90, PREGNANT_DESK_SYS = 135, PREGNANT_DESK_DIA = 85,
    PREGNANT_TOLD = 12 * HOURS,
    SITTINGS_LOOKED_AT = 6, IRREGULAR_SITTINGS = 2
};

/* Red flags in the order in which an alert names them. */
static const struct {
    uint32_t flag;
    unsigned index;
} red_flags[] = {
    {FLAG_CHEST_PAIN, FLAG_CHEST_PAIN_BIT},       {FLAG_WEAKNESS, FLAG_WEAKNESS_BIT},
    {FLAG_SPEECH, FLAG_SPEECH_BIT},               {FLAG_BREATHLESS, FLAG_BREATHLESS_BIT},
    {FLAG_TEARING_PAIN, FLAG_TEARING_PAIN_BIT},   {FLAG_SWELLING_FACE, FLAG_SWELLING_FACE_BIT},
    {FLAG_SEIZURE, FLAG_SEIZURE_BIT},             {FLAG_FAINT, FLAG_FAINT_BIT},
    {FLAG_BLEEDING, FLAG_BLEEDING_BIT},           {FLAG_VISION, FLAG_VISION_BIT},
    {FLAG_CONFUSION, FLAG_CONFUSION_BIT},         {FLAG_HEADACHE, FLAG_HEADACHE_BIT},
    {FLAG_EMERGENCY, FLAG_EMERGENCY_BIT},
};

/* -- numbers ------------------------------------------------------------------------------------------------------- */

static bool doubtful_severe(const struct turn *t)
{
    struct figures f[FIGURES_WAYS];

    for (unsigned i = 0; i < t->said.doubtful.n; i++)
        for (int n = figures_ways(t, &t->said.doubtful.at[i], f); n-- > 0;)
            if (figures_severe(t, f[n]))
                return true;
    return false;
}

/* Who keeps no readings has none taken: then what was said is judged. */
static size_t certain_count(const struct turn *t)
{
    return t->n_taken ? t->n_taken : t->said.readings.n;
}

struct judged {
    struct figures f;
    int64_t reading;
    bool old, believed, repeated;
};

/* Received before the number whose repeat is waited for. Texts and readings of one second are told apart by their ids. */
static bool came_before(const struct turn *t, const struct reading *x)
{
    const struct follow *f = &t->r->course.follow;
    const struct reading *waits = reading_of(t->r, f->reading);

    return x->received < f->since || x->id < f->reading || (waits && x->text && x->text < waits->text);
}

static struct judged certain_at(const struct turn *t, size_t i)
{
    struct judged j = {.believed = true};

    if (!t->n_taken) {
        const struct said *s = &t->said.readings.at[i];
        j.f = figures_human(s->sys, s->dia, s->pulse);
        j.old = s->day != DAY_UNSAID && s->day < 0;
        return j;
    }
    const struct reading *x = reading_of(t->r, t->taken[i]);
    j.f = figures_human(x->sys, x->dia, x->pulse);
    j.reading = x->id;
    j.old = x->received - x->at > OLD_SEVERE || x->held & (HELD_DAYS | HELD_WHEN);
    bool before = came_before(t, x); /* a YES to an earlier number is no repeat of a later one */
    j.believed = !before && (x->standing != STANDING_HELD || x->held == HELD_OUTLIER);
    j.repeated = x->standing == STANDING_HELD && x->held & HELD_REPEAT;
    return j;
}

static bool any_severe(const struct turn *t)
{
    for (size_t i = 0; i < certain_count(t); i++)
        if (figures_severe(t, certain_at(t, i).f))
            return true;
    return doubtful_severe(t);
}

static bool lately(int64_t at, int64_t now)
{
    return at != INSTANT_NONE && now - at <= FLAG_AND_SEVERE;
}

/* -- flags --------------------------------------------------------------------------------------------------------- */

static const char *cause_of(uint32_t flags)
{
    for (size_t i = 0; i < sizeof red_flags / sizeof red_flags[0]; i++)
        if (flags & red_flags[i].flag)
            return flag_name(red_flags[i].index);
    return "unknown";
}

static void judge_red(struct turn *t, bool severe)
{
    uint32_t red = t->flags & RED_FLAGS;
    bool sign = expecting(t) && t->flags & (FLAG_PREGNANCY_SIGN | FLAG_HEADACHE | FLAG_VISION);

    if (!red && !(t->flags & FLAG_PREGNANCY_SIGN))
        return;
    alert_raise(t, ALERT_EMERGENCY, red ? cause_of(red) : "pregnancy_sign", ALERT_JOIN);
    if (severe || lately(t->r->course.last_severe, t->m->now))
        turn_worry(t, TEXT_W_SEVERE_FLAG);
    turn_worry(t, sign ? TEXT_W_PREGNANT_SIGN : TEXT_W_FLAG);
    t->r->course.last_flag = t->m->now;
    enum follow_kind k = t->r->course.follow.kind;
    if (k == FOLLOW_SEVERE || k == FOLLOW_DOUBTFUL) /* told to ring: nobody asks them to measure again */
        follow_flagged(t, t->r->course.follow.reading);
}

static void judge_self_harm(struct turn *t)
{
    if (!(t->flags & FLAG_SELF_HARM))
        return;
    alert_raise(t, ALERT_EMERGENCY, "self_harm", ALERT_JOIN);
    if (turn_worry(t, TEXT_W_SELF_HARM) && someone_on_call(t))
        say_part(&t->say, TEXT_W_SELF_HARM_TOLD);
}

/* -- readings ------------------------------------------------------------------------------------------------------ */

/* `came_down`: from severe. Told before or not, "that has come down" alone would reassure where nothing is well. */
static enum text_kind judge_pregnant(struct turn *t, struct figures f, bool came_down)
{
    if (!expecting(t) || figures_severe(t, f))
        return TEXT_NONE;
    if (f.sys >= PREGNANT_HIGH_SYS || f.dia >= PREGNANT_HIGH_DIA) {
        bool told = alert_open(t->r) && sent_within(t->r, TEXT_W_PREGNANT_HIGH, t->m->now, PREGNANT_TOLD);
        alert_raise(t, ALERT_URGENT, "pregnant_high", ALERT_JOIN);
        return told && !came_down ? TEXT_NONE : TEXT_W_PREGNANT_HIGH;
    }
    if (f.sys >= PREGNANT_DESK_SYS || f.dia >= PREGNANT_DESK_DIA)
        desk_open(t, DESK_PREGNANT, 2, "Pregnant or after birth: a reading at or above 135/85.");
    return TEXT_NONE;
}

/* The rows for severe, low and pulse, on each certain number in turn; what the last of them says is the reply. */
static void judge_readings(struct turn *t, bool flagged)
{
    enum text_kind severe = TEXT_NONE, pregnant = TEXT_NONE, low = TEXT_NONE, pulse = TEXT_NONE, k;

    for (size_t i = 0; i < certain_count(t); i++) {
        struct judged j = certain_at(t, i);
        if (j.repeated)
            continue;
        if (flagged && figures_severe(t, j.f)) {
            alert_raise(t, ALERT_EMERGENCY, "severe_flag", ALERT_JOIN);
            follow_flagged(t, j.reading);
            severe = TEXT_W_SEVERE_FLAG;
        } else if ((k = follow_severe(t, j.f, j.reading, j.old, j.believed)) != TEXT_NONE) {
            severe = k;
        }
        bool came_down = severe == TEXT_W_CAME_DOWN || severe == TEXT_W_CAME_DOWN_AGAIN;
        pregnant = (k = judge_pregnant(t, j.f, came_down)) != TEXT_NONE ? k : pregnant;
        low = (k = follow_low(t, j.f, j.reading, j.believed)) != TEXT_NONE ? k : low;
        pulse = (k = follow_pulse(t, j.f, j.reading)) != TEXT_NONE ? k : pulse;
    }
    if (severe == TEXT_W_CAME_DOWN || severe == TEXT_W_CAME_DOWN_AGAIN)
        turn_worry(t, pregnant); /* below the severe line is not well in pregnancy */
    if (low == TEXT_W_LOW || low == TEXT_W_LOW_PREGNANT)
        turn_worry(t, low); /* nor is a fall from severe to low */
    turn_worry(t, severe);
    turn_worry(t, pregnant);
    turn_worry(t, low);
    turn_worry(t, pulse);
}

static int64_t doubted_id(const struct turn *t, const struct said *s)
{
    for (uint16_t i = 0; i < t->n_doubted; i++) {
        const struct reading *x = reading_of(t->r, t->doubted[i]);
        if (x && x->sys == s->sys && x->dia == s->dia)
            return x->id;
    }
    return 0;
}

/* "Pulse 38", by itself: a pulse like any other. */
static void judge_lone_pulse(struct turn *t)
{
    for (unsigned i = 0; i < t->said.doubtful.n; i++) {
        const struct said *s = &t->said.doubtful.at[i];
        if (s->sys == SAID_NONE && s->dia == SAID_NONE)
            turn_worry(t, follow_pulse(t, figures_human(SAID_NONE, SAID_NONE, s->pulse), 0));
    }
}

/* If any way is severe or low, that reply goes with the question, and 30 minutes unanswered are urgent. */
static void judge_doubtful(struct turn *t, bool flagged)
{
    struct figures f[FIGURES_WAYS];
    enum text_kind say = TEXT_NONE;

    for (unsigned i = 0; i < t->said.doubtful.n; i++)
        for (int n = figures_ways(t, &t->said.doubtful.at[i], f); n-- > 0;) {
            bool severe = figures_severe(t, f[n]);
            if (!severe && !figures_lowish(f[n]) && !figures_low(t, f[n]))
                continue;
            if (severe)
                t->r->course.last_severe = t->m->now;
            if (severe && flagged)
                alert_raise(t, ALERT_EMERGENCY, "severe_flag", ALERT_JOIN);
            follow_doubtful(t, doubted_id(t, &t->said.doubtful.at[i]));
            if (say != TEXT_W_SEVERE_DOUBT && say != TEXT_W_SEVERE_FLAG)
                say = severe && flagged ? TEXT_W_SEVERE_FLAG : severe ? TEXT_W_SEVERE_DOUBT
                      : figures_low(t, f[n]) ? TEXT_W_LOW : TEXT_W_LOW_CHECK;
        }
    turn_worry(t, say);
}

/* -- the rest of the table ----------------------------------------------------------------------------------------- */

/* Numbers that keep readings, and may be told things that are no emergency. */
static bool looked_after(const struct turn *t)
{
    enum person_state s = t->r->person.state;
    return s == PERSON_JOINED || s == PERSON_PAUSED || s == PERSON_INVITED || s == PERSON_CLOSED;
}

/* "Feeling dizzy", within the hour of a reading that this makes low: as if both had come together. */
static void judge_low_before(struct turn *t)
{
    if (!t->flags || t->n_taken)
        return;
    for (size_t i = t->r->n_readings; i-- > 0;) {
        const struct reading *x = &t->r->readings[i];
        if (!lately(x->received, t->m->now) || !reading_stands(x) || x->doubt)
            continue;
        struct figures f = figures_human(x->sys, x->dia, x->pulse);
        if (figures_low(t, f))
            turn_worry(t, follow_low(t, f, x->id, true));
        return; /* the latest only */
    }
}

static void judge_symptoms(struct turn *t)
{
    if (!(t->flags & (FLAG_DIZZY | FLAG_PALPITATIONS | FLAG_FALL)) || t->flags & RED_FLAGS)
        return;
    desk_open(t, DESK_SYMPTOM, 1, "The patient told of dizziness, palpitations or a fall.");
    if (looked_after(t))
        turn_worry(t, TEXT_W_SYMPTOM);
}

/* Sittings with the irregular sign among the last six that had a reading; a sign told without a reading is one more. */
static int irregular_sittings(const struct turn *t)
{
    int32_t last = INT32_MIN;
    int sittings = 0, with = 0;
    bool counted = false;

    for (size_t i = t->r->n_readings; i-- > 0;) {
        const struct reading *x = &t->r->readings[i];
        int32_t key = x->day * 2 + (x->slot == SLOT_EVENING);
        if (key != last) {
            if (++sittings > SITTINGS_LOOKED_AT)
                break;
            last = key;
            counted = false;
        }
        if (x->technique & TECHNIQUE_IRREGULAR_SIGN && !counted) {
            counted = true;
            with++;
        }
    }
    return with + (t->n_taken == 0);
}

static void judge_irregular(struct turn *t)
{
    if (!(t->said.technique & TECHNIQUE_IRREGULAR_SIGN) || t->r->person.af || !looked_after(t) ||
        t->r->week.noted & NOTED_IRREGULAR || irregular_sittings(t) < IRREGULAR_SITTINGS)
        return;
    desk_open(t, DESK_IRREGULAR, 2, "The monitor's irregular-heartbeat sign in two of the last six sittings: check pulse.");
    if (t->r->week.id) {
        t->r->week.noted |= NOTED_IRREGULAR;
        care_put_week(t->r, t->out);
    }
    turn_worry(t, TEXT_W_IRREGULAR);
}

/* Over a week ago, or somebody else's: the same reply, the desk only. */
static void judge_past(struct turn *t)
{
    if (!(t->said.flags_past & (RED_FLAGS | FLAG_SELF_HARM)))
        return;
    desk_open(t, DESK_FLAG_PAST, 2, "A symptom said to be over a week old, or somebody else's.");
    turn_worry(t, t->said.flags_past & RED_FLAGS ? TEXT_W_FLAG : TEXT_W_SELF_HARM);
}

static void judge_medicine(struct turn *t)
{
    if (!(t->said.news & NEWS_MEDICINE))
        return;
    desk_open(t, DESK_MEDICINE, 0, "About medicine: ran out, missed, stopped, made ill by, or a question. Today.");
    if (looked_after(t))
        turn_reply(t, TEXT_MEDICINE);
}

static void judge_pregnancy_news(struct turn *t)
{
    if (!(t->flags & FLAG_PREGNANT) || t->r->person.pregnant || desk_has(t->r, DESK_PREGNANT))
        return;
    desk_open(t, DESK_PREGNANT, 1, "The patient says she is pregnant. Until you have decided, the pregnancy lines hold.");
    if (looked_after(t))
        turn_reply(t, TEXT_PREGNANT_THANKS);
}

void worry_judge(struct turn *t)
{
    bool flagged = t->flags & RED_FLAGS || lately(t->r->course.last_flag, t->m->now);

    judge_red(t, any_severe(t));
    judge_self_harm(t);
    judge_readings(t, flagged);
    judge_doubtful(t, flagged);
    judge_lone_pulse(t);
    judge_past(t);
    judge_low_before(t);
    judge_symptoms(t);
    judge_irregular(t);
    judge_medicine(t);
    judge_pregnancy_news(t);
}
