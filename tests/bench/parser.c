/* Parser: a whole parse of each text of the corpus beside one JIT match of one medium pattern over the same text.
 *
 * Also: texts a second on one core, and that nothing is allocated once warm: malloc and its kin are counted here for the
 * whole program.
 */
#include "tests/bench/bench.h"

#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "parser/parser.h"

enum { TEXTS_MAX = 20000, WARM_ROUNDS = 3 };

/* -- counting allocations --------------------------------------------------------------------------------------------------- */

void *__libc_malloc(size_t n);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *at, size_t n);
static atomic_long allocations;

void *malloc(size_t n)
{
    atomic_fetch_add_explicit(&allocations, 1, memory_order_relaxed);
    return __libc_malloc(n);
}

void *calloc(size_t n, size_t size)
{
    atomic_fetch_add_explicit(&allocations, 1, memory_order_relaxed);
    return __libc_calloc(n, size);
}

void *realloc(void *at, size_t n)
{
    atomic_fetch_add_explicit(&allocations, 1, memory_order_relaxed);
    return __libc_realloc(at, n);
}

/* -- the texts ------------------------------------------------------------------------------------------------------------------ */

struct corpus {
    char *text[TEXTS_MAX];
    size_t n, bytes;
};

static int corpus_read(struct corpus *c, const char *file)
{
    static char line[65536];
    FILE *in = fopen(file, "r");
    while (in && c->n < TEXTS_MAX && fgets(line, sizeof line, in)) {
        json_t *one = json_loads(line, 0, NULL);
        const char *text = json_string_value(json_object_get(one, "text"));
        if (text) {
            c->text[c->n++] = strdup(text);
            c->bytes += strlen(text);
        }
        json_decref(one);
    }
    if (in)
        fclose(in);
    return c->n ? 0 : -1;
}

/* Without the corpus: what the load of the bench says. */
static void corpus_invent(struct corpus *c)
{
    char words[64];
    for (c->n = 0; c->n < 300; c->n++) {
        load_words((int64_t)c->n, words);
        c->text[c->n] = strdup(words);
        c->bytes += strlen(words);
    }
}

/* -- one match -------------------------------------------------------------------------------------------------------------------- */

static const char medium[] = "\\b(?:(?:tight(?:ness)?|pain(?:s|ful)?|pressure|ache|aching|heav(?:y|iness)) (?:in|across|on|of) (?:my |the )?"
                             "(?:chest|arm|jaw)|chest (?:pain|tightness|ache)|short(?:ness)? of breath|ca(?:n't|nnot) breathe|"
                             "blurr(?:y|ed) (?:vision|sight)|(?:bad|severe|worst) headache)\\b";

struct matcher {
    pcre2_code *code;
    pcre2_match_data *data;
};

static int matcher_open(struct matcher *m)
{
    int code;
    PCRE2_SIZE at;
    m->code = pcre2_compile((PCRE2_SPTR)medium, PCRE2_ZERO_TERMINATED, PCRE2_UTF | PCRE2_CASELESS, &code, &at, NULL);
    if (!m->code || pcre2_jit_compile(m->code, PCRE2_JIT_COMPLETE) != 0)
        return -1;
    m->data = pcre2_match_data_create_from_pattern(m->code, NULL);
    return m->data ? 0 : -1;
}

static void matcher_close(struct matcher *m)
{
    pcre2_match_data_free(m->data);
    pcre2_code_free(m->code);
}

static double match_all(const struct matcher *m, const struct corpus *c)
{
    int64_t from = thread_ns();
    for (size_t i = 0; i < c->n; i++)
        pcre2_jit_match(m->code, (PCRE2_SPTR)c->text[i], strlen(c->text[i]), 0, PCRE2_NO_UTF_CHECK, m->data, NULL);
    return (double)(thread_ns() - from) / (double)c->n;
}

static double parse_all(struct parser *p, const struct corpus *c, struct meaning *m)
{
    struct moment received = {.year = 2026, .month = 11, .day = 24, .minute = 490};
    int64_t from = thread_ns();
    for (size_t i = 0; i < c->n; i++)
        parser_read(p, c->text[i], strlen(c->text[i]), received, m);
    return (double)(thread_ns() - from) / (double)c->n;
}

static int rounds_run(struct parser *p, const struct matcher *m, const struct corpus *c, struct meaning *meaning, int n)
{
    struct rounds parse = {0}, match = {0}, ratio = {0}, rate = {0};
    for (int i = 0; i < WARM_ROUNDS; i++)
        parse_all(p, c, meaning);
    long before = allocations;
    for (int i = 0; i < n; i++) {
        double one = parse_all(p, c, meaning), bare = match_all(m, c);
        rounds_add(&parse, one / 1000);
        rounds_add(&match, bare / 1000);
        rounds_add(&ratio, one / bare);
        rounds_add(&rate, 1e9 / one);
    }
    long made = allocations - before;
    figure_one("texts in the corpus", (double)c->n, "texts", NO_GOAL);
    figure_one("  bytes in the mean", (double)c->bytes / (double)c->n, "bytes", NO_GOAL);
    figure("a whole parse", &parse, "us", NO_GOAL);
    figure("one JIT match of one medium pattern", &match, "us", NO_GOAL);
    figure("a parse : one match", &ratio, "x", AT_MOST(20));
    figure("parsed a second on one core", &rate, "texts/s", AT_LEAST(100000));
    figure_one("allocations once warm, a text", (double)made / n / (double)c->n, "", AT_MOST(0));
    return made ? -1 : 0; /* no matter of speed */
}

int bench_parser(const struct bench *b)
{
    static struct corpus corpus;
    struct parser *p = NULL;
    struct matcher m = {0};
    struct meaning *meaning = malloc(sizeof *meaning);
    char why[256] = "out of memory";
    heading("Parser: a whole parse beside one match");
    if (corpus_read(&corpus, "tests/corpus/dev.jsonl") < 0) {
        remark("there is no tests/corpus/dev.jsonl: invented texts instead");
        corpus_invent(&corpus);
    }
    int error = meaning && parser_open(&p, NULL, 0, why, sizeof why) == 0 ? 0 : -1;
    if (error)
        fprintf(stderr, "%s\n", why);
    if (!error)
        error = matcher_open(&m);
    if (!error)
        error = rounds_run(p, &m, &corpus, meaning, b->brief ? 5 : 15);
    matcher_close(&m);
    parser_close(p);
    free(meaning);
    for (size_t i = 0; i < corpus.n; i++)
        free(corpus.text[i]);
    return error;
}
