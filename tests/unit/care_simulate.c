/* Thousands of made-up patients over weeks: late, doubled, missing, out of order, corrected, severe, stopped, away, through
 * clock changes in several zones and outages, against what must always hold.
 *
 * A failure prints its seed; `SEED=n` plays that one patient again, `PATIENTS=n` changes how many, `FIRST=n` which. Nobody here is real: all
 * is drawn from a generator. Offsets are those of the IANA rules for 2026-09 to 2027-12.
 */
#include "care_talk.h"

enum { PATIENTS = 2500, WEEKS_EACH = 4, PENDING = 256 };

static const struct zone {
    const char *name;
    struct offsets o;
} zones[] = {
    {"Europe/London", {4, {{0, 3600}, {1792890000, 0}, {1806195600, 3600}, {1824944400, 0}}}},
    {"America/New_York", {4, {{0, -14400}, {1793512800, -18000}, {1805007600, -14400}, {1825567200, -18000}}}},
    {"Asia/Kolkata", {1, {{0, 19800}}}},
    {"Australia/Lord_Howe", {4, {{0, 37800}, {1791041400, 39600}, {1806764400, 37800}, {1822491000, 39600}}}},
    {"America/Santiago", {4, {{0, -14400}, {1788667200, -10800}, {1806807600, -14400}, {1820116800, -10800}}}},
    {"Pacific/Kiritimati", {1, {{0, 50400}}}},
};
enum { ZONES = sizeof zones / sizeof *zones };

/* A severe reading that must be confirmed, unrepeated for 30 minutes, corrected, or flagged: each ends somewhere. */
struct pending {
    int64_t at, reading, text;
};

struct world {
    struct play p;
    uint64_t seed, rng;
    int16_t level;             /* the patient's own usual systolic */
    bool careful;              /* sends what is asked for */
    struct pending pending[PENDING];
    size_t n_pending;
    int64_t last_outage;       /* INSTANT_NONE; care could not look before it */
    int64_t last_numbers;      /* the last text that had any */
    size_t checked_sent;       /* rows of p.sent that have been checked */
    size_t texts, readings, alerts;
    char (*bodies)[BODY_MAX];
};

static struct texts *words;
static uint64_t seed_now;
static bool finished = true;
static size_t all_texts, all_readings, all_alerts, all_looks, all_weeks;

#define HOLDS(w, what)                                                                                                 \
    do {                                                                                                               \
        if (!(what))                                                                                                   \
            fail_msg("SEED=%llu: %s (instant %lld)", (unsigned long long)(w)->seed, #what, (long long)(w)->p.now);     \
    } while (0)

/* -- chance --------------------------------------------------------------------------------------------------------------------- */

static uint64_t draw(struct world *w)
{
    w->rng += 0x9E3779B97F4A7C15u; /* splitmix64, Steele et al. 2014 */
    uint64_t x = w->rng;
    x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9u;
    x = (x ^ (x >> 27)) * 0x94D049BB133111EBu;
    return x ^ (x >> 31);
}

static int among(struct world *w, int n)
{
    return (int)(draw(w) % (uint64_t)n);
}

static bool once_in(struct world *w, int n)
{
    return among(w, n) == 0;
}

static int16_t about(struct world *w, int x, int spread)
{
    return (int16_t)(x + among(w, spread) + among(w, spread) - spread + 1);
}

/* -- what must always hold ----------------------------------------------------------------------------------------------------------- */

static void counted_readings_are_accepted_and_of_the_week(struct world *w)
{
    const struct record *r = &w->p.r;
    struct week_result res;
    double sys = 0, dia = 0;
    int n = 0;

    if (!r->week.id)
        return;
    week_result(r, w->p.now, &res);
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (!reading_counted(r, x))
            continue;
        HOLDS(w, x->standing == STANDING_ACCEPTED);
        HOLDS(w, x->week == r->week.id);
        HOLDS(w, x->day >= r->week.first_day);
        HOLDS(w, r->week.last_day == DAY_NONE || x->day <= r->week.last_day);
        HOLDS(w, r->protocol.first_day_counted || x->day != r->week.first_day);
        HOLDS(w, x->dia > 0 && x->sys > x->dia);
        sys += x->sys;
        dia += x->dia;
        n++;
    }
    HOLDS(w, res.all.n == n);
    HOLDS(w, n == 0 || (fabs(res.all.sys - sys / n) < 1e-9 && fabs(res.all.dia - dia / n) < 1e-9));
}

static void a_question_is_about_held_readings_and_the_rest_is_on_the_desk(struct world *w)
{
    struct record *r = &w->p.r;
    const struct question *q = &r->course.question;

    for (uint8_t i = 0; i < q->n_readings; i++)
        if (q->kind != QUESTION_WHICH_READING && reading_of(r, q->readings[i]))
            HOLDS(w, reading_of(r, q->readings[i])->standing != STANDING_ASIDE);
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        bool seen = x->standing != STANDING_HELD || x->held & HELD_PRACTICE;
        for (uint8_t k = 0; k < q->n_readings && !seen; k++)
            seen = q->readings[k] == x->id;
        for (size_t k = 0; k < w->p.n_desk && !seen; k++)
            seen = w->p.desk[k].kind == DESK_HELD && w->p.desk[k].reading == x->id;
        HOLDS(w, seen);
    }
    for (size_t i = 0; i < r->n_desk; i++)
        if (r->desk[i].kind == DESK_HELD && reading_of(r, r->desk[i].reading))
            HOLDS(w, reading_of(r, r->desk[i].reading)->standing == STANDING_HELD);
}

static bool is_severe(const struct record *r, const struct reading *x)
{
    return r->protocol.severe_either_at ? x->sys >= 180 || x->dia >= 120 : x->sys > 180 || x->dia > 120;
}

/* A lower one stands after it in the same text: that is its repeat. */
static bool came_down_at_once(const struct record *r, const struct reading *x)
{
    for (size_t i = 0; i < r->n_readings; i++)
        if (r->readings[i].text == x->text && r->readings[i].id > x->id && !is_severe(r, &r->readings[i]))
            return true;
    return false;
}

static void severe_readings_end_somewhere(struct world *w)
{
    struct play *p = &w->p;

    for (size_t i = 0; i < w->n_pending; i++) {
        struct pending *s = &w->pending[i];
        struct reading *x = reading_of(&p->r, s->reading);
        bool settled = w->last_numbers > s->text || !x || !reading_stands(x) || came_down_at_once(&p->r, x);
        for (size_t k = 0; k < p->n_alerts && !settled; k++)
            settled = p->alerts[k].at >= s->at || p->alerts[k].resolved_at == INSTANT_NONE ||
                      p->alerts[k].resolved_at >= s->at;
        if (!settled && p->now < s->at + 30 * MINUTES)
            continue;
        HOLDS(w, settled);
        w->pending[i--] = w->pending[--w->n_pending];
    }
}

static bool silenced(enum person_state s)
{
    return s == PERSON_LEFT || s == PERSON_DECLINED || s == PERSON_DIED || s == PERSON_WRONG_NUMBER ||
           s == PERSON_WITHDRAWN;
}

static void say(struct world *w, size_t i)
{
    const struct outgoing *o = &w->p.sent[i];
    texts_say(words, &o->saying, &w->p.clinic, o->saying.language, w->bodies[i], BODY_MAX);
}

static bool asks_and_worries(const struct saying *s)
{
    bool worry = false, asks = false;
    for (uint8_t i = 0; i < s->n_parts; i++) {
        worry |= s->parts[i] >= TEXT_W_FLAG && s->parts[i] <= TEXT_W_NOBODY_YET;
        asks |= (s->parts[i] >= TEXT_Q_DISPLAY && s->parts[i] <= TEXT_Q_WHICH_READING) || s->parts[i] == TEXT_NOT_UNDERSTOOD;
    }
    return worry && asks;
}

static void a_text_fits_and_is_not_said_twice_in_a_minute(struct world *w, size_t i)
{
    const struct play *p = &w->p;
    const struct outgoing *o = &p->sent[i];
    int segments;

    say(w, i);
    segments = gsm_segments(w->bodies[i]);
    if (!o->saying.both_languages && segments > (asks_and_worries(&o->saying) ? 3 : 2))
        fail_msg("SEED=%llu: %d segments: %s", (unsigned long long)w->seed, segments, w->bodies[i]);
    for (size_t k = i; k-- > 0 && o->created - p->sent[k].created < DAYS;)
        if (to_patient(p, &p->sent[k]) && p->sent[k].state != OUTGOING_CANCELLED && llabs(o->due - p->sent[k].due) < 60 &&
            strcmp(w->bodies[i], w->bodies[k]) == 0)
            fail_msg("SEED=%llu: said twice in a minute: %s", (unsigned long long)w->seed, w->bodies[i]);
}

static void a_reminder_is_one_a_sitting_and_not_in_the_quiet(struct world *w, size_t i)
{
    const struct play *p = &w->p;
    const struct outgoing *o = &p->sent[i];
    bool reminder = o->kind == TEXT_REMIND_MORNING || o->kind == TEXT_REMIND_EVENING;

    if (o->unprompted)
        HOLDS(w, !quiet_now(&p->r, o->due));
    for (size_t k = i; k-- > 0 && reminder;)
        HOLDS(w, p->sent[k].kind != o->kind || p->sent[k].state == OUTGOING_CANCELLED ||
                     day_of(&p->r, p->sent[k].due) != day_of(&p->r, o->due));
}

static void what_was_sent_may_be_sent(struct world *w, enum person_state before)
{
    struct play *p = &w->p;
    enum person_state s = p->r.person.state;

    for (; w->checked_sent < p->n_sent; w->checked_sent++) {
        const struct outgoing *o = &p->sent[w->checked_sent];
        if (!to_patient(p, o))
            continue;
        if (silenced(s) && silenced(before) && s == before)
            if (o->class_ != CLASS_WORRY || o->unprompted)
                fail_msg("SEED=%llu: sent in silence: %s", (unsigned long long)w->seed, text_kind_name(o->kind));
        if (s == PERSON_INVITED && before == PERSON_INVITED)
            HOLDS(w, o->class_ != CLASS_REMINDER);
        if (silenced(s) && o->unprompted)
            HOLDS(w, o->state == OUTGOING_CANCELLED || o->state == OUTGOING_SENT || o->due <= p->now);
        a_text_fits_and_is_not_said_twice_in_a_minute(w, w->checked_sent);
        a_reminder_is_one_a_sitting_and_not_in_the_quiet(w, w->checked_sent);
    }
}

static void an_ended_week_has_its_summaries(struct world *w)
{
    const struct week *k = &w->p.r.week;
    size_t n = 0;

    if (k->state != WEEK_COMPLETE && k->state != WEEK_SHORT)
        return;
    for (size_t i = 0; i < w->p.n_sent; i++)
        n += w->p.sent[i].class_ == CLASS_SUMMARY && w->p.sent[i].week == k->id;
    HOLDS(w, n <= 3u * (size_t)k->version);
    HOLDS(w, n == 3u * (size_t)k->version || k->sent_at == INSTANT_NONE || k->version > 1);
}

static void hold(struct world *w, enum person_state before)
{
    counted_readings_are_accepted_and_of_the_week(w);
    a_question_is_about_held_readings_and_the_rest_is_on_the_desk(w);
    severe_readings_end_somewhere(w);
    what_was_sent_may_be_sent(w, before);
    an_ended_week_has_its_summaries(w);
}

/* -- what patients do -------------------------------------------------------------------------------------------------------------------- */

static struct number measure(struct world *w)
{
    struct number n = {.sys = about(w, w->level, 9), .dia = about(w, w->level * 5 / 8, 6), .pulse = about(w, 72, 8)};
    int what = among(w, 60);

    if (what == 0)
        n.sys = about(w, 195, 20), n.dia = about(w, 112, 12);
    else if (what == 1)
        n.sys = about(w, 84, 8), n.dia = about(w, 50, 6);
    else if (what == 2)
        n.pulse = about(w, 140, 12);
    else if (what == 3)
        n.dia = about(w, 38, 4);
    else if (what == 4)
        n.pulse = 0;
    if (once_in(w, 12))
        n.clock = CLOCK(among(w, 24), among(w, 60));
    if (once_in(w, 12))
        n.slot = (uint8_t)(1 + among(w, 2));
    if (once_in(w, 15))
        n.day = ON_DAY(-among(w, 4));
    if (once_in(w, 40))
        n.arm = (uint8_t)(1 + among(w, 2));
    if (once_in(w, 60))
        n.posture = (uint8_t)(1 + among(w, 2));
    return n;
}

static struct heard doubtful(struct world *w)
{
    static const uint8_t doubts[] = {DOUBT_SWAPPED, DOUBT_UNCERTAIN, DOUBT_NOT_OWN, DOUBT_OUT_OF_RANGE, DOUBT_ONE_NUMBER,
                                     DOUBT_PAIRING, DOUBT_UNREADABLE};
    struct heard h = {.d = {measure(w)}};

    h.d[0].doubt = doubts[among(w, 7)];
    if (h.d[0].doubt == DOUBT_SWAPPED) {
        int16_t sys = h.d[0].sys;
        h.d[0].sys = h.d[0].dia, h.d[0].dia = sys;
    } else if (h.d[0].doubt == DOUBT_ONE_NUMBER) {
        h.d[0].dia = 0;
    } else if (h.d[0].doubt == DOUBT_OUT_OF_RANGE) {
        h.d[0].dia = (int16_t)(h.d[0].dia * 10);
    }
    if (once_in(w, 3))
        h.r[0] = measure(w);
    return h;
}

static struct heard remark(struct world *w)
{
    switch (among(w, 14)) {
    case 0: return (struct heard){.keyword = KEYWORD_YES};
    case 1: return (struct heard){.keyword = KEYWORD_NO};
    case 2: return (struct heard){.keyword = KEYWORD_HELP};
    case 3: return (struct heard){.keyword = once_in(w, 4) ? KEYWORD_STOP : KEYWORD_START};
    case 4: return (struct heard){.asks = true};
    case 5: return (struct heard){.picture = true};
    case 6: return (struct heard){.wordless = true};
    case 7: return (struct heard){.flags = 1u << among(w, FLAG_COUNT)};
    case 8: return (struct heard){.past = 1u << among(w, FLAG_COUNT)};
    case 9: return (struct heard){.technique = 1u << among(w, TECHNIQUE_COUNT)};
    case 10: return (struct heard){.news = once_in(w, 40) ? NEWS_DIED : (1u << among(w, NEWS_COUNT)) & ~(unsigned)NEWS_DIED};
    case 11: return (struct heard){.arm = 20 + among(w, 36), .cuff = {22, 32 + among(w, 11)}};
    case 12: return (struct heard){.foreign = true, .asks = true};
    default: return (struct heard){.amend = AMEND_VOID};
    }
}

static struct heard correction(struct world *w)
{
    struct heard h = {.amend = AMEND_CORRECT};

    if (!once_in(w, 4))
        h.r[0] = measure(w);
    if (w->p.r.n_readings && !once_in(w, 3)) {
        const struct reading *x = &w->p.r.readings[among(w, (int)w->p.r.n_readings)];
        h.rejected[0] = (struct number){.sys = x->sys, .dia = once_in(w, 2) ? x->dia : 0};
    }
    return h;
}

static void note_severe(struct world *w, int64_t text, int64_t since)
{
    const struct record *r = &w->p.r;

    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (x->text != text || !is_severe(r, x) || x->doubt || x->held & HELD_REPEAT || x->sys > 300)
            continue;
        bool desk = false, alert = false;
        for (size_t k = 0; k < w->p.n_desk; k++)
            desk |= w->p.desk[k].kind == DESK_SEVERE || w->p.desk[k].kind == DESK_CAME_DOWN;
        for (size_t k = 0; k < w->p.n_alerts; k++)
            alert |= w->p.alerts[k].at <= w->p.now && (w->p.alerts[k].at >= since - 12 * HOURS);
        HOLDS(w, desk || alert);
        HOLDS(w, w->n_pending < PENDING);
        if (!came_down_at_once(r, x))
            w->pending[w->n_pending++] = (struct pending){.at = w->p.now, .reading = x->id, .text = text};
    }
}

/* A replay tells what happens. */
static void trace(const struct world *w, const struct heard *h, int64_t id)
{
    const struct record *r = &w->p.r;
    const struct outgoing *o = play_reply(&w->p, id);

    if (!getenv("SEED"))
        return;
    print_message("%lld %d/%d/%d d %d/%d doubt %x flags %x past %x news %x key %d amend %d: %s (%s) follow %d question %d"
                  " alerts %zu state %d week %d\n",
                  (long long)w->p.now, h->r[0].sys, h->r[0].dia, h->r[0].pulse, h->d[0].sys, h->d[0].dia, h->d[0].doubt,
                  h->flags, h->past, h->news, (int)h->keyword, (int)h->amend, o ? text_kind_name(o->kind) : "-",
                  play_outcome(&w->p, id), (int)r->course.follow.kind, (int)r->course.question.kind, r->n_alerts,
                  (int)r->person.state, (int)r->week.state);
}

static void text(struct world *w, const struct heard *h)
{
    enum person_state before = w->p.r.person.state;
    int64_t now = w->p.now;

    if (w->p.n_sent > PLAY_SENT - 200 || w->p.n_desk > PLAY_DESK - 50)
        return;
    int64_t id = play_text(&w->p, h);
    HOLDS(w, play_outcome(&w->p, id) && play_outcome(&w->p, id)[0]);
    HOLDS(w, (play_reply(&w->p, id) != NULL) == (strcmp(play_outcome(&w->p, id), "answered") == 0));
    w->texts++;
    trace(w, h, id);
    if (h->r[0].sys || h->d[0].sys)
        w->last_numbers = id;
    note_severe(w, id, now);
    hold(w, before);
}

static void sit(struct world *w)
{
    int n = among(w, 10);
    struct heard h = {0};

    if (n == 0)
        return;
    if (n < 4) { /* both in one text, or more */
        for (int i = 0; i < 1 + n && i < SAID_MOST; i++)
            h.r[i] = measure(w);
        text(w, &h);
        return;
    }
    for (int i = 0; i < 2; i++) {
        h = once_in(w, 15) ? doubtful(w) : (struct heard){.r = {measure(w)}};
        if (once_in(w, 20))
            h.delayed = 1 + among(w, 2000);
        if (once_in(w, 10))
            h.technique = 1u << among(w, TECHNIQUE_COUNT);
        text(w, &h);
        if (once_in(w, 25)) { /* a carrier or a patient repeats themselves */
            play_clock(&w->p, w->p.now + 1 + among(w, 100));
            play_to(&w->p, w->p.now);
            text(w, &h);
        }
        if (once_in(w, 12)) {
            h = correction(w);
            text(w, &h);
        }
        play_wait(&w->p, 1 + among(w, 6));
    }
}

/* -- what the staff do ------------------------------------------------------------------------------------------------------------------- */

static void staff(struct world *w)
{
    struct play *p = &w->p;
    enum person_state before = p->r.person.state;

    while (p->r.n_alerts && !once_in(w, 6)) {
        struct care_action a = {.kind = ACTION_RESOLVE, .id = p->r.alerts[0].id, .note = "rang"};
        play_act(p, a);
    }
    for (size_t i = 0; i < p->r.n_readings; i++)
        if (p->r.readings[i].standing == STANDING_HELD && once_in(w, 8)) {
            struct care_action a = {.kind = once_in(w, 2) ? ACTION_ACCEPT : ACTION_VOID, .id = p->r.readings[i].id,
                                    .version = -1, .note = "asked her"};
            play_act(p, a);
        }
    static const enum care_action_kind acts[] = {ACTION_EXTEND, ACTION_END_WEEK, ACTION_REVIEW, ACTION_NEW_WEEK,
                                                 ACTION_PAUSE, ACTION_RESUME, ACTION_STOP, ACTION_CONSENT, ACTION_CLOSE,
                                                 ACTION_INVITE_AGAIN, ACTION_WITHDRAW, ACTION_DIED};
    if (once_in(w, 12)) {
        struct care_action a = {.kind = acts[among(w, once_in(w, 8) ? 12 : 6)], .days = 1, .note = "so"};
        play_act(p, a);
    }
    if (p->r.n_desk && once_in(w, 3)) {
        struct desk_row row = p->r.desk[among(w, (int)p->r.n_desk)];
        if (row.kind != DESK_HELD) {
            struct care_action a = {.kind = ACTION_DONE, .id = row.id, .version = -1};
            play_act(p, a);
        }
    }
    hold(w, before);
}

/* -- one patient ---------------------------------------------------------------------------------------------------------------------------- */

static void begin(struct world *w, uint64_t seed)
{
    struct play *p = &w->p;

    memset(w, 0, sizeof *w);
    w->seed = w->rng = seed;
    w->last_outage = INSTANT_NONE;
    play_begin(p);
    w->bodies = malloc(sizeof *w->bodies * PLAY_SENT);
    p->random = draw(w);
    p->r.zone = p->r.clinic_zone = zones[among(w, ZONES)].o;
    p->now = 1791000000 + (int64_t)among(w, 230) * DAYS + (int64_t)among(w, DAYS);
    p->r.person.state_since = p->now;
    w->level = (int16_t)(110 + among(w, 60));
    p->clinic.hold_start = once_in(w, 6);
    p->clinic.bilingual = once_in(w, 6);
    p->r.person.af = once_in(w, 10);
    p->r.person.carer = once_in(w, 10);
    p->r.person.on_arm = (uint8_t)among(w, 3);
    p->r.person.pregnant = once_in(w, 20);
    if (once_in(w, 3))
        p->r.protocol.first_day_counted = true, p->r.protocol.severe_either_at = false;
    if (once_in(w, 4)) {
        int16_t wake = (int16_t)(60 * among(w, 24)), bed = (int16_t)((wake + 60 * (11 + among(w, 5))) % 1440);
        p->r.person.morning_from = wake, p->r.person.morning_to = (int16_t)((wake + 300) % 1440);
        p->r.person.evening_from = bed, p->r.person.evening_to = (int16_t)((bed + 300) % 1440);
        p->r.person.remind_morning = (int16_t)((wake + 60) % 1440);
        p->r.person.remind_evening = (int16_t)((bed + 60) % 1440);
        p->r.person.quiet_from = (int16_t)((bed + 360) % 1440), p->r.person.quiet_to = wake;
    }
    if (!once_in(w, 20)) /* some are nobody's number all along */
        play_enrol(p, !once_in(w, 3));
    hold(w, PERSON_INVITED);
}

static void pass(struct world *w, int minutes)
{
    enum person_state before = w->p.r.person.state;

    if (once_in(w, 60)) {
        play_outage(&w->p, w->p.now + (int64_t)(minutes + among(w, 4000)) * MINUTES);
        w->last_outage = w->p.now;
    } else {
        play_wait(&w->p, minutes);
    }
    hold(w, before);
}

/* Most who have ended or left are begun again, so that weeks go on being played. */
static void begin_anew(struct world *w)
{
    struct play *p = &w->p;
    enum person_state s = p->r.person.state, before = s;

    if (week_ended(&p->r) && (s == PERSON_JOINED || s == PERSON_CLOSED) && once_in(w, 3))
        play_act(p, (struct care_action){.kind = ACTION_NEW_WEEK});
    else if ((s == PERSON_WITHDRAWN || s == PERSON_DECLINED) && once_in(w, 4))
        play_act(p, (struct care_action){.kind = ACTION_CONSENT});
    else if (s == PERSON_DIED && once_in(w, 4))
        play_act(p, (struct care_action){.kind = ACTION_RESUME});
    hold(w, before);
    if (s == PERSON_LEFT && once_in(w, 4))
        text(w, &(struct heard){.keyword = KEYWORD_START});
}

static void live(struct world *w)
{
    int64_t until = w->p.now + WEEKS_EACH * 7 * DAYS;

    while (w->p.now < until && w->p.n_sent < PLAY_SENT / 2) {
        struct heard h = remark(w);
        sit(w);
        if (once_in(w, 4))
            text(w, &h);
        if (w->p.r.course.question.kind != QUESTION_NONE && once_in(w, 2)) {
            h = (struct heard){.keyword = once_in(w, 2) ? KEYWORD_YES : KEYWORD_NO};
            text(w, &h);
        }
        pass(w, 5 + among(w, 40));
        if (once_in(w, 2))
            staff(w);
        begin_anew(w);
        pass(w, 200 + among(w, 800));
    }
}

static void play_one(uint64_t seed)
{
    static struct world w;

    seed_now = seed;
    finished = false;
    begin(&w, seed);
    live(&w);
    HOLDS(&w, w.p.looks < (size_t)(WEEKS_EACH * 7 + 20) * 40); /* a look finds something to do, or the next is later */
    all_texts += w.texts;
    all_readings += w.p.r.n_readings;
    all_alerts += w.p.n_alerts;
    all_looks += w.p.looks;
    all_weeks += WEEKS_EACH;
    free(w.bodies);
    play_end(&w.p);
    finished = true;
}

static void what_must_hold_holds_for_thousands_of_patients(void **state)
{
    (void)state;
    const char *seed = getenv("SEED"), *n = getenv("PATIENTS"), *first = getenv("FIRST");
    long patients = n ? strtol(n, NULL, 10) : PATIENTS;

    if (seed) {
        play_one(strtoull(seed, NULL, 10));
        return;
    }
    for (long i = 0; i < patients; i++)
        play_one(1000003u * ((uint64_t)i + (first ? strtoull(first, NULL, 10) : 0)) + 17);
    print_message("%zu patient-weeks, %zu texts, %zu readings, %zu alerts, %zu looks\n", all_weeks, all_texts, all_readings,
                  all_alerts, all_looks);
}

static int words_open(void **state)
{
    char why[256];
    (void)state;
    return texts_open(&words, NULL, 0, why, sizeof why);
}

static int words_close(void **state)
{
    (void)state;
    if (!finished)
        print_error("replay with SEED=%llu\n", (unsigned long long)seed_now);
    texts_close(words);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(what_must_hold_holds_for_thousands_of_patients)};
    return cmocka_run_group_tests(tests, words_open, words_close);
}
