/* Facts: what is known of a patient besides readings, as a list; and what is measured at the clinic: a reading there, both
 * arms once, and the patient's monitor beside the clinic's.
 *
 * Nothing is said where nothing is known. Figures are shown as they were given.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MONITOR_NOTED = 5, MONITOR_FAILS = 10, MONITOR_PAIRS = 3, NOT_DONE = 127 };

static void fact(struct page *p, enum word label, const char *value)
{
    if (!value[0])
        return;
    raw(p, "<dt>");
    text(p, word(label));
    raw(p, "</dt><dd>");
    name(p, value);
    raw(p, "</dd>\n");
}

static void fact_day(struct page *p, enum word label, int32_t day)
{
    char words[MOMENT];
    if (day != DAY_NONE)
        fact(p, label, day_exact(day, words));
}

static void equipment_facts(struct page *p, const struct person *q)
{
    static const enum word answers[] = {WORD_NONE, WORD_NO, WORD_YES};
    char words[120];
    snprintf(words, sizeof words, "%.1f cm", q->arm_cm);
    fact(p, WORD_ARM, q->arm_cm > 0 ? words : "");
    snprintf(words, sizeof words, "%.0f–%.0f cm", q->cuff_low, q->cuff_high);
    fact(p, WORD_CUFF, q->cuff_high > 0 ? words : "");
    fact(p, WORD_MONITOR, q->monitor);
    fact(p, WORD_VALIDATED, word(answers[q->validated <= ANSWER_YES ? q->validated : 0]));
    fact(p, WORD_ARM_USED, q->on_arm == ARM_LEFT ? word(WORD_LEFT_ARM) : q->on_arm == ARM_RIGHT ? word(WORD_RIGHT_ARM) : "");
    snprintf(words, sizeof words, "%+d/%+d mmHg", q->monitor_check_sys, q->monitor_check_dia);
    fact(p, WORD_MONITOR_CHECKED, q->monitor_check_sys != NOT_DONE ? words : "");
    snprintf(words, sizeof words, "%d/%d", q->office_sys, q->office_dia);
    fact(p, WORD_OFFICE, q->office_sys ? words : "");
    fact_day(p, WORD_OFFICE_ON, q->office_sys ? q->office_day : DAY_NONE);
}

void facts_write(struct page *p, const struct record *r)
{
    static const enum word answers[] = {WORD_NONE, WORD_NO, WORD_YES};
    const struct person *q = &r->person;
    char words[MOMENT];
    section_begin(p, WORD_FACTS);
    raw(p, "<dl class=\"facts\">\n");
    fact(p, WORD_REFERENCE, q->ref);
    fact(p, WORD_NAME, q->name);
    fact_day(p, WORD_BORN, q->born);
    fact(p, WORD_PHONE, q->phone);
    fact(p, WORD_TAG, q->tag);
    fact(p, WORD_LANGUAGE, q->language);
    fact(p, WORD_ZONE, strcmp(q->zone, p->clinic->zone) == 0 ? "" : q->zone);
    fact(p, WORD_ENROLLED, q->enrolled_at == INSTANT_NONE ? "" : when_exact(p->clinic, q->enrolled_at, words));
    fact(p, WORD_CONSENT, q->consent_at == INSTANT_NONE ? "" : when_exact(p->clinic, q->consent_at, words));
    equipment_facts(p, q);
    fact(p, WORD_TREATED, word(answers[q->treated <= ANSWER_YES ? q->treated : 0]));
    fact_day(p, WORD_MEDICINE_CHANGED, q->medicine_changed);
    fact(p, WORD_RHYTHM, q->af ? word(WORD_RHYTHM_AF) : "");
    fact(p, WORD_PREGNANT, q->pregnant ? word(WORD_YES) : "");
    fact_day(p, WORD_DUE, q->pregnant ? q->pregnant_due : DAY_NONE);
    fact_day(p, WORD_BIRTH, q->birth);
    raw(p, "</dl>\n</section>\n");
}

/* -- the checks ---------------------------------------------------------------------------------------------------------------------- */

/* "132/84" in a field. false: nothing, or no pressure. */
static bool pressure_read(struct page *p, const char *field, int *sys, int *dia)
{
    char value[16], upper[16];
    int64_t s, d;
    form_value(p, field, value, sizeof value);
    const char *slash = strchr(value, '/');
    if (!slash)
        return false;
    snprintf(upper, sizeof upper, "%.*s", (int)(slash - value), value);
    if (!whole_read(upper, 50, 300, &s) || !whole_read(slash + 1, 20, 200, &d) || d >= s)
        return false;
    *sys = (int)s;
    *dia = (int)d;
    return true;
}

static void pressure_field(struct page *p, const char *field, enum word label)
{
    field_write(p, &(struct control){.name = field, .label = label, .hint = WORD_PRESSURE_HINT, .size = 9, .needed = true});
}

static void arms_form(struct page *p)
{
    section_begin(p, WORD_BOTH_ARMS);
    hint_write(p, WORD_BOTH_ARMS_HINT);
    form_begin(p, "/desk/patient/", p->person.id, "/arms");
    pressure_field(p, "left-1", WORD_LEFT_FIRST);
    pressure_field(p, "right-1", WORD_RIGHT_FIRST);
    pressure_field(p, "left-2", WORD_LEFT_AGAIN);
    pressure_field(p, "right-2", WORD_RIGHT_AGAIN);
    form_end(p, WORD_SAVE, "main");
    raw(p, "</section>\n");
}

static void office_form(struct page *p)
{
    char today[TIME_TEXT], sent[16];
    date_text(clinic_civil(p->clinic, p->now).day, today);
    section_begin(p, WORD_OFFICE_ADD);
    hint_write(p, WORD_OFFICE_ADD_HINT);
    form_begin(p, "/desk/patient/", p->person.id, "/office");
    pressure_field(p, "office", WORD_OFFICE);
    field_write(p, &(struct control){.name = "on", .label = WORD_OFFICE_TAKEN, .type = "date", .needed = true,
                                     .value = form_value(p, "on", sent, sizeof sent)[0] ? NULL : today});
    form_end(p, WORD_SAVE, "main");
    raw(p, "</section>\n");
}

static void monitor_form(struct page *p)
{
    static const char *const own[] = {"own-1", "own-2", "own-3"}, *const clinics[] = {"clinic-1", "clinic-2", "clinic-3"};
    static const enum word own_words[] = {WORD_OWN_1, WORD_OWN_2, WORD_OWN_3};
    static const enum word clinic_words[] = {WORD_CLINIC_1, WORD_CLINIC_2, WORD_CLINIC_3};
    section_begin(p, WORD_SIDE_BY_SIDE);
    hint_write(p, WORD_SIDE_BY_SIDE_HINT);
    form_begin(p, "/desk/patient/", p->person.id, "/monitor");
    for (int i = 0; i < MONITOR_PAIRS; i++) {
        pressure_field(p, own[i], own_words[i]);
        pressure_field(p, clinics[i], clinic_words[i]);
    }
    form_end(p, WORD_SAVE, "main");
    raw(p, "</section>\n");
}

static void equipment_show(struct page *p, enum word fault)
{
    char who[REF_MAX + NAME_MAX_BYTES + 8];
    page_begin(p, WORD_EQUIPMENT_TITLE, person_words(&p->person, who, sizeof who));
    fault_write(p, fault);
    raw(p, "<p>");
    person_link(p, &p->person);
    raw(p, "</p>\n<div class=\"side\">\n");
    office_form(p);
    arms_form(p);
    monitor_form(p);
    raw(p, "</div>\n");
    page_end(p);
}

void equipment_page(struct page *p)
{
    equipment_show(p, WORD_NONE);
}

/* The result is said before one goes back: what to do follows from it. */
static void checked(struct page *p, struct care_action *a, enum word result, const char *by)
{
    char back[64];
    bool answered;
    snprintf(back, sizeof back, "/desk/patient/%lld", (long long)p->person.id);
    enum care_answer answer = page_act(p, p->person.id, a, &answered);
    if (answered)
        return;
    if (answer != CARE_DONE) {
        acted(p, answer, back, back);
        return;
    }
    page_begin(p, WORD_EQUIPMENT_DONE, NULL);
    raw(p, "<p class=\"note ");
    if (result == WORD_ARMS_APART || result == WORD_MONITOR_FAILS)
        raw(p, "attention");
    else
        raw(p, "settled");
    raw(p, "\" role=\"status\">");
    page_say(p, result, (const char *const[4]){by});
    raw(p, "</p>\n<p>");
    person_link(p, &p->person);
    raw(p, "</p>\n");
    page_end(p);
}

/* The arm with the higher pressure is used; far apart both times goes to a clinician. */
void arms_do(struct page *p)
{
    int left[2], right[2], dia, apart_by;
    enum arm higher;
    char by[16];
    struct care_action a = {.kind = ACTION_ARMS};
    if (!pressure_read(p, "left-1", &left[0], &dia) || !pressure_read(p, "left-2", &left[1], &dia) ||
        !pressure_read(p, "right-1", &right[0], &dia) || !pressure_read(p, "right-2", &right[1], &dia)) {
        equipment_show(p, WORD_PRESSURES_MISSING);
        return;
    }
    for (int i = 0; i < 2; i++)
        a.left[i] = (int16_t)left[i], a.right[i] = (int16_t)right[i];
    bool apart = arms_apart(a.left, a.right, &apart_by, &higher);
    snprintf(by, sizeof by, "%d", apart_by);
    checked(p, &a, apart ? WORD_ARMS_APART : higher == ARM_LEFT ? WORD_ARMS_LEFT : WORD_ARMS_RIGHT, by);
}

/* The latest one stands; those before are in the audit as changes of details. */
void office_do(struct page *p)
{
    int sys, dia;
    char on[16], by[16];
    struct care_action a = {.kind = ACTION_EDIT, .version = person_mark(&p->person), .person = p->person};
    form_value(p, "on", on, sizeof on);
    if (!pressure_read(p, "office", &sys, &dia)) {
        equipment_show(p, WORD_PRESSURES_MISSING);
    } else if (!date_read(on, &a.person.office_day) || a.person.office_day > clinic_civil(p->clinic, p->now).day) {
        equipment_show(p, WORD_DATE_WRONG);
    } else {
        a.person.office_sys = (int16_t)sys;
        a.person.office_dia = (int16_t)dia;
        snprintf(by, sizeof by, "%d/%d", sys, dia);
        checked(p, &a, WORD_OFFICE_NOTED, by);
    }
}

static int mean_apart(const int own[MONITOR_PAIRS], const int clinic[MONITOR_PAIRS])
{
    int sum = 0;
    for (int i = 0; i < MONITOR_PAIRS; i++)
        sum += own[i] - clinic[i];
    int apart = (sum >= 0 ? sum + MONITOR_PAIRS / 2 : sum - MONITOR_PAIRS / 2) / MONITOR_PAIRS;
    return apart > NOT_DONE - 1 ? NOT_DONE - 1 : apart < -NOT_DONE ? -NOT_DONE : apart;
}

/* Means over 5 apart are noted, over 10 fail. */
void monitor_do(struct page *p)
{
    int own_sys[MONITOR_PAIRS], own_dia[MONITOR_PAIRS], sys[MONITOR_PAIRS], dia[MONITOR_PAIRS];
    char field[24], by[32];
    struct care_action a = {.kind = ACTION_EDIT, .version = person_mark(&p->person), .person = p->person};
    for (int i = 0; i < MONITOR_PAIRS; i++) {
        snprintf(field, sizeof field, "own-%d", i + 1);
        bool good = pressure_read(p, field, &own_sys[i], &own_dia[i]);
        snprintf(field, sizeof field, "clinic-%d", i + 1);
        if (!good || !pressure_read(p, field, &sys[i], &dia[i])) {
            equipment_show(p, WORD_PRESSURES_MISSING);
            return;
        }
    }
    a.person.monitor_check_sys = (int8_t)mean_apart(own_sys, sys);
    a.person.monitor_check_dia = (int8_t)mean_apart(own_dia, dia);
    int worst = abs(a.person.monitor_check_sys) > abs(a.person.monitor_check_dia) ? abs(a.person.monitor_check_sys)
                                                                                  : abs(a.person.monitor_check_dia);
    snprintf(by, sizeof by, "%+d/%+d", a.person.monitor_check_sys, a.person.monitor_check_dia);
    checked(p, &a, worst > MONITOR_FAILS ? WORD_MONITOR_FAILS : worst > MONITOR_NOTED ? WORD_MONITOR_APART : WORD_MONITOR_GOOD,
            by);
}
