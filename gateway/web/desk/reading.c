/* Reading: one reading on a page: the patient's words, what was understood, why it is held; accept it, void it, or add the
 * right one beside it. Nothing is ever corrected: what was sent stays as it was sent.
 */
#include "gateway/web/desk/pages.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *reading_path(const struct page *p, char path[64])
{
    snprintf(path, 64, "/desk/reading/%lld", (long long)p->reading.id);
    return path;
}

static void reading_facts(struct page *p)
{
    const struct reading *x = &p->reading;
    char words[MOMENT];
    raw(p, "<p class=\"figure\">");
    text(p, pressure_words(x, words));
    raw(p, " <span class=\"badge\">");
    text(p, word(standing_said(x->standing)));
    raw(p, "</span></p>\n<p>");
    say(p, MEASURED);
    raw(p, " ");
    when(p, p->clinic, x->at);
    raw(p, "</p>\n");
    if (x->held) {
        raw(p, "<p>");
        say(p, HELD_BECAUSE);
        raw(p, " ");
        held_words(p, x->held);
        raw(p, ".</p>\n");
    }
    if (x->decided_by[0]) {
        raw(p, "<p>");
        say_of(p, DECIDED_BY, x->decided_by);
        raw(p, " ");
        name(p, x->reason);
        raw(p, "</p>\n");
    }
}

static void decide_form(struct page *p, const char *after, enum word button, enum word hint, const char *id, const char *class_)
{
    section_begin(p, button);
    form_begin(p, "/desk/reading/", p->reading.id, after);
    field_write(p, &(struct control){.name = "note", .id = id, .label = WORD_REASON, .hint = hint, .value = "", .needed = true});
    form_end(p, button, class_);
    raw(p, "</section>\n");
}

/* The fields of a reading: on its own page, with when that was measured, and for one that was telephoned, with now. */
void reading_fields(struct page *p)
{
    static const struct choice slots[] = {{"morning", WORD_MORNING}, {"evening", WORD_EVENING}};
    char local[MOMENT], sent[32];
    int64_t at = p->reading.id ? p->reading.at : p->now;
    bool evening = p->reading.id ? p->reading.slot == SLOT_EVENING : clinic_civil(p->clinic, p->now).minute >= 14 * 60;
    bool given = form_value(p, "at", sent, sizeof sent)[0];
    raw(p, "<div class=\"three\">\n");
    field_write(p, &(struct control){.name = "sys", .label = WORD_UPPER, .type = "number", .size = 4, .needed = true});
    field_write(p, &(struct control){.name = "dia", .label = WORD_LOWER, .type = "number", .size = 4, .needed = true});
    field_write(p, &(struct control){.name = "pulse", .label = WORD_PULSE, .type = "number", .size = 4});
    raw(p, "</div>\n");
    field_write(p, &(struct control){.name = "at", .label = WORD_MEASURED_AT, .type = "datetime-local", .needed = true,
                                   .value = given ? NULL : local_write(p->clinic, at, local)});
    choices_write(p, "slot", WORD_SITTING, slots, 2, given ? NULL : evening ? "evening" : "morning");
}

enum word reading_read(struct page *p, struct care_action *a)
{
    char at[32], slot[16];
    int64_t instant, sys = form_number(p, "sys", 0), dia = form_number(p, "dia", 0), pulse = form_number(p, "pulse", 0);
    form_value(p, "slot", slot, sizeof slot);
    if (sys < 40 || sys > 320 || dia < 20 || dia > 220 || sys <= dia || pulse < 0 || pulse > 300)
        return WORD_FIGURES_WRONG;
    if (!local_read(p->clinic, form_value(p, "at", at, sizeof at), &instant) || instant > p->now)
        return WORD_AT_WRONG;
    struct offsets zone = {.n = 1};
    zone_offsets(p->person.zone, p->now, &zone);
    struct civil then = civil_at(&zone, instant), today = civil_at(&zone, p->now);
    if (today.day - then.day > 31)
        return WORD_AT_WRONG;
    a->reading = (struct said){.sys = (int16_t)sys, .dia = (int16_t)dia, .pulse = (int16_t)pulse,
                               .day = (int16_t)(then.day - today.day), .minute = then.minute,
                               .slot = strcmp(slot, "evening") == 0 ? SLOT_EVENING : SLOT_MORNING};
    return WORD_NONE;
}

static void reading_show(struct page *p, enum word fault)
{
    char who[REF_MAX + NAME_MAX_BYTES + 8];
    enum standing s = p->reading.standing;
    page_begin(p, WORD_READING_TITLE, person_words(&p->person, who, sizeof who));
    fault_write(p, fault);
    said_write(p);
    raw(p, "<p>");
    person_link(p, &p->person);
    raw(p, "</p>\n");
    quote_write(p, p->clinic, p->reading.text, 0);
    reading_facts(p);
    if (p->role & ROLE_CARE) {
        raw(p, "<div class=\"side\">\n");
        if ((s == STANDING_HELD || s == STANDING_VOID) && p->reading.dia && p->reading.sys > p->reading.dia)
            decide_form(p, "/accept", WORD_ACCEPT, WORD_ACCEPT_HINT, "note-accept", "main");
        if (s == STANDING_HELD || s == STANDING_ACCEPTED || s == STANDING_ASIDE)
            decide_form(p, "/void", WORD_VOID, WORD_VOID_HINT, "note-void", "");
        raw(p, "</div>\n<section>\n<h2>");
        say(p, ADD_BESIDE);
        raw(p, "</h2>\n");
        form_begin(p, "/desk/reading/", p->reading.id, "/add");
        reading_fields(p);
        field_write(p, &(struct control){.name = "note", .id = "note-add", .label = WORD_REASON, .hint = WORD_ADD_HINT,
                                       .needed = true});
        form_end(p, WORD_ADD_AND_VOID, "");
        raw(p, "</section>\n");
        if (s == STANDING_HELD) {
            form_begin(p, "/desk/reading/", p->reading.id, "/ask-again");
            form_end(p, WORD_ASK_AGAIN, "");
        }
    }
    zone_note(p, p->clinic);
    page_end(p);
}

void reading_page(struct page *p)
{
    char detail[48];
    snprintf(detail, sizeof detail, "reading %lld", (long long)p->reading.id);
    if (page_audit(p, p->person.id, p->person.clinic, "saw", detail))
        reading_show(p, WORD_NONE);
}

/* -- doing ------------------------------------------------------------------------------------------------------------------------ */

static void reading_act(struct page *p, struct care_action *a, const char *to)
{
    char back[64];
    bool answered;
    a->id = p->reading.id;
    a->version = -1;
    enum care_answer answer = page_act(p, p->person.id, a, &answered);
    if (!answered)
        acted(p, answer, to, reading_path(p, back));
}

static void decide(struct page *p, enum care_action_kind kind, const char *to)
{
    struct care_action a = {.kind = kind};
    if (note_needed(p, "note", a.note, sizeof a.note))
        reading_act(p, &a, to);
    else
        reading_show(p, WORD_REASON_MISSING);
}

void reading_accept_do(struct page *p)
{
    decide(p, ACTION_ACCEPT, "/desk/list?said=accepted");
}

void reading_void_do(struct page *p)
{
    decide(p, ACTION_VOID, "/desk/list?said=void");
}

void reading_ask_again_do(struct page *p)
{
    reading_act(p, &(struct care_action){.kind = ACTION_ASK_AGAIN}, "/desk/list?said=asked");
}

/* The right one is added first; then the one that it stands for is voided, unless somebody has decided on it. */
void reading_add_do(struct page *p)
{
    char back[64];
    bool answered;
    struct care_action a = {.kind = ACTION_ADD, .version = -1};
    enum word fault = reading_read(p, &a);
    if (!fault && !note_needed(p, "note", a.note, sizeof a.note))
        fault = WORD_REASON_MISSING;
    if (fault) {
        reading_show(p, fault);
        return;
    }
    enum care_answer answer = page_act(p, p->person.id, &a, &answered);
    if (answered)
        return;
    bool stands = p->reading.standing == STANDING_HELD || p->reading.standing == STANDING_ASIDE;
    if (answer != CARE_DONE || !stands) {
        acted(p, answer, "/desk/list?said=added", reading_path(p, back));
        return;
    }
    struct care_action drop = {.kind = ACTION_VOID};
    snprintf(drop.note, sizeof drop.note, "%s", a.note);
    reading_act(p, &drop, "/desk/list?said=added");
}
