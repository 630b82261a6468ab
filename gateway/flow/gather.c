/* Gathering: what a batch needs before it decides anything, where several gateways work at one database.
 *
 *     names    the numbers that texts came from, the rows and carrier's ids of results and receipts      held, waited for
 *     persons  on those numbers, of those rows, of actions                                               held, waited for
 *     looks    persons of what is due                                                                    left if another has them
 *     records  of all that are held, in one journey
 *
 * So two texts of one patient at two gateways are judged one after the other, the second on the record as the first left it;
 * and always in this order, so that no two gateways wait for each other. Whoever turns up later (the patient of an alert that
 * staff take) is held when the record is loaded; should that end in a knot the database cuts it, and the batch is done again.
 * Ids begin above all that is stored, so that order holds though machines' clocks differ. A handful of journeys a batch,
 * however many jobs it has.
 */
#include "gateway/flow/inside.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Room for what 128 jobs may name; a roster brings its own. */
struct gathering {
    char (*names)[HOLD_NAME];
    struct number_line *lines;
    int64_t *persons, *looks;
    int64_t *touched; /* held like persons; their records are loaded when they are asked for */
    size_t n_names, n_lines, n_persons, n_looks, n_touched, most;
};

static size_t most_of(const struct job *jobs)
{
    size_t n = 1;
    for (const struct job *job = jobs; job; job = job->next)
        n += 2 + (job->kind == JOB_ROSTER ? job->roster.n : 0);
    return n;
}

static bool gathering_open(struct gathering *g, const struct job *jobs)
{
    g->most = most_of(jobs);
    g->names = calloc(g->most, sizeof *g->names);
    g->lines = calloc(g->most, sizeof *g->lines);
    g->persons = calloc(g->most * (1 + LINE_PEOPLE), sizeof *g->persons);
    g->looks = calloc(g->most, sizeof *g->looks);
    g->touched = calloc(g->most * (2 + LINE_PEOPLE), sizeof *g->touched);
    return g->names && g->lines && g->persons && g->looks && g->touched;
}

static void gathering_close(struct gathering *g)
{
    free(g->names);
    free(g->lines);
    free(g->persons);
    free(g->looks);
    free(g->touched);
}

/* -- what jobs name ------------------------------------------------------------------------------------------------------- */

static void name_line(struct gathering *g, const char *clinic, const char *phone)
{
    name_number(g->names[g->n_names++], clinic, phone);
    for (size_t i = 0; i < g->n_lines; i++)
        if (strcmp(g->lines[i].phone, phone) == 0 && strcmp(g->lines[i].clinic, clinic) == 0)
            return;
    struct number_line *line = &g->lines[g->n_lines++];
    *line = (struct number_line){.max = LINE_PEOPLE};
    snprintf(line->clinic, sizeof line->clinic, "%s", clinic);
    snprintf(line->phone, sizeof line->phone, "%s", phone);
}

static void name_row(struct gathering *g, int64_t id)
{
    snprintf(g->names[g->n_names++], HOLD_NAME, "row %lld", (long long)id);
}

static void name_receipt(struct gathering *g, const char *id)
{
    snprintf(g->names[g->n_names++], HOLD_NAME, "receipt %.80s", id);
}

/* Rows of results and receipts, as far as is known by now. */
static int name_sought(struct batch *b, struct gathering *g, const struct job *jobs)
{
    int error = sought_load(b, jobs);
    size_t i = 0;
    for (const struct job *job = jobs; job && !error; job = job->next) {
        if (job->kind != JOB_SENT && job->kind != JOB_RECEIPT)
            continue;
        const struct sought *s = &b->sought[i++];
        if (s->found)
            name_row(g, s->row.id);
        if (job->kind == JOB_RECEIPT && !s->found)
            name_receipt(g, job->receipt.id);
        else if (job->kind == JOB_SENT && job->sent.carrier_id[0])
            name_receipt(g, job->sent.carrier_id);
    }
    return error;
}

/* The same now that nobody else can be changing them; whose they are is held too. Care is asked only about what failed: then
 * the record is loaded. */
static int load_sought(struct batch *b, struct gathering *g, const struct job *jobs)
{
    int error = sought_load(b, jobs);
    for (size_t i = 0; i < b->n_sought && !error; i++)
        if (b->sought[i].found && b->sought[i].row.person)
            g->touched[g->n_touched++] = b->sought[i].row.person;
    return error;
}

static void name_look(struct gathering *g, const struct job *job)
{
    if (job->kind == JOB_OVERDUE)
        name_row(g, job->look.outgoing->id);
    if (job->look.person)
        g->looks[g->n_looks++] = job->look.person;
}

static void job_name(struct batch *b, struct gathering *g, const struct job *job)
{
    const struct clinic *clinic;
    switch (job->kind) {
    case JOB_TEXT:
        if ((clinic = config_clinic_by_number(b->f->config, job->text.to)))
            name_line(g, clinic->id, job->text.from);
        return;
    case JOB_LOOK:
    case JOB_ALERT:
    case JOB_OVERDUE:
        name_look(g, job);
        return;
    case JOB_ACTION:
        g->persons[g->n_persons++] = job->action.person;
        return;
    case JOB_ENROL:
        name_line(g, job->enrol.person.clinic, job->enrol.person.phone);
        return;
    case JOB_ROSTER:
        for (size_t i = 0; i < job->roster.n; i++)
            name_line(g, job->roster.list[i].person.clinic, job->roster.list[i].person.phone);
        return;
    default:
        return;
    }
}

/* -- holding and loading -------------------------------------------------------------------------------------------------- */

static int hold_names(struct batch *b, struct gathering *g)
{
    const char **names = calloc(g->n_names + 1, sizeof *names);
    if (!names)
        return STORE_MEMORY;
    for (size_t i = 0; i < g->n_names; i++)
        names[i] = g->names[i];
    int error = names_hold(b->f->db, names, g->n_names);
    free(names);
    return error;
}

/* Which message ids are known, now that nobody else can be storing them. */
static int load_known(struct batch *b, const struct job *jobs)
{
    size_t n = 0;
    for (const struct job *job = jobs; job; job = job->next)
        n += job->kind == JOB_TEXT;
    if (!n)
        return 0;
    b->heard = calloc(n, sizeof *b->heard);
    b->heard_known = calloc(n, sizeof *b->heard_known);
    if (!b->heard || !b->heard_known)
        return STORE_MEMORY;
    for (const struct job *job = jobs; job; job = job->next)
        if (job->kind == JOB_TEXT)
            intake_hash(job, b->heard[b->n_heard++]);
    return texts_known(b->f->db, (const uint8_t(*)[MESSAGE_HASH])b->heard, n, b->heard_known);
}

static int load_lines(struct batch *b, struct gathering *g)
{
    int error = people_of_numbers(b->f->db, g->lines, g->n_lines);
    b->lines = error ? NULL : calloc(g->n_lines + 1, sizeof *b->lines);
    if (error || !b->lines)
        return error ? error : STORE_MEMORY;
    b->cap_lines = g->n_lines + 1;
    for (size_t i = 0; i < g->n_lines; i++) {
        const struct number_line *from = &g->lines[i];
        struct line *line = &b->lines[b->n_lines];
        line->clinic = config_clinic(b->f->config, from->clinic);
        b->n_lines += line->clinic != NULL;
        snprintf(line->phone, sizeof line->phone, "%s", from->phone);
        line->n = from->n;
        memcpy(line->people, from->people, from->n * sizeof *from->people);
        for (size_t k = 0; k < from->n; k++)
            g->persons[g->n_persons++] = from->people[k];
    }
    return 0;
}

static int whole_order(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* Those whose records are wanted and those whose rows are touched, in one ascending order. */
static int hold_persons(struct batch *b, struct gathering *g)
{
    memcpy(&g->touched[g->n_touched], g->persons, g->n_persons * sizeof *g->persons);
    g->n_touched += g->n_persons;
    size_t kept = 0;
    qsort(g->persons, g->n_persons, sizeof *g->persons, whole_order);
    for (size_t i = 0; i < g->n_persons; i++)
        if (kept == 0 || g->persons[kept - 1] != g->persons[i])
            g->persons[kept++] = g->persons[i];
    g->n_persons = kept;
    return persons_hold(b->f->db, g->touched, &g->n_touched);
}

static bool among(const int64_t *at, size_t n, int64_t one)
{
    for (size_t i = 0; i < n; i++)
        if (at[i] == one)
            return true;
    return false;
}

/* Whoever of the looks' persons is free joins the others; the rest is left to the gateway that has them. */
static int hold_looks(struct batch *b, struct gathering *g, struct job *jobs)
{
    bool *held = calloc(g->n_looks + 1, sizeof *held);
    int error = held ? persons_hold_unheld(b->f->db, g->looks, g->n_looks, held) : STORE_MEMORY;
    for (size_t i = 0; i < g->n_looks && !error; i++)
        if (held[i] && !among(g->persons, g->n_persons, g->looks[i]))
            g->persons[g->n_persons++] = g->looks[i];
    for (struct job *job = jobs; job && !error; job = job->next)
        if (job->kind == JOB_LOOK || job->kind == JOB_ALERT || job->kind == JOB_OVERDUE) {
            job->left = job->look.person && !among(g->persons, g->n_persons, job->look.person);
            b->left |= job->left;
        }
    free(held);
    return error;
}

static int load_records(struct batch *b, struct gathering *g)
{
    if (!g->n_persons)
        return 0;
    b->records = calloc(g->n_persons, sizeof *b->records);
    if (!b->records)
        return STORE_MEMORY;
    b->cap_records = b->n_records = g->n_persons;
    int error = records_load(b->f->db, b->now, g->persons, g->n_persons, b->records);
    for (size_t i = 0; i < b->n_records && !error; i++)
        if (b->records[i].person.id)
            record_complete(b->f->config, &b->records[i], b->now);
    return error;
}

/* Above everything stored: what a person's earlier rows have, whichever gateway wrote them. In a millisecond of their own
 * gateways begin 1,024 apart, so that batches that run at one time seldom meet; where they do, one is done again. */
static int raise_ids(struct batch *b)
{
    int64_t largest = 0;
    int error = db_largest_id(b->f->db, &largest);
    if (!error && b->next_id <= largest)
        b->next_id = ((largest | 4095) + 1) + ids_salt(db_gateway(b->f->db));
    return error;
}

unsigned ids_salt(int64_t gateway)
{
    return gateway > 0 ? (unsigned)((gateway - 1) % 4 * 1024 + (gateway - 1) / 4 % 16 * 64) : 0;
}

static int gather_with(struct batch *b, struct gathering *g, struct job *jobs)
{
    for (struct job *job = jobs; job; job = job->next)
        job_name(b, g, job);
    int error = name_sought(b, g, jobs);
    if (!error)
        error = hold_names(b, g);
    if (!error)
        error = load_sought(b, g, jobs);
    if (!error)
        error = load_known(b, jobs);
    if (!error)
        error = load_lines(b, g);
    if (!error)
        error = hold_persons(b, g);
    if (!error)
        error = hold_looks(b, g, jobs);
    if (!error)
        error = load_records(b, g);
    return error ? error : raise_ids(b);
}

int batch_gather(struct batch *b, struct job *jobs)
{
    struct gathering g = {0};
    if (!db_shared(b->f->db))
        return 0;
    int error = gathering_open(&g, jobs) ? gather_with(b, &g, jobs) : STORE_MEMORY;
    gathering_close(&g);
    return error;
}
