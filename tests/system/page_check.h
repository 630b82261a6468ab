/* A checker of pages, for where no browser is: is the page whole, and can somebody use it who does not see it?
 *
 * Sources: the HTML Living Standard (void elements; where an element may stand; ids once; what a label is for) and WCAG 2.2:
 * 1.1.1 and 4.1.2 (names of controls, links and pictures), 1.3.1 (labels, headings, tables), 2.4.1 (the way past the head),
 * 2.4.2 (title), 3.1.1 (language). It knows our own way of writing: lower case, quoted values. `make browser` has axe-core and
 * the Nu checker judge the same pages.
 */
#ifndef QUIETARM_TESTS_PAGE_CHECK_H
#define QUIETARM_TESTS_PAGE_CHECK_H

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CHECK_DEPTH = 64, CHECK_ATTRIBUTES = 24, CHECK_IDS = 2048, CHECK_NAME = 64, CHECK_TEXT = 256 };

struct check_tag {
    char element[16];
    bool closing;
    int n;
    struct {
        char key[24], value[2048];
    } at[CHECK_ATTRIBUTES];
};

struct checker {
    const char *at;
    char open[CHECK_DEPTH][16];
    size_t words_at[CHECK_DEPTH]; /* how much text had been seen when it was opened */
    bool named[CHECK_DEPTH];      /* by aria-label */
    int depth, heading, h1;
    size_t words;                 /* of text that is not blank, so far */
    char ids[CHECK_IDS][CHECK_NAME], labels[CHECK_IDS][CHECK_NAME], controls[CHECK_IDS][CHECK_NAME], referred[CHECK_IDS][CHECK_NAME];
    int n_ids, n_labels, n_controls, n_referred;
    bool lang, title, skip;
    char why[CHECK_TEXT];
};

static inline const char *check_attribute(const struct check_tag *t, const char *key)
{
    for (int i = 0; i < t->n; i++)
        if (strcmp(t->at[i].key, key) == 0)
            return t->at[i].value;
    return NULL;
}

static inline bool check_among(const char *what, const char *const *list)
{
    for (; *list; list++)
        if (strcmp(*list, what) == 0)
            return true;
    return false;
}

static inline bool check_wrong(struct checker *c, const char *what, const char *which)
{
    if (!c->why[0])
        snprintf(c->why, sizeof c->why, "%s: %s, before “%.60s”", what, which, c->at);
    return false;
}

/* -- reading ---------------------------------------------------------------------------------------------------------------- */

static inline size_t check_word(struct checker *c, char *to, size_t size)
{
    size_t n = strspn(c->at, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-:");
    snprintf(to, size, "%.*s", (int)n, c->at);
    c->at += n;
    return n;
}

static inline bool check_value(struct checker *c, struct check_tag *t)
{
    size_t n;
    if (*c->at != '=') {
        t->at[t->n].value[0] = '\0';
        return true;
    }
    if (*++c->at != '"')
        return check_wrong(c, "a value without quotes", t->at[t->n].key);
    n = strcspn(++c->at, "\"");
    snprintf(t->at[t->n].value, sizeof t->at[t->n].value, "%.*s", (int)n, c->at);
    if (memchr(c->at, '<', n))
        return check_wrong(c, "markup within a value", t->at[t->n].key);
    c->at += n + 1;
    return true;
}

/* At "<": the whole tag. */
static inline bool check_read(struct checker *c, struct check_tag *t)
{
    t->n = 0;
    t->closing = *++c->at == '/';
    c->at += t->closing;
    if (!check_word(c, t->element, sizeof t->element))
        return check_wrong(c, "a sign that begins no tag", "<");
    for (c->at += strspn(c->at, " \n"); *c->at && *c->at != '>' && *c->at != '/'; c->at += strspn(c->at, " \n")) {
        if (t->n == CHECK_ATTRIBUTES || !check_word(c, t->at[t->n].key, sizeof t->at[t->n].key))
            return check_wrong(c, "no attribute", t->element);
        if (check_attribute(t, t->at[t->n].key))
            return check_wrong(c, "an attribute twice", t->at[t->n].key);
        if (!check_value(c, t))
            return false;
        t->n++;
    }
    c->at += *c->at == '/';
    if (*c->at++ != '>')
        return check_wrong(c, "a tag that does not end", t->element);
    return true;
}

/* -- judging ------------------------------------------------------------------------------------------------------------------ */

static inline bool check_note(struct checker *c, char (*list)[CHECK_NAME], int *n, const char *value, bool once)
{
    for (int i = 0; i < *n && once; i++)
        if (strcmp(list[i], value) == 0)
            return check_wrong(c, "twice on the page", value);
    if (*n == CHECK_IDS)
        return check_wrong(c, "more ids than the checker holds", value);
    snprintf(list[(*n)++], CHECK_NAME, "%s", value);
    return true;
}

static inline bool check_inside(const struct checker *c, const char *element)
{
    for (int i = 0; i < c->depth; i++)
        if (strcmp(c->open[i], element) == 0)
            return true;
    return false;
}

static inline bool check_heading(struct checker *c, const struct check_tag *t)
{
    int level = t->element[0] == 'h' && t->element[1] >= '1' && t->element[1] <= '6' && !t->element[2] ? t->element[1] - '0' : 0;
    if (!level)
        return true;
    if (level > c->heading + 1)
        return check_wrong(c, "a heading leaves out a level", t->element);
    c->heading = level;
    c->h1 += level == 1;
    return c->h1 <= 1 || check_wrong(c, "two first headings", "h1");
}

/* What must have a name: its own label, or words within, which are counted when it closes. */
static inline bool check_control(struct checker *c, const struct check_tag *t)
{
    const char *type = check_attribute(t, "type"), *id = check_attribute(t, "id");
    bool field = strcmp(t->element, "input") == 0 || strcmp(t->element, "select") == 0 || strcmp(t->element, "textarea") == 0;
    if (!field || (type && strcmp(type, "hidden") == 0) || check_attribute(t, "hidden"))
        return true;
    if (check_attribute(t, "aria-label"))
        return true;
    if (!id)
        return check_wrong(c, "a control that no label can be for", t->element);
    return check_note(c, c->controls, &c->n_controls, id, false);
}

static inline bool check_ids(struct checker *c, const struct check_tag *t)
{
    static const char *const refer[] = {"aria-describedby", "aria-labelledby", "for"};
    const char *id = check_attribute(t, "id"), *href = check_attribute(t, "href");
    char one[CHECK_NAME];
    if (id && !check_note(c, c->ids, &c->n_ids, id, true))
        return false;
    for (size_t i = 0; i < sizeof refer / sizeof *refer; i++) {
        const char *at = check_attribute(t, refer[i]);
        for (at = at ? at + strspn(at, " ") : at; at && *at; at += strcspn(at, " "), at += strspn(at, " ")) {
            snprintf(one, sizeof one, "%.*s", (int)strcspn(at, " "), at);
            if (!check_note(c, c->referred, &c->n_referred, one, false))
                return false;
        }
    }
    if (strcmp(t->element, "label") == 0 && check_attribute(t, "for") &&
        !check_note(c, c->labels, &c->n_labels, check_attribute(t, "for"), false))
        return false;
    if (href && href[0] == '#' && href[1] && !check_note(c, c->referred, &c->n_referred, href + 1, false))
        return false;
    c->skip = c->skip || (href && strcmp(href, "#main") == 0);
    return true;
}

static inline bool check_place(struct checker *c, const struct check_tag *t)
{
    static const char *const flow[] = {"p", "div", "ul", "ol", "table", "form", "section", "h2", "h3", "fieldset", "blockquote", NULL};
    const char *parent = c->depth ? c->open[c->depth - 1] : "";
    if (strcmp(t->element, "form") == 0 && check_inside(c, "form"))
        return check_wrong(c, "a form within a form", t->element);
    if (check_among(t->element, flow) && check_inside(c, "p"))
        return check_wrong(c, "not allowed within a paragraph", t->element);
    if (strcmp(t->element, "li") == 0 && strcmp(parent, "ul") != 0 && strcmp(parent, "ol") != 0)
        return check_wrong(c, "an item outside a list", parent);
    if ((strcmp(parent, "ul") == 0 || strcmp(parent, "ol") == 0) && strcmp(t->element, "li") != 0)
        return check_wrong(c, "a list holds more than items", t->element);
    if (strcmp(t->element, "th") == 0 && !check_attribute(t, "scope"))
        return check_wrong(c, "a heading of a table without a scope", "th");
    if ((strcmp(t->element, "a") == 0 || strcmp(t->element, "button") == 0) && (check_inside(c, "a") || check_inside(c, "button")))
        return check_wrong(c, "a control within a control", t->element);
    if (strcmp(t->element, "svg") == 0 && !check_attribute(t, "aria-label") && !check_attribute(t, "aria-hidden") &&
        !check_attribute(t, "aria-labelledby") && !check_inside(c, "svg"))
        return check_wrong(c, "a picture without words", "svg");
    if (check_attribute(t, "style") || strncmp(t->n ? t->at[0].key : "", "on", 2) == 0)
        return check_wrong(c, "style or script within a page", t->element);
    return true;
}

static inline bool check_open(struct checker *c, const struct check_tag *t)
{
    static const char *const voids[] = {"meta", "link", "input", "br", "hr", "img", NULL};
    static const char *const drawn[] = {"rect", "path", "circle", "line", "use", NULL}; /* closed by their own "/" */
    if (strcmp(t->element, "html") == 0)
        c->lang = check_attribute(t, "lang") && check_attribute(t, "lang")[0];
    if (!check_place(c, t) || !check_heading(c, t) || !check_control(c, t) || !check_ids(c, t))
        return false;
    if (check_among(t->element, voids) || (check_among(t->element, drawn) && c->at[-2] == '/'))
        return true;
    if (c->depth == CHECK_DEPTH)
        return check_wrong(c, "too deep", t->element);
    snprintf(c->open[c->depth], sizeof c->open[0], "%s", t->element);
    c->named[c->depth] = check_attribute(t, "aria-label") && check_attribute(t, "aria-label")[0];
    c->words_at[c->depth++] = c->words;
    return true;
}

static inline bool check_close(struct checker *c, const struct check_tag *t)
{
    static const char *const spoken[] = {"a", "button", "label", "h1", "h2", "h3", "th", "summary", "title", "caption", "legend", "option", NULL};
    if (!c->depth || strcmp(c->open[c->depth - 1], t->element) != 0)
        return check_wrong(c, "closed, but open is", c->depth ? c->open[c->depth - 1] : "nothing");
    c->depth--;
    if (check_among(t->element, spoken) && !c->named[c->depth] && c->words == c->words_at[c->depth])
        return check_wrong(c, "without words", t->element);
    c->title = c->title || strcmp(t->element, "title") == 0;
    return true;
}

static inline void check_words(struct checker *c)
{
    size_t n = strcspn(c->at, "<");
    for (size_t i = 0; i < n; i++)
        c->words += c->at[i] != ' ' && c->at[i] != '\n';
    c->at += n;
}

static inline bool check_known(struct checker *c, char (*list)[CHECK_NAME], int n, char (*of)[CHECK_NAME], int n_of, const char *what)
{
    for (int i = 0; i < n; i++) {
        bool found = false;
        for (int k = 0; k < n_of && !found; k++)
            found = strcmp(list[i], of[k]) == 0;
        if (!found)
            return check_wrong(c, what, list[i]);
    }
    return true;
}

/* NULL when the page is sound; else what is wrong with it. The words are the checker's: till the next page. */
static inline const char *page_fault(const char *page)
{
    static struct checker c;
    static struct check_tag t;
    c = (struct checker){.at = page};
    if (strncmp(page, "<!doctype html>\n", 16) != 0)
        return "it does not begin as a page";
    c.at += 16;
    for (check_words(&c); *c.at; check_words(&c))
        if (!check_read(&c, &t) || !(t.closing ? check_close(&c, &t) : check_open(&c, &t)))
            return c.why;
    if (c.depth || !c.lang || !c.title || c.h1 != 1 || !c.skip)
        check_wrong(&c, "unclosed, or without language, title, heading or the way to the content", c.depth ? c.open[c.depth - 1] : "-");
    else if (check_known(&c, c.referred, c.n_referred, c.ids, c.n_ids, "refers to what is not there"))
        check_known(&c, c.controls, c.n_controls, c.labels, c.n_labels, "a control without a label");
    return c.why[0] ? c.why : NULL;
}

#endif
