/* What look-alikes show, in words.
 *
 * Layer: report. Plain texts, not made safe for a terminal. */
#ifndef RUSH_REPORT_APART_WORDS_H
#define RUSH_REPORT_APART_WORDS_H

#include "report/teller.h"
#include "rushlight/apart.h"

/* "mostly U; sometimes plain", "44 to 52 mm", "not known", "cannot show it". */
void rush_words_showing(rush_teller *teller, uint32_t character, const rush_showing *showing);
/* How safe the whole is: in the field, in the hand, or neither. */
void rush_words_safety(const rush_apart *apart, const rush_apart_view *view, rush_buffer *buffer);
/* Whether any form of the key has a sex. */
bool rush_words_has_sexes(const rush_key *key);
/* "males", "females", or "both sexes"; "all" where the key knows of no sexes. */
const char *rush_words_sexes(const rush_key *key, rush_sex sex);

#endif
