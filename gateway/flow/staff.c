/* Staff by text: TAKE and the code of the copy that went to that very number. Nothing else is understood from staff.
 */
#include "gateway/flow/inside.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { WRONG_MOST = 6, WRONG_SECONDS = 30 * 60 }; /* as many automatic replies as anybody else gets */

static const char wrong_code[] = "no alert has this code";

/* The code of a text that says TAKE and one word, in upper case; false for anything else. */
static bool take_code(const char *text, char code[CODE_MAX])
{
    char word[16] = "", rest[16] = "", more[2] = "";
    if (sscanf(text, " %15s %15s %1s", word, rest, more) != 2 || strcasecmp(word, "take") != 0)
        return false;
    size_t n = strlen(rest);
    while (n && ispunct((unsigned char)rest[n - 1]))
        rest[--n] = '\0';
    if (n == 0 || n >= CODE_MAX)
        return false;
    for (size_t i = 0; i <= n; i++)
        code[i] = (char)toupper((unsigned char)rest[i]);
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
    if (!*error && staff)
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

