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

    {GET, "/desk/patient/#", ROLE_ALL, NOUN_PERSON, patient_page},
    {GET, "/desk/patient/#/week/#/print", ROLE_ALL, NOUN_PERSON, week_print_page},
    {GET, "/desk/patient/#/week/#/pdf", ROLE_ALL, NOUN_PERSON, week_pdf_page},
    {GET, "/desk/patient/#/week/#/csv", ROLE_ALL, NOUN_PERSON, week_csv_page},
    {GET, "/desk/patient/#/week/#/fhir", ROLE_ALL, NOUN_PERSON, week_fhir_page},
    {GET, "/desk/patient/#/talk", ROLE_ALL, NOUN_PERSON, talk_page},
    {GET, "/desk/patient/#/write", ROLE_CARE, NOUN_PERSON, write_page},
    {POST, "/desk/patient/#/write", ROLE_CARE, NOUN_PERSON, write_do},
    {GET, "/desk/patient/#/add", ROLE_CARE, NOUN_PERSON, add_page},
    {POST, "/desk/patient/#/add", ROLE_CARE, NOUN_PERSON, add_do},
    {GET, "/desk/patient/#/edit", ROLE_CARE, NOUN_PERSON, edit_page},
    {POST, "/desk/patient/#/edit", ROLE_CARE, NOUN_PERSON, edit_do},
    {GET, "/desk/patient/#/equipment", ROLE_CARE, NOUN_PERSON, equipment_page},
    {POST, "/desk/patient/#/arms", ROLE_CARE, NOUN_PERSON, arms_do},
    {POST, "/desk/patient/#/office", ROLE_CARE, NOUN_PERSON, office_do},
    {POST, "/desk/patient/#/monitor", ROLE_CARE, NOUN_PERSON, monitor_do},
    {POST, "/desk/patient/#/review", ROLE_CLINICIAN, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/end-week", ROLE_CLINICIAN, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/close", ROLE_CLINICIAN, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/extend", ROLE_CARE, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/new-week", ROLE_CARE, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/pause", ROLE_CARE, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/resume", ROLE_CARE, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/consent", ROLE_CARE, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/invite-again", ROLE_CARE, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/stop", ROLE_CARE, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/withdraw", ROLE_CARE, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/died", ROLE_CARE, NOUN_PERSON, patient_act_do},
    {POST, "/desk/patient/#/erase", ROLE_ADMIN, NOUN_PERSON, erase_do},

    {GET, "/desk/enrol", ROLE_CARE, NOUN_NONE, enrol_page},
    {POST, "/desk/enrol", ROLE_CARE, NOUN_NONE, enrol_do},
    {GET, "/desk/roster", ROLE_CARE, NOUN_NONE, roster_page},
    {POST, "/desk/roster", ROLE_CARE, NOUN_NONE, roster_do},

    {GET, "/desk/figures", ROLE_ALL, NOUN_NONE, figures_page},
    {GET, "/desk/figures.csv", ROLE_ALL, NOUN_NONE, figures_csv_page},
    {GET, "/desk/accounts", ROLE_ADMIN, NOUN_NONE, accounts_page},
    {GET, "/desk/account", ROLE_ADMIN, NOUN_NONE, account_page},
    {POST, "/desk/account/add", ROLE_ADMIN, NOUN_NONE, account_add_do, .hashes = true},
    {POST, "/desk/account/role", ROLE_ADMIN, NOUN_NONE, account_role_do},
    {POST, "/desk/account/password", ROLE_ADMIN, NOUN_NONE, account_password_do, .hashes = true},
    {POST, "/desk/account/enable", ROLE_ADMIN, NOUN_NONE, account_enable_do},
    {POST, "/desk/account/disable", ROLE_ADMIN, NOUN_NONE, account_disable_do},
    {GET, "/desk/audit", ROLE_ADMIN, NOUN_NONE, audit_page},
    {GET, "/desk/settings", ROLE_ADMIN, NOUN_NONE, settings_page},
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
