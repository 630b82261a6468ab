/* What no single key shows: defaults, keys that need each other, things that must not be the same.
 *
 * Defaults are those of the worked example in the reference. A number to ring is never made up: without a voice number
 * patients are given the one that always answers.
 */
#include "gateway/config_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "gateway/care/care.h"

static const char body_json[] = "{\"from\":\"{from}\",\"to\":\"{to}\",\"text\":\"{text}\",\"key\":\"{key}\"}";
static const char body_form[] = "from={from}&to={to}&text={text}&key={key}";

void config_defaults(struct config *c)
{
    snprintf(c->listen_host, sizeof c->listen_host, "127.0.0.1");
    c->listen_port = 8480;
    c->desk_port = -1;
    snprintf(c->state, sizeof c->state, "%.*s/state", FOLDER_MAX, c->folder);
    snprintf(c->store, sizeof c->store, "embedded");
    c->clock_start = INSTANT_NONE;
    c->retain_texts_days = 365;
    c->retain_alert_days = 3650;
    snprintf(c->inbound.path, sizeof c->inbound.path, "/hook/in");
    snprintf(c->receipt.path, sizeof c->receipt.path, "/hook/receipt");
    c->inbound.auth.max_age = c->receipt.auth.max_age = 300;
    c->outbound.in_flight = 16;
    c->outbound.per_second = 10;
}

void clinic_defaults(struct clinic *c)
{
    char why[256];
    snprintf(c->zone, sizeof c->zone, "Europe/London");
    snprintf(c->language, sizeof c->language, "en");
    snprintf(c->protocol_name, sizeof c->protocol_name, "esh");
    if (protocol_find("esh", &c->protocol, why, sizeof why) < 0)
        c->protocol = (struct protocol){0}; /* the one linked in is read by a test */
    c->morning = (struct span){5 * 60, 12 * 60};
    c->evening = (struct span){16 * 60, 24 * 60};
    c->quiet = (struct span){21 * 60 + 30, 7 * 60};
    c->remind_morning = 7 * 60 + 30;
    c->remind_evening = 19 * 60 + 30;
    c->nudge_after = 90;
    c->alert_again = 15;
}

/* -- [gateway] --------------------------------------------------------------------------------------------------------------- */

static void folder_check(struct config_reading *r, const char *key, const char *path)
{
    struct stat st;
    if (path[0] && (stat(path, &st) < 0 || !S_ISDIR(st.st_mode)))
        config_tell(r, config_line(r, "gateway", key),
                    "%s = %.200s: no such folder; make it, or drop the line", key, path);
}

static void file_check(struct config_reading *r, const char *key, const char *path)
{
    if (path[0] && access(path, R_OK) < 0)
        config_tell(r, config_line(r, "gateway", key), "%s = %.200s: cannot be read; name a file that can",
                    key, path);
}

static void gateway_finish(struct config_reading *r)
{
    struct config *c = r->out;
    struct stat st;
    if (!c->desk_host[0])
        snprintf(c->desk_host, sizeof c->desk_host, "%s", c->listen_host);
    else if (c->desk_port > 0 && c->desk_port == c->listen_port && strcmp(c->desk_host, c->listen_host) == 0)
        config_tell(r, config_line(r, "gateway", "desk_listen"),
                    "desk_listen is the same as listen; give it a port of its own");
    if (!c->tls_cert[0] != !c->tls_key[0])
        config_tell(r, config_line(r, "gateway", c->tls_cert[0] ? "tls_cert" : "tls_key"),
                    "tls_cert and tls_key need each other; give both or none");
    if (c->clock_start != INSTANT_NONE && !c->stepped)
        config_tell(r, config_line(r, "gateway", "clock_start"),
                    "clock_start needs clock = stepped; add it, or drop the line");
    if (stat(c->state, &st) == 0 && !S_ISDIR(st.st_mode))
        config_tell(r, config_line(r, "gateway", "state"),
                    "state = %.200s: not a folder; name one, it is made when missing", c->state);
    folder_check(r, "words", c->words);
    folder_check(r, "texts", c->texts);
    file_check(r, "tls_cert", c->tls_cert);
    file_check(r, "tls_key", c->tls_key);
}

/* -- [clinic] --------------------------------------------------------------------------------------------------------------- */

static bool minute_in(const struct span *s, int minute)
{
    int length = (s->to - s->from + MINUTES_A_DAY) % MINUTES_A_DAY;
    return (minute - s->from + MINUTES_A_DAY) % MINUTES_A_DAY < (length ? length : MINUTES_A_DAY);
}

bool spans_meet(const struct span *a, const struct span *b)
{
    return minute_in(a, b->from) || minute_in(b, a->from);
}

static void clinic_number_check(struct config_reading *r, size_t i)
{
    const struct clinic *c = r->out->clinics;
    char section[INI_NAME_BYTES], other[INI_NAME_BYTES];
    snprintf(section, sizeof section, "clinic %s", c[i].id);
    for (size_t k = 0; k < i; k++)
        if (c[i].text_number[0] && strcmp(c[k].text_number, c[i].text_number) == 0) {
            snprintf(other, sizeof other, "clinic %s", c[k].id);
            config_tell(r, config_line(r, section, "text_number"),
                        "text_number = %s is that of [%s] too, in line %d; each clinic needs its own",
                        c[i].text_number, other, config_line(r, other, "text_number"));
        }
}

static void clinic_finish(struct config_reading *r, size_t i)
{
    struct clinic *c = &r->out->clinics[i];
    char section[INI_NAME_BYTES];
    snprintf(section, sizeof section, "clinic %s", c->id);
    if (!c->name[0])
        snprintf(c->name, sizeof c->name, "%s", c->id);
    if (!c->voice_number[0])
        snprintf(c->voice_number, sizeof c->voice_number, "%s", c->out_of_hours);
    const char *moved = ini_key(&r->ini, ini_section(&r->ini, section), "evening") ? "evening" : "morning";
    if (spans_meet(&c->morning, &c->evening))
        config_tell(r, config_line(r, section, moved),
                    "morning and evening of [%s] overlap; move one, so that a reading belongs to one of them",
                    section);
    clinic_number_check(r, i);
}

/* A gateway that texts itself alerts nobody: what it sends comes in again as a stranger's text. */
static void targets_check(struct config_reading *r, const char *section, const char *key, char to[TARGETS_MAX][TARGET_MAX])
{
    for (size_t i = 0; i < TARGETS_MAX; i++)
        for (size_t k = 0; k < r->out->n_clinics; k++)
            if (to[i][0] && strcmp(to[i], r->out->clinics[k].text_number) == 0)
                config_tell(r, config_line(r, section, key),
                            "%s = %s is the number that patients of [clinic %s] text; name one that somebody reads", key,
                            to[i], r->out->clinics[k].id);
}

static void all_targets_check(struct config_reading *r)
{
    char section[INI_NAME_BYTES];
    targets_check(r, "gateway", "ops_to", r->out->ops_to);
    for (size_t i = 0; i < r->out->n_clinics; i++) {
        struct clinic *c = &r->out->clinics[i];
        snprintf(section, sizeof section, "clinic %s", c->id);
        targets_check(r, section, "alert_to", c->alert_to);
        targets_check(r, section, "alert_out_of_hours", c->alert_out_of_hours);
        targets_check(r, section, "alert_backup", c->alert_backup);
    }
}

/* -- [inbound], [receipt] ----------------------------------------------------------------------------------------------------- */

/* RFC 6901: each / begins a part, ~ is written ~0 and / ~1. */
static bool pointer_good(const char *s)
{
    for (const char *c = s; *c; c++)
        if (*c == '~' && c[1] != '0' && c[1] != '1')
            return false;
    return s[0] == '/';
}

static void pointer_finish(struct config_reading *r, const char *section, enum body_format format,
                           const char *key, char field[POINTER_MAX], bool fill)
{
    if (!field[0] && fill)
        snprintf(field, POINTER_MAX, "%s%s", format == FORMAT_JSON ? "/" : "", key);
    else if (field[0] && format == FORMAT_JSON && !pointer_good(field))
        config_tell(r, config_line(r, section, key),
                    "%s = %.60s: not a JSON pointer (RFC 6901); write for example /%s", key, field, key);
    else if (field[0] == '/' && format == FORMAT_FORM)
        config_tell(r, config_line(r, section, key),
                    "%s = %.60s: a pointer, but format = form; write the field's name", key, field);
}

static void auth_finish(struct config_reading *r, const char *section, struct auth *auth)
{
    bool hmac = auth->kind == AUTH_HMAC_SHA256;
    if (!config_value(r, section, "auth"))
        return; /* told where it is needed */
    if (!auth->header[0] && auth->kind != AUTH_NONE)
        snprintf(auth->header, sizeof auth->header, "%s", hmac ? "X-Signature" : "Authorization");
    if (auth->kind != AUTH_NONE && !config_value(r, section, "secret_file"))
        config_tell(r, config_line(r, section, "auth"),
                    "auth = %s needs a secret; add secret_file = FILE to [%s]",
                    config_value(r, section, "auth"), section);
    if (auth->timestamped && !hmac)
        config_tell(r, config_line(r, section, "signed"),
                    "signed = timestamp.body is for auth = hmac-sha256; drop the line");
    if (auth->timestamped && !auth->time_header[0])
        config_tell(r, config_line(r, section, "signed"),
                    "signed = timestamp.body needs the header that holds the time; add auth_time = HEADER");
}

static void inbound_finish(struct config_reading *r)
{
    struct inbound_config *in = &r->out->inbound;
    pointer_finish(r, "inbound", in->format, "id", in->id, true);
    pointer_finish(r, "inbound", in->format, "from", in->from, true);
    pointer_finish(r, "inbound", in->format, "to", in->to, true);
    pointer_finish(r, "inbound", in->format, "text", in->text, true);
    pointer_finish(r, "inbound", in->format, "sent", in->sent, false);
    auth_finish(r, "inbound", &in->auth);
}

static void words_default(char words[WORDS_MAX][WORD_MAX], int *n, const char *const *from, int count)
{
    for (int i = 0; *n == 0 && i < count; i++)
        snprintf(words[i], WORD_MAX, "%s", from[i]);
    if (*n == 0)
        *n = count;
}

static void receipt_finish(struct config_reading *r)
{
    static const char *const delivered[] = {"delivered", "read"}, *const failed[] = {"failed", "undelivered",
                                                                                     "rejected"};
    static const char *const own[] = {"auth", "auth_header", "signed", "auth_time", "max_age", "secret_file"};
    struct receipt_config *c = &r->out->receipt;
    bool inherits = true;
    if (!c->present)
        return;
    if (c->id[0] && c->key[0])
        config_tell(r, config_line(r, "receipt", "key"),
                    "both id and key are given in [receipt]; keep the one that the carrier sends back");
    pointer_finish(r, "receipt", c->format, "id", c->id, !c->key[0]);
    pointer_finish(r, "receipt", c->format, "key", c->key, false);
    pointer_finish(r, "receipt", c->format, "status", c->status, true);
    words_default(c->delivered, &c->n_delivered, delivered, 2);
    words_default(c->failed, &c->n_failed, failed, 3);
    if (strcmp(c->path, r->out->inbound.path) == 0)
        config_tell(r, config_line(r, "receipt", "path"),
                    "path is that of [inbound] too; give receipts their own");
    for (size_t i = 0; i < sizeof own / sizeof *own; i++)
        inherits = inherits && !config_value(r, "receipt", own[i]);
    if (inherits)
        c->auth = r->out->inbound.auth;
    else if (!config_value(r, "receipt", "auth"))
        config_tell(r, config_line(r, "receipt", NULL),
                    "[receipt] has no auth; add one, or drop its auth keys to use those of [inbound]");
    auth_finish(r, "receipt", &c->auth);
}

/* -- what is sent -------------------------------------------------------------------------------------------------------------- */

static void secret_needed(struct config_reading *r, const char *section, const char *key, const char *text,
                          const char *file)
{
    if (text && strstr(text, "{secret}") && !file[0])
        config_tell(r, config_line(r, section, key),
                    "%s: {secret} without a secret; add secret_file = FILE to [%s]", key, section);
}

static void outbound_finish(struct config_reading *r)
{
    struct outbound_config *o = &r->out->outbound;
    if (!o->body && !config_value(r, "outbound", "body") && !config_value(r, "outbound", "body_file")) {
        o->body = strdup(o->format == FORMAT_JSON ? body_json : body_form);
        r->failed = r->failed || !o->body;
    }
    pointer_finish(r, "outbound", FORMAT_JSON, "id", o->id, false); /* of the answer, which is JSON */
    secret_needed(r, "outbound", "url", o->url, o->secret_file);
    secret_needed(r, "outbound", "body", o->body, o->secret_file);
    for (int i = 0; i < 4; i++)
        secret_needed(r, "outbound", "header", o->header[i], o->secret_file);
}

static void target_finish(struct config_reading *r, const struct target_config *t)
{
    char section[INI_NAME_BYTES];
    snprintf(section, sizeof section, "target %s", t->name);
    secret_needed(r, section, "url", t->url, t->secret_file);
    for (int i = 0; i < 4; i++)
        secret_needed(r, section, "header", t->header[i], t->secret_file);
}

void config_finish(struct config_reading *r)
{
    struct mail_config *mail = &r->out->mail;
    gateway_finish(r);
    for (size_t i = 0; i < r->out->n_clinics; i++)
        clinic_finish(r, i);
    all_targets_check(r);
    inbound_finish(r);
    receipt_finish(r);
    outbound_finish(r);
    for (size_t i = 0; i < r->out->n_targets; i++)
        target_finish(r, &r->out->targets[i]);
    if (!mail->user[0] != !mail->secret_file[0])
        config_tell(r, config_line(r, "mail", mail->user[0] ? "user" : "secret_file"),
                    "user and secret_file of [mail] need each other; give both or none");
}
