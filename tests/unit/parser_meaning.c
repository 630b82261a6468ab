/* What the parser tells that the contract's JSON does not show, and what a text takes back.
 *
 * A head that was hit, a moment that is all a text says, the language, and corrections with the numbers they replace: a table
 * each. The received moment is Tuesday, 24 November 2026, 08:10. The expectations are ours; corrections follow the rulings
 * of the contract ("128 not 182": correct, with one_number).
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

#include "parser/parser.h"

static const struct moment received = {2026, 11, 24, 490};
static struct parser *parser;
static struct meaning meaning;

static const struct meaning *read_text(const char *text) {
    parser_read(parser, text, strlen(text), received, &meaning);
    return &meaning;
}

#define ROWS(rows) (sizeof(rows) / sizeof(rows)[0])

static void a_head_that_was_hit_is_told_with_a_fall(void **context) {
    static const char *const hit[] = {
        "hit my head when I fell", "banged her head and dizzy", "fell down the stairs and cracked my head", "bump on my head from the fall",
        "slipped and bashed the back of my head", "got a knock on the head", "I have an egg on my forehead after the fall",
        "went over and my head hit the floor", "hes got a head injury", "landed on my head", "she is concussed", "split my head open",
        "my head struck the bath", "knocked my head on the cupboard", "me pegué en la cabeza al caer", "se golpeó la cabeza",
        "tengo un chichón en la frente", "me di un golpe en la nuca", "se descalabró mi papá", "me abrí la cabeza", "golpe en la cabeza",
        "caí y me di en la cabeza", "traumatismo en la cabeza", "gash on the side of her head", "came down on my head"};
    static const char *const not_hit[] = {
        "fell on my knees", "didnt hit my head", "I did not bang my head", "banging headache", "hit the nail on the head 132/84",
        "me caí de rodillas", "no me golpeé la cabeza", "banging my head against a wall with this machine", "my head hurts", "fell over the dog",
        "years ago I hit my head", "head is spinning"};
    (void)context;
    for (size_t i = 0; i < ROWS(hit); i++) {
        const struct meaning *m = read_text(hit[i]);
        if (!m->head_hit || !(m->flags & FLAG_FALL)) {
            fail_msg("not told: %s", hit[i]);
        }
    }
    for (size_t i = 0; i < ROWS(not_hit); i++) {
        if (read_text(not_hit[i])->head_hit) {
            fail_msg("told: %s", not_hit[i]);
        }
    }
}

static void a_moment_alone_is_told(void **context) {
    static const struct {
        const char *text;
        int day, slot, minute;
    } rows[] = {
        {"yesterday morning", -1, SLOT_MORNING, MINUTE_UNSAID}, {"Today all of them", 0, SLOT_NONE, MINUTE_UNSAID},
        {"last night", -1, SLOT_EVENING, MINUTE_UNSAID},        {"Sunday", -2, SLOT_NONE, MINUTE_UNSAID},
        {"at 7.10", DAY_UNSAID, SLOT_MORNING, 430},             {"ayer por la noche", -1, SLOT_EVENING, MINUTE_UNSAID},
        {"this morning, both", 0, SLOT_MORNING, MINUTE_UNSAID}, {"hoy", 0, SLOT_NONE, MINUTE_UNSAID},
        {"away until Thursday", DAY_UNSAID, SLOT_NONE, MINUTE_UNSAID},
        {"132/84 yesterday", DAY_UNSAID, SLOT_NONE, MINUTE_UNSAID},
        {"my appointment was yesterday", DAY_UNSAID, SLOT_NONE, MINUTE_UNSAID},
    };
    (void)context;
    for (size_t i = 0; i < ROWS(rows); i++) {
        const struct said *s = &read_text(rows[i].text)->moment;
        if (s->day != rows[i].day || s->slot != rows[i].slot || s->minute != rows[i].minute) {
            fail_msg("%s: day %d slot %d minute %d", rows[i].text, s->day, s->slot, s->minute);
        }
    }
}

/* Tuesday, 24 November 2026. */
static void the_end_of_an_absence_is_told(void **context) {
    static const struct {
        const char *text;
        int days;
        const char *why;
        int from; /* its first day; 0 today */
    } rows[] = {
        {"I'm away until Thursday", 2, "a weekday to come"},
        {"I'm away until Tuesday, 132/84", 7, "today's weekday is a week ahead"},
        {"on holiday until next Monday", 6, "the next week's, which is also the next to come"},
        {"on holiday until next Thursday", 9, "not the Thursday of this week"},
        {"we are on holiday, back on 3/12", 9, "the next of both orders"},
        {"we are on holiday, back on 12/3", 9, "the other way round"},
        {"going away tomorrow for two weeks, back 8th December", 14, "a date before a stretch", 1},
        {"in hospital until Friday 27th", 3, "weekday and date"},
        {"away until the 3rd 132/84", 9, "of the next month"},
        {"we are away from Friday to Monday", 6, "from one to the other", 3},
        {"I'm travelling 3 - 10 December", 16, "the later of two dates", 9},
        {"away from the 28th to the 2nd", 8, "into the next month", 4},
        {"off to Spain for a fortnight", 14, "a stretch"},
        {"I'll be away for 10 days", 10, "a stretch, counted"},
        {"away for the weekend", 6, "to the Monday behind it"},
        {"I'm away next week", 13, "the Monday behind that", 6},
        {"I'll be away through Sunday", 6, "the day behind it"},
        {"estoy de viaje hasta el jueves", 2, "Spanish"},
        {"estoy de vacaciones, vuelvo el 10 de diciembre", 16, "Spanish, a date"},
        {"estoy fuera hasta pasado ma\u00f1ana", 2, "Spanish, two words"},
        {"I was in hospital until Thursday. 132/84", AWAY_OVER, "over"},
        {"sorry, back on Thursday 3rd December", 9, "a second thought"},
        {"back on Thursday it was 150/90", AWAY_UNSAID, "a day that was"},
        {"Im back", AWAY_OVER, "nothing else"},
        {"we are home again", AWAY_OVER, "we"},
        {"home from hospital, 132/84 70", AWAY_OVER, "with a reading"},
        {"ya volvimos", AWAY_OVER, "Spanish"},
        {"my back is sore now", AWAY_UNSAID, "a part of the body"},
        {"I'm at home 132/84", AWAY_UNSAID, "where it was measured"},
        {"back on my tablets", AWAY_UNSAID, "a medicine"},
        {"I'm not away until Thursday", AWAY_UNSAID, "denied"},
        {"I'm going on holiday on Saturday for two weeks", 18, "a stretch from its first day", 4},
        {"off on holiday on Saturday", AWAY_UNSAID, "a first day alone", 4},
        {"we're away from tomorrow until Tuesday", 7, "from a day until a day", 1},
        {"we're away from Friday until Wednesday", 8, "of the week behind", 3},
        {"salgo de viaje el sabado por una semana", 11, "Spanish, from a day", 4},
        {"I'm away until 7pm", AWAY_UNSAID, "a clock time is no day"},
        {"I'm away at my sister's", AWAY_UNSAID, "no end"},
        {"132/84 until Thursday", AWAY_UNSAID, "no absence"},
        {"my holiday ended on Thursday", AWAY_UNSAID, "no absence either"},
        {"I'm away until 31/2", AWAY_UNSAID, "no such date"},
        {"away for 4000 days", AWAY_UNSAID, "past the longest"},
    };
    (void)context;
    for (size_t i = 0; i < ROWS(rows); i++) {
        if (read_text(rows[i].text)->away_days != rows[i].days || meaning.away_from != rows[i].from) {
            fail_msg("%s (%s): %d days, from %d", rows[i].text, rows[i].why, meaning.away_days, meaning.away_from);
        }
        for (size_t k = 0; meaning.away_days > 0 && k < meaning.readings.n; k++) {
            assert_int_equal(meaning.readings.at[k].day, DAY_UNSAID);
        }
    }
}

static void a_bare_day_or_time_is_understood_and_half_an_answer_is_not(void **state)
{
    static const struct {
        const char *text;
        bool bare;
        int day, slot, minute;
        const char *why;
    } rows[] = {
        {"yesterday morning", true, -1, SLOT_MORNING, MINUTE_UNSAID, "day and half"},
        {"Today, all of them", true, 0, SLOT_NONE, MINUTE_UNSAID, "a day for all"},
        {"all this morning", true, 0, SLOT_MORNING, MINUTE_UNSAID, "for all, in front"},
        {"they were all from Monday evening", true, -1, SLOT_EVENING, MINUTE_UNSAID, "a sentence"},
        {"last night", true, -1, SLOT_EVENING, MINUTE_UNSAID, "neither word alone, both together"},
        {"I did them yesterday.", true, -1, SLOT_NONE, MINUTE_UNSAID, "a full stop"},
        {"at 07:30 today", true, 0, SLOT_MORNING, 7 * 60 + 30, "a clock time"},
        {"ayer por la mañana", true, -1, SLOT_MORNING, MINUTE_UNSAID, "Spanish"},
        {"todas de hoy", true, 0, SLOT_NONE, MINUTE_UNSAID, "Spanish, for all"},
        {"the first two yesterday", false, 0, 0, 0, "half an answer"},
        {"the first two yesterday, the rest today", false, 0, 0, 0, "two days"},
        {"yesterday and today", false, 0, 0, 0, "two days and nothing else"},
        {"morning and evening", false, 0, 0, 0, "two halves"},
        {"this first morning", false, 0, 0, 0, "a word that is none of ours beside one that is"},
        {"some of them yesterday", false, 0, 0, 0, "not all"},
        {"not yesterday", false, 0, 0, 0, "denied"},
        {"I think yesterday, or maybe Sunday", false, 0, 0, 0, "not sure"},
        {"don't know", false, 0, 0, 0, "no day at all"},
        {"thanks", false, 0, 0, 0, "polite only"},
        {"", false, 0, 0, 0, "a picture"},
        {"yesterday 132/84", false, 0, 0, 0, "numbers answer by themselves"},
        {"chest pain yesterday", false, 0, 0, 0, "a symptom is no answer"},
        {"yesterday yesterday yesterday yesterday yesterday yesterday yesterday yesterday yesterday yesterday yesterday "
         "yesterday yesterday", false, 0, 0, 0, "more words than an answer has"},
        {"yesterdayyesterdayyesterday", false, 0, 0, 0, "a word longer than any"},
    };
    (void)state;
    for (size_t i = 0; i < ROWS(rows); i++) {
        const struct said s = read_text(rows[i].text)->moment;
        bool bare = s.day != DAY_UNSAID || s.slot != SLOT_NONE || s.minute != MINUTE_UNSAID;
        if (bare != rows[i].bare)
            fail_msg("\"%s\" (%s): %s", rows[i].text, rows[i].why, bare ? "taken" : "not taken");
        if (bare && (s.day != rows[i].day || s.slot != rows[i].slot || s.minute != rows[i].minute))
            fail_msg("\"%s\" (%s): day %d, slot %d, minute %d", rows[i].text, rows[i].why, s.day, s.slot, s.minute);
    }
}

static void what_takes_whose_place_is_told(void **context) {
    static const struct {
        const char *text, *why;
        int sys, dia, pulse;             /* the reading, 0: none */
        int out_sys, out_dia, out_pulse; /* what is rejected */
        uint32_t doubt;
    } rows[] = {
        {"the pulse was 66 not 70", "a pulse alone", 0, 0, 0, 0, 0, 70, DOUBT_ONE_NUMBER},
        {"182 should be 128", "a lone number", 0, 0, 0, 182, 0, 0, DOUBT_ONE_NUMBER},
        {"128 not 182", "the ruling", 0, 0, 0, 182, 0, 0, DOUBT_ONE_NUMBER},
        {"change 182/82 to 128/82", "no range", 128, 82, 0, 182, 82, 0, 0},
        {"please correct 150/90 to 140/90", "another verb", 140, 90, 0, 150, 90, 0, 0},
        {"cambie 182/82 por 128/82", "por joins no pressures here", 128, 82, 0, 182, 82, 0, 0},
        {"132/84 pulse 66 not 70", "the pulse of a pair", 132, 84, 66, 0, 0, 70, 0},
        {"not 170/90, 150/90", "the old one first", 150, 90, 0, 170, 90, 0, 0},
    };
    (void)context;
    for (size_t i = 0; i < ROWS(rows); i++) {
        const struct meaning *m = read_text(rows[i].text);
        struct said none = {0}, in = m->readings.n == 1 ? m->readings.at[0] : none, out = m->rejected.n == 1 ? m->rejected.at[0] : none;
        if (m->amend != AMEND_CORRECT || m->doubt != rows[i].doubt || in.sys != rows[i].sys || in.dia != rows[i].dia ||
            in.pulse != rows[i].pulse || out.sys != rows[i].out_sys || out.dia != rows[i].out_dia || out.pulse != rows[i].out_pulse) {
            fail_msg("%s (%s): amend %d doubt %x, %d/%d p%d in, %d/%d p%d out", rows[i].text, rows[i].why, m->amend, m->doubt, in.sys,
                     in.dia, in.pulse, out.sys, out.dia, out.pulse);
        }
    }
}

static void what_is_another_s_or_unsure_is_never_taken(void **context) {
    static const struct {
        const char *text;
        int taken, sys; /* how many readings, and the first one's systolic */
    } rows[] = {
        {"it was 150/90 in the ambulance yesterday", 0, 0}, {"before the tablets I was 170/100", 0, 0},
        {"take 100/25 twice a day", 0, 0},                  {"avg of 3: 134/82", 0, 0},
        {"sister-in-law 134/82, me 140/86", 1, 140},        {"134/82 hers 140/86 mine", 0, 0},
        {"mine 134/82 hers 140/86", 1, 134},                {"138 132\n84 80", 0, 0},
        {"135 to 140 over 80 to 85", 0, 0},                 {"la doctora dijo 130/80", 0, 0},
        {"suegra 150/90 yo 130/80", 1, 130},                {"entre 130/80 y 140/85", 0, 0},
        {"receta 100/25 dos veces al dia", 0, 0},           {"132/84 ayer la enfermera, en casa 128/80 hoy", 1, 128},
        {"call me on +1 212 555 0143", 0, 0},               {"mum (82) got 160/70", 0, 0},
    };
    (void)context;
    for (size_t i = 0; i < ROWS(rows); i++) {
        const struct meaning *m = read_text(rows[i].text);
        if (m->readings.n != rows[i].taken || (m->readings.n > 0 && m->readings.at[0].sys != rows[i].sys)) {
            fail_msg("%s: %d readings, first %d", rows[i].text, m->readings.n, m->readings.at[0].sys);
        }
    }
    assert_int_equal(read_text("132/84 and 130")->readings.at[0].pulse, SAID_NONE); /* the next systolic, rather than a pulse */
}

static void sizes_need_no_names(void **context) {
    static const struct {
        const char *text;
        double arm, low, high;
    } rows[] = {{"31cm, 22-42", 31, 22, 42}, {"Arm 31cm cuff 22-32cm", 31, 22, 32}, {"31 cm 22 to 42 cm", 31, 22, 42}, {"12in, 9-17in", 30.5, 22.9, 43.2},
                {"31cm", 0, 0, 0}, {"132 84, 70-80", 0, 0, 0}};
    (void)context;
    for (size_t i = 0; i < ROWS(rows); i++) {
        const struct meaning *m = read_text(rows[i].text);
        if (m->arm_cm != rows[i].arm || m->cuff_cm[0] != rows[i].low || m->cuff_cm[1] != rows[i].high) {
            fail_msg("%s: arm %g cuff %g %g", rows[i].text, m->arm_cm, m->cuff_cm[0], m->cuff_cm[1]);
        }
    }
}

static void a_language_that_is_not_known_is_none(void **context) {
    static const char *const rows[][2] = {
        {"Good morning, 132/84", "en"},
        {"buenos dias 132/84", "es"},
        {"132/84", ""},
        {"Dzien dobry, cisnienie 132/84 puls 71 dziekuje", ""},
        {"Bom dia, a minha pressao foi 132/84 obrigado", ""},
        {"Bonjour docteur, tension 132/84 ce matin, pouls 71", ""},
        {"Guten Morgen, mein Blutdruck war 132/84", ""},
        {"Buongiorno dottore, pressione 132/84 stamattina", ""},
    };
    (void)context;
    for (size_t i = 0; i < ROWS(rows); i++) {
        if (strcmp(read_text(rows[i][0])->language, rows[i][1]) != 0) {
            fail_msg("%s: %s", rows[i][0], meaning.language);
        }
    }
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
        cmocka_unit_test(a_head_that_was_hit_is_told_with_a_fall), cmocka_unit_test(a_moment_alone_is_told),
        cmocka_unit_test(the_end_of_an_absence_is_told),
        cmocka_unit_test(a_bare_day_or_time_is_understood_and_half_an_answer_is_not),
        cmocka_unit_test(what_takes_whose_place_is_told),          cmocka_unit_test(what_is_another_s_or_unsure_is_never_taken),
        cmocka_unit_test(sizes_need_no_names),
        cmocka_unit_test(a_language_that_is_not_known_is_none),
    };
    return cmocka_run_group_tests(tests, open_parser, close_parser);
}
