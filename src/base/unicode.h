/* Characters of UTF-8 text: one at a time, folded for comparison, checked for what may be shown.
 *
 * Layer: base. Character properties come from utf8proc, so no locale is asked. */
#ifndef RUSH_BASE_UNICODE_H
#define RUSH_BASE_UNICODE_H

#include "rushlight/text.h"

/* The code point at text.at[at] and its length in bytes; -1 and 1 where the bytes are not UTF-8. */
int32_t rush_unicode_at(rush_text text, size_t at, size_t *length);
/* Code points in the text, as far as it is UTF-8. */
size_t rush_unicode_count(rush_text text);
/* Where the next byte stands that is not a printing one of ASCII, from `at` on; else the text's length. */
size_t rush_unicode_pass_plain(rush_text text, size_t at);
/* A character that a text shown to a person must not hold: C0 and C1 controls but tab and line
 * feed, and the marks that reverse, isolate or hide text. */
bool rush_unicode_hostile(int32_t character);

enum { RUSH_FOLD_MAX = 512 }; /* bytes; a longer name matches nothing */

/* A name as it is compared: case folded, composed, spaces and hyphens and underscores each run of
 * them one space, none at the ends. Returns its length, or SIZE_MAX when it is longer than
 * RUSH_FOLD_MAX or not UTF-8. Default case folding: The Unicode Standard, section 3.13. */
size_t rush_unicode_fold(rush_text name, char folded[RUSH_FOLD_MAX]);

/* A name as it looks at a glance: folded, without accents and punctuation, letters of other alphabets as
 * the Latin ones that they look like, 0 and 1 beside letters as o and l, words without a plural's s, and
 * all of them joined. Returns its length, or SIZE_MAX as above. The look-alikes are the commonest
 * of Unicode Technical Standard 39's confusables, from memory. */
size_t rush_unicode_glance(rush_text name, char glance[RUSH_FOLD_MAX]);

#endif
