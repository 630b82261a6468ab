/* Intake: the way of one text, from the carrier's webhook to its durable effects.
 *
 * A text is never refused and never lost: whatever it is, it is stored; who sent it decides what else happens. All of it is
 * one transaction, and the carrier is answered 200 only after the batch is synced. About 60 µs, most of it SQLite.
 */
#include "gateway/flow/inside.h"

#include <ctype.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int is_repeat(struct batch *b, struct job *job, bool *repeat);
static int hear_person(struct batch *b, struct job *job, struct line *line);
static int hear_shared(struct batch *b, struct job *job, struct line *line);
static bool can_be_answered(const char *phone);

static int text_hear(struct batch *b, struct job *job);

int intake_text(struct batch *b, struct job *job)
{
    int error = text_hear(b, job);
    return error ? error : intake_write(b); /* when nothing was heard in it */
}

static int text_hear(struct batch *b, struct job *job)
{
    bool repeat = false;
    int error = is_repeat(b, job, &repeat); /* a carrier repeats itself: once is enough, for ever */
    if (error || repeat)
        return error;

    const struct clinic *clinic = config_clinic_by_number(b->f->config, job->text.to);
    if (!clinic)
        return intake_keep(b, job, NULL, 0, "no clinic has this number", NULL);
    if (!can_be_answered(job->text.from))
        return intake_keep(b, job, clinic, 0, "sender cannot be answered", NULL);
    if (staff_takes(b, job, clinic, &error) || error) /* TAKE code, from the staff number that got it */
        return error;

    struct line *line = batch_line(b, clinic, job->text.from, &error);
    if (!line || staff_says(b, job, line, &error) || error)
        return error;
    return line->n > 1 ? hear_shared(b, job, line) : hear_person(b, job, line);
}

/* -- what is stored: see also staff.c ---------------------------------------------------------------------------------------------------- */

void intake_hash(const struct job *job, uint8_t hash[MESSAGE_HASH])
{
    crypto_generichash(hash, MESSAGE_HASH, (const uint8_t *)job->text.message_id, strlen(job->text.message_id), NULL, 0);
}

/* What was gathered, with what this batch has stored since; NULL: nothing was gathered. */
static bool *gathered(struct batch *b, const uint8_t hash[MESSAGE_HASH])
{
    for (size_t i = 0; i < b->n_heard; i++)
        if (memcmp(b->heard[i], hash, MESSAGE_HASH) == 0)
            return &b->heard_known[i]; /* of two texts with one id the first answers for both */
    return NULL;
}

static int is_repeat(struct batch *b, struct job *job, bool *repeat)
{
    uint8_t hash[1][MESSAGE_HASH];
    intake_hash(job, hash[0]);
    bool *known = gathered(b, hash[0]);
    int error = 0;
    if (known)
        *repeat = *known;
    else
        error = texts_known(b->f->db, (const uint8_t (*)[MESSAGE_HASH])hash, 1, repeat);
    if (*repeat)
        job->result = JOB_REPEATED;
    return error;
}

int intake_keep(struct batch *b, const struct job *job, const struct clinic *clinic, int64_t person, const char *why,
                int64_t *id)
{
    struct stored_text t = {.id = b->next_id++, .person = person, .body = job->text.body, .received = b->now,
                            .sent = job->text.sent};
    snprintf(t.clinic, sizeof t.clinic, "%s", clinic ? clinic->id : "");
    snprintf(t.from, sizeof t.from, "%s", job->text.from);
    snprintf(t.to, sizeof t.to, "%s", job->text.to);
    snprintf(t.why, sizeof t.why, "%s", why);
    intake_hash(job, t.hash);
    bool *known = gathered(b, t.hash);
    if (known)
        *known = true;
    if (id)
        *id = t.id;
    log_event(LOG_INFO, "text", "id=%lld person=%lld from=%s size=%zu", (long long)t.id, (long long)person,
              log_number(t.from), job->text.size);
    if (*why)
        return text_write(b->f->db, &t);
    b->kept = t; /* its outcome follows */
    return 0;
}

int intake_write(struct batch *b)
{
    struct effects *e = &b->effects;
    size_t left = 0;
    if (!b->kept.id)
        return 0;
    for (size_t i = 0; i < e->n; i++) {
        if (e->at[i].kind != EFFECT_OUTCOME || e->at[i].outcome.text != b->kept.id) {
            if (left != i)
                e->at[left] = e->at[i];
            left++;
            continue;
        }
        b->kept.person = e->at[i].outcome.person;
        snprintf(b->kept.why, sizeof b->kept.why, "%s", e->at[i].outcome.why);
    }
    e->n = left;
    int error = text_write(b->f->db, &b->kept);
    b->kept.id = 0;
    return error;
}

/* +E.164: what is not a number (a short code, a name) is stored and never answered. */
static bool can_be_answered(const char *phone)
{
    size_t n = strlen(phone);
    if (phone[0] != '+' || n < 8 || n > 16 || phone[1] == '0')
        return false;
    return strspn(phone + 1, "0123456789") == n - 1;
}

/* -- one person --------------------------------------------------------------------------------------------------------- */

static bool other_language(const struct meaning *m, const char *text, size_t size)
{
    size_t letters = 0;
    for (size_t i = 0; i < size; i++)
        letters += isalpha((unsigned char)text[i]) || (unsigned char)text[i] >= 0x80;
    return m->language[0] == '\0' && letters >= 12;
}

static struct moment moment_of(const struct record *r, int64_t now)
{
    struct civil local = civil_at(&r->zone, now);
    struct moment received = {.minute = local.minute};
    civil_date(local.day, &received.year, &received.month, &received.day);
    return received;
}

/* What a text says, to somebody who lives in the zone of this record. */
static struct inbound listen_to(struct batch *b, const struct record *r, int64_t text, const char *body, size_t size,
                                int64_t sent)
{
    struct moment received = moment_of(r, b->now);
    parser_read(b->f->parser, body, size, received, &b->meaning);
    return (struct inbound){.text = text, .received = b->now, .sent = sent, .meaning = &b->meaning, .empty = size == 0,
                            .other_language = other_language(&b->meaning, body, size)};
}

/* START, whoever texts it, lets the number be enrolled again: see refusal_of. */
static int start_heard(struct batch *b, const struct record *r)
{
    return b->meaning.keyword == KEYWORD_START ? refusal_clear(b->f->db, r->person.clinic, r->person.phone) : 0;
}

static int hear(struct batch *b, struct record *r, int64_t text, const char *body, size_t size, int64_t sent, bool resent)
{
    struct inbound in = listen_to(b, r, text, body, size, sent);
    in.resent = resent;
    struct moment_of_care m = batch_moment(b);
    care_text(r, &m, &in, &b->effects);
    int error = start_heard(b, r);
    return error ? error : batch_write(b);
}

/* A number that is nobody's yet gets a record of its own, so that a worry of anybody is answered like any other. */
static struct record *stranger(struct batch *b, struct line *line, int *error)
{
    struct effects e = {0};
    struct record r = {0};
    person_blank(&r.person, line->clinic);
    r.person.id = b->next_id++;
    r.person.state_since = b->now;
    snprintf(r.person.phone, sizeof r.person.phone, "%s", line->phone);
    course_blank(&r.course, r.person.id);
    care_put_person(&r, &e);
    care_put_course(&r, &e);
    *error = e.failed ? STORE_MEMORY : effects_write(b->f->db, &e);
    effects_clear(&e);
    if (*error)
        return NULL;
    line->people[line->n++] = r.person.id;
    return batch_record(b, r.person.id, error);
}

static int hear_person(struct batch *b, struct job *job, struct line *line)
{
    int error = 0;
    struct record *r = line->n ? batch_record(b, line->people[0], &error) : stranger(b, line, &error);
    int64_t text = 0;
    if (!error)
        error = intake_keep(b, job, line->clinic, r ? r->person.id : 0, r ? "" : "its record cannot be read", &text);
    if (error || !r)
        return error;
    return hear(b, r, text, job->text.body, job->text.size, job->text.sent, false);
}

/* -- a shared phone ----------------------------------------------------------------------------------------------------- */

/* The text that was asked about ("whose is it?"), if one was; its body is malloced. */
static int text_asked_about(struct batch *b, const struct record *r, struct stored_text *out, bool *found)
{
    const struct question *q = &r->course.question;
    if (q->kind != QUESTION_WHOSE || !q->text || b->now - q->asked_at > 86400)
        return 0;
    return text_get(b->f->db, q->text, out, found);
}

/* Whose the untagged text was is known: what it began with the others who share the phone ends. */
static int tell_others(struct batch *b, struct record **people, size_t n, size_t whose, const struct question *asked)
{
    int error = 0;
    for (size_t i = 0; i < n && !error; i++) {
        if (i == whose)
            continue;
        struct moment_of_care m = batch_moment(b);
        care_told_whose(people[i], &m, asked, &b->effects);
        error = batch_write(b);
    }
    return error;
}

/* A tag and nothing else: the text that was asked about is heard instead. */
static int hear_part(struct batch *b, struct job *job, struct record **people, size_t n, int64_t text,
                     const struct tagged *part)
{
    struct record *r = people[part->person];
    const struct question asked_with = r->course.question;
    const char *body = job->text.body + part->from;
    struct stored_text asked = {0};
    bool found = false, nothing = strspn(body, " \t\r\n.,:;!-") >= part->size;
    int error = text_asked_about(b, r, &asked, &found);
    bool resent = found && asked.body && (nothing || says_again(b->f->parser, asked.body, body, part->size));
    if (!error && nothing && resent)
        error = hear(b, r, text, asked.body, strlen(asked.body), asked.received, true);
    else if (!error && !nothing)
        error = hear(b, r, text, body, part->size, job->text.sent, resent);
    if (!error && resent)
        error = tell_others(b, people, n, part->person, &asked_with);
    free(asked.body);
    return error;
}

static int hear_shared(struct batch *b, struct job *job, struct line *line)
{
    struct record *people[LINE_PEOPLE];
    const char *tags[LINE_PEOPLE];
    struct tagged parts[LINE_PEOPLE];
    size_t n = 0;
    int error = 0;
    for (size_t i = 0; i < line->n; i++)  /* loaded first: loading moves the records */
        batch_record(b, line->people[i], &error);
    for (size_t i = 0; i < line->n && !error; i++)
        if ((people[n] = batch_record(b, line->people[i], &error)))
            tags[n] = people[n]->person.tag, n++;
    int64_t text = 0;
    if (!error)
        error = intake_keep(b, job, line->clinic, n ? people[0]->person.id : 0, n ? "" : "its record cannot be read", &text);
    if (error || !n)
        return error;

    size_t cut = tags_cut(job->text.body, tags, n, parts, LINE_PEOPLE);
    for (size_t i = 0; i < cut && !error; i++)
        error = hear_part(b, job, people, n, text, &parts[i]);
    if (cut || error)
        return error;

    struct inbound in = listen_to(b, people[0], text, job->text.body, job->text.size, job->text.sent);
    struct moment_of_care m = batch_moment(b);
    care_text_shared(people, n, &m, &in, &b->effects);
    error = start_heard(b, people[0]);
    return error ? error : batch_write(b);
}
