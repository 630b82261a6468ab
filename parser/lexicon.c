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

enum argument_kind {
    ARGUMENT_NONE, ARGUMENT_FLAG, ARGUMENT_TECHNIQUE, ARGUMENT_NEWS, ARGUMENT_ASKS, ARGUMENT_LABEL, ARGUMENT_NUMBER,
    ARGUMENT_WHEN, ARGUMENT_CLOCK, ARGUMENT_UNIT, ARGUMENT_WHOSE, ARGUMENT_UNCERTAIN, ARGUMENT_AMEND,
    ARGUMENT_KEYWORD, ARGUMENT_NEGATION, ARGUMENT_SIDE, ARGUMENT_POSTURE
};

#define KIND_TEXT(NAME, text, arguments) text,
#define KIND_ARGUMENT(NAME, text, arguments) arguments,
static const char *const kind_names[] = {LEXICON_KINDS(KIND_TEXT)};
static const uint8_t kind_arguments[] = {LEXICON_KINDS(KIND_ARGUMENT)};

/* Names that an argument may have, in the order of the enum they stand for. */
static const char *const label_names[] = {"none", "sys", "dia", "pulse", "bp", NULL};
static const char *const clock_names[] = {"at", "about", "am", "pm", "oclock", "past", "to", "plus", "half", "night", NULL};
static const char *const unit_names[] = {"free", "dose", "weight", "cm", "inch", "celsius", "fahrenheit", "percent", "sugar",
                                   "age", "duration", "count", "mmhg", "kpa", "bpm", "house", "phone", "oxygen", "body",
                                   "room", "arm", "cuff", "other", NULL};
static const char *const whose_names[] = {"other", "office", "usual", "target", "past", "self", "quote", "from", NULL};
static const char *const uncertain_names[] = {"said", "choice", "range", NULL};
static const char *const amend_names[] = {"correct", "void", "not", "oops", "ignore", NULL};
static const char *const keyword_names[] = {"none", "stop", "start", "help", "yes", "no", "wrong_number", NULL};
static const char *const negation_names[] = {"before", "after", "end", "if", "double", "list", "answer", NULL};
static const char *const asks_names[] = {"question", "remark", "symptom", NULL};
static const char *const side_names[] = {"none", "left", "right", NULL};
static const char *const posture_names[] = {"none", "standing", "lying", NULL};
static const char *const slot_names[] = {"none", "morning", "evening", "afternoon", NULL};

struct loader {
    struct lexicon *l;
    const char *file;
    unsigned line;
    unsigned language;
    int sense; /* of the open section; -1 none, -2 [same WORD] */
    uint32_t same; /* 1 + index of that word */
    char **groups; /* name and text by turns */
    size_t group_count;
    char *why;
    size_t why_size;
};

const char *lexicon_kind_name(unsigned kind) {
    return kind < KIND_COUNT ? kind_names[kind] : NULL;
}

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

static bool loader_fail(struct loader *d, const char *format, ...) {
    int n = snprintf(d->why, d->why_size, "%s:%u: ", d->file, d->line);
    if (n >= 0 && (size_t)n < d->why_size) {
        va_list list;
        va_start(list, format);
        vsnprintf(d->why + n, d->why_size - (size_t)n, format, list);
        va_end(list);
    }
    return false;
}

static int name_index(const char *const *names, const char *name) {
    for (int i = 0; names[i] != NULL; i++) {
        if (strcmp(names[i], name) == 0) {
            return i;
        }
    }
    return -1;
}

static int bit_index(const char *(*name_of)(unsigned), const char *name) {
    for (unsigned i = 0; name_of(i) != NULL; i++) {
        if (strcmp(name_of(i), name) == 0) {
            return (int)i;
        }
    }
    return -1;
}

static bool argument_number(const char *word, int *value) {
    char *end;
    long n = strtol(word, &end, 10);
    *value = (int)n;
    return end != word && *end == '\0' && n >= -1000 && n <= 1000;
}

/* "day=-1", "slot=evening". */
static bool argument_when(const char *word, struct sense *s) {
    int value;
    if (strncmp(word, "day=", 4) == 0 && argument_number(word + 4, &value)) {
        s->a = (int16_t)value;
        return true;
    }
    if (strncmp(word, "slot=", 5) == 0 && (value = name_index(slot_names, word + 5)) >= 0) {
        s->b = (int16_t)value;
        return true;
    }
    return false;
}

/* One argument, the first or second, of a section. */
static bool argument_read(uint8_t kind, const char *word, int position, struct sense *s) {
    static const char *const *const names[] = {
        [ARGUMENT_ASKS] = asks_names,         [ARGUMENT_LABEL] = label_names,     [ARGUMENT_CLOCK] = clock_names,
        [ARGUMENT_UNIT] = unit_names,         [ARGUMENT_WHOSE] = whose_names,     [ARGUMENT_UNCERTAIN] = uncertain_names,
        [ARGUMENT_AMEND] = amend_names,       [ARGUMENT_KEYWORD] = keyword_names, [ARGUMENT_NEGATION] = negation_names,
        [ARGUMENT_SIDE] = side_names,         [ARGUMENT_POSTURE] = posture_names};
    int value = -1;
    switch (kind_arguments[kind]) {
    case ARGUMENT_WHEN: return argument_when(word, s);
    case ARGUMENT_FLAG: value = bit_index(flag_name, word); break;
    case ARGUMENT_TECHNIQUE: value = bit_index(technique_name, word); break;
    case ARGUMENT_NEWS: value = bit_index(news_name, word); break;
    case ARGUMENT_NUMBER:
        if (!argument_number(word, &value)) {
            return false;
        }
        break;
    case ARGUMENT_NONE: return argument_number(word, &value) && (s->b = (int16_t)value, true);
    default:
        if (position == 0) {
            value = name_index(names[kind_arguments[kind]], word);
        }
        break;
    }
    if (position > 0) { /* a plain number that the kind knows what to do with */
        return argument_number(word, &value) && (s->b = (int16_t)value, true);
    }
    s->a = (int16_t)value;
    return kind_arguments[kind] == ARGUMENT_NUMBER || value >= 0;
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
    int kind = -1;
    for (unsigned i = 0; name != NULL && i < KIND_COUNT; i++) {
        kind = strcmp(kind_names[i], name) == 0 ? (int)i : kind;
    }
    if (kind < 0) {
        return loader_fail(d, "there is no kind of section '%s'; README.md lists them", name == NULL ? "" : name);
    }
    struct sense s = {.kind = (uint8_t)kind, .language = (uint8_t)d->language};
    if (kind == KIND_WHEN) {
        s.a = DAY_UNSAID;
    }
    int position = 0;
    for (char *word; (word = word_take(&text)) != NULL; position++) {
        if (!argument_read(s.kind, word, position, &s)) {
            return loader_fail(d, "'%s' is nothing that a section of kind '%s' knows", word, kind_names[kind]);
        }
    }
    if (position == 0 && kind_arguments[kind] != ARGUMENT_NONE) {
        return loader_fail(d, "a section of kind '%s' needs to say which", kind_names[kind]);
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
        ok = line != NULL && line_read(d, line);
        free(line);
        i = end + 1;
    }
    folded_free(&f);
    return ok;
}

/* A missing letter or two swapped, in a word of six letters or more that a flag is known by. The first letter must
 * stand, and a spelling that is itself a word of the lexicon stays that word. */
static bool slips_add(struct loader *d, uint32_t index) {
    char key[PHRASE_WORD], slip[PHRASE_WORD];
    size_t n = d->l->words.at[index].size;
    if (n < 6 || n >= sizeof key) {
        return true;
    }
    memcpy(key, d->l->words.at[index].key, n + 1);
    for (size_t i = 1; i < n; i++) {
        for (int swap = 0; swap < 2; swap++) {
            size_t size = swap ? n : n - 1;
            memcpy(slip, key, i);
            memcpy(slip + i, key + i + 1, n - i);
            if (swap && i + 1 < n) {
                slip[i] = key[i + 1];
                slip[i + 1] = key[i];
                memcpy(slip + i + 2, key + i + 2, n - i - 1);
            } else if (swap) {
                continue;
            }
            size_t before = d->l->words.n;
            struct word *word = words_add(&d->l->words, slip, size, false);
            if (word == NULL) {
                return loader_fail(d, "out of memory");
            }
            if (d->l->words.n > before) {
                word->alias = index + 1;
            }
        }
    }
    return true;
}

static bool all_slips(struct loader *d) {
    size_t n = d->l->words.n;
    for (size_t i = 0; i < n; i++) {
        const struct word *word = &d->l->words.at[i];
        if (word->flagged && !word->prefix && word->alias == 0 && !slips_add(d, (uint32_t)i)) {
            return false;
        }
    }
    return true;
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
        if (!file_read(d, &more[i])) {
            return false;
        }
    }
    return phrases_compile(d->l, own, d->why, d->why_size);
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
    if (!ok) {
        loader_fail(&d, "out of memory");
    }
    ok = ok && files_read(&d, base, more, n) && all_slips(&d);
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
