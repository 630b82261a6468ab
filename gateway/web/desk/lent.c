/* Lent: what several pages say in one way: a patient, a quote, a cause, why a reading is held, how an action went.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *person_words(const struct person *who, char *words, size_t size)
{
    char last[16];
    size_t n = strlen(who->phone);
    snprintf(last, sizeof last, "%s", who->phone + (n > 3 ? n - 3 : 0));
    if (!who->ref[0])
        return words_of(words, size, WORD_STRANGER_NUMBER, (const char *const[4]){last});
    snprintf(words, size, "%s%s%s", who->ref, who->name[0] ? ", " : "", who->name);
    return words;
}

void person_link(struct page *p, const struct person *who)
{
    char words[REF_MAX + NAME_MAX_BYTES + 8];
    raw(p, "<a class=\"who\" href=\"/desk/patient/");
    number(p, who->id);
    raw(p, "\">");
    name(p, person_words(who, words, sizeof words));
    raw(p, "</a>");
}

void tel_write(struct page *p, const struct person *who)
{
    if (!who->phone[0])
        return;
    raw(p, "<a class=\"tel\" href=\"tel:");
    text(p, who->phone);
    raw(p, "\">");
    text(p, who->phone);
    raw(p, "</a>");
}

void clinic_field(struct page *p, const struct clinic *chosen)
{
    if (p->me.clinic[0])
        return;
    raw(p, "<div class=\"field\"><label for=\"clinic\">");
    say(p, CLINIC);
    raw(p, "</label><select name=\"clinic\" id=\"clinic\">");
    for (size_t i = 0; i < p->config->n_clinics; i++) {
        const struct clinic *c = &p->config->clinics[i];
        raw(p, "<option");
        attribute(p, "value", c->id);
        if (c == chosen)
            raw(p, " selected");
        raw(p, ">");
        text(p, c->name);
        raw(p, "</option>");
    }
    raw(p, "</select></div>\n");
}

void clinic_form(struct page *p, const char *path, const struct clinic *chosen)
{
    if (p->me.clinic[0] || p->config->n_clinics < 2)
        return;
    raw(p, "<form class=\"search\" method=\"get\"");
    attribute(p, "action", path);
    raw(p, ">\n");
    clinic_field(p, chosen);
    raw(p, "<button>");
    say(p, SHOW);
    raw(p, "</button>\n</form>\n");
}

/* Cut between characters. */
static void cut(char *body, size_t most)
{
    if (!most || strlen(body) <= most)
        return;
    while (most && ((unsigned char)body[most] & 0xC0) == 0x80)
        most--;
    body[most] = '\0';
}

void quote_write(struct page *p, const struct clinic *c, int64_t id, size_t most)
{
    struct stored_text t = {0};
    bool found = false;
    if (!id || text_get(p->db, id, &t, &found) || !found)
        return;
    raw(p, "<blockquote><p>");
    if (!t.body)
        say(p, TEXT_FORGOTTEN);
    else if (!t.body[0])
        say(p, TEXT_EMPTY);
    else {
        bool whole = !most || strlen(t.body) <= most;
        cut(t.body, most);
        name(p, t.body);
        if (!whole)
            raw(p, "…");
    }
    raw(p, "</p><p class=\"second\">");
    when(p, c, t.received);
    raw(p, "</p></blockquote>\n");
    free(t.body);
}

/* -- words of enumerations ---------------------------------------------------------------------------------------------------- */

static const struct {
    const char *cause;
    enum word word;
} causes[] = {
    {"severe", WORD_CAUSE_SEVERE},
    {"very_high", WORD_CAUSE_VERY_HIGH},
    {"severe_flag", WORD_CAUSE_SEVERE_FLAG},
    {"came_down_again", WORD_CAUSE_CAME_DOWN_AGAIN},
    {"low", WORD_CAUSE_LOW},
    {"pulse", WORD_CAUSE_PULSE},
    {"no_repeat", WORD_CAUSE_NO_REPEAT},
    {"doubtful", WORD_CAUSE_DOUBTFUL},
    {"pregnant_severe", WORD_CAUSE_PREGNANT_SEVERE},
    {"pregnant_high", WORD_CAUSE_PREGNANT_HIGH},
    {"reply_unsent", WORD_CAUSE_REPLY_UNSENT},
    {"target_failed", WORD_CAUSE_TARGET_FAILED},
    {"unknown_number", WORD_CAUSE_UNKNOWN_NUMBER},
    {"whose", WORD_CAUSE_WHOSE},
    {"bleeding", WORD_FLAG_BLEEDING},
    {"breathless", WORD_FLAG_BREATHLESS},
    {"chest_pain", WORD_FLAG_CHEST_PAIN},
    {"confusion", WORD_FLAG_CONFUSION},
    {"dizzy", WORD_FLAG_DIZZY},
    {"emergency", WORD_FLAG_EMERGENCY},
    {"faint", WORD_FLAG_FAINT},
    {"fall", WORD_FLAG_FALL},
    {"headache", WORD_FLAG_HEADACHE},
    {"palpitations", WORD_FLAG_PALPITATIONS},
    {"pregnancy_sign", WORD_FLAG_PREGNANCY_SIGN},
    {"seizure", WORD_FLAG_SEIZURE},
    {"self_harm", WORD_FLAG_SELF_HARM},
    {"speech", WORD_FLAG_SPEECH},
    {"swelling_face", WORD_FLAG_SWELLING_FACE},
    {"tearing_pain", WORD_FLAG_TEARING_PAIN},
    {"vision", WORD_FLAG_VISION},
    {"weakness", WORD_FLAG_WEAKNESS},
};

const char *cause_words(const char *cause)
{
    for (size_t i = 0; i < sizeof causes / sizeof *causes; i++)
        if (strcmp(causes[i].cause, cause) == 0)
            return word(causes[i].word);
    return cause;
}

static const struct {
    const char *action;
    enum word word;
} deeds[] = {
    {"accept", WORD_DID_ACCEPT},
    {"void", WORD_DID_VOID},
    {"add", WORD_DID_ADD},
    {"take", WORD_DID_TAKE},
    {"resolve", WORD_DID_RESOLVE},
    {"reopen", WORD_DID_REOPEN},
    {"done", WORD_DID_DONE},
    {"put_off", WORD_DID_PUT_OFF},
    {"hand_over", WORD_DID_HAND_OVER},
    {"write", WORD_DID_WRITE},
    {"ask_again", WORD_DID_ASK_AGAIN},
    {"extend", WORD_DID_EXTEND},
    {"end_week", WORD_DID_END_WEEK},
    {"review", WORD_DID_REVIEW},
    {"new_week", WORD_DID_NEW_WEEK},
    {"pause", WORD_DID_PAUSE},
    {"resume", WORD_DID_RESUME},
    {"stop", WORD_DID_STOP},
    {"withdraw", WORD_DID_WITHDRAW},
    {"consent", WORD_DID_CONSENT},
    {"edit", WORD_DID_EDIT},
    {"died", WORD_DID_DIED},
    {"close", WORD_DID_CLOSE},
    {"invite_again", WORD_DID_INVITE_AGAIN},
    {"arms", WORD_DID_ARMS},
    {"enrolled", WORD_DID_ENROLLED},
    {"alert joined", WORD_DID_JOINED},
    {"alert opened again", WORD_DID_OPENED_AGAIN},
    {"alert taken", WORD_DID_ALERT_TAKEN},
    {"skipped", WORD_DID_SKIPPED},
    {"state", WORD_DID_STATE},
    {"erase", WORD_DID_ERASE},
    {"saw", WORD_DID_SEE},
    {"exported", WORD_DID_EXPORT},
    {"sign_in", WORD_DID_SIGN_IN},
    {"sign_out", WORD_DID_SIGN_OUT},
    {"account_add", WORD_DID_ACCOUNT_ADD},
    {"account_role", WORD_DID_ACCOUNT_ROLE},
    {"account_password", WORD_DID_ACCOUNT_PASSWORD},
    {"account_enable", WORD_DID_ACCOUNT_ENABLE},
    {"account_disable", WORD_DID_ACCOUNT_DISABLE},
};

const char *action_words(const char *action)
{
    for (size_t i = 0; i < sizeof deeds / sizeof *deeds; i++)
        if (strcmp(deeds[i].action, action) == 0)
            return word(deeds[i].word);
    return action;
}

void held_words(struct page *p, uint16_t held)
{
    static const enum word words[] = {WORD_HELD_DOUBT, WORD_HELD_LIMITS,   WORD_HELD_OUTLIER, WORD_HELD_REPEAT,
                                      WORD_HELD_WHEN,  WORD_HELD_DAYS,     WORD_HELD_PRACTICE, WORD_HELD_CONSENT,
                                      WORD_HELD_WHOSE, WORD_HELD_AMENDED};
    bool some = false;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (!(held & 1u << i))
            continue;
        if (some)
            raw(p, "; ");
        text(p, word(words[i]));
        some = true;
    }
}

enum word standing_said(enum standing s)
{
    static const enum word words[STANDING_COUNT] = {WORD_STANDING_ACCEPTED, WORD_STANDING_HELD, WORD_STANDING_VOID,
                                                    WORD_STANDING_REPLACED, WORD_STANDING_ASIDE};
    return words[s];
}

enum word outgoing_word(enum outgoing_state s)
{
    static const enum word words[OUTGOING_STATE_COUNT] = {WORD_OUT_WAITING, WORD_OUT_SENT,     WORD_OUT_DELIVERED,
                                                          WORD_OUT_FAILED,  WORD_OUT_GIVEN_UP, WORD_OUT_CANCELLED};
    return words[s];
}

enum word level_word(enum alert_level level)
{
    return level == ALERT_EMERGENCY ? WORD_EMERGENCY : level == ALERT_URGENT ? WORD_URGENT : WORD_DESK_LEVEL;
}

/* -- how it went ----------------------------------------------------------------------------------------------------------------- */

void kept_write(struct page *p)
{
    static const char *const fields[] = {"words", "note"};
    char value[NOTE_MAX + 8];
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        form_value(p, fields[i], value, sizeof value);
        if (!value[strspn(value, " \t\r\n")])
            continue;
        field_write(p, &(struct control){.name = fields[i], .label = WORD_YOU_WROTE, .hint = WORD_YOU_WROTE_HINT, .rows = 4,
                                         .value = value, .needed = true});
    }
}

void acted(struct page *p, enum care_answer answer, const char *to, const char *back)
{
    if (answer == CARE_DONE) {
        page_goto(p, to);
        return;
    }
    p->status = answer == CARE_REFUSED ? MHD_HTTP_UNPROCESSABLE_CONTENT : MHD_HTTP_CONFLICT;
    page_begin(p, WORD_NOTHING_CHANGED, NULL);
    raw(p, "<p class=\"note attention\" role=\"alert\" tabindex=\"-1\" autofocus>");
    text(p, word(answer == CARE_GONE      ? WORD_IT_IS_GONE
                 : answer == CARE_CHANGED ? WORD_IT_CHANGED
                                          : WORD_IT_MAY_NOT));
    raw(p, "</p>\n<p>");
    link_to(p, back, 0, "", word(WORD_SEE_HOW_IT_IS));
    raw(p, "</p>\n");
    kept_write(p);
    page_end(p);
}

void fault_write(struct page *p, enum word fault)
{
    if (!fault)
        return;
    p->status = MHD_HTTP_UNPROCESSABLE_CONTENT;
    raw(p, "<p class=\"note urgent\" role=\"alert\" tabindex=\"-1\" autofocus>");
    text(p, word(fault));
    raw(p, "</p>\n");
}

bool note_needed(struct page *p, const char *field, char *note, size_t size)
{
    form_value(p, field, note, size);
    return note[strspn(note, " \t\r\n")] != '\0';
}

void said_write(struct page *p)
{
    static const struct {
        const char *said;
        enum word word;
    } list[] = {
        {"taken", WORD_SAID_TAKEN},       {"done", WORD_SAID_DONE},       {"resolved", WORD_SAID_RESOLVED},
        {"put-off", WORD_SAID_PUT_OFF},   {"handed", WORD_SAID_HANDED},   {"accepted", WORD_SAID_ACCEPTED},
        {"void", WORD_SAID_VOID},         {"added", WORD_SAID_ADDED},     {"asked", WORD_SAID_ASKED},
        {"sent", WORD_SAID_SENT},         {"enrolled", WORD_SAID_ENROLLED}, {"saved", WORD_SAID_SAVED},
        {"reopened", WORD_SAID_REOPENED},
    };
    char said[16];
    query_value(p, "said", said, sizeof said);
    for (size_t i = 0; i < sizeof list / sizeof *list; i++)
        if (strcmp(list[i].said, said) == 0) {
            raw(p, "<p class=\"note settled\" role=\"status\">");
            text(p, word(list[i].word));
            raw(p, "</p>\n");
        }
}
