/* What to ask about a text: one question, for the first row of the table that any of its held readings meets.
 *
 * Doubts of the parser come before doubts about the number; readings held for another reason stand on the desk at
 * once. In an emergency nothing is asked.
 */
#include "gateway/care/inside.h"

static const struct asking {
    uint8_t doubt;
    uint16_t held;
    enum question_kind kind;
    enum text_kind text;
} askings[] = {
    {DOUBT_UNREADABLE, 0, QUESTION_SEND_AGAIN, TEXT_NOT_UNDERSTOOD},
    {DOUBT_OUT_OF_RANGE, 0, QUESTION_SEND_AGAIN, TEXT_Q_OUT_OF_RANGE},
    {DOUBT_PAIRING, 0, QUESTION_SEND_AGAIN, TEXT_Q_PAIRING},
    {DOUBT_ONE_NUMBER, 0, QUESTION_SEND_AGAIN, TEXT_Q_ONE_NUMBER},
    {DOUBT_SWAPPED, 0, QUESTION_SWAPPED, TEXT_Q_SWAPPED},
    {DOUBT_UNCERTAIN, 0, QUESTION_OWN, TEXT_Q_UNCERTAIN},
    {DOUBT_NOT_OWN, 0, QUESTION_OWN, TEXT_Q_OWN},
    {0, HELD_DAYS, QUESTION_WHICH_DAYS, TEXT_Q_WHICH_DAYS},
    {0, HELD_LIMITS, QUESTION_IS_IT_RIGHT, TEXT_Q_DISPLAY},
    {0, HELD_OUTLIER, QUESTION_MEASURE_AGAIN, TEXT_Q_OUTLIER},
    {0, HELD_REPEAT, QUESTION_NEW_ONE, TEXT_Q_NEW},
    {0, HELD_WHEN, QUESTION_WHEN, TEXT_Q_WHEN},
};
enum { ASKINGS = sizeof askings / sizeof askings[0] };

/* The row of the table that a held reading is asked about under; NULL when it is not asked about. */
static const struct asking *asking_of(const struct reading *x)
{
    if (x->standing != STANDING_HELD || x->held & (HELD_PRACTICE | HELD_AMENDED))
        return NULL;
    if (x->doubt & (DOUBT_UNCERTAIN | DOUBT_NOT_OWN | DOUBT_SWAPPED) && (x->dia == SAID_NONE || x->sys == SAID_NONE))
        return &askings[3]; /* a lone number cannot be taken by a YES */
    for (size_t i = 0; i < ASKINGS; i++)
        if (x->doubt ? x->doubt & askings[i].doubt : x->held & askings[i].held)
            return &askings[i];
    return NULL;
}

/* Numbers that could not be taken twice in a row: a person looks, and the patient is told so instead. */
static void unread_again(struct turn *t)
{
    struct saying *s = &t->say;
    uint16_t asked = s->parts[--s->n_parts];

    not_understood(t);
    if (s->parts[s->n_parts - 1] == TEXT_NOT_UNDERSTOOD)
        s->parts[s->n_parts - 1] = asked;
}

void held_to_desk(struct turn *t)
{
    for (size_t i = 0; i < (size_t)t->n_doubted + t->n_taken; i++) {
        int64_t id = i < t->n_doubted ? t->doubted[i] : t->taken[i - t->n_doubted];
        const struct reading *x = reading_of(t->r, id);
        if (x && asking_of(x))
            desk_open_reading(t, DESK_HELD, 4, id, "Held, and not asked about in an emergency: accept it or void it.");
    }
}

void questions_of_text(struct turn *t)
{
    const struct asking *first = NULL;
    int64_t about[QUESTION_READINGS];
    size_t n = 0;

    for (int pass = 0; pass < 2; pass++) /* first which question, then which readings it is about */
        for (size_t i = 0; i < (size_t)t->n_doubted + t->n_taken; i++) {
            int64_t id = i < t->n_doubted ? t->doubted[i] : t->taken[i - t->n_doubted];
            const struct reading *x = reading_of(t->r, id);
            const struct asking *a = x ? asking_of(x) : NULL;
            if (pass == 0 && a && (!first || a < first))
                first = a;
            else if (pass == 1 && a && a == first && n < QUESTION_READINGS)
                about[n++] = id;
            else if (pass == 1 && a)
                desk_open_reading(t, DESK_HELD, 4, id, "Held: accept it or void it.");
        }
    for (uint8_t i = 0; i < t->n_amended && n < QUESTION_READINGS; i++)
        about[n++] = t->amended[i];
    if (!first)
        return;
    bool short_one = t->worry && first->text == TEXT_Q_OUTLIER; /* a worry says by itself: rest, measure again */
    question_ask(t, first->kind, short_one ? TEXT_Q_DISPLAY : first->text, about, n);
    if (first->kind == QUESTION_SEND_AGAIN && !t->worry) {
        t->unread = true;
        unread_again(t);
    }
}
