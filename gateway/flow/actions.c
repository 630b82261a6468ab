/* What a person at the desk does, and enrolment: jobs like any other, decided on the record as it is by then.
 */
#include "gateway/flow/inside.h"

#include <stdio.h>
#include <string.h>

int action_handle(struct batch *b, struct job *job)
{
    int error = 0;
    struct record *r = batch_record(b, job->action.person, &error);
    if (error)
        return error;
    struct moment_of_care m = batch_moment(b);
    job->action.answer = r ? care_act(r, &m, &job->action.action, &b->effects) : CARE_GONE;
    if (job->action.answer != CARE_DONE)
        job->result = JOB_REFUSED;
    return batch_write(b);
}

/* A number that had texted before keeps its record: the stranger becomes the patient. Two on one number need tags that
 * differ. */
static const char *may_share(struct batch *b, const struct line *line, struct person *p, int *error)
{
    for (size_t i = 0; i < line->n && !*error; i++) {
        const struct record *r = batch_record(b, line->people[i], error);
        if (!r)
            continue;
        if (r->person.state == PERSON_STRANGER)
            p->id = r->person.id;
        else if (!p->tag[0] || !r->person.tag[0] || strcasecmp(p->tag, r->person.tag) == 0)
            return "this number is another patient's: enrol both with tags that differ";
    }
    return line->n < LINE_PEOPLE ? NULL : "this number is shared by 16 patients, the most there may be";
}

/* NULL: they may be added, as far as the database knows. */
static const char *enrol_check(struct batch *b, struct person *p, int *error)
{
    const struct clinic *clinic = config_clinic(b->f->config, p->clinic);
    int64_t id = 0;
    bool taken = false, opted_out = false;
    if (!clinic)
        return "there is no such clinic";
    *error = person_by_ref(b->f->db, p->clinic, p->ref, &id, &taken);
    if (taken)
        return "this ref is enrolled already";
    if (!*error)
        *error = refusal_of(b->f->db, p->clinic, p->phone, &opted_out);
    if (opted_out)
        return "whoever has this number had opted out and was erased: enrol them once they have texted START";
    struct line *line = *error ? NULL : batch_line(b, clinic, p->phone, error);
    return line ? may_share(b, line, p, error) : NULL;
}

static int enrol_write(struct batch *b, struct person *p, bool joined)
{
    int error = 0;
    struct record fresh = {0}, *r = p->id ? batch_record(b, p->id, &error) : &fresh;
    if (!r)
        return error ? error : STORE_CONFLICT;
    if (r == &fresh) {
        p->id = b->next_id++;
        course_blank(&fresh.course, p->id);
        week_blank(&fresh.week, p->id);
    }
    r->person = *p;
    record_complete(b->f->config, r, b->now);
    struct moment_of_care m = batch_moment(b);
    care_enrol(r, &m, joined, &b->effects);
    error = batch_write(b);
    if (r != &fresh)
        return error;
    record_clear(&fresh);
    struct line *line = error ? NULL : batch_line(b, config_clinic(b->f->config, p->clinic), p->phone, &error);
    if (line && line->n < LINE_PEOPLE)
        line->people[line->n++] = p->id;
    return error;
}

int enrol_handle(struct batch *b, struct job *job)
{
    int error = 0;
    const char *why = enrol_check(b, &job->enrol.person, &error);
    if (error)
        return error;
    job->enrol.answer = why ? CARE_REFUSED : CARE_DONE;
    if (!why)
        return enrol_write(b, &job->enrol.person, job->enrol.joined);
    snprintf(job->enrol.why, sizeof job->enrol.why, "%s", why);
    job->result = JOB_REFUSED;
    return 0;
}

/* Whoever hands it over has seen to it that no two of the list have one ref, or one number without tags. */
int roster_handle(struct batch *b, struct job *job)
{
    int error = 0;
    for (size_t i = 0; i < job->roster.n && !error; i++) {
        struct roster_entry *e = &job->roster.list[i];
        const char *why = enrol_check(b, &e->person, &error);
        snprintf(e->why, sizeof e->why, "%s", why ? why : "");
        if (why)
            job->result = JOB_REFUSED;
    }
    for (size_t i = 0; i < job->roster.n && !error && job->result != JOB_REFUSED; i++)
        error = enrol_write(b, &job->roster.list[i].person, job->roster.list[i].joined);
    return error;
}

int call_handle(struct batch *b, struct job *job)
{
    db_now(b->f->db, b->now);
    return job->call.call(b->f->db, b->now, job->call.what);
}
