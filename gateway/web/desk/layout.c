/* Layout: what every page begins and ends with, and the answers that are no page.
 *
 * One column; the way to every room on top; a link past it for the keyboard. Without styles it reads in the same order.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <string.h>

void page_header(struct page *p, const char *header, const char *value)
{
    if (p->n_headers == HEADERS_MAX)
        return;
    p->headers[p->n_headers].name = header;
    snprintf(p->headers[p->n_headers++].value, sizeof p->headers[0].value, "%s", value);
}

/* -- the top -------------------------------------------------------------------------------------------------------------------- */

static const struct way {
    const char *path;
    enum word word;
    unsigned roles;
} ways[] = {
    {"/desk/list", WORD_LIST, ROLE_ALL},          {"/desk/patients", WORD_PATIENTS, ROLE_ALL},
    {"/desk/enrol", WORD_ENROL, ROLE_CARE},       {"/desk/figures", WORD_FIGURES, ROLE_ALL},
    {"/desk/accounts", WORD_ACCOUNTS, ROLE_ADMIN}, {"/desk/audit", WORD_AUDIT, ROLE_ADMIN},
    {"/desk/settings", WORD_SETTINGS, ROLE_ADMIN},
};

static void ways_write(struct page *p)
{
    raw(p, "<nav aria-label=\"");
    say(p, MAIN_WAYS);
    raw(p, "\"><ul class=\"ways\">\n");
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        size_t n = strlen(ways[i].path);
        if (!(ways[i].roles & p->role))
            continue;
        raw(p, "<li><a");
        attribute(p, "href", ways[i].path);
        if (strncmp(p->ask.path, ways[i].path, n) == 0 && (!p->ask.path[n] || p->ask.path[n] == '/'))
            raw(p, " aria-current=\"page\"");
        raw(p, ">");
        text(p, word(ways[i].word));
        raw(p, "</a></li>\n");
    }
    raw(p, "</ul></nav>\n");
}

static void me_write(struct page *p)
{
    const struct clinic *c = p->me.clinic[0] ? config_clinic(p->config, p->me.clinic) : NULL;
    raw(p, "<div class=\"me\"><span>");
    name(p, p->me.user);
    raw(p, ", ");
    text(p, word(role_word(p->role)));
    raw(p, "</span>");
    form_begin(p, "/desk/sign-out", 0, "");
    form_end(p, WORD_SIGN_OUT, "plain");
    raw(p, "</div>\n<p class=\"house\">");
    name(p, c ? c->name : word(WORD_ALL_CLINICS));
    raw(p, "</p>\n");
}

void page_begin(struct page *p, enum word title, const char *of)
{
    raw(p, "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
           "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
    page_say(p, title, (const char *const[4]){of});
    raw(p, " – ");
    say(p, DESK);
    raw(p, "</title>\n<link rel=\"stylesheet\" href=\"/desk/style.css\">\n<script src=\"/desk/script.js\" defer></script>\n"
           "</head>\n<body class=\"desk\">\n<a class=\"skip\" href=\"#main\">");
    say(p, SKIP);
    raw(p, "</a>\n<header class=\"top\">\n<p class=\"brand\">");
    say(p, DESK);
    raw(p, "</p>\n");
    if (p->me.user[0]) {
        me_write(p);
        ways_write(p);
    }
    raw(p, "</header>\n<main id=\"main\">\n<h1>");
    page_say(p, title, (const char *const[4]){of});
    raw(p, "</h1>\n");
}

void section_begin(struct page *p, enum word title)
{
    raw(p, "<section>\n<h2>");
    text(p, word(title));
    raw(p, "</h2>\n");
}

static void paragraph_of(struct page *p, const char *class_, enum word w)
{
    raw(p, "<p");
    attribute(p, "class", class_);
    raw(p, ">");
    text(p, word(w));
    raw(p, "</p>\n");
}

void hint_write(struct page *p, enum word hint)
{
    paragraph_of(p, "hint", hint);
}

void task_write(struct page *p, enum word what)
{
    paragraph_of(p, "task", what);
}

void page_end(struct page *p)
{
    raw(p, "</main>\n</body>\n</html>\n");
}

/* -- other answers --------------------------------------------------------------------------------------------------------------- */

/* Forgets what was written so far: an error is a page of its own. */
void page_error(struct page *p, unsigned status, enum word what)
{
    buffer_clear(&p->out);
    p->status = status;
    p->type = "text/html; charset=utf-8";
    page_begin(p, WORD_ERROR, NULL);
    raw(p, "<p class=\"note attention\">");
    text(p, word(what));
    raw(p, "</p>\n<p><a href=\"/desk/list\">");
    say(p, TO_THE_LIST);
    raw(p, "</a></p>\n");
    if (what == WORD_SIGNED_OUT || what == WORD_OLD_FORM || what == WORD_UNSTORED)
        kept_write(p);
    page_end(p);
}

void page_unstored(struct page *p)
{
    page_error(p, MHD_HTTP_SERVICE_UNAVAILABLE, WORD_UNSTORED);
    page_header(p, "Retry-After", "10");
}

void page_goto(struct page *p, const char *path)
{
    buffer_clear(&p->out);
    p->status = MHD_HTTP_SEE_OTHER;
    page_header(p, "Location", path);
}

void page_plain(struct page *p, const char *type, const char *bytes)
{
    p->type = type;
    buffer_text(&p->out, bytes);
}

void page_download(struct page *p, const char *type, const char *file, const void *bytes, size_t size)
{
    char disposition[300];
    p->type = type;
    snprintf(disposition, sizeof disposition, "attachment; filename=\"%s\"", file); /* a literal's characters, and numbers */
    page_header(p, "Content-Disposition", disposition);
    buffer_add(&p->out, bytes, size);
}

void style_page(struct page *p)
{
    page_plain(p, "text/css; charset=utf-8", p->desk->style);
}

void script_page(struct page *p)
{
    page_plain(p, "text/javascript; charset=utf-8", desk_script);
}

void front_page(struct page *p)
{
    page_goto(p, "/desk/list");
}
