/* Reads the lexicon's files: sections, groups, phrases and misspellings. A mistake in a file is reported with its
 * line and what to do, and nothing is used of any file. Reading the two languages that come with the
 * program takes some milliseconds, once a parser.
 */
#include "parser/lexicon.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "parser/lexicon_parts.h"
#include "parser/parser.h"
#include "parser/text.h"

struct loader {
    struct lexicon *l;
    const char *file;
    unsigned line;
    unsigned language;
    int sense; /* of the open section; -1 none, -2 [same WORD] */
    uint32_t same; /* 1 + index of that word */
    char **groups; /* name and text by turns */
    size_t group_count;
    int mistakes;
    char *why;
    size_t why_size;
};

enum { MISTAKES_TOLD = 20 };

const char *lexicon_language(const struct lexicon *l, unsigned index) {
    return index < l->language_count ? l->languages[index] : NULL;
}

bool lexicon_has_jit(const struct lexicon *l) {
    return l->jit;
}

unsigned lexicon_languages(const struct lexicon *l) {
    return l->language_count;
}

static bool loader_fail(struct loader *d, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Adds a line to `why` while there is room for a whole one; the first is there in any case. */
static bool loader_fail(struct loader *d, const char *format, ...) {
    size_t had = strlen(d->why), room = d->why_size - had;
    char what[200];
    va_list list;
    if (d->mistakes >= MISTAKES_TOLD) {
        return false;
    }
    d->mistakes++;
    va_start(list, format);
    vsnprintf(what, sizeof what, format, list);
    va_end(list);
    int n = snprintf(d->why + had, room, "%s%s:%u: %s", had > 0 ? "\n" : "", d->file, d->line, what);
    if (had > 0 && (n < 0 || (size_t)n >= room)) {
        d->why[had] = '\0';
        d->mistakes = MISTAKES_TOLD;
    }
    return false;
}

static bool sense_add(struct loader *d, struct sense s) {
    struct sense *more = realloc(d->l->senses, (d->l->sense_count + 1) * sizeof *more);
    if (more == NULL) {
        return loader_fail(d, "out of memory");
    }
    d->l->senses = more;
    d->sense = (int)d->l->sense_count;
    more[d->l->sense_count++] = s;
    return true;
}

/* The next word of *text, ended in place; NULL at the end. */
static char *word_take(char **text) {
    while (**text == ' ') {
        (*text)++;
    }
    char *word = *text;
    while (**text != '\0' && **text != ' ') {
        (*text)++;
    }
    if (**text == ' ') {
        *(*text)++ = '\0';
    }
    return *word == '\0' ? NULL : word;
}

/* "[flag chest_pain]" */
static bool section_read(struct loader *d, char *text) {
    char *end = strrchr(text, ']');
    if (end == NULL || end[1] != '\0') {
        return loader_fail(d, "a section is [KIND] alone on its line");
    }
    *end = '\0';
    text++;
    char *name = word_take(&text);
    if (name != NULL && strcmp(name, "same") == 0) {
        char *word = word_take(&text);
        struct word *same = word == NULL ? NULL : words_add(&d->l->words, word, strlen(word), false);
        if (same == NULL) {
            return loader_fail(d, "[same WORD] needs the word that the lines below are read as");
        }
        d->same = (uint32_t)(same - d->l->words.at) + 1;
        d->sense = -2;
        return true;
    }
    int kind = sense_kind(name == NULL ? "" : name);
    if (kind < 0) {
        return loader_fail(d, "there is no kind of section '%s'; README.md lists them", name == NULL ? "" : name);
    }
    struct sense s = {.kind = (uint8_t)kind, .language = (uint8_t)d->language};
    if (kind == KIND_WHEN) {
        s.a = DAY_UNSAID;
    }
    int position = 0;
    for (char *word; (word = word_take(&text)) != NULL; position++) {
        if (!sense_argument(&s, word, position)) {
            return loader_fail(d, "'%s' is nothing that a section of kind '%s' knows", word, lexicon_kind_name((unsigned)kind));
        }
    }
    if (position == 0 && !sense_is_whole((unsigned)kind)) {
        return loader_fail(d, "a section of kind '%s' needs to say which", lexicon_kind_name((unsigned)kind));
    }
    return sense_add(d, s);
}

static const char *group_find(void *context, const char *name, size_t size) {
    struct loader *d = context;
    for (size_t i = 0; i < d->group_count; i += 2) {
        if (strlen(d->groups[i]) == size && memcmp(d->groups[i], name, size) == 0) {
            return d->groups[i + 1];
        }
    }
    return NULL;
}

/* "@body = left | right" */
static bool group_read(struct loader *d, char *text) {
    char *equals = strchr(text, '=');
    if (equals == NULL) {
        return loader_fail(d, "a group is @name = a | b");
    }
    *equals = '\0';
    text++;
    char *name = word_take(&text);
    if (name == NULL) {
        return loader_fail(d, "a group is @name = a | b");
    }
    char **more = realloc(d->groups, (d->group_count + 2) * sizeof *more);
    if (more == NULL) {
        return loader_fail(d, "out of memory");
    }
    d->groups = more;
    char *copy = strdup(name), *body = strdup(equals + 1);
    if (copy == NULL || body == NULL) {
        free(copy);
        free(body);
        return loader_fail(d, "out of memory");
    }
    more[d->group_count++] = copy;
    more[d->group_count++] = body;
    return true;
}

/* Attaches phrase `id` to every word that it can begin with, from its step `step` on. NULL, or what is wrong. */
static const char *firsts_attach(struct lexicon *l, uint32_t step, uint32_t id) {
    const struct step *s = &l->program.at[step];
    const char *wrong;
    bool ok = true;
    switch (s->kind) {
    case STEP_FORK:
        wrong = firsts_attach(l, s->a, id);
        return wrong != NULL ? wrong : firsts_attach(l, s->b, id);
    case STEP_GO: return firsts_attach(l, s->a, id);
    case STEP_STARTS:
    case STEP_ENDS: return firsts_attach(l, step + 1, id);
    case STEP_SAID: return "the phrase can be empty; let one word of it be fixed";
    case STEP_ANY: return "a phrase cannot begin with a gap";
    case STEP_NUMBER: ok = words_attach(&l->words.at[WORD_NUMBER], id); break;
    case STEP_CHOICE:
        for (uint32_t i = 0; ok && i < s->b; i++) {
            ok = words_attach(&l->words.at[l->program.choice[s->a + i]], id);
        }
        break;
    default: ok = words_attach(&l->words.at[s->a], id);
    }
    return ok ? NULL : "out of memory";
}

static bool phrases_reserve(struct lexicon *l) {
    if (l->phrase_count < l->phrase_room) {
        return true;
    }
    size_t room = l->phrase_room == 0 ? 16384 : l->phrase_room * 2;
    struct lexicon_phrase *more = realloc(l->phrases, room * sizeof *more);
    if (more == NULL) {
        return false;
    }
    l->phrases = more;
    l->phrase_room = room;
    return true;
}

static const char *phrase_store(struct loader *d, const char *text) {
    struct lexicon *l = d->l;
    if (!phrases_reserve(l)) {
        return "out of memory";
    }
    uint32_t id = (uint32_t)l->phrase_count++;
    struct lexicon_phrase *p = &l->phrases[id];
    *p = (struct lexicon_phrase){.sense = (uint32_t)d->sense, .line = d->line, .first = (uint32_t)l->program.n,
                                 .pattern = (uint32_t)l->program.pattern_n,
                                 .one_word = strpbrk(text, " *#<([|,.?!:;+-/=&@%_^$") == NULL};
    const char *wrong = phrase_read(&l->program, &l->words, text, id, group_find, d);
    return wrong != NULL ? wrong : firsts_attach(l, p->first, id);
}

/* Every plain word of a line belongs to the vocabulary. */
static bool vocabulary_note(struct loader *d, const char *text) {
    for (const char *c = text; *c != '\0';) {
        size_t n = 0;
        while ((c[n] >= 'a' && c[n] <= 'z') || (unsigned char)c[n] >= 128) {
            n++;
        }
        if (n > 0 && c[n] != '*') {
            struct word *word = words_add(&d->l->words, c, n, false);
            if (word == NULL) {
                return loader_fail(d, "out of memory");
            }
            word->flagged = word->flagged || (d->sense >= 0 && d->l->senses[d->sense].kind == KIND_FLAG);
        }
        c += n > 0 ? n : 1;
    }
    return true;
}

static bool phrase_line(struct loader *d, char *text) {
    size_t n = strlen(text);
    while (n > 0 && text[n - 1] == ' ') {
        text[--n] = '\0';
    }
    while (*text == ' ') {
        text++;
    }
    if (d->sense == -2) {
        struct word *word = words_add(&d->l->words, text, strlen(text), false);
        if (word == NULL) {
            return loader_fail(d, "out of memory");
        }
        word->alias = d->same;
        return true;
    }
    const char *wrong = phrase_store(d, text);
    return wrong == NULL || loader_fail(d, "%s: '%.60s'", wrong, text);
}

/* A line of phrases, parted at the bars that stand in no bracket. */
static bool phrases_line(struct loader *d, char *text) {
    if (d->sense == -1) {
        return loader_fail(d, "a phrase stands before the first [KIND]");
    }
    if (d->sense != -2 && !vocabulary_note(d, text)) {
        return false;
    }
    int depth = 0;
    char *start = text;
    for (char *c = text;; c++) {
        depth += (*c == '(' || *c == '[') - (*c == ')' || *c == ']');
        if (*c == '\0' || (*c == '|' && depth == 0)) {
            bool last = *c == '\0';
            *c = '\0';
            if (!phrase_line(d, start)) {
                return false;
            }
            if (last) {
                return true;
            }
            start = c + 1;
        }
    }
}

/* "folder/en.words" is known as "en.words". */
static const char *name_bare(const char *name) {
    const char *slash = strrchr(name, '/');
    return slash != NULL ? slash + 1 : name;
}

/* A file's language is its name before the dot. */
static bool language_open(struct loader *d) {
    const char *file = name_bare(d->file);
    size_t n = strcspn(file, ".");
    if (n == 0 || n >= MEANING_LANGUAGE) {
        return loader_fail(d, "name the file LANGUAGE.words, as in fr.words");
    }
    for (d->language = 0; d->language < d->l->language_count; d->language++) {
        const char *known = d->l->languages[d->language];
        if (strlen(known) == n && strncmp(known, file, n) == 0) {
            return true;
        }
    }
    if (d->language == LEXICON_LANGUAGES) {
        return loader_fail(d, "at most %d languages", LEXICON_LANGUAGES);
    }
    memcpy(d->l->languages[d->l->language_count++], file, n);
    return true;
}

static bool line_read(struct loader *d, char *text) {
    while (*text == ' ') {
        text++;
    }
    size_t n = strlen(text);
    while (n > 0 && text[n - 1] == ' ') {
        text[--n] = '\0';
    }
    if (n == 0 || *text == ';') {
        return true;
    }
    if (*text == '[' && strchr(text, ']') == text + n - 1) {
        return section_read(d, text);
    }
    return *text == '@' ? vocabulary_note(d, strchr(text, '=') == NULL ? "" : strchr(text, '=')) && group_read(d, text)
                        : phrases_line(d, text);
}

static bool file_read(struct loader *d, const struct embedded *file) {
    struct folded f = {0};
    d->file = file->name;
    d->line = 0;
    d->sense = -1;
    bool ok = language_open(d);
    if (ok && !fold_text(&f, file->bytes, file->size)) {
        ok = loader_fail(d, "out of memory");
    }
    for (size_t i = 0; ok && i < f.n;) {
        size_t end = i;
        while (end < f.n && f.text[end] != '\n') {
            end++;
        }
        char *line = strndup(f.text + i, end - i);
        d->line++;
        ok = line != NULL && (line_read(d, line) || d->mistakes < MISTAKES_TOLD);
        free(line);
        i = end + 1;
    }
    folded_free(&f);
    return ok;
}

/* Compiles the patterns of the phrases from number `from` on. */
static bool phrases_compile(struct lexicon *l, uint32_t from, char *why, size_t why_size) {
    bool ok = true;
    for (uint32_t i = from; ok && i < l->phrase_count; i++) {
        ok = l->phrases[i].one_word || phrase_compile(l, i, why, why_size);
    }
    return ok;
}

bool lexicon_check(struct lexicon *l, char *why, size_t why_size) {
    return phrases_compile(l, 0, why, why_size);
}

/* What comes with the program is compiled as texts need it, a clinic's own files now: a mistake in them is told at the
 * start, not when a patient writes. */
static bool files_read(struct loader *d, const struct embedded *base, const struct embedded *more, size_t n) {
    for (; base->name != NULL; base++) {
        bool replaced = false;
        for (size_t i = 0; i < n; i++) {
            replaced = replaced || strcmp(name_bare(more[i].name), base->name) == 0;
        }
        if (!replaced && !file_read(d, base)) {
            return false;
        }
    }
    uint32_t own = (uint32_t)d->l->phrase_count;
    for (size_t i = 0; i < n; i++) {
        if (!file_read(d, &more[i]) && d->mistakes == 0) {
            return loader_fail(d, "out of memory");
        }
    }
    return d->mistakes == 0 && phrases_compile(d->l, own, d->why, d->why_size);
}

static bool tools_make(struct lexicon *l) {
    l->match = pcre2_match_data_create(1, NULL);
    l->context = pcre2_match_context_create(NULL);
    if (l->match == NULL || l->context == NULL) {
        return false;
    }
    pcre2_set_match_limit(l->context, LEXICON_MATCH_LIMIT);
    pcre2_set_depth_limit(l->context, LEXICON_MATCH_LIMIT);
    return machine_open(&l->machine, l);
}

struct lexicon *lexicon_open(const struct embedded *base, const struct embedded *more, size_t n, char *why,
                             size_t why_size) {
    struct loader d = {.l = calloc(1, sizeof(struct lexicon)), .why = why, .why_size = why_size, .file = "lexicon"};
    bool ok = d.l != NULL && words_fresh(&d.l->words);
    why[0] = '\0';
    if (!ok) {
        loader_fail(&d, "out of memory");
    }
    ok = ok && files_read(&d, base, more, n) && (slips_find(d.l) || loader_fail(&d, "out of memory"));
    if (ok && !tools_make(d.l)) {
        ok = loader_fail(&d, "out of memory");
    }
    for (size_t i = 0; i < d.group_count; i++) {
        free(d.groups[i]);
    }
    free(d.groups);
    if (!ok) {
        lexicon_close(d.l);
        return NULL;
    }
    return d.l;
}

void lexicon_close(struct lexicon *l) {
    if (l == NULL) {
        return;
    }
    machine_close(&l->machine);
    program_free(&l->program);
    words_free(&l->words);
    for (size_t i = 0; i < l->phrase_count; i++) {
        pcre2_code_free(l->phrases[i].code);
    }
    free(l->phrases);
    free(l->senses);
    pcre2_match_data_free(l->match);
    pcre2_match_context_free(l->context);
    free(l->line);
    free(l);
}

unsigned lexicon_line(const struct lexicon *l, uint32_t phrase) {
    return phrase < l->phrase_count ? l->phrases[phrase].line : 0;
}

bool lexicon_says(const struct lexicon *l, uint32_t phrase, uint32_t word) {
    const struct step *s = &l->program.at[l->phrases[phrase].first];
    for (; s->kind != STEP_SAID || s->a != phrase; s++) {
        const uint32_t *choice = l->program.choice + s->a;
        if (s->kind == STEP_WORD && s->a == word) {
            return true;
        }
        for (uint32_t i = 0; s->kind == STEP_CHOICE && i < s->b; i++) {
            if (choice[i] == word) {
                return true;
            }
        }
    }
    return false;
}
