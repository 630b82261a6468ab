/* Strip: a week as seven columns of two cells, after waking above, before sleep below; each sitting a shape, said in words
 * too.
 *
 *     full ■   half: the lower half filled   none: an empty outline   not due yet: a dot   held: an outline with a slash
 *     of a first day that is left out: a dashed edge
 *
 * Shapes alone carry the meaning: it reads in grey and at any size. 2 KB.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <string.h>

enum { CELL = 13, STEP = 17, COLUMNS_LEAST = 7 };

enum cell { CELL_DUE, CELL_FULL, CELL_HALF, CELL_NONE, CELL_HELD };

static enum cell cell_of(const struct sitting *s)
{
    int wanted = s->wanted > 0 ? s->wanted : 1;
    if (s->accepted >= wanted)
        return CELL_FULL;
    if (s->accepted > 0)
        return CELL_HALF;
    if (s->held > 0)
        return CELL_HELD;
    return s->ended && s->wanted > 0 ? CELL_NONE : CELL_DUE;
}

/* "Day 3 before sleep: one of two" */
static void cell_words(const struct sitting *s, int day, char *words, size_t size)
{
    char d[12], got[12], wanted[12];
    static const enum word says[] = {WORD_CELL_DUE, WORD_CELL_FULL, WORD_CELL_HALF, WORD_CELL_NONE, WORD_CELL_HELD};
    snprintf(d, sizeof d, "%d", day);
    snprintf(got, sizeof got, "%d", s->accepted);
    snprintf(wanted, sizeof wanted, "%d", s->wanted);
    words_of(words, size, says[cell_of(s)],
             (const char *const[4]){d, word(s->slot == SLOT_EVENING ? WORD_EVENING_IN : WORD_MORNING_IN), got, wanted});
}

static void box(struct page *p, int x, int y, int height, bool filled, bool left_out)
{
    raw(p, "<rect x=\"");
    html_decimal(&p->out, x + 0.5, 1);
    raw(p, "\" y=\"");
    html_decimal(&p->out, y + 0.5, 1);
    raw(p, "\" width=\"12\" height=\"");
    number(p, height);
    raw(p, "\" stroke=\"#56616b\"");
    if (filled)
        raw(p, " fill=\"#1f2933\"");
    else
        raw(p, " fill=\"#ffffff\"");
    if (left_out)
        raw(p, " stroke-dasharray=\"2 2\"");
    raw(p, "/>");
}

static void cell_draw(struct page *p, int x, int y, enum cell c, bool left_out)
{
    if (c == CELL_DUE) {
        raw(p, "<circle r=\"1.8\" fill=\"#56616b\" cx=\"");
        html_decimal(&p->out, x + CELL / 2.0, 1);
        raw(p, "\" cy=\"");
        html_decimal(&p->out, y + CELL / 2.0, 1);
        raw(p, "\"/>");
        return;
    }
    box(p, x, y, CELL - 1, c == CELL_FULL && !left_out, left_out);
    if (c == CELL_FULL && left_out) { /* filled within its dashed edge */
        raw(p, "<rect width=\"7\" height=\"7\" fill=\"#1f2933\" x=\"");
        number(p, x + 3);
        raw(p, "\" y=\"");
        number(p, y + 3);
        raw(p, "\"/>");
    }
    if (c == CELL_HALF)
        box(p, x, y + CELL / 2, CELL / 2, true, left_out);
    if (c == CELL_HELD) {
        raw(p, "<path stroke=\"#1f2933\" stroke-width=\"1.6\" d=\"M");
        number(p, x + 2);
        raw(p, " ");
        number(p, y + CELL - 2);
        raw(p, "l9 -9\"/>");
    }
}

static int columns_of(const struct week_result *w, int32_t first)
{
    int columns = COLUMNS_LEAST;
    for (int i = 0; i < w->n_sittings; i++)
        if ((w->sittings[i].wanted || w->sittings[i].accepted || w->sittings[i].held) && w->sittings[i].day - first + 1 > columns)
            columns = w->sittings[i].day - first + 1;
    return columns;
}

void strip_write(struct page *p, const struct record *r, const struct week_result *w)
{
    char words[96];
    int32_t first = r->week.first_day;
    int columns = columns_of(w, first);
    raw(p, "<svg class=\"strip\" role=\"img\" width=\"");
    number(p, columns * STEP);
    raw(p, "\" height=\"32\" aria-label=\"");
    if (first == DAY_NONE || !w->n_sittings)
        say(p, STRIP_NONE);
    for (int i = 0; i < w->n_sittings && first != DAY_NONE; i++) {
        cell_words(&w->sittings[i], w->sittings[i].day - first + 1, words, sizeof words);
        text(p, words);
        raw(p, ". ");
    }
    raw(p, "\">");
    bool drawn[WEEK_DAYS_MAX][2] = {{false}};
    for (int i = 0; i < w->n_sittings && first != DAY_NONE; i++) {
        const struct sitting *s = &w->sittings[i];
        int column = s->day - first, line = s->slot == SLOT_EVENING;
        if (column < 0 || column >= columns || column >= WEEK_DAYS_MAX)
            continue;
        drawn[column][line] = true;
        cell_words(s, column + 1, words, sizeof words);
        raw(p, "<g><title>");
        text(p, words);
        raw(p, "</title>");
        cell_draw(p, column * STEP + 1, line * STEP + 1, cell_of(s), s->left_out);
        raw(p, "</g>");
    }
    for (int column = 0; column < columns && column < WEEK_DAYS_MAX; column++)
        for (int line = 0; line < 2; line++)
            if (!drawn[column][line])
                cell_draw(p, column * STEP + 1, line * STEP + 1, CELL_DUE, false);
    raw(p, "</svg>");
}

void strip_legend(struct page *p)
{
    static const struct {
        enum cell cell;
        bool left_out;
        enum word word;
    } shapes[] = {{CELL_FULL, false, WORD_SHAPE_FULL}, {CELL_HALF, false, WORD_SHAPE_HALF}, {CELL_NONE, false, WORD_SHAPE_NONE},
                  {CELL_HELD, false, WORD_SHAPE_HELD}, {CELL_DUE, false, WORD_SHAPE_DUE},   {CELL_FULL, true, WORD_SHAPE_FIRST}};
    raw(p, "<ul class=\"legend\">\n");
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        raw(p, "<li><svg width=\"15\" height=\"15\" aria-hidden=\"true\">");
        cell_draw(p, 1, 1, shapes[i].cell, shapes[i].left_out);
        raw(p, "</svg> ");
        text(p, word(shapes[i].word));
        raw(p, "</li>\n");
    }
    raw(p, "</ul>\n");
}
