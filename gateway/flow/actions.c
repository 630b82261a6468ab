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

static int enrol_refused(struct job *job, const char *why)
{
    snprintf(job->enrol.why, sizeof job->enrol.why, "%s", why);
    job->enrol.answer = CARE_REFUSED;
    job->result = JOB_REFUSED;
    return 0;
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
    return NULL;
}

int enrol_handle(struct batch *b, struct job *job)
{
    struct person *p = &job->enrol.person;
    const struct clinic *clinic = config_clinic(b->f->config, p->clinic);
    int64_t id = 0;
    bool taken = false;
    int error = person_by_ref(b->f->db, p->clinic, p->ref, &id, &taken);
    struct line *line = clinic && !error ? batch_line(b, clinic, p->phone, &error) : NULL;
    if (error)
        return error;
    if (!clinic || taken)
        return enrol_refused(job, clinic ? "this ref is enrolled already" : "there is no such clinic");
    const char *why = may_share(b, line, p, &error);
    if (why || error)
        return error ? error : enrol_refused(job, why);
    struct record fresh = {0}, *r = p->id ? batch_record(b, p->id, &error) : &fresh;
    if (!r)
        return error ? error : STORE_CONFLICT;
    if (r == &fresh) {
        p->id = b->next_id++;
        course_blank(&fresh.course, p->id);
    }
    r->person = *p;
    record_complete(b->f->config, r, b->now);
    struct moment_of_care m = batch_moment(b);
    care_enrol(r, &m, job->enrol.joined, &b->effects);
    error = batch_write(b);
    if (r == &fresh) {
        if (line->n < LINE_PEOPLE)
            line->people[line->n++] = p->id;
        record_clear(&fresh);
    }
    job->enrol.answer = CARE_DONE;
    return error;
}
