/* What patients and staff are told: the words for each text kind, by language, and how long they are on air.
 *
 * Pure but for the one command. The catalogues linked in are English and Spanish (Spanish: for review by a qualified
 * translator before use); a clinic's file of the same form replaces single entries or adds a language.
 */
#ifndef QUIETARM_TEXTS_H
#define QUIETARM_TEXTS_H

#include "gateway/care/effect.h"
#include "parser/parser.h" /* struct embedded */

extern const struct embedded texts_files[]; /* every gateway/texts/ *.texts, linked in */

struct texts;

/* Reads the linked-in catalogues, then `n` more files (borrowed during the call), whose entries replace or add. 0, or -1
 * with *out NULL and lines "FILE:LINE: what, what to do" in `why`, one a mistake, at most 20 and as many as fit: an unknown
 * name or placeholder, a lost required part, a text past its limit with its longest values, a language that is not whole. A
 * file's language is its name: "folder/es.texts". What is open never changes: any thread may use it. */
int texts_open(struct texts **out, const struct embedded *more, size_t n, char *why, size_t why_size);
void texts_close(struct texts *t);

/* Says a saying for this clinic in `language` (that of the saying, if set, wins; an unknown one falls back to the
 * clinic's, then English). With both_languages, or for the invitation of a bilingual clinic, English or Spanish, whichever
 * it was not, follows on a line of its own. Writes at most size bytes with NUL, never cutting a character; returns the
 * length. A part that is no kind is left out; a value that is missing is said in words ("your reading"). */
size_t texts_say(const struct texts *t, const struct saying *s, const struct clinic *c, const char *language, char *body,
                 size_t size);

const char *text_kind_name(unsigned kind);              /* "w_severe"; NULL when there is none */
/* As in the file, with its placeholders; owned by `t`. NULL when there is no such kind or language. */
const char *text_kind_words(const struct texts *t, unsigned kind, const char *language);

/* -- GSM 03.38 (3GPP TS 23.038) and segments ----------------------------------------------------------------------- */

bool gsm_fits(const char *utf8);       /* every character is in the default alphabet or its extension */
int gsm_septets(uint32_t code_point);  /* 1, 2 (extension), 0 when outside */
/* Parts that this text takes on air: 160 septets alone, 153 a part; UCS-2 70 and 67 units; neither an escape pair nor a
 * surrogate pair is split. 0 for the empty text. */
int gsm_segments(const char *utf8);

/* The command `quietarm texts [--language L]`: prints every text with its size in segments. argv after the command's
 * name. Returns the exit status. */
int texts_command(const struct texts *t, int argc, char **argv);

#endif
