/* Every key of the configuration: its name, what reads it, where it goes, its bounds, and an example for its mistake.
 *
 * Data. Where a value has a default it is in config_defaults and clinic_defaults (config_check.c).
 */
#include "gateway/config_parts.h"

#include <stdio.h>

#define AT(type, field) offsetof(struct type, field), sizeof(((struct type *)0)->field)
#define ITEM(type, field) offsetof(struct type, field), sizeof(((struct type *)0)->field[0])
#define WHERE "a path, from this file's folder on"
#define HTTP_URL "https://HOST/PATH, or http: to 127.0.0.1"
#define HEADER "Name: value, with {secret} for what is in secret_file"
#define TARGET_KEYS "+447700900002, mailto:duty@example.org, an http address or target:NAME"
#define NUMBER "a number as people dial it, for example 01632 960001"
#define WINDOW "HH:MM-HH:MM, for example 05:00-12:00"
#define TIME "HH:MM, for example 07:30"
#define AUTH_KEYS(type)                                                                                               \
    {"auth_header", take_header_name, AT(type, auth.header), 0, 0, 0, "a header's name, for example X-Signature"},    \
    {"signed", take_signed, AT(type, auth), 0, 0, 0, "body or timestamp.body"},                                       \
    {"auth_time", take_header_name, AT(type, auth.time_header), 0, 0, 0, "the header that holds the time"},           \
    {"max_age", take_whole, AT(type, auth.max_age), 1, 86400, 0, "seconds from 1 to 86400"},                          \
    {"secret_file", take_path, AT(type, auth.secret_file), 0, 0, 0, WHERE}

static const struct key_rule gateway_keys[] = {
    {"listen", take_listen, AT(config, listen_host), 0, 65535, 0, "HOST:PORT, for example 127.0.0.1:8480"},
    {"desk_listen", take_listen, AT(config, desk_host), 0, 65535, 0, "HOST:PORT, for example 127.0.0.1:8481"},
    {"public_url", take_public_url, AT(config, public_url), 0, 0, 0, HTTP_URL},
    {"state", take_path, AT(config, state), 0, 0, 0, WHERE},
    {"store", take_store, AT(config, store), 0, 0, 0, "embedded, or postgres for several gateways"},
    {"conninfo_file", take_path, AT(config, conninfo_file), 0, 0, 0, WHERE},
    {"clock", take_clock, AT(config, stepped), 0, 0, 0, "system or stepped"},
    {"clock_start", take_instant, AT(config, clock_start), 0, 0, 0, "a time such as 2026-11-24T07:00:00Z"},
    {"retain_texts_days", take_whole, AT(config, retain_texts_days), 1, 36500, 0, "days from 1 to 36500"},
    {"retain_alert_days", take_whole, AT(config, retain_alert_days), 1, 36500, 0, "days from 1 to 36500"},
    {"ops_to", take_alert_target, ITEM(config, ops_to), 0, OPS_MAX, KEY_LIST, TARGET_KEYS},
    {"proxy", take_proxy, ITEM(config, proxy), 0, 8, KEY_LIST, "an address such as 127.0.0.1"},
    {"tls_cert", take_path, AT(config, tls_cert), 0, 0, 0, WHERE},
    {"tls_key", take_path, AT(config, tls_key), 0, 0, 0, WHERE},
    {"words", take_path, AT(config, words), 0, 0, 0, WHERE},
    {"texts", take_path, AT(config, texts), 0, 0, 0, WHERE},
    {NULL},
};

static const struct key_rule clinic_keys[] = {
    {"name", take_text, AT(clinic, name), 0, 0, 0, "the practice's name as patients know it"},
    {"text_number", take_phone, AT(clinic, text_number), 0, 0, KEY_NEEDED, "+COUNTRY NUMBER, for example +447700900001"},
    {"voice_number", take_dialled, AT(clinic, voice_number), 0, 0, 0, NUMBER},
    {"hours", take_hours, AT(clinic, hours), 0, 64, KEY_LIST, "DAY or DAY-DAY and HH:MM-HH:MM, for example mon-fri 08:00-18:30"},
    {"closed", take_closed, AT(clinic, closed), 0, CLOSED_MAX, KEY_LIST, "dates such as 2026-12-25"},
    {"out_of_hours", take_dialled, AT(clinic, out_of_hours), 0, 0, KEY_NEEDED, "the number to ring when you are closed, for example 111"},
    {"emergency", take_dialled, AT(clinic, emergency), 0, 0, KEY_NEEDED, "the emergency number, for example 999"},
    {"maternity", take_dialled, AT(clinic, maternity), 0, 0, 0, NUMBER},
    {"crisis", take_dialled, AT(clinic, crisis), 0, 0, 0, NUMBER},
    {"time_zone", take_zone, AT(clinic, zone), 0, 0, 0, "an IANA name such as Europe/London"},
    {"language", take_language, AT(clinic, language), 0, 0, 0, "en, es, en+es, or one that your texts folder adds"},
    {"protocol", take_protocol, AT(clinic, protocol), 0, 0, 0, NULL},
    {"morning", take_window, AT(clinic, morning), 0, 0, 0, WINDOW},
    {"evening", take_window, AT(clinic, evening), 0, 0, 0, WINDOW},
    {"remind_morning", take_time_of_day, AT(clinic, remind_morning), 0, 0, 0, TIME},
    {"remind_evening", take_time_of_day, AT(clinic, remind_evening), 0, 0, 0, TIME},
    {"nudge_after", take_minutes, AT(clinic, nudge_after), 0, 720, 0, "minutes from 0 (none) to 720"},
    {"quiet", take_quiet, AT(clinic, quiet), 0, 0, 0, "HH:MM-HH:MM, for example 21:30-07:00"},
    {"hold_start", take_yes, AT(clinic, hold_start), 0, 0, 0, "yes or no"},
    {"alert_to", take_alert_target, ITEM(clinic, alert_to), 0, TARGETS_MAX, KEY_LIST, TARGET_KEYS},
    {"alert_out_of_hours", take_alert_target, ITEM(clinic, alert_out_of_hours), 0, TARGETS_MAX, KEY_LIST, TARGET_KEYS},
    {"alert_again", take_minutes, AT(clinic, alert_again), 1, 1440, 0, "minutes from 1 to 1440"},
    {"alert_backup", take_alert_target, ITEM(clinic, alert_backup), 0, TARGETS_MAX, KEY_LIST, TARGET_KEYS},
    {"summary_to", take_summary_target, ITEM(clinic, summary_to), 0, TARGETS_MAX, KEY_LIST,
     "mailto:results@example.org, an http address, dir:FOLDER or target:NAME"},
    {"fhir_token_file", take_token_file, 0, 0, 0, 0, 0, WHERE},
    {NULL},
};

static const struct key_rule target_keys[] = {
    {"url", take_target_url, AT(target_config, url), 0, 0, KEY_NEEDED, HTTP_URL},
    {"header", take_target_header, ITEM(target_config, header), 0, 4, KEY_AGAIN | KEY_PRIVATE, HEADER},
    {"secret_file", take_path, AT(target_config, secret_file), 0, 0, 0, WHERE},
    {NULL},
};

static const struct key_rule inbound_keys[] = {
    {"path", take_request_path, AT(inbound_config, path), 0, 0, 0, "a path such as /hook/in"},
    {"format", take_format, AT(inbound_config, format), 0, 0, 0, "json or form"},
    {"id", take_pointer, AT(inbound_config, id), 0, 0, 0, "a pointer such as /id (json) or a field's name (form)"},
    {"from", take_pointer, AT(inbound_config, from), 0, 0, 0, "a pointer such as /from (json) or a field's name (form)"},
    {"to", take_pointer, AT(inbound_config, to), 0, 0, 0, "a pointer such as /to (json) or a field's name (form)"},
    {"text", take_pointer, AT(inbound_config, text), 0, 0, 0, "a pointer such as /text (json) or a field's name (form)"},
    {"sent", take_pointer, AT(inbound_config, sent), 0, 0, 0, "a pointer such as /sent (json) or a field's name (form)"},
    {"auth", take_auth, AT(inbound_config, auth), 0, 0, KEY_NEEDED, "hmac-sha256, bearer, basic or none"},
    AUTH_KEYS(inbound_config),
    {NULL},
};

static const struct key_rule outbound_keys[] = {
    {"url", take_url, AT(outbound_config, url), 0, 0, KEY_NEEDED, HTTP_URL},
    {"format", take_format, AT(outbound_config, format), 0, 0, 0, "json or form"},
    {"body", take_body, AT(outbound_config, body), 0, 0, KEY_PRIVATE,
     "a body such as {\"to\":\"{to}\",\"text\":\"{text}\"} with {from} {to} {text} {key} {secret}"},
    {"body_file", take_body_file, AT(outbound_config, body), 0, 0, 0, WHERE},
    {"header", take_header, ITEM(outbound_config, header), 0, 4, KEY_AGAIN | KEY_PRIVATE, HEADER},
    {"secret_file", take_path, AT(outbound_config, secret_file), 0, 0, 0, WHERE},
    {"id", take_pointer, AT(outbound_config, id), 0, 0, 0, "a pointer such as /id"},
    {"in_flight", take_whole, AT(outbound_config, in_flight), 1, 256, 0, "a number from 1 to 256"},
    {"per_second", take_rate, AT(outbound_config, per_second), 0, 100000, 0, "texts a second, for example 10 or 0.5"},
    {NULL},
};

static const struct key_rule receipt_keys[] = {
    {"path", take_request_path, AT(receipt_config, path), 0, 0, 0, "a path such as /hook/receipt"},
    {"format", take_format, AT(receipt_config, format), 0, 0, 0, "json or form"},
    {"id", take_pointer, AT(receipt_config, id), 0, 0, 0, "a pointer such as /id (json) or a field's name (form)"},
    {"key", take_pointer, AT(receipt_config, key), 0, 0, 0, "a pointer such as /key (json) or a field's name (form)"},
    {"status", take_pointer, AT(receipt_config, status), 0, 0, 0, "a pointer such as /status (json) or a field's name (form)"},
    {"delivered", take_word, ITEM(receipt_config, delivered), 0, WORDS_MAX, KEY_LIST, "the carrier's words, for example delivered, read"},
    {"failed", take_word, ITEM(receipt_config, failed), 0, WORDS_MAX, KEY_LIST, "the carrier's words, for example failed, rejected"},
    {"auth", take_auth, AT(receipt_config, auth), 0, 0, 0, "hmac-sha256, bearer, basic or none"},
    AUTH_KEYS(receipt_config),
    {NULL},
};

static const struct key_rule mail_keys[] = {
    {"url", take_mail_url, AT(mail_config, url), 0, 0, KEY_NEEDED, "smtp://HOST:PORT or smtps://HOST:PORT"},
    {"from", take_mail_address, AT(mail_config, from), 0, 0, KEY_NEEDED, "an address such as quietarm@example.org"},
    {"user", take_text, AT(mail_config, user), 0, 0, 0, "the name to sign in with"},
    {"secret_file", take_path, AT(mail_config, secret_file), 0, 0, 0, WHERE},
    {NULL},
};

static void *gateway_open(struct config_reading *r, const char *name)
{
    (void)name;
    return r->out;
}

static void *clinic_open_section(struct config_reading *r, const char *name)
{
    struct clinic *c = &r->out->clinics[r->out->n_clinics++];
    clinic_defaults(c);
    snprintf(c->id, sizeof c->id, "%s", name);
    return c;
}

static void *target_open(struct config_reading *r, const char *name)
{
    struct target_config *t = &r->out->targets[r->out->n_targets++];
    snprintf(t->name, sizeof t->name, "%s", name);
    return t;
}

static void *inbound_open(struct config_reading *r, const char *name)
{
    (void)name;
    return &r->out->inbound;
}

static void *outbound_open(struct config_reading *r, const char *name)
{
    (void)name;
    return &r->out->outbound;
}

static void *receipt_open(struct config_reading *r, const char *name)
{
    (void)name;
    r->out->receipt.present = true;
    return &r->out->receipt;
}

static void *mail_open(struct config_reading *r, const char *name)
{
    (void)name;
    r->out->mail.present = true;
    return &r->out->mail;
}

const struct section_rule config_sections[] = {
    {"gateway", false, false, gateway_keys, gateway_open},
    {"clinic", true, false, clinic_keys, clinic_open_section},
    {"target", true, false, target_keys, target_open},
    {"inbound", false, true, inbound_keys, inbound_open},
    {"outbound", false, true, outbound_keys, outbound_open},
    {"receipt", false, false, receipt_keys, receipt_open},
    {"mail", false, false, mail_keys, mail_open},
    {NULL},
};
