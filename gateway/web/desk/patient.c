/* Patient: one patient on a page: what is open, the week with its chart and every reading, the conversation, the facts, and
 * what can be done.
 *
 * The week's figures and sentences are the report's own, so that desk and summary never differ. That it was looked at is in
 * the audit before it is shown. 40 KB, 5 ms.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/report/chart.h"
#include "gateway/report/fhir.h"
#include "gateway/report/report.h"

enum { TALK_MOST = 12, WEEKS_MOST = 200 };

/* -- what is open ---------------------------------------------------------------------------------------------------------------- */

static void open_write(struct page *p, const struct record *r)
{
    if (!r->n_alerts && !r->n_desk)
        return;
    raw(p, "<section class=\"open\">\n<h2>");
    say(p, STILL_OPEN);
    raw(p, "</h2>\n<ul class=\"also\">\n");
    for (size_t i = 0; i < r->n_alerts; i++) {
        const struct alert *a = &r->alerts[i];
        raw(p, "<li><p class=\"what\"><strong class=\"badge urgent\">");
        text(p, word(level_word(a->level)));
        raw(p, "</strong> ");
        text(p, cause_words(a->cause));
        raw(p, " ");
        when(p, p->clinic, a->at);
        raw(p, "</p><div class=\"do\">");
        link_to(p, "/desk/alert/", a->id, "", word(WORD_OPEN));
        raw(p, "</div></li>\n");
    }
    for (size_t i = 0; i < r->n_desk; i++) {
        const struct desk_row *d = &r->desk[i];
        raw(p, "<li><p class=\"what\"><strong class=\"badge\">");
        text(p, word(row_kind(d->kind)->what));
        raw(p, "</strong> ");
        text(p, d->note);
        raw(p, " ");
        when(p, p->clinic, d->at);
        raw(p, "</p><div class=\"do\">");
        if (d->kind == DESK_HELD && d->reading)
            link_to(p, "/desk/reading/", d->reading, "", word(WORD_DECIDE));
        link_to(p, "/desk/row/", d->id, "", word(WORD_OPEN));
        raw(p, "</div></li>\n");
    }
    raw(p, "</ul>\n</section>\n");
}

/* -- the week -------------------------------------------------------------------------------------------------------------------- */

static void paragraph(struct page *p, const char *words)
{
    if (!words[0])
        return;
    raw(p, "<p>");
    text(p, words);
    raw(p, "</p>\n");
}

static void average_write(struct page *p, const struct report *r)
{
    raw(p, "<div class=\"average\">\n<p class=\"large");
    if (!r->result->enough)
        raw(p, " open");
    raw(p, "\">");
    if (r->has_mean) {
        number(p, r->sys);
        raw(p, "/");
        number(p, r->dia);
        raw(p, " <small>mmHg</small>");
    } else {
        raw(p, "–");
    }
    raw(p, "</p>\n<div class=\"beside\">\n");
    paragraph(p, r->average);
    raw(p, "<p class=\"judged\">");
    text(p, r->judged);
    raw(p, "</p>\n");
    paragraph(p, r->sure);
    raw(p, "</div>\n</div>\n");
}

static void chart_write(struct page *p, const struct report *r)
{
    struct chart c;
    bool made = chart_make(&c, r, 13.0 / 186);
    if (made && c.n_days) {
        raw(p, "<figure>\n");
        chart_svg(&p->out, &c);
        raw(p, "<figcaption>");
        text(p, c.legend);
        raw(p, "</figcaption>\n</figure>\n");
    }
    chart_close(&c);
    p->out.failed = p->out.failed || !made;
}

static void sentences_write(struct page *p, enum word title, const struct sentences *s)
{
    if (!s->n)
        return;
    raw(p, "<section>\n<h3>");
    text(p, word(title));
    raw(p, "</h3>\n<ul>\n");
    for (size_t i = 0; i < s->n; i++) {
        raw(p, "<li>");
        text(p, s->at[i].text);
        raw(p, "</li>\n");
    }
    raw(p, "</ul>\n</section>\n");
}

static void reading_row(struct page *p, const struct report_reading *x)
{
    raw(p, "<tr><td>");
    text(p, x->day);
    raw(p, "</td><td>");
    text(p, x->time);
    raw(p, "</td><td>");
    text(p, x->slot);
    raw(p, "</td><td class=\"figure\"><a href=\"/desk/reading/");
    number(p, x->reading->id);
    raw(p, "\">");
    text(p, x->pressure);
    raw(p, "</a></td><td class=\"figure\">");
    text(p, x->pulse);
    raw(p, "</td><td>");
    text(p, word(standing_said(x->reading->standing)));
    if (x->reading->telephoned) {
        raw(p, ", ");
        say(p, BY_TELEPHONE);
    }
    if (x->note[0])
        raw(p, "; ");
    text(p, x->note);
    raw(p, "</td></tr>\n");
}

static void readings_write(struct page *p, const struct report *r)
{
    if (!r->n_readings)
        return;
    raw(p, "<details");
    if (r->n_readings < 10)
        raw(p, " open");
    raw(p, "><summary>");
    say(p, EVERY_READING);
    raw(p, "</summary>\n<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"");
    say(p, EVERY_READING);
    raw(p, "\"><table>\n<caption>");
    text(p, r->zone);
    raw(p, "</caption>\n<thead><tr><th scope=\"col\">");
    say(p, DAY);
    raw(p, "</th><th scope=\"col\">");
    say(p, TIME);
    raw(p, "</th><th scope=\"col\">");
    say(p, SITTING);
    raw(p, "</th><th scope=\"col\" class=\"figure\">mmHg</th><th scope=\"col\" class=\"figure\">");
    say(p, PULSE);
    raw(p, "</th><th scope=\"col\">");
    say(p, STANDING);
    raw(p, "</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < r->n_readings; i++)
        reading_row(p, &r->readings[i]);
    raw(p, "</tbody></table></div></details>\n");
}

static void files_write(struct page *p, const struct report *r)
{
    static const struct {
        const char *after;
        enum word word;
    } files[] = {{"/print", WORD_FILE_PRINT}, {"/pdf", WORD_FILE_PDF}, {"/csv", WORD_FILE_CSV}, {"/fhir", WORD_FILE_FHIR}};
    char after[48];
    if (!r->record->week.id)
        return;
    raw(p, "<p class=\"buttons\">");
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        snprintf(after, sizeof after, "/week/%d%s", r->record->week.number, files[i].after);
        link_to(p, "/desk/patient/", p->person.id, after, word(files[i].word));
        raw(p, "\n");
    }
    raw(p, "</p>\n");
}

static void week_write(struct page *p, const struct report *r)
{
    raw(p, "<section>\n<h2 id=\"week\">");
    text(p, r->when[0] ? r->when : word(WORD_WEEK));
    raw(p, "</h2>\n");
    for (size_t i = 0; i < r->above.n; i++) {
        raw(p, "<p class=\"note ");
        if (r->above.at[i].tone == TONE_URGENT)
            raw(p, "urgent");
        else
            raw(p, "attention");
        raw(p, "\">");
        text(p, r->above.at[i].text);
        raw(p, "</p>\n");
    }
    average_write(p, r);
    strip_write(p, r->record, r->result);
    chart_write(p, r);
    files_write(p, r);
    raw(p, "<details><summary>");
    say(p, BEHIND_THE_WEEK);
    raw(p, "</summary>\n<div class=\"parts\">\n");
    sentences_write(p, WORD_PART_COUNTS, &r->counts);
    sentences_write(p, WORD_PART_EQUIPMENT, &r->equipment);
    sentences_write(p, WORD_PART_BEFORE, &r->before);
    sentences_write(p, WORD_PART_OFFICE, &r->office);
    sentences_write(p, WORD_PART_QUALITY, &r->quality);
    sentences_write(p, WORD_PART_VARIATION, &r->variation);
    sentences_write(p, WORD_PART_ALERTS, &r->alerts);
    raw(p, "</div>\n");
    paragraph(p, r->protocol);
    raw(p, "</details>\n");
    readings_write(p, r);
    raw(p, "</section>\n");
}

/* -- weeks before ---------------------------------------------------------------------------------------------------------------- */

static void weeks_write(struct page *p, const struct record *r)
{
    struct week *weeks = NULL;
    char day[MOMENT], n_words[16];
    size_t n = 0;
    if (weeks_of_person(p->db, p->person.id, 0, WEEKS_MOST, &weeks, &n) || n < 2) {
        free(weeks);
        return;
    }
    section_begin(p, WORD_WEEKS);
    raw(p, "<ul class=\"weeks\">\n");
    for (size_t i = 0; i < n; i++) {
        const struct week *w = &weeks[i];
        snprintf(n_words, sizeof n_words, "?week=%d", w->number);
        raw(p, "<li>");
        if (w->id == r->week.id)
            raw(p, "<b>");
        raw(p, "<a href=\"/desk/patient/");
        number(p, p->person.id);
        text(p, n_words);
        raw(p, "\">");
        say_of(p, WEEK_NUMBER, n_words + 6);
        raw(p, "</a>");
        if (w->id == r->week.id)
            raw(p, "</b>");
        if (w->first_day != DAY_NONE) {
            raw(p, ": ");
            text(p, day_exact(w->first_day, day));
        }
        if (w->outcome[0]) {
            raw(p, "; ");
            name(p, w->outcome);
        }
        raw(p, "</li>\n");
    }
    raw(p, "</ul>\n</section>\n");
    free(weeks);
}

/* -- the whole page ------------------------------------------------------------------------------------------------------------- */

static void head_write(struct page *p, const struct report *r)
{
    raw(p, "<p class=\"who\">");
    whereabouts(p, r->record);
    raw(p, ". ");
    tel_write(p, &p->person);
    if (r->who[0]) {
        raw(p, "; ");
        text(p, r->who);
    }
    raw(p, "</p>\n");
    if (p->role == ROLE_ADMIN) {
        raw(p, "<p class=\"buttons\"><a href=\"/desk/audit?person=");
        number(p, p->person.id);
        query_add(p, "clinic", p->person.clinic);
        raw(p, "\">");
        say(p, AUDIT_OF);
        raw(p, "</a></p>\n");
    }
    if (!(p->role & ROLE_CARE))
        return;
    raw(p, "<p class=\"buttons\">");
    link_to(p, "/desk/patient/", p->person.id, "/write", word(WORD_WRITE_TEXT));
    raw(p, "\n");
    link_to(p, "/desk/patient/", p->person.id, "/add", word(WORD_ENTER_READING));
    raw(p, "\n");
    link_to(p, "/desk/patient/", p->person.id, "/edit", word(WORD_EDIT));
    raw(p, "\n");
    link_to(p, "/desk/patient/", p->person.id, "/equipment", word(WORD_CHECK_EQUIPMENT));
    raw(p, "</p>\n");
}

static void patient_show(struct page *p, int week_number, enum word fault)
{
    struct report r = {0};
    char who[REF_MAX + NAME_MAX_BYTES + 8];
    bool found = false;
    int error = report_open(&r, p->db, p->config, p->person.id, week_number, p->now, &found);
    if (error || !found) {
        if (error)
            page_unstored(p);
        else
            page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
    } else {
        page_begin(p, WORD_PATIENT_TITLE, person_words(&p->person, who, sizeof who));
        fault_write(p, fault);
        said_write(p);
        head_write(p, &r);
        open_write(p, r.record);
        week_write(p, &r);
        acts_write(p, r.record);
        talk_write(p, TALK_MOST);
        facts_write(p, r.record);
        weeks_write(p, r.record);
        zone_note(p, p->clinic);
        page_end(p);
    }
    report_close(&r);
}

void patient_again(struct page *p, enum word fault)
{
    patient_show(p, 0, fault);
}

void patient_page(struct page *p)
{
    char value[16];
    int64_t week = 0;
    if (!whole_read(query_value(p, "week", value, sizeof value), 1, 30000, &week))
        week = 0;
    if (page_audit(p, p->person.id, p->person.clinic, "saw", "patient"))
        patient_show(p, (int)week, WORD_NONE);
}

/* -- the week as files ---------------------------------------------------------------------------------------------------------- */

/* Opens the week that the path names, and notes what is exported. false: answered. */
static bool week_open(struct page *p, struct report *r, const char *what)
{
    char detail[64];
    bool found = false;
    snprintf(detail, sizeof detail, "week %lld as %s", (long long)p->ids[1], what);
    int error = p->ids[1] > 30000 ? 0
                                  : report_open(r, p->db, p->config, p->person.id, (int)p->ids[1], p->now, &found);
    if (!error && found)
        return page_audit(p, p->person.id, p->person.clinic, "exported", detail);
    if (error)
        page_unstored(p);
    else
        page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
    return false;
}

static void file_name(const struct page *p, const char *ending, char file[80])
{
    snprintf(file, 80, "week-%lld-%lld.%s", (long long)p->person.id, (long long)p->ids[1], ending);
}

void week_csv_page(struct page *p)
{
    struct report r = {0};
    struct buffer b;
    char file[80];
    buffer_init(&b, REPORT_BYTES);
    if (week_open(p, &r, "csv")) {
        char *head = report_csv_head();
        buffer_text(&b, head ? head : "");
        free(head);
        file_name(p, "csv", file);
        if (report_csv_rows(&r, DAY_NONE, DAY_NONE, false, &b) && !b.failed)
            page_download(p, "text/csv; charset=utf-8; header=present", file, b.at, b.n);
        else
            page_unstored(p);
    }
    buffer_clear(&b);
    report_close(&r);
}

void week_pdf_page(struct page *p)
{
    struct report r = {0};
    void *bytes = NULL;
    size_t size = 0;
    char file[80], why[200];
    if (week_open(p, &r, "pdf")) {
        file_name(p, "pdf", file);
        if (report_pdf(&r, report_paper(p->clinic), &bytes, &size, why, sizeof why) == 0)
            page_download(p, "application/pdf", file, bytes, size);
        else
            page_unstored(p);
    }
    free(bytes);
    report_close(&r);
}

void week_fhir_page(struct page *p)
{
    struct report r = {0};
    void *pdf = NULL;
    size_t size = 0;
    char file[80], why[200];
    if (week_open(p, &r, "fhir")) {
        bool drawn = report_pdf(&r, report_paper(p->clinic), &pdf, &size, why, sizeof why) == 0;
        char *bundle = drawn ? fhir_bundle(&r, pdf, size) : NULL;
        file_name(p, "json", file);
        if (bundle)
            page_download(p, "application/fhir+json", file, bundle, strlen(bundle));
        else
            page_unstored(p);
        free(bundle);
        free(pdf);
    }
    report_close(&r);
}

void week_print_page(struct page *p)
{
    struct report r = {0};
    if (week_open(p, &r, "page")) {
        char *page = report_html(&r);
        if (page) {
            page_plain(p, p->type, page);
            p->own_style = true;
        } else {
            page_unstored(p);
        }
        free(page);
    }
    report_close(&r);
}
