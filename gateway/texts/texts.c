/* The catalogues: words by name and language, read from small files, ours first and a clinic's after them.
 *
 * A catalogue that is wrong is refused whole, with the place and what to do; a patient must never get a sentence that
 * has lost its emergency number. The file's form is told in README.md. About 190 entries a language.
 */
#include "gateway/texts/room.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define KIND_ROW(NAME, name, must, to, role) [TEXT_##NAME] = {name, must, to, role},
const struct kind_row kind_rows[TEXT_KIND_COUNT] = {TEXT_KINDS(KIND_ROW)};

#define KIND_NAME(NAME, name, must, to, role) [TEXT_##NAME] = name,
#define WORD_NAME(NAME, name)                 [WORD_##NAME] = "word_" name,
#define DAY_NAME(NAME, name)                  [ENTRY_DAY_##NAME] = "day_" name,
#define MONTH_NAME(NAME, name)                [ENTRY_MONTH_##NAME] = "month_" name,
#define LEVEL_NAME(NAME, name)                [ENTRY_LEVEL_##NAME] = "level_" name,
#define CAUSE_NAME(NAME, name)                [ENTRY_CAUSE_##NAME] = "cause_" name,
#define FLAG_NAME(NAME, name)                 [ENTRY_CAUSE_FLAG_##NAME] = "cause_" name,
/* clang-format off */
static const char *const entry_names[ENTRY_COUNT] = {
    TEXT_KINDS(KIND_NAME)
    PLAIN_WORDS(WORD_NAME)
    WEEKDAYS(DAY_NAME)
    MONTHS(MONTH_NAME)
    ALERT_LEVELS(LEVEL_NAME)
    MEANING_FLAGS(FLAG_NAME)
    OTHER_CAUSES(CAUSE_NAME)
};
/* clang-format on */

const char *entry_name(unsigned entry)
{
    return entry < ENTRY_COUNT ? entry_names[entry] : NULL;
}

int entry_find(const char *name, size_t n)
{
    for (int e = 1; e < ENTRY_COUNT; e++)
        if (strlen(entry_names[e]) == n && !memcmp(entry_names[e], name, n))
            return e;
    return 0;
}

const char *text_kind_name(unsigned kind)
{
    return kind < TEXT_KIND_COUNT ? entry_names[kind] : NULL;
}

const struct tongue *texts_tongue(const struct texts *t, const char *code)
{
    for (size_t i = 0; i < t->n; i++)
        if (!strcmp(t->tongue[i].code, code))
            return &t->tongue[i];
    return NULL;
}

const char *text_kind_words(const struct texts *t, unsigned kind, const char *language)
{
    const struct tongue *o = texts_tongue(t, language);

    return o && kind < TEXT_KIND_COUNT ? o->entry[kind] : NULL;
}

/* -- reading a file ------------------------------------------------------------------------------------------------ */

enum { MISTAKES_TOLD = 20, ENTRY_REFUSED = -1 };

/* One opening. `origin` says where each entry came from, for mistakes that show only when all is read. */
struct origin {
    const char *file;
    int line;
};

struct opening {
    struct texts *texts;
    struct origin origin[TONGUES_MAX][ENTRY_COUNT];
    struct origin last[TONGUES_MAX]; /* the last line of the last file of a language */
    uint32_t english[ENTRY_COUNT];   /* placeholders of our own English words */
    const char *file;                /* being read, and its line */
    int line;
    size_t tongue; /* index of its language */
    int entry;     /* being continued; 0 none, ENTRY_REFUSED one that is not kept */
    int mistakes;
    bool spoiled[TONGUES_MAX]; /* a line of this language was refused: what it lacks may have stood there */
    char words[WORDS_BYTES];
    char *why;
    size_t why_size;
};

/* Adds a line to `why` while there is room for a whole one; the first is there in any case. */
static int mistake(struct opening *o, struct origin at, const char *what)
{
    size_t had = strlen(o->why), room = o->why_size - had;

    if (o->mistakes >= MISTAKES_TOLD)
        return -1;
    o->mistakes++;
    int n = snprintf(o->why + had, room, "%s%s:%d: %s", had ? "\n" : "", at.file, at.line, what);
    if (had && (n < 0 || (size_t)n >= room)) {
        o->why[had] = '\0';
        o->mistakes = MISTAKES_TOLD;
    }
    return -1;
}

static int mistake_here(struct opening *o, const char *what)
{
    o->spoiled[o->tongue] = true;
    return mistake(o, (struct origin){o->file, o->line}, what);
}

/* The language of "folder/es.texts" is "es": 2 to 7 of a-z and "-". */
static int language_of(struct opening *o, char code[LANGUAGE_MAX])
{
    const char *slash = strrchr(o->file, '/'), *base = slash ? slash + 1 : o->file;
    size_t n = strspn(base, "abcdefghijklmnopqrstuvwxyz-");

    if (n < 2 || n >= LANGUAGE_MAX || strcmp(base + n, ".texts"))
        return mistake(o, (struct origin){o->file, 1}, "the file's name is not LANGUAGE.texts, name it like es.texts");
    memcpy(code, base, n);
    code[n] = '\0';
    return 0;
}

static int tongue_choose(struct opening *o)
{
    struct texts *t = o->texts;
    char code[LANGUAGE_MAX];

    if (language_of(o, code) < 0)
        return -1;
    for (o->tongue = 0; o->tongue < t->n; o->tongue++)
        if (!strcmp(t->tongue[o->tongue].code, code))
            return 0;
    if (t->n == TONGUES_MAX)
        return mistake(o, (struct origin){o->file, 1}, "more than 16 languages, take some files out");
    memcpy(t->tongue[t->n].code, code, sizeof code);
    t->n++;
    return 0;
}

/* The entry that was being read is whole: keeps its words. */
static int entry_keep(struct opening *o)
{
    char **kept;

    if (o->entry <= 0)
        return 0;
    kept = &o->texts->tongue[o->tongue].entry[o->entry];
    free(*kept);
    *kept = strdup(o->words);
    o->entry = 0;
    return *kept ? 0 : mistake_here(o, "out of memory, try again");
}

static int entry_begin(struct opening *o, const char *name, size_t n)
{
    struct origin *origin;
    char what[160];

    if (entry_keep(o) < 0)
        return -1;
    o->entry = entry_find(name, n);
    if (!o->entry) {
        o->entry = ENTRY_REFUSED;
        snprintf(what, sizeof what, "no text is called \"%.*s\", see \"quietarm texts\" for the names",
                 n > 40 ? 40 : (int)n, name);
        return mistake_here(o, what);
    }
    origin = &o->origin[o->tongue][o->entry];
    if (origin->file == o->file) {
        snprintf(what, sizeof what, "\"%s\" is there twice, first in line %d, take one out",
                 entry_names[o->entry], origin->line);
        o->entry = ENTRY_REFUSED;
        return mistake_here(o, what);
    }
    *origin = (struct origin){o->file, o->line};
    o->words[0] = '\0';
    return 0;
}

/* Adds a line's words to the entry, after a space where there are some already. */
static int entry_add(struct opening *o, const char *s, size_t n)
{
    size_t had = strlen(o->words), space = had && n ? 1 : 0;

    if (o->entry == ENTRY_REFUSED)
        return 0;
    if (had + space + n >= sizeof o->words) {
        o->entry = ENTRY_REFUSED;
        return mistake_here(o, "more than 1023 bytes of words, make it shorter");
    }
    if (space)
        o->words[had] = ' ';
    memcpy(o->words + had + space, s, n);
    o->words[had + space + n] = '\0';
    return 0;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static size_t trimmed(const char *s, size_t n)
{
    while (n > 0 && (is_blank(s[n - 1]) || s[n - 1] == '\r'))
        n--;
    return n;
}

static size_t blanks(const char *s, size_t n)
{
    size_t i = 0;

    while (i < n && is_blank(s[i]))
        i++;
    return i;
}

static bool is_clean(const char *s, size_t n)
{
    const char *end = s + n;
    size_t size;

    for (; s < end; s += size) {
        uint32_t c = utf8_next(s, end, &size);

        if ((c == 0xFFFD && size == 1) || (c < 0x20 && c != '\t') || c == 0x7F)
            return false;
    }
    return true;
}

/* One line without its line break: blank, comment, "name = words" or, indented, more words of the same. */
static int line_read(struct opening *o, const char *s, size_t n)
{
    size_t indent, begin;
    const char *equals;

    n = trimmed(s, n);
    indent = blanks(s, n);
    if (indent == n || s[indent] == '#')
        return 0;
    if (!is_clean(s, n))
        return mistake_here(o, "a control character or bytes that are not UTF-8, save the file as UTF-8");
    if (indent > 0) {
        if (!o->entry)
            return mistake_here(o, "an indented line without a text above it, begin it with \"name = \"");
        return entry_add(o, s + indent, n - indent);
    }
    equals = memchr(s, '=', n);
    if (!equals)
        return mistake_here(o, "no \"=\", write \"name = words\", or indent a line that goes on");
    if (entry_begin(o, s, trimmed(s, (size_t)(equals - s))) < 0)
        return -1;
    begin = (size_t)(equals - s) + 1;
    begin += blanks(s + begin, n - begin);
    return entry_add(o, s + begin, n - begin);
}

static int file_read(struct opening *o, const struct embedded *file)
{
    const char *s = file->bytes, *end = s + file->size;

    o->file = file->name;
    o->line = 1;
    o->entry = 0;
    if (tongue_choose(o) < 0)
        return -1;
    if (file->size >= 3 && !memcmp(s, "\xEF\xBB\xBF", 3))
        s += 3;
    for (; s < end; o->line++) {
        const char *stop = memchr(s, '\n', (size_t)(end - s));
        size_t n = stop ? (size_t)(stop - s) : (size_t)(end - s);

        line_read(o, s, n); /* a mistake is counted; the next lines may have more */
        o->last[o->tongue] = (struct origin){o->file, o->line};
        s += n + (stop != NULL);
    }
    return entry_keep(o);
}

/* -- opening ------------------------------------------------------------------------------------------------------- */

/* What our own English words hold, before a clinic's file replaces any. */
static int english_keep(struct opening *o)
{
    const struct tongue *english = texts_tongue(o->texts, "en");
    char bad[32];

    for (unsigned e = 1; english && e < ENTRY_COUNT; e++)
        if (english->entry[e])
            placeholders_in(english->entry[e], &o->english[e], bad, sizeof bad);
    if (english && texts_tongue(o->texts, "es"))
        return 0;
    snprintf(o->why, o->why_size, "en.texts:1: the program was built without its texts, build it anew");
    return -1;
}

static int tongue_check(struct opening *o, size_t i)
{
    const struct tongue *tongue = &o->texts->tongue[i];
    char what[256];
    int missing = 0, first = 0;

    for (int e = ENTRY_COUNT - 1; e > 0; e--)
        if (!tongue->entry[e]) {
            missing++;
            first = e;
        }
    if (missing && o->spoiled[i])
        return -1;
    if (missing) {
        snprintf(what, sizeof what, "%d texts of \"%s\" are missing, the first is \"%s\", add them", missing,
                 tongue->code, entry_names[first]);
        return mistake(o, o->last[i], what);
    }
    int before = o->mistakes;
    for (unsigned e = ENTRY_COUNT - 1; e > 0; e--) { /* single words first: sentences are measured with them */
        if (e + 1 == TEXT_KIND_COUNT && o->mistakes > before)
            return -1;
        if (!entry_check(tongue, e, tongue->entry[e], o->english[e], what, sizeof what))
            mistake(o, o->origin[i][e], what);
    }
    return o->mistakes > before ? -1 : 0;
}

static int opening_run(struct opening *o, const struct embedded *more, size_t n)
{
    for (const struct embedded *f = texts_files; f->name; f++)
        if (file_read(o, f) < 0)
            return -1;
    if (english_keep(o) < 0)
        return -1;
    for (size_t i = 0; i < n; i++)
        file_read(o, &more[i]);
    for (size_t i = 0; i < o->texts->n; i++)
        tongue_check(o, i);
    return o->mistakes ? -1 : 0;
}

int texts_open(struct texts **out, const struct embedded *more, size_t n, char *why, size_t why_size)
{
    struct opening *o = calloc(1, sizeof *o);
    int result = -1;

    *out = NULL;
    if (o)
        o->texts = calloc(1, sizeof *o->texts);
    if (!o || !o->texts) {
        snprintf(why, why_size, "en.texts:1: out of memory, try again");
        goto out;
    }
    why[0] = '\0';
    o->why = why;
    o->why_size = why_size;
    result = opening_run(o, more, n);
    if (result == 0)
        *out = o->texts;
    else
        texts_close(o->texts);
out:
    free(o);
    return result;
}

void texts_close(struct texts *t)
{
    if (!t)
        return;
    for (size_t i = 0; i < t->n; i++)
        for (int e = 0; e < ENTRY_COUNT; e++)
            free(t->tongue[i].entry[e]);
    free(t);
}
