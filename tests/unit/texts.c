/* The words themselves: every kind has them in every language, they hold what they must, never what they must not, and
 * are short enough with the longest values, alone and in the combinations that care makes. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "gateway/texts/texts.h"

static const char *const languages[] = {"en", "es"};
#define LANGUAGES (sizeof languages / sizeof *languages)

static const struct {
    const char *name, *must;
    char to, role;
} kinds[] = {{NULL, NULL, 0, 0},
#define ROW(NAME, name, must, to, role) {name, must, to, role},
             TEXT_KINDS(ROW)};

static struct texts *texts;

static int texts_ready(void **state)
{
    char why[512] = "";

    (void)state;
    if (texts_open(&texts, NULL, 0, why, sizeof why) == 0)
        return 0;
    print_error("%s\n", why);
    return -1;
}

static int texts_done(void **state)
{
    (void)state;
    texts_close(texts);
    return 0;
}

/* The longest that a clinic and a patient may bring: a name of 40 characters is said whole, numbers have 20. */
static const struct clinic longest_clinic = {
    .name = "Upper Maple Row and Riverside Practices!",
    .voice_number = "+44 01632 960001 0001",
    .out_of_hours = "01632 960002 ext 1234",
    .emergency = "01632 960003 ext 123",
    .maternity = "01632 960004 ext 123",
    .crisis = "01632 960005 ext 123",
    .language = "en",
};

static struct saying longest_saying(int n_echo)
{
    struct saying s = {.n_echo = (uint8_t)n_echo,
                       .more = 99,
                       .number = 99,
                       .day = 5 /* a Tuesday */,
                       .minute = 1439,
                       .arm_cm = 52.5,
                       .cuff_low = 22.5,
                       .cuff_high = 42.5,
                       .code = "WWWWWWW",
                       .ref = "PATIENT-0000000000000000000000000000001",
                       .phone = "+447700900000",
                       .level = ALERT_EMERGENCY,
                       .cause = "came_down_again",
                       .word = "daughter of the house or the other grandmother or the lodger"};

    for (int i = 0; i < n_echo; i++)
        s.echo[i].sys = 260, s.echo[i].dia = 150, s.echo[i].pulse = 200;
    return s;
}

/* Says up to four kinds, 0 left out; returns the segments. */
static int segments_of(const char *language, int n_echo, const unsigned said[4], char body[BODY_MAX])
{
    struct saying s = longest_saying(n_echo);

    for (int i = 0; i < 4; i++)
        if (said[i])
            s.parts[s.n_parts++] = (uint16_t)said[i];
    texts_say(texts, &s, &longest_clinic, language, body, BODY_MAX);
    return gsm_segments(body);
}

static void every_kind_has_words_in_every_language(void **state)
{
    (void)state;
    for (size_t l = 0; l < LANGUAGES; l++)
        for (unsigned k = 1; k < TEXT_KIND_COUNT; k++) {
            const char *words = text_kind_words(texts, k, languages[l]);

            if (!words || !*words)
                fail_msg("%s in %s has no words", kinds[k].name, languages[l]);
            assert_string_equal(text_kind_name(k), kinds[k].name);
        }
    assert_null(text_kind_name(TEXT_KIND_COUNT));
    assert_null(text_kind_words(texts, TEXT_THANKS, "xx"));
}

static void each_text_holds_the_numbers_and_words_that_it_must(void **state)
{
    static const struct {
        char letter;
        const char *said;
    } needs[] = {
        {'E', "{emergency}"}, {'C', "{contact}"}, {'M', "{maternity}"}, {'K', "{crisis}"}, {'S', "STOP"}};

    (void)state;
    for (size_t l = 0; l < LANGUAGES; l++)
        for (unsigned k = 1; k < TEXT_KIND_COUNT; k++)
            for (size_t n = 0; n < sizeof needs / sizeof *needs; n++)
                if (strchr(kinds[k].must, needs[n].letter) &&
                    !strstr(text_kind_words(texts, k, languages[l]), needs[n].said))
                    fail_msg("%s in %s has no %s", kinds[k].name, languages[l], needs[n].said);
}

/* What a reply repeats so that the patient catches our mistake, and what an answer to a question does. */
static void replies_echo_and_questions_name_their_answers(void **state)
{
    static const struct {
        unsigned kind;
        const char *said[3];
        const char *why;
    } rows[] = {
        {TEXT_GOT, {"{echo}"}, "the patient catches our mistakes"},
        {TEXT_GOT_AND_MORE, {"{echo}", "{more}"}, "none is silently lost"},
        {TEXT_GOT_EXTRA, {"{echo}"}, "the same"},
        {TEXT_CORRECTED, {"{echo}"}, "the same"},
        {TEXT_DROPPED, {"{echo}"}, "the same"},
        {TEXT_ASIDE, {"{echo}", "{yes}"}, "YES joins and takes it up"},
        {TEXT_INVITE, {"{clinic}", "{yes}", "{no}"}, "names the practice, asks YES"},
        {TEXT_INVITE_AGAIN, {"{clinic}", "{yes}", "{no}"}, "the same"},
        {TEXT_Q_DISPLAY, {"{echo}", "{yes}", "{no}"}, "YES counts as written, NO drops"},
        {TEXT_Q_OUTLIER, {"{echo}", "{yes}", "{no}"}, "the same"},
        {TEXT_Q_NEW, {"{echo}", "{yes}", "{no}"}, "the same"},
        {TEXT_Q_SWAPPED, {"{echo}", "{yes}", "{no}"}, "YES takes larger over smaller, which is echoed"},
        {TEXT_Q_OWN, {"{echo}", "{yes}", "{no}"}, "the same"},
        {TEXT_Q_UNCERTAIN, {"{echo}", "{yes}", "{no}"}, "the same"},
        {TEXT_Q_OUT_OF_RANGE, {"132/84 71", "{no}"}, "nothing can be taken: the form"},
        {TEXT_Q_PAIRING, {"132/84 71", "{no}"}, "the same"},
        {TEXT_Q_ONE_NUMBER, {"132/84 71", "{no}"}, "the same"},
        {TEXT_NOT_UNDERSTOOD, {"132/84 71"}, "the form to use"},
        {TEXT_PERSON_WILL_LOOK, {"{phone}"}, "a person, or ring"},
        {TEXT_UNKNOWN_NUMBER, {"{phone}"}, "whom to ring"},
        {TEXT_CUFF_TOO_SMALL, {"{arm}", "{cuff}", "{phone}"}, "talk to the clinic"},
        {TEXT_CUFF_TOO_LARGE, {"{arm}", "{cuff}", "{phone}"}, "talk to the clinic"},
        {TEXT_S_ALERT, {"{ref}", "{cause}", "TAKE {code}"}, "what, who, how to take it"},
        {TEXT_S_ALERT_AGAIN, {"{ref}", "{cause}", "TAKE {code}"}, "the same"},
        {TEXT_S_ALERT_DESK, {"{ref}", "{cause}"}, "by mail: there is no code"},
        {TEXT_S_ALERT_DESK_AGAIN, {"{ref}", "{cause}"}, "the same"},
        {TEXT_S_TAKEN_YOU, {"{ref}", "{patient_phone}"}, "whom to ring"},
        {TEXT_STOPPED, {"START"}, "how to come back"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (size_t l = 0; l < LANGUAGES; l++)
            for (int n = 0; n < 3 && rows[i].said[n]; n++)
                if (!strstr(text_kind_words(texts, rows[i].kind, languages[l]), rows[i].said[n]))
                    fail_msg("%s in %s has no %s (%s)", kinds[rows[i].kind].name, languages[l],
                             rows[i].said[n], rows[i].why);
}

/* The signs to ring for at once, as care asks: chest, breath, face/arm/leg, speech or sight, confusion, headache. */
static void a_severe_reading_names_every_sign_to_ring_for(void **state)
{
    static const unsigned severe[] = {TEXT_W_SEVERE, TEXT_W_SEVERE_OLD, TEXT_W_SEVERE_DOUBT, TEXT_W_VERY_HIGH,
                                      TEXT_W_REPEAT_NOW};
    static const char *const signs[LANGUAGES][10] = {
        {"chest", "breath", "weak", "numb", "face, arm or leg", "speaking or seeing", "confusion",
         "headache"},
        {"pecho", "aire", "débil", "dormida", "cara, brazo o pierna", "hablar o ver", "confusion",
         "dolor de cabeza"},
    };

    (void)state;
    for (size_t l = 0; l < LANGUAGES; l++)
        for (size_t i = 0; i < sizeof severe / sizeof *severe; i++)
            for (int n = 0; n < 10 && signs[l][n]; n++)
                if (!strstr(text_kind_words(texts, severe[i], languages[l]), signs[l][n]))
                    fail_msg("%s in %s has no \"%s\"", kinds[severe[i]].name, languages[l], signs[l][n]);
}

/* "Before medicine" always goes on "then take it as usual". */
static void measuring_before_medicine_never_reads_as_leaving_it_out(void **state)
{
    static const char *const before[] = {"before your medicine", "antes de su medicina"};
    static const char *const usual[] = {"then take it as usual", "tome su medicina como siempre"};

    (void)state;
    for (size_t l = 0; l < LANGUAGES; l++)
        for (unsigned k = 1; k < TEXT_KIND_COUNT; k++) {
            const char *words = text_kind_words(texts, k, languages[l]);

            if (strstr(words, before[l]) && !strstr(words, usual[l]))
                fail_msg("%s in %s", kinds[k].name, languages[l]);
        }
}

static bool has_word(const char *text, const char *word)
{
    size_t n = strlen(word);

    for (const char *s = text; *s; s++)
        if (!strncasecmp(s, word, n) && (s == text || !isalpha((unsigned char)s[-1])) &&
            !isalpha((unsigned char)s[n]))
            return true;
    return false;
}

/* Not a list of all medicines: those a person writing about blood pressure would most likely slip in. */
static void no_text_names_a_diagnosis_a_medicine_or_a_dose(void **state)
{
    static const char *const never[] = {
        "mmHg",         "mg",           "dose",
        "doses",        "dosis",        "hypertension",
        "hypertensive", "hipertension", "hypotension",
        "hipotension",  "stroke",       "derrame",
        "ictus",        "infarto",      "heart attack",
        "angina",       "crisis",       "pre-eclampsia",
        "preeclampsia", "arrhythmia",   "arritmia",
        "fibrillation", "fibrilacion",  "AF",
        "diagnosis",    "diagnosed",    "diagnostico",
        "amlodipine",   "amlodipino",   "ramipril",
        "lisinopril",   "enalapril",    "losartan",
        "valsartan",    "candesartan",  "bisoprolol",
        "atenolol",     "indapamide",   "hydrochlorothiazide",
        "aspirin",      "aspirina",     "statin",
        "beta blocker", "diuretic",     "paracetamol",
        "ibuprofen",    "increase",     "reduce",
        "aumente",      "reduzca",      "skip",
        "normal",       "dangerous",    "peligrosa",
    };

    (void)state;
    for (size_t l = 0; l < LANGUAGES; l++)
        for (unsigned k = 1; k < TEXT_KIND_COUNT; k++)
            for (size_t n = 0; n < sizeof never / sizeof *never; n++) {
                const char *words = text_kind_words(texts, k, languages[l]), *at = strstr(words, "{crisis}");

                if (kinds[k].to == 'P' && has_word(words, never[n]) && !(at && !strcmp(never[n], "crisis")))
                    fail_msg("%s in %s says \"%s\"", kinds[k].name, languages[l], never[n]);
            }
}

/* Every figure in a text to a patient is one of these: no limit, no target, no size of an error, no telephone number. */
static void no_text_holds_a_figure_but_examples_and_minutes(void **state)
{
    static const char *const figures[] = {"132", "84", "71", "182", "82", "5", "30", "31", "22", "32", "07"};

    (void)state;
    for (size_t l = 0; l < LANGUAGES; l++)
        for (unsigned k = 1; k < TEXT_KIND_COUNT; k++) {
            const char *s = text_kind_words(texts, k, languages[l]);

            for (s += strcspn(s, "0123456789"); *s; s += strcspn(s, "0123456789")) {
                size_t n = strspn(s, "0123456789");
                bool known = false;

                for (size_t f = 0; f < sizeof figures / sizeof *figures; f++)
                    known |= strlen(figures[f]) == n && !memcmp(figures[f], s, n);
                if (!known)
                    fail_msg("%s in %s has %.*s", kinds[k].name, languages[l], (int)n, s);
                s += n;
            }
        }
}

static void each_text_is_within_two_segments_and_the_7_bit_alphabet(void **state)
{
    char body[BODY_MAX];

    (void)state;
    for (size_t l = 0; l < LANGUAGES; l++)
        for (unsigned k = 1; k < TEXT_KIND_COUNT; k++) {
            unsigned said[4] = {k};
            int n = segments_of(languages[l], SAYING_ECHO, said, body);

            if (!gsm_fits(body))
                fail_msg("%s in %s has a character outside GSM 03.38: %s", kinds[k].name, languages[l], body);
            if (strpbrk(body, "{}"))
                fail_msg("%s in %s leaves a placeholder: %s", kinds[k].name, languages[l], body);
            if (n < 1 || n > (kinds[k].role == 'H' ? 1 : 2))
                fail_msg("%s in %s takes %d: %s", kinds[k].name, languages[l], n, body);
        }
}

/* Opener, tail and hint, each hint in turn; role by role as text_kind.h has them. */
static void a_reply_with_tail_and_hint_is_within_two_segments(void **state)
{
    static const struct {
        unsigned opener;
        int n_echo;
        const char *why;
    } openers[] = {
        {TEXT_GOT, 4, "the most that one text may echo"},
        {TEXT_GOT_AND_MORE, 4, "more than that was sent"},
        {TEXT_GOT_EXTRA, 1, "the sitting was full"},
        {TEXT_CORRECTED, 4, "a correction"},
        {TEXT_DROPPED, 4, "taken back"},
        {TEXT_KEPT_AS_WRITTEN, 1, "YES"},
        {TEXT_THANKS_TECHNIQUE, 0, "a remark alone"},
        {TEXT_ARM_THANKS, 0, "a size alone"},
    };
    static const unsigned tails[] = {0, TEXT_SECOND_PLEASE, TEXT_THIRD_PLEASE, TEXT_SITTING_DONE};
    char body[BODY_MAX];

    (void)state;
    for (size_t l = 0; l < LANGUAGES; l++)
        for (size_t o = 0; o < sizeof openers / sizeof *openers; o++)
            for (size_t t = 0; t < sizeof tails / sizeof *tails; t++)
                for (unsigned k = 1; k < TEXT_KIND_COUNT; k++) {
                    unsigned said[4] = {openers[o].opener, tails[t], k};

                    if (kinds[k].role != 'H' || (openers[o].opener == TEXT_GOT_EXTRA && tails[t]))
                        continue;
                    if (segments_of(languages[l], openers[o].n_echo, said, body) > 2)
                        fail_msg("%s: %s", openers[o].why, body);
                }
}

static void other_texts_that_follow_each_other_are_short_enough(void **state)
{
    static const struct {
        int n_echo, limit;
        unsigned said[4];
        const char *why;
    } rows[] = {
        {4,
         2,
         {TEXT_GOT, TEXT_SECOND_PLEASE, TEXT_CLINIC_SEES_TAIL},
         "a reading and a question to the clinic"},
        {4, 2, {TEXT_GOT, TEXT_SITTING_DONE, TEXT_CLINIC_SEES_TAIL}, "the same, the last of a sitting"},
        {4, 2, {TEXT_THANKS_TECHNIQUE, TEXT_CLINIC_SEES_TAIL}, "a remark and a question"},
        {1, 2, {TEXT_GOT, TEXT_W_SEVERE}, "the reading that worries is echoed first"},
        {1, 2, {TEXT_GOT, TEXT_W_VERY_HIGH}, "the same"},
        {1, 2, {TEXT_GOT, TEXT_W_SEVERE_AGAIN}, "the same"},
        {1, 2, {TEXT_GOT, TEXT_W_LOW}, "the same"},
        {1, 2, {TEXT_GOT, TEXT_W_LOW_CHECK}, "the same"},
        {1, 2, {TEXT_GOT, TEXT_W_PULSE}, "the same"},
        {1, 2, {TEXT_GOT, TEXT_W_CAME_DOWN_AGAIN}, "the same"},
        {1, 2, {TEXT_GOT, TEXT_W_PREGNANT_SEVERE}, "the same"},
        {1, 2, {TEXT_GOT, TEXT_W_PREGNANT_HIGH}, "the same"},
        {1, 2, {TEXT_GOT, TEXT_W_FLAG}, "a red flag with a reading"},
        {1, 2, {TEXT_GOT, TEXT_W_SEVERE_FLAG}, "the same, severe"},
        {1, 2, {TEXT_GOT, TEXT_W_PREGNANT_SIGN}, "the same, pregnant"},
        {1, 2, {TEXT_GOT, TEXT_W_SYMPTOM, TEXT_SECOND_PLEASE}, "dizzy, with a reading"},
        {1, 3, {TEXT_GOT, TEXT_W_SEVERE, TEXT_CLINIC_SEES_TAIL}, "a severe reading and a question to the clinic"},
        {1, 2, {TEXT_GOT, TEXT_SECOND_PLEASE, TEXT_CUFF_FITS}, "a reading and the size of the cuff"},
        {1, 2, {TEXT_GOT, TEXT_CUFF_TOO_SMALL}, "the same, a cuff that does not fit"},
        {1, 2, {TEXT_GOT, TEXT_CUFF_TOO_LARGE}, "the same, a cuff that does not fit"},
        {1, 2, {TEXT_GOT, TEXT_Q_DISPLAY}, "one taken, one asked about"},
        {1, 2, {TEXT_GOT, TEXT_Q_OUTLIER}, "one taken, one asked about"},
        {1, 2, {TEXT_GOT, TEXT_Q_OUT_OF_RANGE}, "one taken, one asked about"},
        {1, 2, {TEXT_GOT, TEXT_Q_UNCERTAIN}, "one taken, one asked about"},
        {1, 2, {TEXT_GOT, TEXT_MEDICINE}, "a reading and news of medicine"},
        {0, 2, {TEXT_W_SELF_HARM, TEXT_W_SELF_HARM_TOLD}, "a person is on call"},
        {1, 3, {TEXT_W_SEVERE_DOUBT, TEXT_Q_DISPLAY}, "worry goes with the question"},
        {1, 3, {TEXT_W_SEVERE_DOUBT, TEXT_Q_SWAPPED}, "worry goes with the question"},
        {1, 3, {TEXT_W_SEVERE_DOUBT, TEXT_Q_PAIRING}, "worry goes with the question"},
        {1, 3, {TEXT_W_SEVERE_DOUBT, TEXT_Q_ONE_NUMBER}, "worry goes with the question"},
        {1, 2, {TEXT_ARM_THANKS, TEXT_CUFF_THANKS, TEXT_CUFF_FITS}, "arm and cuff in one text"},
        {1,
         3,
         {TEXT_ARM_THANKS, TEXT_CUFF_TOO_SMALL, TEXT_WRIST_MONITOR},
         "all that can be wrong with a monitor"},
    };
    char body[BODY_MAX];

    (void)state;
    for (size_t l = 0; l < LANGUAGES; l++)
        for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
            if (segments_of(languages[l], rows[i].n_echo, rows[i].said, body) > rows[i].limit)
                fail_msg("%s: %s", rows[i].why, body);
    for (size_t l = 0; l < LANGUAGES; l++)
        for (unsigned k = 1; k < TEXT_KIND_COUNT; k++) {
            unsigned said[4] = {TEXT_Q_OUTLIER, k};

            if (kinds[k].role == 'H' && segments_of(languages[l], 1, said, body) > 2)
                fail_msg("a question with the hint that fits: %s", body);
        }
}

/* Automated readability index of all English texts to patients together: 4.71 characters a word + 0.5 words a sentence
 * - 21.43 is the US school grade; grade 6 is age 11 to 12. Source: Senter and Smith, AMRL-TR-66-220 (1967); constants
 * from memory, confirm against the original. */
static void the_english_reads_as_for_an_eleven_year_old(void **state)
{
    double letters = 0, words = 0, sentences = 0;

    (void)state;
    for (unsigned k = 1; k < TEXT_KIND_COUNT; k++) {
        const char *s = text_kind_words(texts, k, "en");
        bool inside = false;

        for (; kinds[k].to == 'P' && *s; s++) {
            bool letter = isalnum((unsigned char)*s) || *s == '\'';

            letters += letter;
            words += letter && !inside;
            inside = letter;
            sentences += strchr(".?!", *s) != NULL;
        }
    }
    double grade = 4.71 * letters / words + 0.5 * words / sentences - 21.43;
    if (grade > 6)
        fail_msg("grade %.1f", grade);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_has_words_in_every_language),
        cmocka_unit_test(each_text_holds_the_numbers_and_words_that_it_must),
        cmocka_unit_test(replies_echo_and_questions_name_their_answers),
        cmocka_unit_test(a_severe_reading_names_every_sign_to_ring_for),
        cmocka_unit_test(measuring_before_medicine_never_reads_as_leaving_it_out),
        cmocka_unit_test(no_text_names_a_diagnosis_a_medicine_or_a_dose),
        cmocka_unit_test(no_text_holds_a_figure_but_examples_and_minutes),
        cmocka_unit_test(each_text_is_within_two_segments_and_the_7_bit_alphabet),
        cmocka_unit_test(a_reply_with_tail_and_hint_is_within_two_segments),
        cmocka_unit_test(other_texts_that_follow_each_other_are_short_enough),
        cmocka_unit_test(the_english_reads_as_for_an_eleven_year_old),
    };

    return cmocka_run_group_tests(tests, texts_ready, texts_done);
}
