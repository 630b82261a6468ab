/* Does the steps of a script and says, where one went otherwise, what was expected and what was found.
 */
#include "demo/play/play.h"

#include <ctype.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static int otherwise(const struct step *step, const char *expected, const char *found)
{
    fprintf(stderr, "%s:%d: expected %s\n    found: %s\n", step->file, step->line, expected, found);
    return -1;
}

static const char *field(const json_t *message, const char *name)
{
    const char *text = json_string_value(json_object_get(message, name));
    return text ? text : "";
}

/* Holds: the words stand in the text, any case; "*" alone is any text; several needles are parted by " & ". */
static bool holds(const char *text, const char *words)
{
    char needles[PLAY_LINE];
    if (strcmp(words, "*") == 0)
        return true;
    snprintf(needles, sizeof needles, "%s", words);
    for (char *one = needles, *next; one; one = next) {
        next = strstr(one, " & ");
        if (next) {
            *next = '\0';
            next += 3;
        }
        bool absent = one[0] == '!';
        if ((strcasestr(text, one + absent) != NULL) == absent)
            return false;
    }
    return true;
}

/* "\n" in a script is a line break in the text. */
static void unescape(const char *words, char *out, size_t size)
{
    size_t n = 0;
    for (; *words && n + 1 < size; words++)
        out[n++] = words[0] == '\\' && words[1] == 'n' ? (words++, '\n') : *words;
    out[n] = '\0';
}

static bool is_text_to(const json_t *message, const struct actor *a)
{
    return strcmp(field(message, "path"), "/messages") == 0 && strcmp(field(message, "to"), a->phone) == 0 &&
           !json_is_true(json_object_get(message, "repeat"));
}

/* The next text to this person, not yet seen; NULL when there is none. */
static const json_t *next_text(struct stage *g, struct actor *a)
{
    for (; a->seen < json_array_size(g->sent); a->seen++)
        if (is_text_to(json_array_get(g->sent, a->seen), a))
            return json_array_get(g->sent, a->seen++);
    return NULL;
}

/* Lets everything due at this instant be sent, and fetches what came. */
static int settle(struct stage *g, struct script *s)
{
    size_t before = json_array_size(g->sent);
    g->unsettled = false;
    if (stage_move(g, g->now) < 0 || stage_hear(g) < 0)
        return -1;
    show_sent(s, g->now, g->sent, before);
    for (size_t i = before; i < json_array_size(g->sent); i++) {
        const json_t *message = json_array_get(g->sent, i);
        for (size_t k = 0; k < s->n_actors; k++)
            s->actors[k].count += is_text_to(message, &s->actors[k]);
    }
    return 0;
}

/* "{code}" is the code of the newest text to this person that asks for TAKE. */
static void fill_code(const struct stage *g, const struct actor *a, char *words)
{
    char *hole = strstr(words, "{code}");
    for (size_t i = json_array_size(g->sent); hole && i-- > 0;) {
        const json_t *message = json_array_get(g->sent, i);
        const char *take = is_text_to(message, a) ? strstr(field(message, "text"), "TAKE ") : NULL;
        size_t n = take ? strspn(take + 5, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") : 0;
        if (n == 0 || n > strlen("{code}"))
            continue;
        memmove(hole + n, hole + strlen("{code}"), strlen(hole + strlen("{code}")) + 1);
        memcpy(hole, take + 5, n);
        return;
    }
}

static int act_text(struct stage *g, struct script *s, const struct step *step)
{
    struct actor *a = script_actor(s, step->who);
    char words[PLAY_LINE], status[32];
    unescape(step->words, words, sizeof words);
    fill_code(g, a, words);
    show_text(s, g->now, step->who, words);
    snprintf(status, sizeof status, "%d", stage_text(g, a->phone, a->clinic_number, words));
    if (strcmp(status, "200") != 0)
        return otherwise(step, "200 for the text", status);
    return settle(g, s);
}

static int act_expect(struct stage *g, struct script *s, const struct step *step)
{
    struct actor *a = script_actor(s, step->who);
    const json_t *message = next_text(g, a);
    while (message && step->kind == STEP_FIND && !holds(field(message, "text"), step->words))
        message = next_text(g, a);
    if (step->kind == STEP_NOTHING)
        return message ? otherwise(step, "no text", field(message, "text")) : 0;
    if (!message)
        return otherwise(step, step->words, "no text");
    return holds(field(message, "text"), step->words) ? 0 : otherwise(step, step->words, field(message, "text"));
}

static const json_t *at_path(const json_t *json, char *path)
{
    char *save = NULL;
    for (char *key = strtok_r(path, ".", &save); key && json; key = strtok_r(NULL, ".", &save))
        json = json_is_array(json) ? strcmp(key, "n") == 0 ? NULL : json_array_get(json, (size_t)strtoul(key, NULL, 10))
                                   : json_object_get(json, key);
    return json;
}

/* json PATH = VALUE; PATH.n is the length of a list; a number may be off by half of its last written digit. */
static int act_json(struct stage *g, const struct step *step)
{
    char path[PLAY_LINE], found[256], *value;
    snprintf(path, sizeof path, "%s", step->words);
    value = strstr(path, " = ");
    if (!value)
        return otherwise(step, "json PATH = VALUE", step->words);
    *value = '\0';
    value += 3;
    json_t *json = json_loads(g->output ? g->output : "", 0, NULL);
    size_t n = strlen(path);
    bool length = n > 2 && strcmp(path + n - 2, ".n") == 0 && strncmp(path, "mean", 4) != 0 && strncmp(path, "morning", 7) &&
                  strncmp(path, "evening", 7);
    if (length)
        path[n - 2] = '\0';
    const json_t *at = at_path(json, path);
    char *dump = length ? NULL : json_dumps(at, JSON_ENCODE_ANY | JSON_COMPACT);
    snprintf(found, sizeof found, "%s", dump ? dump : "nothing");
    if (length)
        snprintf(found, sizeof found, "%zu", json_array_size(at));
    bool same = strcmp(found, value) == 0;
    if (!same && json_is_number(at)) {
        const char *point = strchr(value, '.');
        double slack = point ? 0.5 * pow(10, -(double)strlen(point + 1)) : 1e-9;
        same = fabs(json_number_value(at) - strtod(value, NULL)) <= slack * 1.000001;
    }
    free(dump);
    json_decref(json);
    return same ? 0 : otherwise(step, step->words, found);
}

static int act_sink(struct stage *g, const struct step *step)
{
    char *last = NULL;
    for (size_t i = 0; i < json_array_size(g->sent); i++) {
        const json_t *message = json_array_get(g->sent, i);
        const char *path = field(message, "path");
        if (strncmp(path, "/", 1) == 0 && strncasecmp(path + 1, step->who, strcspn(step->who, ":")) != 0)
            continue;
        free(last);
        last = json_dumps(message, JSON_COMPACT);
        if (last && holds(last, step->words)) {
            free(last);
            return 0;
        }
    }
    int error = otherwise(step, step->words, last ? last : "nothing");
    free(last);
    return error;
}

static int act_again(struct stage *g, const struct step *step)
{
    if (stage_stop_program(g, step->kind == STEP_KILL ? SIGKILL : SIGTERM) < 0)
        return otherwise(step, "an end with status 0", "another");
    return stage_start_program(g);
}

static int act_post(struct stage *g, struct script *s, const struct step *step)
{
    char status[16];
    int got = stage_post(g, step->words);
    snprintf(status, sizeof status, "%d", got);
    return got == step->number ? settle(g, s) : otherwise(step, step->who, status);
}

static int act_count(struct script *s, const struct step *step)
{
    const struct actor *a = script_actor(s, step->who);
    char found[64];
    snprintf(found, sizeof found, "%d texts to %s", a ? a->count : -1, step->who);
    return a && a->count == step->number ? 0 : otherwise(step, step->words, found);
}

static int act_run(struct stage *g, const struct step *step)
{
    g->unsettled = true;
    return stage_run(g, step->words, step->number) < 0 ? otherwise(step, "another exit status", "see above") : 0;
}

/* Steps that look at what was sent wait for what a command has queued. */
static bool looks_at_texts(enum step_kind kind)
{
    return kind == STEP_EXPECT || kind == STEP_FIND || kind == STEP_NOTHING || kind == STEP_COUNT || kind == STEP_SINK ||
           kind == STEP_TEXT;
}

static int do_step(struct stage *g, struct script *s, const struct step *step)
{
    if (g->unsettled && looks_at_texts(step->kind) && settle(g, s) < 0)
        return -1;
    switch (step->kind) {
    case STEP_RUN:
        return act_run(g, step);
    case STEP_TIME:
        return settle(g, s);
    case STEP_TEXT:
        return act_text(g, s, step);
    case STEP_EXPECT:
    case STEP_FIND:
    case STEP_NOTHING:
        return act_expect(g, s, step);
    case STEP_OUTPUT:
        return g->output && holds(g->output, step->words) ? 0 : otherwise(step, step->words, g->output ? g->output : "");
    case STEP_JSON:
        return act_json(g, step);
    case STEP_CARRIER:
        return stage_carrier(g, "/behave", step->words, NULL) == 200 ? 0 : otherwise(step, "200", "the carrier refuses");
    case STEP_RESTART:
    case STEP_KILL:
        return act_again(g, step);
    case STEP_SAY:
        show_say(step->words);
        return 0;
    case STEP_COUNT:
        return act_count(s, step);
    case STEP_SINK:
        return act_sink(g, step);
    case STEP_POST:
        return act_post(g, s, step);
    }
    return -1;
}

int act(struct stage *g, struct script *s, const struct step *step)
{
    while (step->when > g->now) {
        int64_t hop = show_hop(g->now, step->when); /* who watches wants to see at which time each text came */
        if (stage_move(g, hop) < 0)
            return otherwise(step, "time to move", "it does not");
        if (settle(g, s) < 0)
            return -1;
    }
    return do_step(g, s, step);
}
