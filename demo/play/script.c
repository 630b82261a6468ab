/* Reads scripts. One line is one step; a time stands at the front of it or on a line of its own ("at", "wait").
 */
#include "demo/play/play.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

struct reading_of_script {
    struct script *s;
    const char *file;
    int line;
    int64_t when;
};

static int mistake(const struct reading_of_script *r, const char *what)
{
    fprintf(stderr, "%s:%d: %s\n", r->file, r->line, what);
    return -1;
}

struct actor *script_actor(struct script *s, const char *name)
{
    for (size_t i = 0; i < s->n_actors; i++)
        if (strcmp(s->actors[i].name, name) == 0)
            return &s->actors[i];
    return NULL;
}

static struct step *add_step(struct reading_of_script *r, enum step_kind kind, const char *who, const char *words)
{
    struct script *s = r->s;
    if (s->n == s->cap) {
        s->cap = s->cap ? 2 * s->cap : 64;
        s->steps = realloc(s->steps, s->cap * sizeof *s->steps);
        if (!s->steps)
            abort();
    }
    struct step *step = &s->steps[s->n];
    *step = (struct step){.kind = kind, .when = r->when, .line = r->line, .order = (int)s->n, .file = r->file};
    snprintf(step->who, sizeof step->who, "%s", who ? who : "");
    snprintf(step->words, sizeof step->words, "%s", words ? words : "");
    s->n++;
    return step;
}

static char *trimmed(char *text)
{
    while (isspace((unsigned char)*text))
        text++;
    size_t n = strlen(text);
    while (n && isspace((unsigned char)text[n - 1]))
        text[--n] = '\0';
    return text;
}

/* The word `word` at the front: what follows it, else NULL. */
static char *after(char *line, const char *word)
{
    size_t n = strlen(word);
    if (strncmp(line, word, n) != 0 || (line[n] && !isspace((unsigned char)line[n])))
        return NULL;
    return trimmed(line + n);
}

/* "2026-11-24T07:10" in UTC, seconds allowed. */
static bool read_time(const char *text, int64_t *when)
{
    struct tm tm = {0};
    const char *end = strptime(text, "%Y-%m-%dT%H:%M", &tm);
    if (!end || (*end == ':' && !(end = strptime(end, ":%S", &tm))) || (*end && *end != 'Z'))
        return false;
    *when = timegm(&tm);
    return true;
}

/* "15m", "90s", "2h", "1d". */
static bool read_span(const char *text, int64_t *seconds)
{
    char *end;
    long n = strtol(text, &end, 10);
    int64_t unit = *end == 's' ? 1 : *end == 'm' ? 60 : *end == 'h' ? 3600 : *end == 'd' ? 86400 : 0;
    *seconds = n * unit;
    return end != text && unit && end[1] == '\0';
}

static int read_actor(struct reading_of_script *r, char *rest)
{
    struct script *s = r->s;
    struct actor a = {0};
    if (sscanf(rest, "%23s %31s %31s", a.name, a.phone, a.clinic_number) < 2)
        return mistake(r, "write: who NAME PHONE [CLINIC'S NUMBER]");
    if (!a.clinic_number[0])
        snprintf(a.clinic_number, sizeof a.clinic_number, "+447700900001");
    if (script_actor(s, a.name) || s->n_actors == PLAY_ACTORS)
        return mistake(r, "this name is taken, or there are too many");
    s->actors[s->n_actors++] = a;
    return 0;
}

static int read_ini(struct reading_of_script *r, const char *line)
{
    size_t have = r->s->ini ? strlen(r->s->ini) : 0, more = strlen(line);
    char *grown = realloc(r->s->ini, have + more + 2);
    if (!grown)
        abort();
    memcpy(grown + have, line, more);
    memcpy(grown + have + more, "\n", 2);
    r->s->ini = grown;
    return 0;
}

/* diary NAME DATE 148/91_72 144/89 - 146/90 …: four a day, at 07:10, 07:12, 19:40 and 19:42; "-" is one not sent, "_" a
 * blank. "diary2 NAME DATE MIN MIN MIN MIN …" has other minutes of the day. */
static int read_diary(struct reading_of_script *r, char *rest, bool own_minutes)
{
    int minutes[4] = {7 * 60 + 10, 7 * 60 + 12, 19 * 60 + 40, 19 * 60 + 42};
    char *save = NULL, *name = strtok_r(rest, " ", &save), *date = strtok_r(NULL, " ", &save);
    char midnight[32];
    int64_t first;
    snprintf(midnight, sizeof midnight, "%sT00:00", date ? date : "");
    if (!date || !read_time(midnight, &first) || !script_actor(r->s, name))
        return mistake(r, "write: diary NAME YYYY-MM-DD 148/91 …, four a day");
    for (int i = 0; own_minutes && i < 4; i++) {
        char *minute = strtok_r(NULL, " ", &save);
        minutes[i] = minute ? (int)strtol(minute, NULL, 10) : 0;
    }
    int n = 0;
    for (char *one = strtok_r(NULL, " ", &save); one; one = strtok_r(NULL, " ", &save), n++) {
        r->when = first + n / 4 * 86400 + minutes[n % 4] * 60;
        for (char *c = one; *c; c++)
            *c = *c == '_' ? ' ' : *c;
        if (strcmp(one, "-") != 0)
            add_step(r, STEP_TEXT, name, one);
    }
    return 0;
}

static int read_expect(struct reading_of_script *r, char *rest, enum step_kind kind)
{
    char *colon = strchr(rest, ':'), *nothing = strstr(rest, " nothing");
    if (colon)
        *colon = '\0';
    else if (nothing)
        *nothing = '\0';
    else
        return mistake(r, "write: > NAME: words, or > NAME nothing");
    if (!script_actor(r->s, trimmed(rest)))
        return mistake(r, "nobody has this name: say who first");
    add_step(r, colon ? kind : STEP_NOTHING, trimmed(rest), colon ? trimmed(colon + 1) : "");
    return 0;
}

static int read_counted(struct reading_of_script *r, char *rest, enum step_kind kind)
{
    char word[PLAY_NAME] = "";
    int used = 0;
    if (sscanf(rest, "%23s %n", word, &used) < 1)
        return mistake(r, "something is missing here");
    struct step *step = add_step(r, kind, word, rest + used);
    step->number = (int)strtol(kind == STEP_COUNT ? rest + used : word, NULL, 10);
    return 0;
}

static int read_run(struct reading_of_script *r, char *rest)
{
    char *end;
    long expected = strtol(rest, &end, 10);
    bool given = end != rest && *end == ' ';
    struct step *step = add_step(r, STEP_RUN, NULL, given ? trimmed(end) : rest);
    step->number = given ? (int)expected : 0;
    return 0;
}

static int read_step(struct reading_of_script *r, char *line)
{
    char *rest;
    int64_t span;
    if ((rest = after(line, "title"))) {
        if (r->s->n_titles < 16)
            snprintf(r->s->title[r->s->n_titles++], sizeof r->s->title[0], "%s", rest);
        return 0;
    }
    if ((rest = after(line, "who")))
        return read_actor(r, rest);
    if ((rest = after(line, "start")))
        return read_time(rest, &r->s->start) ? 0 : mistake(r, "write: start YYYY-MM-DDTHH:MM");
    if ((rest = after(line, "at")))
        return read_time(rest, &r->when) ? (add_step(r, STEP_TIME, NULL, NULL), 0) : mistake(r, "write: at YYYY-MM-DDTHH:MM");
    if ((rest = after(line, "wait"))) {
        if (!read_span(rest, &span))
            return mistake(r, "write: wait 15m (s, m, h, d)");
        r->when = (r->when ? r->when : r->s->start) + span;
        add_step(r, STEP_TIME, NULL, NULL);
        return 0;
    }
    if ((rest = after(line, "diary")))
        return read_diary(r, rest, false);
    if ((rest = after(line, "diary2")))
        return read_diary(r, rest, true);
    if ((rest = after(line, "run")))
        return read_run(r, rest);
    if ((rest = after(line, "enrol"))) {
        char words[PLAY_LINE];
        snprintf(words, sizeof words, "enrol %s", rest);
        return read_run(r, words);
    }
    if ((rest = after(line, ">")))
        return read_expect(r, rest, STEP_EXPECT);
    if ((rest = after(line, ">>")))
        return read_expect(r, rest, STEP_FIND);
    if ((rest = after(line, "=")))
        return add_step(r, STEP_OUTPUT, NULL, rest), 0;
    if ((rest = after(line, "json")))
        return add_step(r, STEP_JSON, NULL, rest), 0;
    if ((rest = after(line, "carrier")))
        return add_step(r, STEP_CARRIER, NULL, rest), 0;
    if (after(line, "restart"))
        return add_step(r, STEP_RESTART, NULL, NULL), 0;
    if (after(line, "kill"))
        return add_step(r, STEP_KILL, NULL, NULL), 0;
    if ((rest = after(line, "say")))
        return add_step(r, STEP_SAY, NULL, rest), 0;
    if ((rest = after(line, "count")))
        return read_counted(r, rest, STEP_COUNT);
    if ((rest = after(line, "sink")))
        return read_counted(r, rest, STEP_SINK);
    if ((rest = after(line, "post")))
        return read_counted(r, rest, STEP_POST);
    char *colon = strchr(line, ':');
    if (!colon)
        return mistake(r, "this line is no step: see demo/README.md");
    *colon = '\0';
    if (!script_actor(r->s, trimmed(line)))
        return mistake(r, "nobody has this name: say who first");
    add_step(r, STEP_TEXT, trimmed(line), trimmed(colon + 1));
    return 0;
}

int script_read(struct script *s, const char *file)
{
    struct reading_of_script r = {.s = s, .file = file};
    char line[PLAY_LINE];
    FILE *in = fopen(file, "r");
    int error = in ? 0 : mistake(&r, "cannot be read");
    while (in && !error && fgets(line, sizeof line, in)) {
        r.line++;
        char *text = trimmed(line);
        if (text[0] == '|')
            error = read_ini(&r, text + 1);
        else if (text[0] && text[0] != '#')
            error = read_step(&r, text);
    }
    if (in)
        fclose(in);
    return error;
}

static int by_time(const void *a, const void *b)
{
    const struct step *x = a, *y = b;
    if (x->when != y->when)
        return x->when < y->when ? -1 : 1;
    return x->order - y->order;
}

void script_order(struct script *s)
{
    qsort(s->steps, s->n, sizeof *s->steps, by_time);
}

void script_clear(struct script *s)
{
    free(s->steps);
    free(s->ini);
}
