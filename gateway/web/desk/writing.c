/* Writing: the form for a text to a patient, with words at hand in the patient's language and the segments counted.
 *
 * A text goes out as it is written, under the clinic's number. Nothing at hand names a medicine, a dose or a diagnosis.
 * Without script the count comes with "Count"; with it, while one types.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <string.h>

/* Spanish: for review by a qualified translator before use. */
static const struct {
    const char *key;
    enum word label;
    const char *en, *es;
} at_hand[] = {
    {"ring", WORD_HAND_RING, "Thank you for your text. Please ring us today.",
     "Gracias por su mensaje. Por favor, llámenos hoy."},
    {"seen", WORD_HAND_SEEN, "Thank you. We have read your text; please carry on measuring as before.",
     "Gracias. Hemos leído su mensaje; por favor, siga midiendo como hasta ahora."},
    {"again", WORD_HAND_AGAIN, "We could not read your last text. Please send it again like this: 132/84 71",
     "No hemos podido leer su último mensaje. Envíelo otra vez así: 132/84 71"},
    {"cuff", WORD_HAND_CUFF, "Please tell us the size that is printed on your cuff, for example 22-42 cm.",
     "Díganos, por favor, la medida impresa en su manguito, por ejemplo 22-42 cm."},
    {"visit", WORD_HAND_VISIT, "Please bring your monitor and cuff to your next visit.",
     "Por favor, traiga su tensiómetro y el manguito a su próxima visita."},
};

static const char *words_at_hand(const struct page *p, const char *key)
{
    bool spanish = strcmp(p->person.language, "es") == 0;
    for (size_t i = 0; i < sizeof at_hand / sizeof *at_hand; i++)
        if (strcmp(at_hand[i].key, key) == 0)
            return spanish ? at_hand[i].es : at_hand[i].en;
    return NULL;
}

static void ready_choices(struct page *p)
{
    struct choice choices[sizeof at_hand / sizeof *at_hand];
    size_t n = sizeof at_hand / sizeof *at_hand;
    for (size_t i = 0; i < n; i++)
        choices[i] = (struct choice){at_hand[i].key, at_hand[i].label};
    choices_write(p, "ready", WORD_WORDS_AT_HAND, choices, n, NULL);
    raw(p, "<button name=\"step\" value=\"words\" formnovalidate>");
    say(p, USE_WORDS);
    raw(p, "</button>\n");
}

static void count_write(struct page *p, const char *words)
{
    char segments[16];
    snprintf(segments, sizeof segments, "%d", gsm_segments(words));
    raw(p, "<p class=\"second\" id=\"segments\" aria-live=\"polite\" data-one=\"");
    say(p, SEGMENT_ONE);
    raw(p, "\" data-many=\"");
    say(p, SEGMENTS);
    raw(p, "\">");
    if (words[0])
        page_say(p, gsm_segments(words) == 1 ? WORD_SEGMENT_ONE : WORD_SEGMENTS, (const char *const[4]){segments});
    raw(p, "</p>\n");
}

static void buttons_write(struct page *p, bool of_row)
{
    raw(p, "<p class=\"buttons\"><button class=\"main\" name=\"step\" value=\"send\">");
    text(p, word(of_row ? WORD_SEND_AND_DONE : WORD_SEND_TEXT));
    raw(p, "</button>\n");
    if (of_row) {
        raw(p, "<button name=\"step\" value=\"keep\">");
        say(p, SEND_AND_KEEP);
        raw(p, "</button>\n");
    }
    raw(p, "<button name=\"step\" value=\"count\">");
    say(p, COUNT);
    raw(p, "</button></p>\n</form>\n");
}

void writing_fields(struct page *p, bool of_row)
{
    char ready[16], step[8], sent[NOTE_MAX];
    form_value(p, "words", sent, sizeof sent);
    const char *chosen = words_at_hand(p, form_value(p, "ready", ready, sizeof ready));
    if (chosen && strcmp(form_value(p, "step", step, sizeof step), "words") == 0)
        snprintf(sent, sizeof sent, "%s", chosen);
    ready_choices(p);
    field_write(p, &(struct control){.name = "words", .label = WORD_YOUR_TEXT, .hint = WORD_YOUR_TEXT_HINT, .rows = 4,
                                   .value = sent, .needed = true});
    count_write(p, sent);
    buttons_write(p, of_row);
}

bool writing_possible(struct page *p)
{
    if (care_may_write(p->person.state))
        return true;
    raw(p, "<p class=\"note attention\">");
    say(p, NO_TEXTS);
    raw(p, " ");
    tel_write(p, &p->person);
    raw(p, "</p>\n");
    return false;
}

bool writing_ready(struct page *p, char *words, size_t size, enum word *fault)
{
    char step[8], whole[NOTE_MAX + 8];
    form_value(p, "step", step, sizeof step);
    if (strcmp(step, "words") == 0 || strcmp(step, "count") == 0)
        return false;
    form_value(p, "words", whole, sizeof whole);
    if (strlen(whole) >= size)
        *fault = WORD_TEXT_TOO_LONG;
    else if (!note_needed(p, "words", words, size))
        *fault = WORD_TEXT_MISSING;
    return !*fault;
}
