/* Details: what is known of a patient as a form, for enrolling and for editing. Each field is an option of `enrol`, read by
 * the same reader, so that the command, the roster and the desk take and refuse the same.
 *
 * Editing never overwrites: the form carries a mark of the row as it was shown, and care refuses another.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/enrolment.h"

enum { OPTIONS = 32, VALUE = 128 };

enum kind { KIND_TEXT, KIND_DATE, KIND_TIME, KIND_YES, KIND_CHOICE };

static const struct choice languages[] = {{"en", WORD_ENGLISH}, {"es", WORD_SPANISH}};
static const struct choice senders[] = {{"self", WORD_SELF}, {"carer", WORD_CARER}};
static const struct choice answers[] = {{"unknown", WORD_NOT_KNOWN}, {"yes", WORD_YES}, {"no", WORD_NO}};
static const struct choice arms[] = {{"", WORD_NOT_KNOWN}, {"left", WORD_LEFT_ARM}, {"right", WORD_RIGHT_ARM}};
static const struct choice rhythms[] = {{"", WORD_NOT_KNOWN}, {"af", WORD_RHYTHM_AF}};
#define CHOICES(list) KIND_CHOICE, list, sizeof(list) / sizeof *(list)

/* In the order of the form; a title begins a group. "medicine-changed" is of the desk alone. */
static const struct detail {
    const char *option;
    enum word title, label, hint;
    enum kind kind;
    const struct choice *choices;
    size_t n_choices;
    bool enrol_only;
} details[] = {
    {"ref", WORD_NONE, WORD_REFERENCE, WORD_REFERENCE_HINT, KIND_TEXT},
    {"phone", WORD_NONE, WORD_PHONE, WORD_PHONE_HINT, KIND_TEXT},
    {"name", WORD_NONE, WORD_NAME, WORD_NAME_HINT, KIND_TEXT},
    {"born", WORD_NONE, WORD_BORN, WORD_NONE, KIND_DATE},
    {"joined", WORD_NONE, WORD_JOINED, WORD_JOINED_HINT, KIND_YES, .enrol_only = true},
    {"language", WORD_NONE, WORD_LANGUAGE, WORD_NONE, CHOICES(languages)},
    {"arm", WORD_GROUP_EQUIPMENT, WORD_ARM, WORD_ARM_HINT, KIND_TEXT},
    {"cuff", WORD_NONE, WORD_CUFF, WORD_CUFF_HINT, KIND_TEXT},
    {"monitor", WORD_NONE, WORD_MONITOR, WORD_MONITOR_HINT, KIND_TEXT},
    {"validated", WORD_NONE, WORD_VALIDATED, WORD_NONE, CHOICES(answers)},
    {"on-arm", WORD_NONE, WORD_ARM_USED, WORD_NONE, CHOICES(arms)},
    {"office", WORD_GROUP_CLINICAL, WORD_OFFICE, WORD_OFFICE_HINT, KIND_TEXT},
    {"treated", WORD_NONE, WORD_TREATED, WORD_NONE, CHOICES(answers)},
    {"medicine-changed", WORD_NONE, WORD_MEDICINE_CHANGED, WORD_MEDICINE_CHANGED_HINT, KIND_DATE},
    {"rhythm", WORD_NONE, WORD_RHYTHM, WORD_NONE, CHOICES(rhythms)},
    {"pregnant", WORD_NONE, WORD_PREGNANT_DUE, WORD_PREGNANT_HINT, KIND_DATE},
    {"birth", WORD_NONE, WORD_BIRTH, WORD_NONE, KIND_DATE},
    {"protocol", WORD_NONE, WORD_PROTOCOL, WORD_PROTOCOL_HINT, KIND_TEXT},
    {"start", WORD_GROUP_TIMES, WORD_START, WORD_START_HINT, KIND_DATE},
    {"morning", WORD_NONE, WORD_MORNING_WINDOW, WORD_WINDOW_HINT, KIND_TEXT},
    {"evening", WORD_NONE, WORD_EVENING_WINDOW, WORD_WINDOW_HINT, KIND_TEXT},
    {"remind-morning", WORD_NONE, WORD_REMIND_MORNING, WORD_TIME_HINT, KIND_TIME},
    {"remind-evening", WORD_NONE, WORD_REMIND_EVENING, WORD_TIME_HINT, KIND_TIME},
    {"quiet", WORD_NONE, WORD_QUIET, WORD_WINDOW_HINT, KIND_TEXT},
    {"time-zone", WORD_NONE, WORD_ZONE, WORD_ZONE_HINT, KIND_TEXT},
    {"sent-by", WORD_GROUP_PHONE, WORD_SENT_BY, WORD_NONE, CHOICES(senders)},
    {"tag", WORD_NONE, WORD_TAG, WORD_TAG_HINT, KIND_TEXT},
};
enum { DETAILS = sizeof details / sizeof *details };

/* What is wrong with each, as it was read; "" good. */
struct faults {
    char why[DETAILS][ENROLMENT_WHY];
    char whole[ENROLMENT_WHY];
    int n;
};

static const struct enrolment_option *option_of(const char *option)
{
    for (const struct enrolment_option *o = enrolment_options; o->name; o++)
        if (strcmp(o->name, option) == 0)
            return o;
    return NULL;
}

/* -- from a person to the form ------------------------------------------------------------------------------------------------ */

static void span_text(int16_t from, int16_t to, char value[VALUE])
{
    if (from >= 0 && to >= 0)
        snprintf(value, VALUE, "%02d:%02d-%02d:%02d", from / 60, from % 60, to / 60, to % 60);
}

static void minute_text(int16_t minute, char value[VALUE])
{
    if (minute >= 0)
        snprintf(value, VALUE, "%02d:%02d", minute / 60, minute % 60);
}

static void day_text(int32_t day, char value[VALUE])
{
    char date[TIME_TEXT];
    if (day == DAY_NONE)
        return;
    date_text(day, date);
    snprintf(value, VALUE, "%s", date);
}

static const char *answer_text(uint8_t answer)
{
    return answer == ANSWER_YES ? "yes" : answer == ANSWER_NO ? "no" : "unknown";
}

static void office_text(const struct person *q, char value[VALUE])
{
    char date[TIME_TEXT];
    if (!q->office_sys || q->office_day == DAY_NONE)
        return;
    date_text(q->office_day, date);
    snprintf(value, VALUE, "%d/%d@%s", q->office_sys, q->office_dia, date);
}

/* Zones and the like that are the clinic's own are left empty: they follow the clinic. */
static const char *detail_text(const struct page *p, const char *option, char value[VALUE])
{
    const struct person *q = &p->person;
    const struct {
        const char *option, *text;
    } texts[] = {
        {"ref", q->ref}, {"phone", q->phone}, {"name", q->name}, {"language", q->language}, {"monitor", q->monitor},
        {"tag", q->tag}, {"protocol", q->protocol}, {"validated", answer_text(q->validated)},
        {"treated", answer_text(q->treated)}, {"sent-by", q->carer ? "carer" : "self"}, {"rhythm", q->af ? "af" : ""},
        {"on-arm", q->on_arm == ARM_LEFT ? "left" : q->on_arm == ARM_RIGHT ? "right" : ""},
        {"time-zone", strcmp(q->zone, p->clinic->zone) == 0 ? "" : q->zone},
    };
    value[0] = '\0';
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (strcmp(texts[i].option, option) == 0)
            snprintf(value, VALUE, "%s", texts[i].text);
    if (strcmp(option, "arm") == 0 && q->arm_cm > 0)
        snprintf(value, VALUE, "%.4g", q->arm_cm);
    else if (strcmp(option, "cuff") == 0 && q->cuff_high > 0)
        snprintf(value, VALUE, "%.4g-%.4g", q->cuff_low, q->cuff_high);
    else if (strcmp(option, "office") == 0)
        office_text(q, value);
    else if (strcmp(option, "morning") == 0)
        span_text(q->morning_from, q->morning_to, value);
    else if (strcmp(option, "evening") == 0)
        span_text(q->evening_from, q->evening_to, value);
    else if (strcmp(option, "quiet") == 0)
        span_text(q->quiet_from, q->quiet_to, value);
    else if (strcmp(option, "remind-morning") == 0)
        minute_text(q->remind_morning, value);
    else if (strcmp(option, "remind-evening") == 0)
        minute_text(q->remind_evening, value);
    else if (strcmp(option, "born") == 0)
        day_text(q->born, value);
    else if (strcmp(option, "pregnant") == 0)
        day_text(q->pregnant ? q->pregnant_due : DAY_NONE, value);
    else if (strcmp(option, "birth") == 0)
        day_text(q->birth, value);
    else if (strcmp(option, "start") == 0)
        day_text(q->start, value);
    else if (strcmp(option, "medicine-changed") == 0)
        day_text(q->medicine_changed, value);
    return value;
}

/* -- the form ------------------------------------------------------------------------------------------------------------------- */

static void detail_write(struct page *p, const struct detail *d, const char *value, const char *fault)
{
    static const char *const types[] = {"text", "date", "time"};
    const struct enrolment_option *o = option_of(d->option);
    if (d->kind == KIND_CHOICE) {
        choices_write(p, d->option, d->label, d->choices, d->n_choices, value);
    } else if (d->kind == KIND_YES) {
        raw(p, "<div class=\"field\"><input type=\"checkbox\" value=\"yes\"");
        attribute(p, "name", d->option);
        attribute(p, "id", d->option);
        if (strcmp(value, "yes") == 0)
            raw(p, " checked");
        raw(p, "> <label class=\"after\"");
        attribute(p, "for", d->option);
        raw(p, ">");
        text(p, word(d->label));
        raw(p, "</label><span class=\"hint\">");
        text(p, word(d->hint));
        raw(p, "</span></div>\n");
    } else {
        field_write(p, &(struct control){.name = d->option, .label = d->label, .hint = d->hint, .value = value,
                                         .type = types[d->kind], .needed = o && o->needed, .error = fault[0] ? fault : NULL,
                                         .autocomplete = "off"});
    }
}

/* Errors in a summary that gets the focus, each a link to its field. */
static void faults_write(struct page *p, const struct faults *f)
{
    if (!f->n)
        return;
    p->status = MHD_HTTP_UNPROCESSABLE_CONTENT;
    raw(p, "<div class=\"note urgent\" role=\"alert\" tabindex=\"-1\" autofocus>\n<p>");
    say(p, FORM_FAULTS);
    raw(p, "</p>\n<ul>\n");
    for (int i = 0; i < DETAILS; i++) {
        if (!f->why[i][0])
            continue;
        raw(p, "<li><a href=\"#");
        text(p, details[i].option);
        raw(p, "\">");
        text(p, word(details[i].label));
        raw(p, "</a>: ");
        text(p, f->why[i]);
        raw(p, "</li>\n");
    }
    if (f->whole[0]) {
        raw(p, "<li>");
        text(p, f->whole);
        raw(p, "</li>\n");
    }
    raw(p, "</ul>\n</div>\n");
}

static void details_write(struct page *p, const struct faults *f, bool enrol, bool sent)
{
    char value[VALUE];
    for (int i = 0; i < DETAILS; i++) {
        const struct detail *d = &details[i];
        if (enrol ? strcmp(d->option, "medicine-changed") == 0 : d->enrol_only)
            continue;
        if (d->title) {
            raw(p, "</fieldset>\n<fieldset><legend>");
            text(p, word(d->title));
            raw(p, "</legend>\n");
        }
        if (sent)
            form_value(p, d->option, value, sizeof value);
        else if (enrol)
            snprintf(value, sizeof value, "%s", strcmp(d->option, "language") == 0 ? p->clinic->language : "");
        else
            detail_text(p, d->option, value);
        detail_write(p, d, value, f->why[i]);
    }
}

/* -- from the form to a person ------------------------------------------------------------------------------------------------------ */

static void medicine_read(struct page *p, struct enrolment *e, char why[ENROLMENT_WHY])
{
    char value[VALUE];
    form_value(p, "medicine-changed", value, sizeof value);
    e->person.medicine_changed = DAY_NONE;
    if (value[0] && (!date_read(value, &e->person.medicine_changed) ||
                     e->person.medicine_changed > clinic_civil(p->clinic, p->now).day))
        words_of(why, ENROLMENT_WHY, WORD_DATE_WRONG, (const char *const[4]){NULL});
}

/* `e` begins as a blank person; what the form leaves empty stays so. An unchanged value of an edited person is not judged
 * anew: a start that is past stays. */
static void details_read(struct page *p, const struct enrolment_place *place, struct enrolment *e, struct faults *f,
                         bool enrol)
{
    char value[VALUE], was[VALUE];
    for (int i = 0; i < DETAILS; i++) {
        const struct enrolment_option *o = option_of(details[i].option);
        form_value(p, details[i].option, value, sizeof value);
        bool same = !enrol && value[0] && strcmp(detail_text(p, details[i].option, was), value) == 0;
        if (!o)
            medicine_read(p, e, f->why[i]);
        else if (details[i].enrol_only && !enrol)
            continue;
        else if (same && o->size && strcmp(o->name, "arm") != 0 && strcmp(o->name, "office") != 0 &&
                 details[i].kind == KIND_DATE)
            memcpy((char *)&e->person + o->at, (const char *)&p->person + o->at, o->size);
        else if (value[0] && strcmp(o->name, "rhythm") == 0 && strcmp(value, "af") != 0)
            continue;
        else if (value[0] || o->needed)
            o->take(place, o, value, e, f->why[i]);
        f->n += f->why[i][0] != '\0';
    }
    if (!f->n && !enrolment_check(place, e, f->whole))
        f->n++;
}

/* -- enrolling ------------------------------------------------------------------------------------------------------------------- */

static void enrol_show(struct page *p, const struct faults *f, bool sent)
{
    page_begin(p, WORD_ENROL_TITLE, NULL);
    faults_write(p, f);
    said_write(p);
    raw(p, "<p>");
    link_to(p, "/desk/roster", 0, "", word(WORD_ENROL_MANY));
    raw(p, "</p>\n");
    form_begin(p, "/desk/enrol", 0, "");
    raw(p, "<fieldset><legend>");
    say(p, GROUP_WHO);
    raw(p, "</legend>\n");
    clinic_field(p, p->clinic);
    details_write(p, f, true, sent);
    raw(p, "</fieldset>\n");
    form_end(p, WORD_ENROL_BUTTON, "main");
    page_end(p);
}

void enrol_page(struct page *p)
{
    static const struct faults none;
    p->clinic = page_clinic_chosen(p);
    if (p->clinic)
        enrol_show(p, &none, false);
    else
        page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
}

/* What the writer refuses is a fault of the form like any other. */
static void enrol_store(struct page *p, const struct enrolment *e, struct faults *f)
{
    char to[96];
    struct job *job = calloc(1, sizeof *job);
    if (job) {
        job->kind = JOB_ENROL;
        job->enrol.person = e->person;
        job->enrol.joined = e->joined;
        desk_do(p->desk, job);
    }
    if (!job || job->result == JOB_UNSTORED) {
        page_unstored(p);
    } else if (job->result == JOB_REFUSED) {
        snprintf(f->whole, sizeof f->whole, "%s", job->enrol.why);
        f->n++;
        enrol_show(p, f, true);
    } else if (page_audit(p, job->enrol.person.id, e->person.clinic, "enrolled", "desk")) {
        snprintf(to, sizeof to, "/desk/patient/%lld?said=enrolled", (long long)job->enrol.person.id);
        page_goto(p, to);
    }
    job_free(job);
}

void enrol_do(struct page *p)
{
    struct enrolment e;
    struct faults *f = calloc(1, sizeof *f);
    p->clinic = page_clinic_chosen(p);
    if (!p->clinic || !f) {
        page_unstored(p);
        free(f);
        return;
    }
    struct enrolment_place place = {.config = p->config, .clinic = p->clinic};
    enrolment_place_day(&place, p->now);
    enrolment_blank(&e, p->clinic);
    details_read(p, &place, &e, f, true);
    if (f->n)
        enrol_show(p, f, true);
    else
        enrol_store(p, &e, f);
    free(f);
}

/* -- editing ----------------------------------------------------------------------------------------------------------------------- */

static void edit_show(struct page *p, const struct faults *f, bool sent)
{
    char who[REF_MAX + NAME_MAX_BYTES + 8];
    page_begin(p, WORD_EDIT_TITLE, person_words(&p->person, who, sizeof who));
    faults_write(p, f);
    raw(p, "<p>");
    person_link(p, &p->person);
    raw(p, "</p>\n");
    form_begin(p, "/desk/patient/", p->person.id, "/edit");
    if (sent)
        hidden_number(p, "mark", form_number(p, "mark", 0));
    else
        hidden_number(p, "mark", person_mark(&p->person));
    raw(p, "<fieldset><legend>");
    say(p, GROUP_WHO);
    raw(p, "</legend>\n");
    details_write(p, f, false, sent);
    raw(p, "</fieldset>\n");
    form_end(p, WORD_SAVE, "main");
    page_end(p);
}

void edit_page(struct page *p)
{
    static const struct faults none;
    if (!p->person.ref[0])
        page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
    else if (page_audit(p, p->person.id, p->person.clinic, "saw", "details"))
        edit_show(p, &none, false);
}

/* Ref and number may be another patient's: found here, and by the database's own rule if somebody is quicker. */
static bool edit_free(struct page *p, const struct person *q, struct faults *f)
{
    int64_t id = 0, ids[16];
    bool found = false;
    size_t n = 0;
    if (person_by_ref(p->db, q->clinic, q->ref, &id, &found) || people_of_number(p->db, q->clinic, q->phone, ids, 16, &n))
        return false;
    const char *why = found && id != q->id ? word(WORD_REF_TAKEN) : NULL;
    for (size_t i = 0; i < n && !why; i++) {
        struct person other;
        if (ids[i] == q->id || person_get(p->db, ids[i], &other, &found) || !found || !other.ref[0])
            continue;
        if (!q->tag[0] || !other.tag[0] || strcasecmp(q->tag, other.tag) == 0)
            why = word(WORD_PHONE_TAKEN);
    }
    if (!why)
        return true;
    snprintf(f->whole, sizeof f->whole, "%s", why);
    f->n++;
    return false;
}

/* What the form does not show stays. */
static void unshown_keep(const struct page *p, struct person *q)
{
    const struct person *was = &p->person;
    q->id = was->id;
    q->state = was->state, q->state_since = was->state_since;
    q->enrolled_at = was->enrolled_at, q->consent_at = was->consent_at;
    q->wrist = was->wrist;
    q->monitor_check_sys = was->monitor_check_sys, q->monitor_check_dia = was->monitor_check_dia;
    if (q->arm_cm == was->arm_cm)
        q->arm_by_staff = was->arm_by_staff;
}

void edit_do(struct page *p)
{
    struct enrolment e;
    struct faults *f = calloc(1, sizeof *f);
    if (!f || !p->person.ref[0]) {
        page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
        free(f);
        return;
    }
    struct enrolment_place place = {.config = p->config, .clinic = p->clinic};
    enrolment_place_day(&place, p->now);
    enrolment_blank(&e, p->clinic);
    details_read(p, &place, &e, f, false);
    unshown_keep(p, &e.person);
    if (f->n || !edit_free(p, &e.person, f)) {
        edit_show(p, f, true);
    } else {
        struct care_action a = {.kind = ACTION_EDIT, .person = e.person};
        patient_change(p, &a, (int32_t)form_number(p, "mark", 0), "saved");
    }
    free(f);
}
