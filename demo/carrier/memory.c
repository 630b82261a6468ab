/* What came, in order, and the rules by which the carrier misbehaves. */
#include "demo/carrier/carrier.h"

#include <poll.h>
#include <stdio.h>
#include <string.h>

void carrier_open(struct carrier *c, const char *secret)
{
    *c = (struct carrier){.sent = json_array(), .mails = json_array(), .accepted = json_object()};
    pthread_mutex_init(&c->lock, NULL);
    pthread_cond_init(&c->changed, NULL);
    snprintf(c->secret, sizeof c->secret, "%s", secret);
}

static struct rule *rule_find(struct carrier *c, const char *path, const char *to)
{
    for (int i = 0; i < RULES_MAX; i++) {
        struct rule *r = &c->rules[i];
        if (r->left && !strcmp(r->path, path) && (!r->to[0] || !strcmp(r->to, to)))
            return r;
    }
    return NULL;
}

struct rule rule_take(struct carrier *c, const char *path, const char *to)
{
    struct rule found = {.status = 0};
    pthread_mutex_lock(&c->lock);
    struct rule *r = rule_find(c, path, to);
    if (r) {
        found = *r;
        if (r->left > 0)
            r->left--;
    }
    for (int told = c->told; found.hang && !c->closing && c->told == told;)
        pthread_cond_wait(&c->changed, &c->lock);
    pthread_mutex_unlock(&c->lock);
    if (found.delay_ms > 0)
        poll(NULL, 0, found.delay_ms);
    return found;
}

static int number(const json_t *told, const char *name, int otherwise)
{
    const json_t *value = json_object_get(told, name);
    return json_is_integer(value) ? (int)json_integer_value(value) : otherwise;
}

bool rules_set(struct carrier *c, const json_t *told)
{
    const char *path = json_string_value(json_object_get(told, "path"));
    const char *to = json_string_value(json_object_get(told, "to"));
    bool kept = false;
    if (!json_is_object(told))
        return false;
    struct rule r = {.status = number(told, "status", 0), .left = number(told, "for", -1),
                     .retry_after = number(told, "retry_after", 0), .delay_ms = number(told, "delay_ms", 0),
                     .hang = json_is_true(json_object_get(told, "hang"))};
    snprintf(r.path, sizeof r.path, "%s", path ? path : "/messages");
    snprintf(r.to, sizeof r.to, "%s", to ? to : "");
    pthread_mutex_lock(&c->lock);
    if (json_object_size(told) == 0) {
        memset(c->rules, 0, sizeof c->rules);
        kept = true;
    }
    for (int pass = 0; pass < 2 && !kept; pass++) /* in place of one for the same, else in a free place */
        for (int i = 0; i < RULES_MAX && !kept; i++) {
            struct rule *old = &c->rules[i];
            kept = pass ? !old->left : old->left && !strcmp(old->path, r.path) && !strcmp(old->to, r.to);
            if (kept)
                *old = r;
        }
    c->told++;
    pthread_cond_broadcast(&c->changed);
    pthread_mutex_unlock(&c->lock);
    return kept;
}

/* Under lock. The record of a key that was accepted before, or NULL. */
static json_t *first_of_key(struct carrier *c, const json_t *record)
{
    const char *key = json_string_value(json_object_get(record, "key"));
    return key && *key ? json_object_get(c->accepted, key) : NULL;
}

static bool same(const json_t *a, const json_t *b)
{
    static const char *const fields[] = {"path", "from", "to", "text", "body"};
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        const json_t *x = json_object_get(a, fields[i]), *y = json_object_get(b, fields[i]);
        if ((x || y) && !json_equal(x, y))
            return false;
    }
    return true;
}

void carrier_keep(struct carrier *c, const char *path, json_t *record, int status, char id[32])
{
    bool taken = status >= 200 && status <= 299;
    pthread_mutex_lock(&c->lock);
    json_object_set_new(record, "path", json_string(path));
    json_t *first = first_of_key(c, record);
    const char *old = json_string_value(json_object_get(first, "id"));
    if (old)
        snprintf(id, 32, "%s", old);
    else
        snprintf(id, 32, "m-%d", ++c->next_id);
    json_object_set_new(record, "n", json_integer((json_int_t)json_array_size(c->sent)));
    json_object_set_new(record, "status", json_integer(status));
    json_object_set_new(record, "id", json_string(id));
    json_object_set_new(record, "repeat", json_boolean(first != NULL));
    if (first && !same(first, record))
        json_object_set_new(record, "changed", json_true());
    if (!taken) {
        json_object_set_new(record, "was", json_string(path));
        json_object_set_new(record, "path", json_string("/refused"));
    } else if (!first && json_string_length(json_object_get(record, "key"))) {
        json_object_set(c->accepted, json_string_value(json_object_get(record, "key")), record);
    }
    json_array_append_new(c->sent, record);
    pthread_mutex_unlock(&c->lock);
}

json_t *carrier_since(struct carrier *c, size_t since)
{
    json_t *list = json_array();
    pthread_mutex_lock(&c->lock);
    for (size_t i = since; i < json_array_size(c->sent); i++)
        json_array_append_new(list, json_deep_copy(json_array_get(c->sent, i)));
    pthread_mutex_unlock(&c->lock);
    return list;
}
