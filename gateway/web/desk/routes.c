/* Routes: which path has which method, who may, what its number is of, and its page. A new page is a row here.
 *
 * Whoever reads this table knows what each role may do. Ids in paths are internal numbers: a browser's history names
 * nobody.
 */
#include "gateway/web/desk/pages.h"

#include <stdlib.h>
#include <string.h>

#define GET METHOD_GET
#define POST METHOD_POST

static const struct page_route routes[] = {
    {GET, "/desk", ROLE_ALL, NOUN_NONE, front_page},
    {GET, "/desk/", ROLE_ALL, NOUN_NONE, front_page},
    {GET, "/desk/style.css", ROLE_NOBODY, NOUN_NONE, style_page},
    {GET, "/desk/script.js", ROLE_NOBODY, NOUN_NONE, script_page},
    {GET, "/desk/sign-in", ROLE_NOBODY, NOUN_NONE, sign_in_page},
    {POST, "/desk/sign-in", ROLE_NOBODY, NOUN_NONE, sign_in_do, .hashes = true},
    {POST, "/desk/sign-out", ROLE_ALL, NOUN_NONE, sign_out_do},

    {GET, "/desk/patients", ROLE_ALL, NOUN_NONE, patients_page},
    {GET, "/desk/list", ROLE_ALL, NOUN_NONE, list_page},
    {GET, "/desk/row/#", ROLE_ALL, NOUN_ROW, row_page},
    {POST, "/desk/row/#/take", ROLE_CARE, NOUN_ROW, row_take_do},
    {POST, "/desk/row/#/done", ROLE_CARE, NOUN_ROW, row_done_do},
    {POST, "/desk/row/#/put-off", ROLE_CARE, NOUN_ROW, row_put_off_do},
    {POST, "/desk/row/#/hand-over", ROLE_CARE, NOUN_ROW, row_hand_over_do},
    {POST, "/desk/row/#/answer", ROLE_CARE, NOUN_ROW, row_answer_do},

    {GET, "/desk/alert/#", ROLE_ALL, NOUN_ALERT, alert_page},
    {POST, "/desk/alert/#/take", ROLE_CARE, NOUN_ALERT, alert_take_do},
    {POST, "/desk/alert/#/resolve", ROLE_CARE, NOUN_ALERT, alert_resolve_do},
    {POST, "/desk/alert/#/reopen", ROLE_CARE, NOUN_ALERT, alert_reopen_do},

    {GET, "/desk/reading/#", ROLE_ALL, NOUN_READING, reading_page},
    {POST, "/desk/reading/#/accept", ROLE_CARE, NOUN_READING, reading_accept_do},
    {POST, "/desk/reading/#/void", ROLE_CARE, NOUN_READING, reading_void_do},
    {POST, "/desk/reading/#/add", ROLE_CARE, NOUN_READING, reading_add_do},
    {POST, "/desk/reading/#/ask-again", ROLE_CARE, NOUN_READING, reading_ask_again_do},
};

const struct page_route *page_route_at(size_t i)
{
    return i < sizeof routes / sizeof *routes ? &routes[i] : NULL;
}

/* Up to 18 digits, without a zero in front: one spelling a number. */
static bool number_take(const char **path, int64_t *out)
{
    size_t n = strspn(*path, "0123456789");
    if (n == 0 || n > 18 || **path == '0')
        return false;
    *out = strtoll(*path, NULL, 10);
    *path += n;
    return true;
}

static bool path_fits(const char *pattern, const char *path, int64_t ids[2])
{
    int n = 0;
    for (; *pattern && *path; pattern++) {
        if (*pattern == '#') {
            if (n == 2 || !number_take(&path, &ids[n++]))
                return false;
        } else if (*pattern != *path++) {
            return false;
        }
    }
    return !*pattern && !*path;
}

const struct page_route *page_route_find(const char *path, enum method method, int64_t ids[2], unsigned *allow)
{
    *allow = 0;
    for (size_t i = 0; i < sizeof routes / sizeof *routes; i++) {
        if (!path_fits(routes[i].path, path, ids))
            continue;
        if (routes[i].method == method)
            return &routes[i];
        *allow |= routes[i].method;
    }
    return NULL;
}
