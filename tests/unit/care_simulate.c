/* Thousands of made-up patients over weeks: late, doubled, missing, out of order, corrected, severe, stopped, away,
 * through clock changes in several zones and outages, against what must always hold.
 *
 * A failure prints its seed; `SEED=n` plays that one patient again, `PATIENTS=n` changes how many, `FIRST=n` which.
 * Nobody here is real: all is drawn from a generator. Offsets are those of the IANA rules for 2026-09 to 2027-12.
 */
#include "care_hold.h"

enum { PATIENTS = 2500, WEEKS_EACH = 4 };

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

/* -- what patients do ---------------------------------------------------------------------------------------------- */

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
    case 10: return (struct heard){.away_from = (int16_t)(once_in(w, 3) ? among(w, 9) : 0), .away = (int16_t)(once_in(w, 2) ? 0 : (int)among(w, 30) - 1), .news = once_in(w, 40) ? NEWS_DIED : (1u << among(w, NEWS_COUNT)) & ~(unsigned)NEWS_DIED};
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
        bool desk = false, alert = r->n_alerts > 0; /* it joins an open one; or raised one, or is a row, by this text */
        for (size_t k = 0; k < w->p.n_desk; k++)
            desk |= (w->p.desk[k].kind == DESK_SEVERE || w->p.desk[k].kind == DESK_CAME_DOWN) && w->p.desk[k].text == text;
        for (size_t k = 0; k < w->p.n_alerts; k++)
            alert |= w->p.alerts[k].at == since;
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

/* -- what the staff do --------------------------------------------------------------------------------------------- */

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

/* -- one patient --------------------------------------------------------------------------------------------------- */

/* Some days before a clock change, with a reminder in the hour that is jumped over or comes twice. */
static void near_a_clock_change(struct world *w)
{
    struct person *p = &w->p.r.person;
    const struct offsets *o = &w->p.r.zone;
    int64_t change = o->at[1 + among(w, o->n - 1)].from;
    int16_t at = (int16_t)((civil_at(o, change - 1).minute + 1 + among(w, 60)) % 1440);

    w->p.now = w->p.r.person.state_since = change - (int64_t)(1 + among(w, 8)) * DAYS;
    p->remind_morning = at, p->remind_evening = (int16_t)((at + 720) % 1440);
    p->morning_from = (int16_t)((at + 1380) % 1440), p->morning_to = (int16_t)((at + 240) % 1440);
    p->evening_from = (int16_t)((at + 660) % 1440), p->evening_to = (int16_t)((at + 960) % 1440);
    p->quiet_from = (int16_t)((at + 1020) % 1440), p->quiet_to = (int16_t)((at + 1320) % 1440);
}

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
    if (once_in(w, 8) && p->r.zone.n > 1)
        near_a_clock_change(w);
    else if (once_in(w, 4)) {
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
            bool when = care_asks_when(&w->p.r, w->p.now) && once_in(w, 2);
            h = when ? (struct heard){.when = {120, 80, .day = ON_DAY(-among(w, 3)), .slot = (uint8_t)among(w, 3)}}
                     : (struct heard){.keyword = once_in(w, 2) ? KEYWORD_YES : KEYWORD_NO};
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
