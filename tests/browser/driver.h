/* Chromium driven by the W3C WebDriver protocol (W3C Recommendation, WebDriver 1), over HTTP with libcurl.
 *
 * One driver process and one browser at a time, both ended by driver_close. Every call fails the test when the browser
 * says no; nothing sleeps: where a page may still be on its way, driver_wait asks until it is there.
 */
#ifndef QUIETARM_TESTS_BROWSER_DRIVER_H
#define QUIETARM_TESTS_BROWSER_DRIVER_H

#include <jansson.h>
#include <stdbool.h>
#include <sys/types.h>

struct driver {
    pid_t pid;
    int port;
    char session[128];
    char folder[512];        /* screenshots and page sources go here */
    bool script;             /* the pages' own script runs */
    char why[400];           /* what the browser said when it refused */
};

void driver_open(struct driver *d, const char *folder, bool script, int width);
void driver_close(struct driver *d);

void driver_go(struct driver *d, const char *url);
/* By CSS selector: the first that fits. */
void driver_click(struct driver *d, const char *selector);
/* What stands in the field is replaced. A file field takes a path. */
void driver_type(struct driver *d, const char *selector, const char *words);
void driver_choose(struct driver *d, const char *selector, const char *words); /* of a <select>, by what it says */
void driver_tick(struct driver *d, const char *selector);                      /* a box to tick */
bool driver_has(struct driver *d, const char *selector);
/* Waits, at most ten seconds, until the page holds these words. */
void driver_wait(struct driver *d, const char *words);
/* The page as it is now, as text (malloced) and as NAME.png and NAME.html in the folder. */
void driver_address(struct driver *d, char *url, size_t size);
void driver_cookie(struct driver *d, const char *name, char value[65]); /* "" when there is none */
char *driver_source(struct driver *d);
void driver_keep(struct driver *d, const char *name);
/* Runs a function body that calls its last argument when it is done; a new reference to what it gives back. */
json_t *driver_run(struct driver *d, const char *body);
/* How the page is seen from now on: "none", "achromatopsia" (in grey), "deuteranopia", "protanopia", "tritanopia". */
void driver_see_as(struct driver *d, const char *sight);
void driver_key(struct driver *d, const char *key);  /* to whatever has the focus */
/* Marks all that stands in what has the focus and types over it, key by key. */
void driver_keys(struct driver *d, const char *words);
/* An attribute of the first that fits, as the page has it. */
void driver_attribute(struct driver *d, const char *selector, const char *name, char *value, size_t size);
void driver_width(struct driver *d, int width);         /* of the window, from now on */
void driver_media(struct driver *d, const char *media); /* "print", or "" for the screen */

#endif
