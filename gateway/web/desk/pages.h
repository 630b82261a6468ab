/* Every page of the desk: handlers of routes.c, one file a subject; and what these files lend each other. */
#ifndef QUIETARM_DESK_PAGES_H
#define QUIETARM_DESK_PAGES_H

#include "gateway/web/desk/room.h"

/* layout.c, door.c */
page_function style_page, script_page, front_page, sign_in_page, sign_in_do, sign_out_do;
/* list.c */
page_function list_page;
/* patients.c */
page_function patients_page;
/* row.c */
page_function row_page, row_take_do, row_done_do, row_put_off_do, row_hand_over_do, row_answer_do;
/* alert.c */
page_function alert_page, alert_take_do, alert_resolve_do, alert_reopen_do;
/* patient.c */
page_function patient_page, week_csv_page, week_pdf_page, week_fhir_page, week_print_page;
/* talk.c */
page_function talk_page, write_page, write_do;
/* acts.c */
page_function patient_act_do, add_page, add_do, erase_do;
/* facts.c */
page_function equipment_page, office_do, arms_do, monitor_do;
/* details.c */
page_function enrol_page, enrol_do, edit_page, edit_do;
/* roster.c */
page_function roster_page, roster_do;
/* figures.c */
page_function figures_page, figures_csv_page;
/* accounts.c */
page_function accounts_page, account_page, account_add_do, account_role_do, account_password_do, account_enable_do,
    account_disable_do;
/* audit.c, settings.c */
page_function audit_page, settings_page;
/* reading.c */
page_function reading_page, reading_accept_do, reading_void_do, reading_add_do, reading_ask_again_do;

/* -- lent ---------------------------------------------------------------------------------------------------------------- */

void tel_write(struct page *p, const struct person *who); /* the number, to ring */
/* Where an account of all clinics chooses one: a field of a form; a form of its own. Nothing for one of a single clinic. */
void clinic_field(struct page *p, const struct clinic *chosen);
void clinic_form(struct page *p, const char *path, const struct clinic *chosen);
/* "P-0001, Ada Example", or "number …123" for a stranger; a link to their page. */
void person_link(struct page *p, const struct person *who);
const char *person_words(const struct person *who, char *words, size_t size);
/* What the patient wrote, quoted, at most `most` bytes of it; says so when it was blanked. Nothing for 0. */
void quote_write(struct page *p, const struct clinic *c, int64_t text, size_t most);
const char *cause_words(const char *cause);     /* "chest_pain" → "chest pain"; static or the cause itself */
void held_words(struct page *p, uint16_t held); /* "far from the others; …" */
enum word standing_said(enum standing s);
enum word level_word(enum alert_level level);
/* After an action: CARE_DONE goes to `to`; else a page that says what has changed meanwhile or is missing, with the way
 * back to `back`. */
void acted(struct page *p, enum care_answer answer, const char *to, const char *back);
/* What was written into a form that could not be taken, to be copied; nothing when that is nothing. */
void kept_write(struct page *p);
/* A note that must be written: false when it is empty, and `again` is called to show the form anew with the error. */
bool note_needed(struct page *p, const char *field, char *note, size_t size);
/* kinds.c: what a kind of row is, what it asks for, and where that is done. */
enum ask_of { TO_LOOK, TO_ANSWER, TO_DECIDE, TO_REVIEW, TO_INVITE };
struct row_kind {
    enum word what, task;      /* "Held reading"; "Accept it, void it, …" */
    enum ask_of ask;
    const char *path;          /* TO_LOOK: behind the patient's own */
    enum word go;
    bool red;
};
const struct row_kind *row_kind(enum desk_kind kind);
bool row_may_be_done(const struct page *p, enum desk_kind kind);
void row_go(struct page *p, const struct desk_row *d, bool on_its_page);
enum word outgoing_word(enum outgoing_state s);  /* "delivered" */
const char *action_words(const char *action);   /* of the audit: "alert taken" → "took the alert"; or as it is */
void episode_write(struct page *p);             /* episode.c: of p->alert */
/* writing.c: whether a text may be sent to the patient at all; says so if not. */
bool writing_possible(struct page *p);
/* writing.c: words at hand, the text, its buttons and the end of the form; then what was written. false: show the form
 * again, with *fault when something is wrong. */
void writing_fields(struct page *p, bool of_row); /* of_row: sending may call a row done */
bool writing_ready(struct page *p, char *words, size_t size, enum word *fault);
/* reading.c: the fields of a reading, and what was filled in; WORD_NONE when it is whole. */
void reading_fields(struct page *p);
enum word reading_read(struct page *p, struct care_action *a);
/* Does it, then goes back to the patient's page, with a word of how it went; `version`: see struct care_action. */
void patient_act(struct page *p, struct care_action *a, const char *said);
void patient_change(struct page *p, struct care_action *a, int32_t version, const char *said);
void patient_again(struct page *p, enum word fault);          /* patient.c: the page anew, with what is wrong */
void acts_write(struct page *p, const struct record *r);      /* acts.c */
void talk_write(struct page *p, size_t most);                 /* talk.c: the latest of both sides */
void facts_write(struct page *p, const struct record *r);     /* facts.c */
/* strip.c: the week's sittings as shapes, and what the shapes mean. */
void strip_write(struct page *p, const struct record *r, const struct week_result *w);
void strip_legend(struct page *p);
void whereabouts(struct page *p, const struct record *r); /* patients.c: "measuring, day 3 of 7" */
/* What a message after an action says (?said=…); nothing when there is none. */
void said_write(struct page *p);
/* A summary of what is wrong, on top, that gets the focus. */
void fault_write(struct page *p, enum word fault);

#endif
