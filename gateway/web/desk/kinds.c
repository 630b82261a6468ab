/* Kinds: what each kind of row asks of a person, in words, and the one place where it is done.
 *
 * A table: a new kind of row is a line here. What must be decided or reviewed is not "done" by a click on the list: it ends
 * when it has been decided or reviewed.
 */
#include "gateway/web/desk/pages.h"

static const struct row_kind kinds[DESK_KIND_COUNT] = {
    [DESK_ASKS] = {WORD_ROW_ASKS, WORD_DO_ASKS, TO_ANSWER},
    [DESK_UNREADABLE] = {WORD_ROW_UNREADABLE, WORD_DO_UNREADABLE, TO_ANSWER},
    [DESK_HELD] = {WORD_ROW_HELD, WORD_DO_HELD, TO_DECIDE},
    [DESK_MEDICINE] = {WORD_ROW_MEDICINE, WORD_DO_MEDICINE, TO_ANSWER},
    [DESK_PREGNANT] = {WORD_ROW_PREGNANT, WORD_DO_PREGNANT, TO_LOOK, "/edit", WORD_EDIT},
    [DESK_CAME_DOWN] = {WORD_ROW_CAME_DOWN, WORD_DO_CAME_DOWN, TO_LOOK, "", WORD_LOOK},
    [DESK_SYMPTOM] = {WORD_ROW_SYMPTOM, WORD_DO_SYMPTOM, TO_ANSWER},
    [DESK_FLAG_PAST] = {WORD_ROW_FLAG_PAST, WORD_DO_FLAG_PAST, TO_ANSWER},
    [DESK_IRREGULAR] = {WORD_ROW_IRREGULAR, WORD_DO_IRREGULAR, TO_LOOK, "", WORD_LOOK},
    [DESK_SILENT] = {WORD_ROW_SILENT, WORD_DO_SILENT, TO_LOOK, "/write", WORD_WRITE_TEXT},
    [DESK_NOT_JOINED] = {WORD_ROW_NOT_JOINED, WORD_DO_NOT_JOINED, TO_INVITE},
    [DESK_CUFF] = {WORD_ROW_CUFF, WORD_DO_CUFF, TO_LOOK, "/edit", WORD_EDIT},
    [DESK_MONITOR] = {WORD_ROW_MONITOR, WORD_DO_MONITOR, TO_LOOK, "/equipment", WORD_CHECK_EQUIPMENT},
    [DESK_FLOOD] = {WORD_ROW_FLOOD, WORD_DO_FLOOD, TO_LOOK, "/talk", WORD_READ},
    [DESK_UNDELIVERED] = {WORD_ROW_UNDELIVERED, WORD_DO_UNDELIVERED, TO_LOOK, "/talk", WORD_READ},
    [DESK_HIGH_MEAN] = {WORD_ROW_HIGH_MEAN, WORD_DO_HIGH_MEAN, TO_LOOK, "", WORD_LOOK},
    [DESK_ENDING] = {WORD_ROW_ENDING, WORD_DO_ENDING, TO_LOOK, "/write", WORD_WRITE_TEXT},
    [DESK_SHORT_WEEK] = {WORD_ROW_SHORT_WEEK, WORD_DO_SHORT_WEEK, TO_REVIEW},
    [DESK_WEEK_DONE] = {WORD_ROW_WEEK_DONE, WORD_DO_WEEK_DONE, TO_REVIEW},
    [DESK_UNREVIEWED] = {WORD_ROW_UNREVIEWED, WORD_DO_UNREVIEWED, TO_REVIEW, .red = true},
    [DESK_NEWS] = {WORD_ROW_NEWS, WORD_DO_NEWS, TO_LOOK, "/edit", WORD_EDIT},
    [DESK_LEFT] = {WORD_ROW_LEFT, WORD_DO_LEFT, TO_LOOK, "", WORD_LOOK},
    [DESK_DIED] = {WORD_ROW_DIED, WORD_DO_DIED, TO_LOOK, "?acts=1#acts", WORD_DECIDE},
    [DESK_WRONG_NUMBER] = {WORD_ROW_WRONG_NUMBER, WORD_DO_WRONG_NUMBER, TO_LOOK, "/edit", WORD_EDIT},
    [DESK_STRANGER] = {WORD_ROW_STRANGER, WORD_DO_STRANGER, TO_ANSWER},
    [DESK_SEVERE] = {WORD_ROW_SEVERE, WORD_DO_SEVERE, TO_LOOK, "", WORD_LOOK},
    [DESK_LOW] = {WORD_ROW_LOW, WORD_DO_SEVERE, TO_LOOK, "", WORD_LOOK},
    [DESK_PULSE] = {WORD_ROW_PULSE, WORD_DO_SEVERE, TO_LOOK, "", WORD_LOOK},
    [DESK_HELP] = {WORD_ROW_HELP, WORD_DO_HELP, TO_ANSWER},
    [DESK_DECLINED] = {WORD_ROW_DECLINED, WORD_DO_DECLINED, TO_LOOK, "", WORD_LOOK},
    [DESK_SKIPPED] = {WORD_ROW_SKIPPED, WORD_DO_SKIPPED, TO_LOOK, "/talk", WORD_READ},
    [DESK_WHOSE] = {WORD_ROW_WHOSE, WORD_DO_WHOSE, TO_ANSWER},
    [DESK_ARM] = {WORD_ROW_ARM, WORD_DO_ARM, TO_LOOK, "/equipment", WORD_CHECK_EQUIPMENT},
};

const struct row_kind *row_kind(enum desk_kind kind)
{
    return &kinds[kind];
}

bool row_may_be_done(const struct page *p, enum desk_kind kind)
{
    enum ask_of ask = kinds[kind].ask;
    return ask == TO_REVIEW ? p->role == ROLE_CLINICIAN : (p->role & ROLE_CARE) && ask != TO_DECIDE;
}

/* The one that leads to where it is done; on the list and on the row's own page alike. */
void row_go(struct page *p, const struct desk_row *d, bool on_its_page)
{
    const struct row_kind *k = &kinds[d->kind];
    if (k->ask == TO_DECIDE && d->reading)
        link_to(p, "/desk/reading/", d->reading, "", word(WORD_DECIDE));
    else if (k->ask == TO_ANSWER && !on_its_page)
        link_to(p, "/desk/row/", d->id, "", word(WORD_ANSWER));
    else if (k->ask == TO_REVIEW)
        link_to(p, "/desk/patient/", d->person, "#review", word(p->role == ROLE_CLINICIAN ? WORD_REVIEW : WORD_LOOK));
    else if (k->ask == TO_LOOK)
        link_to(p, "/desk/patient/", d->person, p->role & ROLE_CARE ? k->path : "",
                word(p->role & ROLE_CARE ? k->go : WORD_LOOK));
    else if (k->ask == TO_INVITE && p->role & ROLE_CARE) {
        form_begin(p, "/desk/patient/", d->person, "/invite-again");
        form_end(p, WORD_ACT_INVITE, "");
    }
}
