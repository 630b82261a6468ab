/* Staff by text: TAKE and the code of the copy that went to that very number. Nothing else is understood from staff, and they
 * are told so in words that are for them; but a worry in it goes the way of anybody's.
 */
#include "gateway/flow/inside.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum {
    STUCK_CODE = 4, /* letters of a code, where it follows TAKE without a space; see alert.c of care */
    WRONG_MOST = 6, WRONG_SECONDS = 30 * 60, /* as many automatic replies as anybody else gets */
    HELP_SECONDS = 12 * 3600 /* "thanks" and the like: told once what this number is for; ours */
};

static const char wrong_code[] = "no alert has this code", no_take[] = "from staff, and not TAKE";

/* "TAKE 2XXV", "take2xxv", "TAKE 2XXV, on my way": the code behind the word, in upper case, "" when there is none. False when
 * the text does not begin with TAKE, or goes on as another word ("takeaway"). */
static bool take_code(const char *text, char code[CODE_MAX])
{
    text += strspn(text, " \t\r\n");
    if (strncasecmp(text, "take", 4) != 0)
        return false;
    const char *rest = text + 4 + strspn(text + 4, " \t\r\n.,:;-");
    size_t n = 0;
    while (isalnum((unsigned char)rest[n]))
        n++;
    bool joined = rest == text + 4;
    if (joined && n && n != STUCK_CODE)
        return false;
    snprintf(code, CODE_MAX, "%.*s", n < CODE_MAX ? (int)n : 0, rest);
    for (size_t i = 0; code[i]; i++)
        code[i] = (char)toupper((unsigned char)code[i]);
    return true;
}

static int answer_staff(struct batch *b, const struct clinic *clinic, const char *to, enum text_kind kind)
{
    struct effect *e = calloc(1, sizeof *e);
    struct outgoing *o = calloc(1, sizeof *o);
    if (!e || !o) {
        free(e);
        free(o);
        return STORE_MEMORY;
    }
    *o = (struct outgoing){.id = b->next_id++, .class_ = CLASS_REPLY, .channel = CHANNEL_TEXT, .kind = (uint16_t)kind,
                           .created = b->now, .due = b->now, .expires = b->now + 86400, .sent_at = INSTANT_NONE,
                           .delivered_at = INSTANT_NONE, .saying = {.parts = {(uint16_t)kind}, .n_parts = 1}};
    snprintf(o->clinic, sizeof o->clinic, "%s", clinic->id);
    snprintf(o->to, sizeof o->to, "%s", to);
    snprintf(o->key, sizeof o->key, "q%lld", (long long)o->id);
    *e = (struct effect){.kind = EFFECT_SEND, .send = o};
    b->effects = (struct effects){.at = e, .n = 1, .cap = 1};
    return batch_write(b);
}

/* Two automata must not talk for ever: each wrong code is stored, the first few are answered. A right one is always taken. */
static int answer_wrong(struct batch *b, const struct clinic *clinic, const char *to)
{
    int64_t n = 0;
    int error = texts_counted(b->f->db, to, wrong_code, b->now - WRONG_SECONDS, &n);
    return error || n > WRONG_MOST ? error : answer_staff(b, clinic, to, TEXT_S_TAKE_UNKNOWN);
}

bool staff_takes(struct batch *b, struct job *job, const struct clinic *clinic, int *error)
{
    char code[CODE_MAX];
    if (!take_code(job->text.body, code))
        return false;
    int64_t alert = 0, person = 0, text = 0;
    bool found = false, staff = false;
    *error = outbox_staff(b->f->db, job->text.from, &staff);
    if (!*error && staff && code[0])
        *error = outbox_code(b->f->db, job->text.from, code, &alert, &person, &found);
    if (*error || !staff)
        return false;
    struct record *r = found ? batch_record(b, person, error) : NULL;
    if (!*error)
        *error = intake_keep(b, job, clinic, 0, r ? "took an alert" : wrong_code, &text);
    if (*error)
        return true;
    if (!r) {
        *error = answer_wrong(b, clinic, job->text.from);
        return true;
    }
    struct moment_of_care m = batch_moment(b);
    care_take(r, &m, alert, job->text.from, &b->effects);
    *error = batch_write(b);
    return true;
}


static bool worries(const struct meaning *m)
{
    return m->flags || m->readings.n || m->doubtful.n || m->keyword == KEYWORD_STOP;
}

bool staff_says(struct batch *b, struct job *job, const struct line *line, int *error)
{
    bool staff = false;
    int64_t n = 0;
    struct record *r = line->n == 1 ? batch_record(b, line->people[0], error) : NULL;
    if (*error || line->n > 1 || (r && r->person.state != PERSON_STRANGER)) /* staff may be patients too */
        return false;
    *error = outbox_staff(b->f->db, job->text.from, &staff);
    if (*error || !staff)
        return false;
    parser_read(b->f->parser, job->text.body, job->text.size, (struct moment){.year = 2000, .month = 1, .day = 1}, &b->meaning);
    if (worries(&b->meaning))
        return false;
    *error = texts_counted(b->f->db, job->text.from, no_take, b->now - HELP_SECONDS, &n);
    if (!*error)
        *error = intake_keep(b, job, line->clinic, 0, no_take, NULL);
    if (!*error && n == 0)
        *error = answer_staff(b, line->clinic, job->text.from, TEXT_S_HELP);
    return true;
}
