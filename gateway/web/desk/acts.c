/* Acts: what can be done with a patient's week and taking part, one small form each; and a telephoned reading.
 *
 * Which are offered follows from where the patient is; whether one may still be done is decided by care when it is done.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum need { NEED_NOTHING, NEED_NOTE, NEED_DAYS, NEED_UNTIL };

static const struct act {
    const char *path;
    enum care_action_kind kind;
    enum need need;
    unsigned roles;
    uint32_t persons;                  /* bits of the person's states in which it is offered; 0 any but a stranger */
    enum { ANY_WEEK, RUNNING_WEEK, ENDED_WEEK, NO_RUNNING_WEEK } week;
    enum word title, button, hint;     /* hint: of its field */
} acts[] = {
#define IN(NAME) (1u << PERSON_##NAME)
    {"/review", ACTION_REVIEW, NEED_NOTE, ROLE_CLINICIAN, 0, ENDED_WEEK, WORD_ACT_REVIEW, WORD_REVIEWED_BUTTON,
     WORD_ACT_REVIEW_HINT},
    {"/extend", ACTION_EXTEND, NEED_DAYS, ROLE_CARE, IN(JOINED) | IN(PAUSED), RUNNING_WEEK, WORD_ACT_EXTEND,
     WORD_ACT_EXTEND_BUTTON, WORD_NONE},
    {"/end-week", ACTION_END_WEEK, NEED_NOTHING, ROLE_CLINICIAN, 0, RUNNING_WEEK, WORD_ACT_END, WORD_ACT_END_BUTTON,
     WORD_ACT_END_HINT},
    {"/new-week", ACTION_NEW_WEEK, NEED_NOTHING, ROLE_CARE, IN(JOINED) | IN(PAUSED) | IN(CLOSED), NO_RUNNING_WEEK,
     WORD_ACT_NEW, WORD_ACT_NEW_BUTTON, WORD_ACT_NEW_HINT},
    {"/pause", ACTION_PAUSE, NEED_UNTIL, ROLE_CARE, IN(JOINED), ANY_WEEK, WORD_ACT_PAUSE, WORD_ACT_PAUSE_BUTTON, WORD_NONE},
    {"/resume", ACTION_RESUME, NEED_NOTHING, ROLE_CARE, IN(PAUSED) | IN(DIED), ANY_WEEK, WORD_ACT_RESUME,
     WORD_ACT_RESUME_BUTTON, WORD_ACT_RESUME_HINT},
    {"/consent", ACTION_CONSENT, NEED_NOTHING, ROLE_CARE,
     IN(INVITED) | IN(DECLINED) | IN(LEFT) | IN(WITHDRAWN) | IN(CLOSED), ANY_WEEK, WORD_ACT_CONSENT, WORD_ACT_CONSENT_BUTTON,
     WORD_ACT_CONSENT_HINT},
    {"/invite-again", ACTION_INVITE_AGAIN, NEED_NOTHING, ROLE_CARE, IN(INVITED), ANY_WEEK, WORD_ACT_INVITE,
     WORD_ACT_INVITE_BUTTON, WORD_NONE},
    {"/stop", ACTION_STOP, NEED_NOTHING, ROLE_CARE, IN(INVITED) | IN(JOINED) | IN(PAUSED), ANY_WEEK, WORD_ACT_STOP,
     WORD_ACT_STOP_BUTTON, WORD_ACT_STOP_HINT},
    {"/withdraw", ACTION_WITHDRAW, NEED_NOTHING, ROLE_CARE, IN(INVITED) | IN(JOINED) | IN(PAUSED) | IN(LEFT) | IN(CLOSED),
     ANY_WEEK, WORD_ACT_WITHDRAW, WORD_ACT_WITHDRAW_BUTTON, WORD_ACT_WITHDRAW_HINT},
    {"/died", ACTION_DIED, NEED_NOTHING, ROLE_CARE, IN(INVITED) | IN(JOINED) | IN(PAUSED) | IN(LEFT) | IN(CLOSED), ANY_WEEK,
     WORD_ACT_DIED, WORD_ACT_DIED_BUTTON, WORD_ACT_DIED_HINT},
    {"/close", ACTION_CLOSE, NEED_NOTHING, ROLE_CLINICIAN, IN(INVITED) | IN(JOINED) | IN(PAUSED) | IN(LEFT) | IN(DECLINED),
     ANY_WEEK, WORD_ACT_CLOSE, WORD_ACT_CLOSE_BUTTON, WORD_ACT_CLOSE_HINT},
};
static const size_t n_acts = sizeof acts / sizeof *acts;

/* -- offering ------------------------------------------------------------------------------------------------------------------- */

static bool offered(const struct page *p, const struct record *r, const struct act *a)
{
    const struct week *w = &r->week;
    bool ended = w->id && (w->state == WEEK_COMPLETE || w->state == WEEK_SHORT);
    bool running = w->id && !ended && w->state != WEEK_CLOSED;
    if (!(a->roles & p->role) || r->person.state == PERSON_STRANGER)
        return false;
    if (a->persons && !(a->persons & 1u << r->person.state))
        return false;
    return a->week == ANY_WEEK || (a->week == RUNNING_WEEK && running && w->first_day != DAY_NONE) ||
           (a->week == ENDED_WEEK && ended && w->reviewed_at == INSTANT_NONE) || (a->week == NO_RUNNING_WEEK && !running);
}

static void need_write(struct page *p, const struct act *a)
{
    char local[MOMENT], id[40];
    snprintf(id, sizeof id, "for-%s", a->path + 1);
    if (a->need == NEED_NOTE)
        field_write(p, &(struct control){.name = "note", .id = id, .label = WORD_OUTCOME, .hint = a->hint, .rows = 3,
                                         .needed = true});
    else if (a->need == NEED_DAYS)
        field_write(p, &(struct control){.name = "days", .id = id, .label = WORD_DAYS_MORE, .type = "number", .value = "1",
                                         .size = 3, .needed = true});
    else if (a->need == NEED_UNTIL)
        field_write(p, &(struct control){.name = "until", .id = id, .label = WORD_PAUSE_UNTIL, .type = "datetime-local",
                                         .value = local_write(p->clinic, p->now + 7 * 86400, local), .needed = true});
    else if (a->hint) {
        raw(p, "<p class=\"hint\">");
        text(p, word(a->hint));
        raw(p, "</p>\n");
    }
}

static void act_write(struct page *p, const struct act *a)
{
    raw(p, "<section>\n<h3>");
    text(p, word(a->title));
    raw(p, "</h3>\n");
    form_begin(p, "/desk/patient/", p->person.id, a->path);
    need_write(p, a);
    form_end(p, a->button, a->kind == ACTION_REVIEW ? "main" : "");
    raw(p, "</section>\n");
}

static void erase_write(struct page *p)
{
    raw(p, "<section>\n<h3>");
    say(p, ERASE);
    raw(p, "</h3>\n");
    form_begin(p, "/desk/patient/", p->person.id, "/erase");
    field_write(p, &(struct control){.name = "ref", .id = "for-erase", .label = WORD_ERASE_REF, .hint = WORD_ERASE_HINT,
                                     .value = "", .autocomplete = "off", .needed = true});
    form_end(p, WORD_ERASE_BUTTON, "");
    raw(p, "</section>\n");
}

/* The review stands open; the rest is behind a fold. */
void acts_write(struct page *p, const struct record *r)
{
    bool some = p->role & ROLE_ADMIN && r->person.ref[0];
    raw(p, "<div id=\"review\">");
    for (size_t i = 0; i < n_acts; i++) {
        bool review = acts[i].kind == ACTION_REVIEW;
        if (offered(p, r, &acts[i]) && review)
            act_write(p, &acts[i]);
        some = some || (offered(p, r, &acts[i]) && !review);
    }
    raw(p, "</div>\n");
    if (!some)
        return;
    char open[4];
    raw(p, "<details id=\"acts\"");
    if (query_value(p, "acts", open, sizeof open)[0])
        raw(p, " open");
    raw(p, "><summary>");
    say(p, MORE_ACTS);
    raw(p, "</summary>\n<div class=\"side\">\n");
    for (size_t i = 0; i < n_acts; i++)
        if (acts[i].kind != ACTION_REVIEW && offered(p, r, &acts[i]))
            act_write(p, &acts[i]);
    if (p->role & ROLE_ADMIN && r->person.ref[0])
        erase_write(p);
    raw(p, "</div></details>\n");
}

/* -- doing ------------------------------------------------------------------------------------------------------------------------ */

void patient_act(struct page *p, struct care_action *a, const char *said)
{
    patient_change(p, a, -1, said);
}

void patient_change(struct page *p, struct care_action *a, int32_t version, const char *said)
{
    char to[96], back[64];
    bool answered;
    a->version = version;
    snprintf(back, sizeof back, "/desk/patient/%lld", (long long)p->person.id);
    snprintf(to, sizeof to, "%s?said=%s", back, said);
    enum care_answer answer = page_act(p, p->person.id, a, &answered);
    if (!answered)
        acted(p, answer, to, back);
}

static const struct act *act_named(const struct page *p)
{
    const char *last = strrchr(p->route->path, '/');
    for (size_t i = 0; i < n_acts; i++)
        if (strcmp(acts[i].path, last) == 0)
            return &acts[i];
    return NULL;
}

static enum word need_read(struct page *p, const struct act *act, struct care_action *a)
{
    char until[32];
    int64_t days = form_number(p, "days", 0);
    switch (act->need) {
    case NEED_NOTE:
        return note_needed(p, "note", a->note, sizeof a->note) ? WORD_NONE : WORD_OUTCOME_MISSING;
    case NEED_DAYS:
        a->days = (int16_t)(days < 1 || days > WEEK_DAYS_MAX ? 0 : days);
        return a->days ? WORD_NONE : WORD_DAYS_WRONG;
    case NEED_UNTIL:
        form_value(p, "until", until, sizeof until);
        return local_read(p->clinic, until, &a->until) && a->until > p->now ? WORD_NONE : WORD_PUT_OFF_WRONG;
    default:
        return WORD_NONE;
    }
}

void patient_act_do(struct page *p)
{
    const struct act *act = act_named(p);
    struct care_action a = {.kind = act->kind};
    enum word fault = need_read(p, act, &a);
    if (fault)
        patient_again(p, fault);
    else
        patient_act(p, &a, "done");
}

/* -- a telephoned reading ----------------------------------------------------------------------------------------------------------- */

static void add_show(struct page *p, enum word fault)
{
    char who[REF_MAX + NAME_MAX_BYTES + 8];
    page_begin(p, WORD_ADD_TITLE, person_words(&p->person, who, sizeof who));
    fault_write(p, fault);
    raw(p, "<p>");
    person_link(p, &p->person);
    raw(p, "</p>\n<p class=\"note attention\">");
    say(p, ADD_WARNING);
    raw(p, "</p>\n");
    form_begin(p, "/desk/patient/", p->person.id, "/add");
    reading_fields(p);
    field_write(p, &(struct control){.name = "note", .label = WORD_REASON, .hint = WORD_ADD_HINT, .needed = true});
    form_end(p, WORD_ADD_BUTTON, "main");
    zone_note(p, p->clinic);
    page_end(p);
}

void add_page(struct page *p)
{
    add_show(p, WORD_NONE);
}

void add_do(struct page *p)
{
    struct care_action a = {.kind = ACTION_ADD};
    enum word fault = reading_read(p, &a);
    if (!fault && !note_needed(p, "note", a.note, sizeof a.note))
        fault = WORD_REASON_MISSING;
    if (fault)
        add_show(p, fault);
    else
        patient_act(p, &a, "added");
}

/* -- erasing ---------------------------------------------------------------------------------------------------------------------- */

struct erasing {
    int64_t person;
    const char *who;
    bool open;
    char (*went)[TARGET_MAX];       /* where summaries went: those copies are not ours to remove */
    size_t n_went;
};

static int erase_write_call(struct db *db, int64_t now, void *what)
{
    struct erasing *e = what;
    (void)now;
    free(e->went); /* it may be tried twice */
    int error = summaries_went(db, e->person, &e->went, &e->n_went);
    return error ? error : person_erase(db, e->person, e->who, &e->open);
}

static void erased_show(struct page *p, const struct erasing *e)
{
    page_begin(p, WORD_ERASED, NULL);
    raw(p, "<p class=\"note settled\" role=\"status\">");
    text(p, word(e->n_went ? WORD_ERASED_WENT : WORD_ERASED_NOWHERE));
    raw(p, "</p>\n");
    if (e->n_went)
        raw(p, "<ul>\n");
    for (size_t i = 0; i < e->n_went; i++) {
        raw(p, "<li>");
        name(p, e->went[i]);
        raw(p, "</li>\n");
    }
    if (e->n_went)
        raw(p, "</ul>\n");
    raw(p, "<p>");
    link_to(p, "/desk/patients", 0, "", word(WORD_PATIENTS));
    raw(p, "</p>\n");
    page_end(p);
}

void erase_do(struct page *p)
{
    char ref[REF_MAX];
    struct erasing e = {.person = p->person.id, .who = p->me.user};
    form_value(p, "ref", ref, sizeof ref);
    if (!p->person.ref[0] || strcmp(ref, p->person.ref) != 0)
        patient_again(p, WORD_ERASE_WRONG);
    else if (!desk_call(p->desk, erase_write_call, &e))
        page_unstored(p);
    else if (e.open)
        patient_again(p, WORD_ERASE_OPEN);
    else
        erased_show(p, &e);
    free(e.went);
}
