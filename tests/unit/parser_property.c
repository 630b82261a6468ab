/* Properties of the parser that hold for every reading, checked over many random ones with a fixed seed.
 *
 * A reading rendered in any of the ways people write is read back; chatter around it, case and accents change
 * nothing; no reading ever appears whose digits are not in the text; bytes at random never break it; and the same text
 * read twice has the same meaning. The generator is xorshift64* (Vigna 2016), written out here.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "parser/parser.h"
#include "parser/lexicon.h"
#include "parser/lexicon_parts.h"
#include "parser/text.h"

static const struct moment received = {2026, 11, 24, 490};
static struct parser *parser;
static struct meaning meaning;
static uint64_t state = 0x9E3779B97F4A7C15u;

static unsigned below(unsigned n) {
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return (unsigned)((state * 0x2545F4914F6CDD1Du) >> 33) % n;
}

static const struct meaning *read_text(const char *text) {
    parser_read(parser, text, strlen(text), received, &meaning);
    return &meaning;
}

static void reads_as(const char *text, int sys, int dia, int pulse) {
    const struct meaning *m = read_text(text);
    if (m->readings.n != 1 || m->readings.at[0].sys != sys || m->readings.at[0].dia != dia || m->readings.at[0].pulse != pulse) {
        fail_msg("\"%s\": want %d/%d/%d, got %d readings, first %d/%d/%d", text, sys, dia, pulse, m->readings.n, m->readings.at[0].sys,
                 m->readings.at[0].dia, m->readings.at[0].pulse);
    }
}

/* Ways to write a pair and its pulse: %1$d, %2$d, %3$d. */
static const char *const shapes[] = {
    "%1$d/%2$d pulse %3$d", "%1$d/%2$d p%3$d", "%1$d over %2$d, heart rate %3$d", "%1$d/%2$d/%3$d", "%1$d-%2$d-%3$d",
    "BP %1$d/%2$d HR %3$d", "sys %1$d dia %2$d pulse %3$d", "%1$d on top, %2$d on the bottom, pulse %3$d", "%1$d %2$d %3$d",
    "pulse %3$d, bp %1$d/%2$d", "%1$d/%2$d (%3$d)", "%1$d \\ %2$d %3$dbpm", "%1$d sobre %2$d pulso %3$d",
    "sistolica %1$d diastolica %2$d pulso %3$d", "la alta %1$d la baja %2$d pulso %3$d", "dia %2$d sys %1$d pulse %3$d",
    "upper %1$d, lower %2$d, %3$d beats", "%1$d\n%2$d\n%3$d", "reading: %1$d/%2$d\npulse: %3$d", "%1$dmmHg/%2$dmmHg %3$d bpm",
};

static void every_shape_of_a_reading_reads_back(void **context) {
    (void)context;
    for (int i = 0; i < 20000; i++) {
        char text[256];
        int dia = 40 + (int)below(70), sys = dia + 15 + (int)below(100), pulse = 45 + (int)below(80);
        size_t shape = below(sizeof shapes / sizeof shapes[0]);
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
        snprintf(text, sizeof text, shapes[shape], sys, dia, pulse);
#pragma GCC diagnostic pop
        reads_as(text, sys, dia, pulse);
    }
}

/* The room for folded text is reckoned from the size of what was sent, so this is what keeps it from being written past. */
static void no_character_grows_beyond_its_room(void **context) {
    (void)context;
    for (uint32_t c = 1; c <= 0x10FFFF; c++) {
        size_t bytes = c < 0x80 ? 1 : c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
        for (int digit = 0; digit < 2; digit++) {
            char out[12];
            size_t n = c >= 0xD800 && c <= 0xDFFF ? 0 : fold_character(out, c, digit ? '7' : ' ');
            if (n > bytes * FOLD_GROWTH || n > sizeof out) {
                fail_msg("U+%04X: %zu bytes become %zu", c, bytes, n);
            }
        }
    }
}

/* The second text just fits into the room that the first one left. Under ASan. */
static void room_is_kept_for_the_text_that_grows_most(void **context) {
    static char text[65536];
    (void)context;
    for (size_t first = 100; first <= 40000; first *= 3) {
        memset(text, 'a', first);
        parser_read(parser, text, first, received, &meaning);
        for (size_t next = first; next <= 2 * first && next < sizeof text; next += first / 50) {
            for (size_t i = 0; i < next; i++) {
                text[i] = i % 2 ? '\xBC' : '\xC2'; /* U+00BC, a quarter */
            }
            parser_read(parser, text, next, received, &meaning);
            assert_int_equal(meaning.readings.n, 0);
        }
    }
}

/* However large the number is, what it counts lies as far back as a day is told, and the reading is not today's. */
static void no_count_of_days_turns_over(void **context) {
    static const char *const units[] = {"days ago", "weeks ago", "months ago"};
    (void)context;
    for (size_t u = 0; u < 3; u++) {
        for (uint64_t count = 3000; count <= 999999999; count = count * 7 / 5 + 1) {
            char text[80];
            snprintf(text, sizeof text, "132/84 %llu %s", (unsigned long long)count, units[u]);
            const struct meaning *m = read_text(text);
            const struct said_list *all = m->readings.n ? &m->readings : &m->doubtful;
            if (all->n == 1 && all->at[0].day != DAY_UNSAID && all->at[0].day != -3000) {
                fail_msg("%s: day %d", text, all->at[0].day);
            }
        }
    }
}

/* The sieve learns from what is sent, and strangers may send: what it keeps has a ceiling. Emptied, it finds the same. */
static void what_the_sieve_keeps_has_a_ceiling(void **context) {
    static char text[65536];
    static const char asked[] = "chest pain since this morning, 132/84 pulse 71";
    char why[200];
    struct lexicon *l = lexicon_open(parser_lexicon, NULL, 0, why, sizeof why);
    struct folded f = {0};
    struct tokens t = {0};
    struct marks first = {0}, m = {0};
    (void)context;
    assert_non_null(l);
    assert_true(fold_text(&f, asked, strlen(asked)) && tokens_cut(&t, &f) && lexicon_scan(l, &f, &t, &first));
    size_t most = 0;
    bool emptied = false;
    for (int i = 0; i < 400 && !emptied; i++) {
        size_t n = 0;
        while (n + 40 < sizeof text) {
            n += (size_t)snprintf(text + n, 32, "%.30s ", l->words.at[below((unsigned)l->words.n)].key);
        }
        assert_true(fold_text(&f, text, n) && tokens_cut(&t, &f) && lexicon_scan(l, &f, &t, &m));
        emptied = l->machine.way_n < most;
        most = l->machine.way_n > most ? l->machine.way_n : most;
        assert_true(l->machine.way_n <= MACHINE_WAYS + 100);
    }
    assert_true(emptied);
    assert_true(fold_text(&f, asked, strlen(asked)) && tokens_cut(&t, &f) && lexicon_scan(l, &f, &t, &m));
    assert_int_equal(m.n, first.n);
    for (size_t i = 0; i < m.n; i++) {
        assert_int_equal(m.at[i].phrase, first.at[i].phrase);
        assert_int_equal(m.at[i].end, first.at[i].end);
    }
    free(first.at);
    free(m.at);
    folded_free(&f);
    tokens_free(&t);
    lexicon_close(l);
}

static const char *const before[] = {"", "Hello, ", "Good morning doctor. ", "hi there, ", "Buenos dias, ", "sorry its late. ", "Dear nurse, "};
static const char *const after[] = {"", ". Thank you", " thanks", ", gracias", ". God bless", " xx", ". Have a nice day!", " regards, Mary"};

static void chatter_and_case_change_nothing(void **context) {
    (void)context;
    for (int i = 0; i < 20000; i++) {
        char text[256];
        int dia = 40 + (int)below(70), sys = dia + 15 + (int)below(100), pulse = 45 + (int)below(80);
        snprintf(text, sizeof text, "%s%d/%d pulse %d%s", before[below(7)], sys, dia, pulse, after[below(8)]);
        reads_as(text, sys, dia, pulse);
        for (char *c = text; *c != '\0'; c++) {
            *c = (char)(below(2) ? toupper((unsigned char)*c) : tolower((unsigned char)*c));
        }
        reads_as(text, sys, dia, pulse);
    }
}

/* Whether the digits of `value` stand together in the text. */
static bool digits_in(const char *text, int value) {
    char digits[16];
    snprintf(digits, sizeof digits, "%d", value);
    return strstr(text, digits) != NULL;
}

static void no_reading_appears_whose_digits_are_not_in_the_text(void **context) {
    (void)context;
    static const char *const bits[] = {"/", " ", "-", ".", ",", "\n", " over ", " pulse ", "am", "pm", ":", "p", "mg", " not ", "(", ")",
                                       " sys ", " dia ", "#", " and ", "x", " or ", "kg", "?", " about ", " mum ", "%", " 7am ", " today "};
    for (int i = 0; i < 60000; i++) {
        char text[256];
        size_t n = 0;
        for (unsigned k = 0, parts = 1 + below(8); k < parts; k++) {
            n += (size_t)snprintf(text + n, sizeof text - n, "%u%s", below(below(3) == 0 ? 20000 : 320), bits[below(29)]);
        }
        const struct meaning *m = read_text(text);
        for (size_t r = 0; r < m->readings.n; r++) {
            const struct said *s = &m->readings.at[r];
            bool rounded = strchr(text, '.') != NULL || strchr(text, ',') != NULL;
            if (!rounded && !(digits_in(text, s->sys) && digits_in(text, s->dia) && (s->pulse == SAID_NONE || digits_in(text, s->pulse)))) {
                fail_msg("\"%s\" gave %d/%d/%d", text, s->sys, s->dia, s->pulse);
            }
            assert_true(s->sys >= 50 && s->sys <= 300 && s->dia >= 20 && s->dia <= 200);
            assert_true(s->day == DAY_UNSAID || (s->day <= 0 && s->day >= -7));
        }
    }
}

static void any_bytes_are_read_alike_twice(void **context) {
    (void)context;
    static struct meaning first;
    for (int i = 0; i < 20000; i++) {
        char text[200];
        size_t n = below(sizeof text);
        for (size_t k = 0; k < n; k++) {
            text[k] = below(4) == 0 ? (char)below(256) : " 0123456789/apsd.,-:over\n"[below(25)];
        }
        parser_read(parser, text, n, received, &first);
        parser_read(parser, text, n, received, &meaning);
        char *a = meaning_json(&first), *b = meaning_json(&meaning);
        assert_string_equal(a, b);
        free(a);
        free(b);
    }
}

/* CPU seconds for one reading of the text. */
static double seconds(const char *text, size_t size) {
    struct timespec a, b;
    double best = 1;
    for (int i = 0; i < 5; i++) {
        clock_gettime(CLOCK_THREAD_CPUTIME_ID, &a);
        parser_read(parser, text, size, received, &meaning);
        clock_gettime(CLOCK_THREAD_CPUTIME_ID, &b);
        double took = (double)(b.tv_sec - a.tv_sec) + (double)(b.tv_nsec - a.tv_nsec) / 1e9;
        best = took < best ? took : best;
    }
    return best;
}

static void fill(char *text, size_t size, const char *bit) {
    for (size_t i = 0, n = strlen(bit); i < size; i++) {
        text[i] = bit[i % n];
    }
}

static void no_text_of_1600_characters_takes_fifty_times_the_usual(void **context) {
    (void)context;
    static const char *const bad[] = {"no ",       "no no ",       "132/84 ",  "132 ",        "1. ",      "sys ",      "pulse 71 ", "my ",
                                      "not 182 ",  "a ",           "/",        "1/",          "132,84,",  "am ",       "is ",       "pain in my ",
                                      "7.10 ",     "one ",         "or ",      "my husband ", "sudden ",  "i ",        "the ",      "132/84 p 71 ",
                                      "no chest ", "one thirty ", "from ", "heart ", "am 132 ", "sorry 132/84 ", "25/12 ", "1) "};
    char text[1600];
    fill(text, sizeof text, "I sat down after breakfast and it was 132/84 with a pulse of 71, the cat was asleep. ");
    double usual = seconds(text, sizeof text);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        fill(text, sizeof text, bad[i]);
        double took = seconds(text, sizeof text);
        if (took > usual * 50) {
            fail_msg("\"%s...\" took %.0f microseconds, usual %.0f", bad[i], took * 1e6, usual * 1e6);
        }
    }
}

static void flags_are_found_behind_the_first_1600_characters_and_readings_are_not(void **context) {
    (void)context;
    char text[4096];
    fill(text, sizeof text, "blah ");
    static const char end[] = " I have chest pain 132/84";
    memcpy(text + sizeof text - sizeof end, end, sizeof end);
    const struct meaning *m = read_text(text);
    assert_int_equal(m->readings.n, 0);
    assert_true(m->flags & FLAG_CHEST_PAIN);
}

static void a_mistake_in_a_lexicon_is_told_with_its_line(void **context) {
    (void)context;
    static const struct {
        const char *words, *why;
    } rows[] = {
        {"[flagg chest_pain]\n", "xx.words:1:"},        {"[flag chest_pane]\n", "xx.words:1:"}, {"hello\n", "xx.words:1:"},
        {"[flag faint]\n(fainted\n", "xx.words:2:"},     {"[flag faint]\n[fainted]\n", "xx.words:2:"},
        {"@side = left\n@ = right\n", "xx.words:2:"},
        {"[flag faint]\n<nothing>\n", "xx.words:2:"},    {"[flag faint]\n; fine\n.. fainted\n", "xx.words:3:"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct embedded file = {"xx.words", rows[i].words, strlen(rows[i].words)};
        struct parser *p;
        char why[256] = "";
        assert_int_equal(parser_open(&p, &file, 1, why, sizeof why), -1);
        assert_null(p);
        assert_memory_equal(why, rows[i].why, strlen(rows[i].why));
    }
}

static void every_phrase_compiles(void **context) {
    (void)context;
    char why[256] = "";
    int made = parser_check(parser, why, sizeof why);
    assert_string_equal(why, "");
    assert_int_equal(made, 0);
    assert_true(parser_has_jit(parser));
    reads_as("132/84 p 71", 132, 84, 71);
}

static void a_file_adds_a_language_without_c(void **context) {
    (void)context;
    static const char words[] = "[join]\nsur\n[label pulse]\npouls\n[flag chest_pain]\nmal a la poitrine | douleur* .. poitrine\n"
                                "[negation before]\npas | aucune\n[language]\nj'ai | mal | pas | le | et\n";
    struct embedded file = {"fr.words", words, sizeof words - 1};
    struct parser *p, *saved = parser;
    char why[256] = "";
    assert_int_equal(parser_open(&p, &file, 1, why, sizeof why), 0);
    parser = p;
    reads_as("13O sur 85 et pouls 7l", 130, 85, 71);
    assert_true(read_text("J'ai mal à la poitrine")->flags & FLAG_CHEST_PAIN);
    assert_string_equal(meaning.language, "fr");
    assert_false(read_text("pas mal à la poitrine")->flags & FLAG_CHEST_PAIN);
    parser = saved;
    parser_close(p);
}

static int open_parser(void **context) {
    (void)context;
    char why[256] = "";
    return parser_open(&parser, NULL, 0, why, sizeof why);
}

static int close_parser(void **context) {
    (void)context;
    parser_close(parser);
    return 0;
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_character_grows_beyond_its_room),
        cmocka_unit_test(room_is_kept_for_the_text_that_grows_most),
        cmocka_unit_test(no_count_of_days_turns_over),
        cmocka_unit_test(what_the_sieve_keeps_has_a_ceiling),
        cmocka_unit_test(every_shape_of_a_reading_reads_back),
        cmocka_unit_test(chatter_and_case_change_nothing),
        cmocka_unit_test(no_reading_appears_whose_digits_are_not_in_the_text),
        cmocka_unit_test(any_bytes_are_read_alike_twice),
        cmocka_unit_test(no_text_of_1600_characters_takes_fifty_times_the_usual),
        cmocka_unit_test(flags_are_found_behind_the_first_1600_characters_and_readings_are_not),
        cmocka_unit_test(a_mistake_in_a_lexicon_is_told_with_its_line),
        cmocka_unit_test(every_phrase_compiles),
        cmocka_unit_test(a_file_adds_a_language_without_c),
    };
    return cmocka_run_group_tests(tests, open_parser, close_parser);
}
