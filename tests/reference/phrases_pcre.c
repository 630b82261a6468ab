/* The lexicon's sieve against PCRE2: phrases made up at random are written twice, as the lexicon writes them and, by this
 * file, as a regular expression over a line of words with a space behind each. What the scan finds in a text made up at
 * random must be what PCRE2 finds with each expression at each word, and must end where PCRE2 ends: a phrase that the
 * sieve lets fall, or one read into another pattern, fails.
 *
 * 40 lexicons of 60 phrases, 200 texts each; the seed is fixed, so that a failure comes again.
 */
#define PCRE2_CODE_UNIT_WIDTH 8

#include <pcre2.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "parser/lexicon.h"
#include "parser/parser.h"
#include "parser/text.h"

enum { LEXICONS = 40, PHRASES = 60, TEXTS = 200, TEXT_WORDS = 14 };

static const char *const words[] = {"ab", "abc", "abcd", "bc", "bcd", "cd", "zz", "12", "7"};
static const char any[] = "[^ .,;:!?^()/]+ ";

static uint32_t seed = 20261125;

static unsigned chance(unsigned n) {
    seed = seed * 1664525u + 1013904223u; /* Numerical Recipes' constants, from memory: any would do */
    return (seed >> 16) % n;
}

/* A phrase in both writings. */
struct both {
    char phrase[4096], pattern[8192];
};

static void add(struct both *b, const char *phrase, const char *pattern) {
    size_t n = strlen(b->phrase), m = strlen(b->pattern);
    snprintf(b->phrase + n, sizeof b->phrase - n, "%s ", phrase);
    snprintf(b->pattern + m, sizeof b->pattern - m, "%s", pattern);
}

static void add_word(struct both *b) {
    char pattern[32], phrase[32];
    const char *word = words[chance(6)];
    bool prefix = strlen(word) >= 3 && chance(4) == 0;
    snprintf(phrase, sizeof phrase, "%s%s", word, prefix ? "*" : "");
    snprintf(pattern, sizeof pattern, "%s%s ", word, prefix ? "[^ ]*" : "");
    add(b, phrase, pattern);
}

static void add_gap(struct both *b, const char *phrase, int most) {
    char pattern[64];
    snprintf(pattern, sizeof pattern, "(?:%s){0,%d}?", any, most);
    add(b, phrase, pattern);
}

static void add_items(struct both *b, int depth);

static void add_bracket(struct both *b, int depth) {
    bool optional = chance(2);
    add(b, optional ? "[" : "(", "(?:");
    for (unsigned n = chance(3), i = 0; i <= n; i++) {
        if (i > 0) {
            add(b, "|", "|");
        }
        if (chance(2)) {
            add_word(b);
        } else {
            add_items(b, depth + 1);
        }
    }
    add(b, optional ? "]" : ")", optional ? ")?" : ")");
}

static void add_items(struct both *b, int depth) {
    for (unsigned n = 1 + chance(3); n > 0; n--) {
        switch (depth < 3 ? chance(10) : chance(6)) {
        case 0: add(b, "#", "[0-9]+ "); break;
        case 1: add(b, "_", any); break;
        case 2: add(b, ",", ", "); break;
        case 3: add_gap(b, "..", 3); break;
        case 6: add_gap(b, "...", 7); break;
        case 7:
        case 8: add_bracket(b, depth); break;
        default: add_word(b);
        }
    }
}

static void make_phrase(struct both *b) {
    *b = (struct both){0};
    if (chance(6) == 0) {
        add(b, "^", "(?<![^ .,;:!?^()\\-\"] )");
    }
    add_word(b);
    if (chance(5) > 0) {
        add_items(b, 0);
    }
    if (chance(6) == 0) {
        add(b, "$", "(?![^ .,;:!?^()\\-\"])");
    }
}

static void make_text(char *text, size_t size) {
    static const char *const marks[] = {",", ".", "-", "/"};
    size_t n = 0;
    for (unsigned k = 1 + chance(TEXT_WORDS); k > 0; k--) {
        const char *word = chance(5) == 0 ? marks[chance(4)] : words[chance(9)];
        n += (size_t)snprintf(text + n, size - n, "%s ", word);
    }
}

struct world {
    struct lexicon *lexicon;
    pcre2_code *code[PHRASES];
    pcre2_match_data *match;
    struct folded folded;
    struct tokens tokens;
    struct marks marks;
};

static void world_open(struct world *w) {
    static char file[PHRASES * 4200];
    static const struct embedded none[] = {{NULL, NULL, 0}};
    struct both b;
    char why[256] = "";
    size_t n = (size_t)snprintf(file, sizeof file, "[filler]\n");
    *w = (struct world){.match = pcre2_match_data_create(1, NULL)};
    for (int i = 0; i < PHRASES; i++) {
        int error;
        PCRE2_SIZE at;
        make_phrase(&b);
        n += (size_t)snprintf(file + n, sizeof file - n, "%s\n", b.phrase);
        w->code[i] = pcre2_compile((PCRE2_SPTR)b.pattern, PCRE2_ZERO_TERMINATED, PCRE2_ANCHORED, &error, &at, NULL);
        assert_non_null(w->code[i]);
    }
    struct embedded more = {"xx.words", file, n};
    w->lexicon = lexicon_open(none, &more, 1, why, sizeof why);
    assert_string_equal(why, "");
    assert_non_null(w->lexicon);
}

static void world_close(struct world *w) {
    for (int i = 0; i < PHRASES; i++) {
        pcre2_code_free(w->code[i]);
    }
    pcre2_match_data_free(w->match);
    lexicon_close(w->lexicon);
    folded_free(&w->folded);
    tokens_free(&w->tokens);
    free(w->marks.at);
}

/* Where PCRE2 ends phrase i, begun at byte `from` of the text: as a token; 0 when it finds none. */
static uint32_t reference_end(struct world *w, int i, const char *text, size_t from) {
    if (pcre2_match(w->code[i], (PCRE2_SPTR)text, strlen(text), from, 0, w->match, NULL) < 0) {
        return 0;
    }
    uint32_t token = 0;
    for (size_t at = 0; at < pcre2_get_ovector_pointer(w->match)[1]; at++) {
        token += text[at] == ' ';
    }
    return token;
}

static uint32_t found_end(const struct world *w, int i, uint32_t token) {
    for (size_t k = 0; k < w->marks.n; k++) {
        if (w->marks.at[k].first == token && w->marks.at[k].phrase == (uint32_t)i) {
            return w->marks.at[k].end;
        }
    }
    return 0;
}

static size_t text_compare(struct world *w, const char *text) {
    size_t found = 0;
    assert_true(fold_text(&w->folded, text, strlen(text)) && tokens_cut(&w->tokens, &w->folded));
    assert_true(lexicon_scan(w->lexicon, &w->folded, &w->tokens, &w->marks));
    for (uint32_t token = 0; token < w->tokens.n; token++) {
        for (int i = 0; i < PHRASES; i++) {
            uint32_t want = reference_end(w, i, text, w->tokens.at[token].start), got = found_end(w, i, token);
            if (want != got) {
                print_message("phrase in line %u at token %u of \"%s\"\n", lexicon_line(w->lexicon, (uint32_t)i), token, text);
            }
            assert_int_equal(want, got);
            found += want > 0;
        }
    }
    assert_true(found >= w->marks.n); /* nothing else was found */
    return found;
}

static void the_sieve_lets_nothing_fall_that_pcre2_finds(void **context) {
    (void)context;
    size_t found = 0;
    for (int n = 0; n < LEXICONS; n++) {
        struct world w;
        world_open(&w);
        for (int i = 0; i < TEXTS; i++) {
            char text[256] = "";
            make_text(text, sizeof text);
            found += text_compare(&w, text);
        }
        world_close(&w);
    }
    assert_true(found > 50000); /* and it was much */
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_sieve_lets_nothing_fall_that_pcre2_finds)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
