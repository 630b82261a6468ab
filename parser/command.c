/* The command `quietarm parse`: texts from standard input, one JSON object a line to standard output.
 *
 * The only file of the parser that reads and writes. It must keep the order of its input and answer every line, a
 * malformed one too. Bad usage is one line on standard error and exit status 2.
 */
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "parser/parser.h"
#include "parser/steps.h"

static const char usage[] = "usage: quietarm parse [--received YYYY-MM-DDTHH:MM] [--lines] [--why]\n";

struct options {
    struct moment received;
    bool lines, why;
};

/* Two or four digits at *at. */
static bool digits_read(const char **at, int count, int *value) {
    *value = 0;
    for (int i = 0; i < count; i++, (*at)++) {
        if (**at < '0' || **at > '9') {
            return false;
        }
        *value = *value * 10 + (**at - '0');
    }
    return true;
}

static bool sign_read(const char **at, char sign) {
    bool found = **at == sign;
    *at += found;
    return found;
}

/* "2026-11-24T08:10", seconds and offset behind it allowed and left out. */
static bool moment_read(const char *text, struct moment *m) {
    int hour, minute;
    bool ok = digits_read(&text, 4, &m->year) && sign_read(&text, '-') && digits_read(&text, 2, &m->month) && sign_read(&text, '-') &&
              digits_read(&text, 2, &m->day) && sign_read(&text, 'T') && digits_read(&text, 2, &hour) && sign_read(&text, ':') &&
              digits_read(&text, 2, &minute);
    m->minute = ok ? hour * 60 + minute : 0;
    return ok && (*text == '\0' || *text == ':' || *text == 'Z' || *text == '+' || *text == '-') && hour < 24 && minute < 60 &&
           calendar_valid(m->year, m->month, m->day);
}

static bool options_read(struct options *o, int argc, char **argv) {
    for (int i = 0; i < argc; i++) {
        if (strcmp(argv[i], "--lines") == 0) {
            o->lines = true;
        } else if (strcmp(argv[i], "--why") == 0) {
            o->why = true;
        } else if (strcmp(argv[i], "--received") == 0 && i + 1 < argc && moment_read(argv[i + 1], &o->received)) {
            i++;
        } else {
            return false;
        }
    }
    return true;
}

static bool answer(struct parser *p, const char *text, size_t size, struct moment received, bool why) {
    static struct meaning meaning; /* some kilobytes: kept off the stack; the command is one thread */
    char *line = NULL;
    if (why) {
        line = parser_why(p, text, size, received);
    } else {
        parser_read(p, text, size, received, &meaning);
        line = meaning_json(&meaning);
    }
    bool ok = line != NULL && puts(line) >= 0;
    free(line);
    return ok;
}

/* One line of --lines: a JSON string, an object with text and received, else the raw text. */
static bool answer_line(struct parser *p, const char *line, size_t size, const struct options *o) {
    struct moment received = o->received;
    json_t *json = line[0] == '"' || line[0] == '{' ? json_loadb(line, size, JSON_DECODE_ANY | JSON_ALLOW_NUL, NULL) : NULL;
    const json_t *text = json_is_object(json) ? json_object_get(json, "text") : json;
    const json_t *when = json_is_object(json) ? json_object_get(json, "received") : NULL;
    bool ok;
    if (json_is_string(text)) {
        if (json_is_string(when) && !moment_read(json_string_value(when), &received)) {
            received = o->received;
        }
        ok = answer(p, json_string_value(text), json_string_length(text), received, o->why);
    } else {
        ok = answer(p, line, size, received, o->why);
    }
    json_decref(json);
    return ok;
}

static bool answer_lines(struct parser *p, const struct options *o) {
    char *line = NULL;
    size_t room = 0;
    ssize_t size;
    bool ok = true;
    while (ok && (size = getline(&line, &room, stdin)) >= 0) {
        while (size > 0 && (line[size - 1] == '\n' || line[size - 1] == '\r')) {
            line[--size] = '\0';
        }
        ok = answer_line(p, line, (size_t)size, o);
    }
    free(line);
    return ok;
}

static bool answer_whole(struct parser *p, const struct options *o) {
    char *text = NULL;
    size_t size = 0, room = 0, got;
    do {
        if (size + 4096 > room) {
            room = room * 2 + 8192;
            char *more = realloc(text, room);
            if (more == NULL) {
                free(text);
                return false;
            }
            text = more;
        }
        got = fread(text + size, 1, room - size, stdin);
        size += got;
    } while (got > 0);
    bool ok = answer(p, text, size, o->received, o->why);
    free(text);
    return ok;
}

int parse_command(struct parser *p, int argc, char **argv, struct moment now) {
    struct options o = {.received = now};
    if (!options_read(&o, argc, argv)) {
        fputs(usage, stderr);
        return 2;
    }
    bool ok = o.lines ? answer_lines(p, &o) : answer_whole(p, &o);
    if (!ok || fflush(stdout) != 0) {
        fputs("quietarm parse: could not write the answer\n", stderr);
        return 1;
    }
    return 0;
}
