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

static const char help[] =
    "usage: quietarm parse [--received YYYY-MM-DDTHH:MM] [--lines] [--why]\n\n"
    "What texts on standard input mean, one JSON object each.\n\n"
    "  --received T  the local time at which they came; now unless given\n"
    "  --lines       each line is a text: raw, a JSON string, or {\"text\":\"…\",\"received\":\"…\"}; else all of it is one text\n"
    "  --why         for people: how it was read\n";

enum { WORD_SHOWN = 60 };

struct options {
    struct moment received;
    bool lines, why, help;
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

/* What may follow a minute, ":30", "Z", "+01:00", is left out; false for anything else. */
static bool tail_read(const char *text) {
    int unused;
    if (sign_read(&text, ':') && !digits_read(&text, 2, &unused)) {
        return false;
    }
    if (sign_read(&text, 'Z') || *text == '\0') {
        return *text == '\0';
    }
    return (sign_read(&text, '+') || sign_read(&text, '-')) && digits_read(&text, 2, &unused) && sign_read(&text, ':') &&
           digits_read(&text, 2, &unused) && *text == '\0';
}

/* "2026-11-24T08:10", seconds and offset behind it allowed and left out. */
static bool moment_read(const char *text, struct moment *m) {
    int hour, minute;
    bool ok = digits_read(&text, 4, &m->year) && sign_read(&text, '-') && digits_read(&text, 2, &m->month) && sign_read(&text, '-') &&
              digits_read(&text, 2, &m->day) && sign_read(&text, 'T') && digits_read(&text, 2, &hour) && sign_read(&text, ':') &&
              digits_read(&text, 2, &minute);
    m->minute = ok ? hour * 60 + minute : 0;
    return ok && tail_read(text) && hour < 24 && minute < 60 && calendar_valid(m->year, m->month, m->day);
}

/* One line on standard error, whatever was typed: always false, for returning. */
static bool usage_bad(const char *word, const char *what) {
    fputs("quietarm parse: ", stderr);
    for (size_t i = 0; i < WORD_SHOWN && word[i] != '\0'; i++) {
        fputc((unsigned char)word[i] < ' ' || word[i] == 0x7f ? ' ' : word[i], stderr);
    }
    fprintf(stderr, "%s\n", what);
    return false;
}

static bool options_read(struct options *o, int argc, char **argv) {
    for (int i = 0; i < argc; i++) {
        if (strcmp(argv[i], "--lines") == 0) {
            o->lines = true;
        } else if (strcmp(argv[i], "--why") == 0) {
            o->why = true;
        } else if (strcmp(argv[i], "--help") == 0) {
            o->help = true;
        } else if (strcmp(argv[i], "--received") != 0) {
            return usage_bad(argv[i], ": not understood; see quietarm parse --help");
        } else if (i + 1 == argc) {
            return usage_bad(argv[i], " needs a value; write --received YYYY-MM-DDTHH:MM");
        } else if (!moment_read(argv[++i], &o->received)) {
            return usage_bad(argv[i], ": no time for --received; write it like 2026-11-24T08:10");
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
        return 2;
    }
    bool ok = o.help ? fputs(help, stdout) >= 0 : o.lines ? answer_lines(p, &o) : answer_whole(p, &o);
    if (ferror(stdin)) {
        fputs("quietarm parse: standard input cannot be read to its end; what was printed is not whole\n", stderr);
        return 1;
    }
    if (!ok || fflush(stdout) != 0) {
        fputs("quietarm parse: could not write the answer\n", stderr);
        return 1;
    }
    return 0;
}
