/* The parser against labelled texts: tests/corpus/dev.jsonl, own.jsonl, symptoms.jsonl and three of
 * blind*.jsonl.
 *
 * Prints, for each corpus, how many texts were read exactly (every judged key right), silently wrong (a reading
 * returned that the text does not report), with a missed flag and with a false flag, and every miss. It fails below
 * 97 % exact, at one silently wrong text, at one missed flag, and for symptoms above 1 % false. The labels of
 * dev.jsonl were made by three people and checked blind by others; own.jsonl and symptoms.jsonl were written before
 * the phrases that read them; the others by people who had not seen the parser, and there 90 % exact is
 * asked. What the parser read of these at first sight, before anything was changed for them, is in parser/README.md.
 */
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "parser/parser.h"

static const char *const keys[] = {"readings", "keyword", "flags", "technique", "arm_cm", "cuff_cm",
                                   "temp_c",   "amend",   "doubt", "asks",      NULL};
/* Flags that the contract leaves out of the judging. */
static const char *const unjudged[] = {"swelling_face", "tearing_pain", "fall", "pregnancy_sign", NULL};

struct tally {
    int texts, exact, silent, missed, false_flags;
};

static bool in_names(const char *const *names, const char *name) {
    for (; *names != NULL; names++) {
        if (strcmp(*names, name) == 0) {
            return true;
        }
    }
    return false;
}

static bool list_holds(const json_t *list, const char *name) {
    size_t i;
    json_t *item;
    json_array_foreach(list, i, item) {
        if (strcmp(json_string_value(item), name) == 0) {
            return true;
        }
    }
    return false;
}

/* How many judged names of `a` are missing from `b`. */
static int names_missing(const json_t *a, const json_t *b) {
    size_t i;
    json_t *item;
    int n = 0;
    json_array_foreach(a, i, item) {
        n += !in_names(unjudged, json_string_value(item)) && !list_holds(b, json_string_value(item));
    }
    return n;
}

static bool number_equal(const json_t *a, const json_t *b) {
    return json_is_number(a) && json_is_number(b) && fabs(json_number_value(a) - json_number_value(b)) < 1e-6;
}

static bool sizes_equal(const json_t *a, const json_t *b) {
    return json_array_size(a) == 2 && json_array_size(b) == 2 && number_equal(json_array_get(a, 0), json_array_get(b, 0)) &&
           number_equal(json_array_get(a, 1), json_array_get(b, 1));
}

/* The keys of a reading that are judged. */
static bool reading_equal(const json_t *a, const json_t *b, bool moment) {
    static const char *const fields[] = {"sys", "dia", "pulse", "slot", "day", "time"};
    for (int i = 0; i < (moment ? 6 : 3); i++) {
        if (!json_equal(json_object_get(a, fields[i]), json_object_get(b, fields[i]))) {
            return false;
        }
    }
    return true;
}

static bool readings_equal(const json_t *a, const json_t *b) {
    bool equal = json_array_size(a) == json_array_size(b);
    for (size_t i = 0; equal && i < json_array_size(a); i++) {
        equal = reading_equal(json_array_get(a, i), json_array_get(b, i), true);
    }
    return equal;
}

static bool key_equal(const char *key, const json_t *want, const json_t *got) {
    if (strcmp(key, "readings") == 0) {
        return readings_equal(want, got);
    }
    if (strcmp(key, "flags") == 0) {
        return names_missing(want, got) == 0 && names_missing(got, want) == 0;
    }
    return json_equal(want, got) || number_equal(want, got) || (json_is_array(want) && sizes_equal(want, got));
}

/* A reading that was returned and is not among those wanted, whatever its moment. */
static bool is_silent(const json_t *want, const json_t *got) {
    size_t i;
    json_t *reading;
    json_array_foreach(got, i, reading) {
        bool found = false;
        for (size_t k = 0; k < json_array_size(want) && !found; k++) {
            const json_t *other = json_array_get(want, k);
            found = reading_equal(reading, other, false) ||
                    (json_is_null(json_object_get(reading, "pulse")) &&
                     json_equal(json_object_get(reading, "sys"), json_object_get(other, "sys")) &&
                     json_equal(json_object_get(reading, "dia"), json_object_get(other, "dia")));
        }
        if (!found) {
            return true;
        }
    }
    return json_array_size(got) > json_array_size(want);
}

static struct moment received_of(const json_t *row) {
    struct moment m = {2026, 11, 24, 490};
    int hour = 8, minute = 10;
    const char *text = json_string_value(json_object_get(row, "received"));
    if (text != NULL && sscanf(text, "%d-%d-%dT%d:%d", &m.year, &m.month, &m.day, &hour, &minute) == 5) {
        m.minute = hour * 60 + minute;
    }
    return m;
}

static json_t *parsed(struct parser *p, const json_t *row) {
    static struct meaning meaning;
    const json_t *text = json_object_get(row, "text");
    parser_read(p, json_string_value(text), json_string_length(text), received_of(row), &meaning);
    char *line = meaning_json(&meaning);
    json_t *got = json_loads(line, 0, NULL);
    free(line);
    return got;
}

static void tell(const json_t *row, const char *key, const json_t *want, const json_t *got) {
    char *a = json_dumps(want, JSON_COMPACT | JSON_ENCODE_ANY), *b = json_dumps(got, JSON_COMPACT | JSON_ENCODE_ANY);
    printf("# %s \"%s\" %s: want %s got %s\n", json_string_value(json_object_get(row, "id")),
           json_string_value(json_object_get(row, "text")), key, a, b);
    free(a);
    free(b);
}

static void row_judge(struct parser *p, const json_t *row, struct tally *t) {
    json_t *got = parsed(p, row), *want = json_object_get(row, "expect");
    bool exact = true;
    for (int i = 0; keys[i] != NULL; i++) {
        const json_t *a = json_object_get(want, keys[i]), *b = json_object_get(got, keys[i]);
        if (!key_equal(keys[i], a, b)) {
            tell(row, keys[i], a, b);
            exact = false;
        }
    }
    t->texts++;
    t->exact += exact;
    t->silent += is_silent(json_object_get(want, "readings"), json_object_get(got, "readings"));
    t->missed += names_missing(json_object_get(want, "flags"), json_object_get(got, "flags")) > 0;
    t->false_flags += names_missing(json_object_get(got, "flags"), json_object_get(want, "flags")) > 0;
    json_decref(got);
}

/* A phrasing of one flag, affirmed or not. */
static void symptom_judge(struct parser *p, const json_t *row, struct tally *t) {
    json_t *got = parsed(p, row);
    const char *flag = json_string_value(json_object_get(row, "flag"));
    bool wanted = json_is_true(json_object_get(row, "affirmed")), found = list_holds(json_object_get(got, "flags"), flag);
    if (wanted != found) {
        printf("# %s %s: \"%s\"\n", flag, wanted ? "missed" : "false", json_string_value(json_object_get(row, "text")));
    }
    t->texts++;
    t->exact += wanted == found;
    t->missed += wanted && !found;
    t->false_flags += !wanted && found;
    json_decref(got);
}

static bool corpus_judge(struct parser *p, const char *path, int percent) {
    FILE *file = fopen(path, "r");
    struct tally t = {0};
    char *line = NULL;
    size_t room = 0;
    while (file != NULL && getline(&line, &room, file) > 1) {
        json_t *row = json_loads(line, 0, NULL);
        if (json_object_get(row, "expect") != NULL) {
            row_judge(p, row, &t);
        } else {
            symptom_judge(p, row, &t);
        }
        json_decref(row);
    }
    free(line);
    if (file != NULL) {
        fclose(file);
    }
    bool ok = t.texts > 0 && t.exact * 100 >= t.texts * percent && t.silent == 0 && t.missed == 0 && t.false_flags * 100 <= t.texts;
    printf("%s - %s: %d texts, %d exact (%.1f %%), %d silently wrong, %d missed a flag, %d false flag\n", ok ? "ok" : "not ok", path,
           t.texts, t.exact, t.texts == 0 ? 0.0 : 100.0 * t.exact / t.texts, t.silent, t.missed, t.false_flags);
    return ok;
}

int main(void) {
    static const struct {
        const char *path;
        int percent;
    } corpora[] = {{"tests/corpus/dev.jsonl", 97}, {"tests/corpus/own.jsonl", 97}, {"tests/corpus/symptoms.jsonl", 97},
                   {"tests/corpus/blind.jsonl", 90}, {"tests/corpus/blind2.jsonl", 90},
                   {"tests/corpus/blind3.jsonl", 90},
                   {"tests/corpus/blind4.jsonl", 90},
                   {"tests/corpus/blind5.jsonl", 90},
                   {"tests/corpus/blind6.jsonl", 90},
                   {"tests/corpus/hostile.jsonl", 97}};
    struct parser *p;
    char why[256] = "";
    if (parser_open(&p, NULL, 0, why, sizeof why) < 0) {
        printf("not ok - %s\n", why);
        return 1;
    }
    int failed = 0;
    for (size_t i = 0; i < sizeof corpora / sizeof corpora[0]; i++) {
        failed += !corpus_judge(p, corpora[i].path, corpora[i].percent);
    }
    parser_close(p);
    printf("%zu passed, %d failed\n", sizeof corpora / sizeof corpora[0] - (size_t)failed, failed);
    return failed > 0;
}
