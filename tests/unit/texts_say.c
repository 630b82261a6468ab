/* Rendering: values in their places, in hours and out of them, both languages, and never a character cut in two. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <string.h>

#include "gateway/texts/texts.h"

static struct texts *texts;

static const struct clinic maple = {
    .name = "Maple Row Practice",
    .voice_number = "01632 960001",
    .out_of_hours = "111",
    .emergency = "999",
    .maternity = "01632 960003",
    .crisis = "116 123",
    .language = "en",
};

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

static void told(const struct saying *s, const struct clinic *c, const char *language, const char *expected,
                 const char *why)
{
    char body[BODY_MAX];
    size_t n = texts_say(texts, s, c, language, body, sizeof body);

    if (strcmp(body, expected))
        fail_msg("%s\n  said:     %s\n  expected: %s", why, body, expected);
    assert_int_equal(n, strlen(body));
}

static void an_echo_is_a_list_that_the_patient_can_check(void **state)
{
    static const struct {
        const char *language;
        int16_t numbers[SAYING_ECHO][3];
        uint8_t n;
        const char *said, *why;
    } rows[] = {
        {"en", {{132, 84, 71}}, 1, "Got 132/84, pulse 71.", "one, as the contract has it"},
        {"en", {{132, 84, 0}}, 1, "Got 132/84.", "no pulse"},
        {"en", {{132, 84, 71}, {128, 82, 70}}, 2, "Got 132/84, pulse 71 and 128/82, pulse 70.", "two"},
        {"en", {{132, 84}, {128, 82}, {130, 80}}, 3, "Got 132/84, 128/82 and 130/80.", "three without pulse"},
        {"en",
         {{132, 84, 71}, {128, 82, 70}, {130, 80}},
         3,
         "Got 132/84, pulse 71; 128/82, pulse 70 and 130/80.",
         "commas are taken: semicolons"},
        {"en",
         {{132, 84}, {128, 82}, {130, 80}, {126, 79}},
         4,
         "Got 132/84, 128/82, 130/80 and 126/79.",
         "four"},
        {"en", {{182, 0, 0}}, 1, "Got 182.", "a lone number"},
        {"en", {{0, 0, 41}}, 1, "Got pulse 41.", "a pulse alone"},
        {"en", {{0}}, 0, "Got your reading.", "nothing to echo still is a sentence"},
        {"es", {{132, 84, 71}, {128, 82, 70}}, 2, "Recibido 132/84, pulso 71 y 128/82, pulso 70.", "Spanish"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct saying s = {.parts = {TEXT_GOT}, .n_parts = 1, .n_echo = rows[i].n};

        for (int e = 0; e < SAYING_ECHO; e++) {
            s.echo[e].sys = rows[i].numbers[e][0];
            s.echo[e].dia = rows[i].numbers[e][1];
            s.echo[e].pulse = rows[i].numbers[e][2];
        }
        told(&s, &maple, rows[i].language, rows[i].said, rows[i].why);
    }
}

static void parts_are_joined_by_a_space(void **state)
{
    struct saying s = {.parts = {TEXT_GOT, TEXT_SECOND_PLEASE, TEXT_HINT_LEGS}, .n_parts = 3, .n_echo = 1};

    (void)state;
    s.echo[0].sys = 132, s.echo[0].dia = 84, s.echo[0].pulse = 71;
    told(&s, &maple, "en",
         "Got 132/84, pulse 71. Now wait a minute, please, measure again and text it. "
         "Tip: do not cross your legs while you measure.",
         "opener, tail, hint");
    s.parts[1] = 9999;
    told(&s, &maple, "en", "Got 132/84, pulse 71. Tip: do not cross your legs while you measure.",
         "a kind that there is not is nothing");
}

static void the_contact_is_the_practice_in_hours_and_the_service_out_of_them(void **state)
{
    struct saying s = {.parts = {TEXT_MEDICINE}, .n_parts = 1, .in_hours = true};
    struct clinic c = maple;

    (void)state;
    told(&s, &c, "en",
         "Please do not change your tablets because of this text. The clinic will read what you wrote. For "
         "advice today "
         "ring 01632 960001.",
         "in hours");
    s.in_hours = false;
    told(&s, &c, "en",
         "Please do not change your tablets because of this text. The clinic will read what you wrote. For "
         "advice today "
         "ring 111.",
         "out of hours");
    s.in_hours = true;
    c.voice_number[0] = '\0';
    told(&s, &c, "en",
         "Please do not change your tablets because of this text. The clinic will read what you wrote. For "
         "advice today "
         "ring 111.",
         "a clinic without a voice number");
}

static void a_clinic_without_a_line_of_its_own_sends_to_its_contact(void **state)
{
    struct clinic c = maple;
    struct saying s = {.parts = {TEXT_PREGNANT_THANKS}, .n_parts = 1};

    (void)state;
    told(&s, &c, "en",
         "Thank you for telling us. The clinic will contact you. If you feel unwell or worried before that, "
         "ring "
         "01632 960003.",
         "maternity line");
    c.maternity[0] = '\0';
    told(&s, &c, "en",
         "Thank you for telling us. The clinic will contact you. If you feel unwell or worried before that, "
         "ring 111.",
         "none: out of hours");
    s.parts[0] = TEXT_W_SELF_HARM;
    c.crisis[0] = '\0';
    told(&s, &c, "en",
         "We are so sorry you feel like this. You do not have to be alone with it. Please talk to someone "
         "now: ring 111. "
         "If you may be in danger, ring 999.",
         "no crisis line");
}

static void sizes_are_said_in_the_patients_own_figures(void **state)
{
    static const struct {
        const char *language;
        double arm, low, high;
        const char *said, *why;
    } rows[] = {
        {"en", 31, 22, 32, "Your cuff (22-32 cm) is the right size for your arm (31 cm).", "whole"},
        {"en", 31.46, 22, 32.5, "Your cuff (22-32.5 cm) is the right size for your arm (31.5 cm).",
         "one decimal"},
        {"es", 31.5, 22, 32, "Su manguito (22-32 cm) es del tamaño de su brazo (31,5 cm).", "decimal comma"},
        {"en", 0, 0, 0, "Your cuff (not known) is the right size for your arm (not known).", "nothing known"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct saying s = {.parts = {TEXT_CUFF_FITS},
                           .n_parts = 1,
                           .arm_cm = rows[i].arm,
                           .cuff_low = rows[i].low,
                           .cuff_high = rows[i].high};

        told(&s, &maple, rows[i].language, rows[i].said, rows[i].why);
    }
}

static void staff_read_level_reference_cause_time_and_code(void **state)
{
    struct saying s = {.parts = {TEXT_S_ALERT},
                       .n_parts = 1,
                       .level = ALERT_EMERGENCY,
                       .cause = "chest_pain",
                       .ref = "P-0001",
                       .day = 20781 /* 2026-11-24, a Tuesday */,
                       .minute = 7 * 60 + 5,
                       .code = "K4T7"};

    (void)state;
    told(&s, &maple, "en",
         "EMERGENCY, Maple Row Practice: patient P-0001, chest pain, Tuesday 07:05. To take it reply TAKE "
         "K4T7.",
         "a flag");
    snprintf(s.cause, sizeof s.cause, "moon_phase");
    s.level = ALERT_URGENT;
    told(&s, &maple, "en",
         "URGENT, Maple Row Practice: patient P-0001, moon phase, Tuesday 07:05. To take it reply TAKE K4T7.",
         "a cause that has no words here is said as it is");
    s.cause[0] = '\0';
    told(&s, &maple, "es",
         "URGENTE, Maple Row Practice: paciente P-0001, causa desconocida, martes 07:05. Para tomarlo "
         "responda TAKE K4T7.",
         "none at all");
    s = (struct saying){.parts = {TEXT_S_TAKEN_OTHER}, .n_parts = 1, .ref = "P-0001"};
    told(&s, &maple, "en", "Patient P-0001 has been taken by a colleague.", "by whom is not known");
}

static void a_day_is_said_as_its_weekday(void **state)
{
    static const struct {
        int32_t day;
        const char *said, *why;
    } rows[] = {
        {0, "Thursday", "1970-01-01"},
        {20780, "Monday", "2026-11-23"},
        {20781, "Tuesday", "2026-11-24"},
        {20782, "Wednesday", "2026-11-25"},
        {20784, "Friday", "2026-11-27"},
        {20785, "Saturday", "2026-11-28"},
        {20786, "Sunday", "2026-11-29"},
        {-1, "Wednesday", "1969-12-31"},
        {DAY_NONE, "", "no day at all: any weekday"},
    };
    char body[BODY_MAX];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct saying s = {
            .parts = {TEXT_S_ALERT}, .n_parts = 1, .day = rows[i].day, .cause = "low", .minute = 60};

        texts_say(texts, &s, &maple, "en", body, sizeof body);
        if (!strstr(body, rows[i].said) || !strstr(body, "day 01:00"))
            fail_msg("%s: %s", rows[i].why, body);
    }
}

/* One text may say what was taken and ask about something else. */
static void a_question_echoes_what_it_asks_about_and_not_what_was_taken(void **state)
{
    struct saying s = {.parts = {TEXT_GOT, TEXT_Q_DISPLAY}, .n_parts = 2, .n_echo = 2, .n_got = 1};

    (void)state;
    s.echo[0].sys = 132, s.echo[0].dia = 84;
    s.echo[1].sys = 72, s.echo[1].dia = 50;
    told(&s, &maple, "en",
         "Got 132/84. Is 72/50 what the display showed? Reply YES to count it or NO to drop it, or text it "
         "again.",
         "one taken, one asked about");
    s.n_got = 0;
    told(&s, &maple, "en",
         "Got 132/84 and 72/50. Is 132/84 and 72/50 what the display showed? Reply YES to count it or NO to "
         "drop it, or "
         "text it again.",
         "not told apart: all of them");
    s.n_got = 2;
    s.parts[1] = TEXT_Q_WHEN;
    told(&s, &maple, "en",
         "Got 132/84 and 72/50. When did you measure your reading? Please text it again with the day and the "
         "time, like: "
         "Tuesday 07:30 132/84 71. Or reply NO to drop it.",
         "nothing left to ask about is still a sentence");
    s = (struct saying){.parts = {TEXT_GOT, TEXT_W_SEVERE_DOUBT}, .n_parts = 2, .n_echo = 2, .n_got = 1};
    s.echo[0].sys = 132, s.echo[0].dia = 84;
    s.echo[1].sys = 190, s.echo[1].dia = 0;
    told(&s, &maple, "en",
         "Got 132/84. If 190 is right, it is high. Rest 5 minutes, measure again and text it. Ring 999 with "
         "any of: chest "
         "pain; short breath; weak or numb face, arm or leg; trouble speaking or seeing; confusion; very bad "
         "headache.",
         "worry about the doubtful number");
}

static void the_language_is_the_sayings_then_the_patients_then_the_clinics(void **state)
{
    static const struct {
        const char *saying, *patient, *clinic, *said, *why;
    } rows[] = {
        {"", "en", "es", "Thank you.", "the patient's"},
        {"es", "en", "en", "Gracias.", "the saying's wins"},
        {"", "pl", "es", "Gracias.", "unknown: the clinic's"},
        {"xx", "", "yy", "Thank you.", "all unknown: English"},
        {"", NULL, "es", "Gracias.", "none given: the clinic's"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct saying s = {.parts = {TEXT_THANKS}, .n_parts = 1};
        struct clinic c = maple;

        snprintf(s.language, sizeof s.language, "%s", rows[i].saying);
        snprintf(c.language, sizeof c.language, "%s", rows[i].clinic);
        told(&s, &c, rows[i].patient, rows[i].said, rows[i].why);
    }
}

static void both_languages_follow_each_other_on_lines_of_their_own(void **state)
{
    struct saying s = {.parts = {TEXT_THANKS}, .n_parts = 1, .both_languages = true};
    struct clinic c = maple;
    char body[BODY_MAX];

    (void)state;
    told(&s, &c, "en", "Thank you.\nGracias.", "asked for; the patient's first");
    told(&s, &c, "es", "Gracias.\nThank you.", "asked for; the patient's first");
    s.both_languages = false;
    c.bilingual = true;
    told(&s, &c, "en", "Thank you.", "a bilingual clinic's ordinary reply is in one");
    s.parts[0] = TEXT_INVITE;
    texts_say(texts, &s, &c, "en", body, sizeof body);
    assert_non_null(strstr(body, "Hello, this is Maple Row Practice."));
    assert_non_null(strstr(body, "\nHola, somos Maple Row Practice."));
    assert_non_null(strstr(body, "YES"));
    assert_non_null(strstr(body, "SI "));
}

/* What a clinic writes in its configuration shall not make a text twice as dear, nor longer than a screen. */
static void the_clinics_name_is_said_plainly_and_not_at_length(void **state)
{
    static const struct {
        const char *name, *said, *why;
    } rows[] = {
        {"Maple Row Practice", "Maple Row Practice", "as it is"},
        {"St Mary’s – Riverside", "St Mary's - Riverside", "curly apostrophe and dash"},
        {"Clínica San José", "Clinica San José", "í is outside the alphabet, é inside"},
        {"Przychodnia Łąka", "Przychodnia Łąka", "no near character: kept, whatever it costs"},
        {"0123456789012345678901234567890123456789", "0123456789012345678901234567890123456789",
         "40 characters"},
        {"01234567890123456789012345678901234567890", "0123456789012345678901234567890123456789",
         "41, one word"},
        {"The Practice of Upper Maple Row and of the Riverside", "The Practice of Upper Maple Row and of",
         "cut before a word"},
        {"The Practice of Upper Maple Row and ofit Riverside", "The Practice of Upper Maple Row and ofit",
         "a word that ends at 40"},
        {"bad \xff byte", "bad ? byte", "not UTF-8"},
    };
    char expected[256];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct saying s = {.parts = {TEXT_FROM_CLINIC}, .n_parts = 1};
        struct clinic c = maple;

        snprintf(c.name, sizeof c.name, "%s", rows[i].name);
        snprintf(expected, sizeof expected, "A message from %s:", rows[i].said);
        told(&s, &c, "en", expected, rows[i].why);
    }
}

static void a_short_buffer_is_filled_by_whole_characters_only(void **state)
{
    struct saying s = {.parts = {TEXT_HINT_BLADDER}, .n_parts = 1};
    char body[64], whole[64];

    (void)state;
    texts_say(texts, &s, &maple, "es", whole, sizeof whole);
    assert_string_equal(whole, "Consejo: vaya al baño antes de medir.");
    for (size_t size = 1; size <= strlen(whole) + 1; size++) {
        size_t n = texts_say(texts, &s, &maple, "es", body, size);

        assert_true(n < size);
        assert_int_equal(body[n], '\0');
        assert_memory_equal(body, whole, n);
        assert_true((whole[n] & 0xC0) != 0x80);
        assert_true(n + 2 >= size); /* at most the half of the one two-byte character is left free */
    }
    assert_int_equal(texts_say(texts, &s, &maple, "es", body, 0), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_echo_is_a_list_that_the_patient_can_check),
        cmocka_unit_test(parts_are_joined_by_a_space),
        cmocka_unit_test(the_contact_is_the_practice_in_hours_and_the_service_out_of_them),
        cmocka_unit_test(a_clinic_without_a_line_of_its_own_sends_to_its_contact),
        cmocka_unit_test(sizes_are_said_in_the_patients_own_figures),
        cmocka_unit_test(staff_read_level_reference_cause_time_and_code),
        cmocka_unit_test(a_day_is_said_as_its_weekday),
        cmocka_unit_test(a_question_echoes_what_it_asks_about_and_not_what_was_taken),
        cmocka_unit_test(the_language_is_the_sayings_then_the_patients_then_the_clinics),
        cmocka_unit_test(both_languages_follow_each_other_on_lines_of_their_own),
        cmocka_unit_test(the_clinics_name_is_said_plainly_and_not_at_length),
        cmocka_unit_test(a_short_buffer_is_filled_by_whole_characters_only),
    };

    return cmocka_run_group_tests(tests, texts_ready, texts_done);
}
