/* What the files of the configuration share: one reading of one file. Private to config*.c and secrets.c.
 *
 * A key's rule says which reader takes its value and where it goes; the reader tells its own mistake. So a new key is a
 * new row of a table in config_keys.c.
 */
#ifndef QUIETARM_CONFIG_PARTS_H
#define QUIETARM_CONFIG_PARTS_H

#include "gateway/config.h"
#include "gateway/ini.h"
#include "gateway/phones.h"

enum { MISTAKE_BYTES = 640, KEYS_MAX = 40, FOLDER_MAX = 800 };

struct config_reading {
    struct config *out;
    struct ini ini;
    config_mistake *mistake;
    void *context;
    int mistakes;
    bool secrets;              /* secret files are read too */
    bool failed;               /* out of memory */
    const char *loopback_only; /* why every address must be on loopback: "clock = stepped"; NULL */
};

struct setting;
typedef void take_setting(const struct setting *s);

struct key_rule {
    const char *name;
    take_setting *take;
    size_t at, size;           /* of the field in the section's struct; of one item of a list */
    int64_t least, most;       /* a number's bounds; the most items of a list */
    unsigned flags;
    const char *example;       /* "HH:MM-HH:MM, for example 05:00-12:00" */
};
enum {
    KEY_LIST = 1,              /* may be repeated, and split by commas */
    KEY_AGAIN = 2,             /* may be repeated */
    KEY_NEEDED = 4,
    KEY_PRIVATE = 8            /* the value is never shown */
};

struct section_rule {
    const char *word;          /* "clinic" */
    bool named, needed;
    const struct key_rule *keys; /* ended by a name NULL */
    void *(*open)(struct config_reading *r, const char *name); /* the struct that the keys fill; NULL: refused, told */
};
extern const struct section_rule config_sections[]; /* ended by a word NULL; config_keys.c */

/* One value of one key, as a reader gets it. */
struct setting {
    struct config_reading *r;
    const struct key_rule *rule;
    int line, index;           /* index: which item of a list */
    const char *text;
    void *base;                /* the section's struct */
};

/* -- config_mistakes.c -- */
void config_tell(struct config_reading *r, int line, const char *format, ...) __attribute__((format(printf, 3, 4)));
void config_tell_in(struct config_reading *r, const char *file, int line, const char *what);
/* "KEY = VALUE: what; write EXAMPLE" */
void setting_bad(const struct setting *s, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* The line of the first `key` of the section so named, else of the section, else 0. */
int config_line(const struct config_reading *r, const char *section, const char *key);
/* The value as written; NULL when it is not. */
const char *config_value(const struct config_reading *r, const char *section, const char *key);

/* -- config_values.c: values of every section -- */
void *setting_field(const struct setting *s);
void take_text(const struct setting *s);
void take_path(const struct setting *s);
void take_whole(const struct setting *s);    /* into int */
void take_minutes(const struct setting *s);  /* a whole number of minutes into int16_t */
void take_rate(const struct setting *s);     /* into double */
void take_yes(const struct setting *s);
void take_instant(const struct setting *s);
void take_format(const struct setting *s);
void take_auth(const struct setting *s);     /* the section's struct begins anywhere: `at` is that of a struct auth */
void take_signed(const struct setting *s);
void take_clock(const struct setting *s);
void take_store(const struct setting *s);
void take_word(const struct setting *s);     /* one status word of a list */
void take_pointer(const struct setting *s);
void take_header_name(const struct setting *s);
void take_request_path(const struct setting *s);

/* -- config_address.c: where things are and go -- */
void take_listen(const struct setting *s);
void take_url(const struct setting *s);      /* http or https */
void take_public_url(const struct setting *s); /* without placeholders */
void take_target_url(const struct setting *s); /* with {key} and {secret} */
void take_mail_url(const struct setting *s);
void take_mail_address(const struct setting *s);
void take_proxy(const struct setting *s);
void take_alert_target(const struct setting *s);
void take_summary_target(const struct setting *s);
void take_header(const struct setting *s);
void take_target_header(const struct setting *s);
bool mail_address_good(const char *s);
void take_body(const struct setting *s);
void take_body_file(const struct setting *s);

/* -- config_clinic.c: values of [clinic] -- */
void take_phone(const struct setting *s);    /* E.164 */
void take_dialled(const struct setting *s);  /* as people write and dial it */
void take_hours(const struct setting *s);
void take_closed(const struct setting *s);
void take_zone(const struct setting *s);
void take_language(const struct setting *s);
void take_protocol(const struct setting *s);
void take_time_of_day(const struct setting *s);
void take_window(const struct setting *s);
void take_quiet(const struct setting *s);
void take_token_file(const struct setting *s);

/* -- config_check.c: what only the whole shows, and defaults that depend on it -- */
void config_defaults(struct config *c);
void clinic_defaults(struct clinic *c);
void config_finish(struct config_reading *r);

/* -- secrets.c -- */
void config_secrets(struct config_reading *r);
void config_conninfo(struct config_reading *r); /* read by every command */

#endif
