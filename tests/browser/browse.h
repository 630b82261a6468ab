/* What the browser tests share: a scene with patients, a browser, steps as a person takes them, and the judges of a page.
 *
 * A step is taken with the mouse, or by keyboard alone: then a control is reached with the tab key, never by the program.
 * Each page looked at and each form sent is marked in the table of routes, so that a test can say that none was left out.
 */
#ifndef QUIETARM_TESTS_BROWSER_BROWSE_H
#define QUIETARM_TESTS_BROWSER_BROWSE_H

#include "tests/browser/driver.h"
#include "tests/system/desk_routes.h"

enum { WIDE = 1280, NARROW = 320, ROUTES_MOST = 128 };

struct browsing {
    struct desk_scene *scene;
    struct driver driver;
    char *axe;                     /* axe-core's source */
    char way[16];                  /* "script", "plain", "narrow", "keys" */
    int width;
    bool keys;                     /* by keyboard alone */
    int presses;                   /* buttons and links so far */
    bool seen[ROUTES_MOST];        /* by the place in the table of routes */
    long long ada, bo, cy, dan;    /* numbers of patients: see week_played */
};

/* The setups of the tests: script on and off, 320 pixels wide, by keyboard alone. */
int script_on(void **state);
int script_off(void **state);
int narrow(void **state);
int keyboard(void **state);
int browsing_close(void **state);

void to(struct browsing *b, const char *path);
/* Judged by axe-core, by whether it fits at every width, and kept as picture and source. */
void look(struct browsing *b, const char *page);
/* As those see it who do not see colours, and on paper: pictures for people to look at. */
void seen_otherwise(struct browsing *b, const char *page);
void seen_on_paper(struct browsing *b, const char *page);

void sign_in(struct browsing *b, const char *user); /* once with a wrong password */
void sign_out(struct browsing *b);
void press(struct browsing *b, const char *selector);
void fill(struct browsing *b, const char *selector, const char *words);
void choose(struct browsing *b, const char *selector, const char *words);
/* Presses the button of the form whose address ends so, and marks its route. `button` NULL: its first. */
void submit(struct browsing *b, const char *action, const char *button);
bool focus_is(struct browsing *b, const char *selector);
long long found(struct browsing *b, const char *path, const char *before); /* a number on a page, as anna has it */

/* forms.c */
void every_page_is_looked_at(void **state);
void every_form_is_sent(void **state);
void the_commonest_acts_take_one_press_or_two(void **state);

#endif
