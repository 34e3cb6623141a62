/* Small pieces of text that several reports share.
 *
 * Layer: report. */
#ifndef RUSH_REPORT_WORDS_H
#define RUSH_REPORT_WORDS_H

#include "rushlight/report.h"

enum { RUSH_TEXT_COLUMNS = 80 }; /* the width that running text keeps to */

/* "97.9 %", "under 0.1 %", "over 99.9 %". */
void rush_words_percent(double probability, rush_buffer *buffer);
/* "Pyrrhosoma nymphula (large red damselfly)". */
void rush_words_taxon(const rush_key *key, uint32_t taxon, uint32_t language,
                      rush_buffer *buffer);
/* A character's and a state's name, made safe. */
void rush_words_character(const rush_key *key, uint32_t character, uint32_t language,
                          rush_buffer *buffer);
void rush_words_state(const rush_key *key, uint32_t character, uint32_t state, uint32_t language,
                      rush_buffer *buffer);
/* What a trait says, in words: "red 90 %, orange 10 %", "45 to 49 mm", "May to September". */
void rush_words_trait(const rush_key *key, const rush_trait *trait, uint32_t language,
                      rush_buffer *buffer);
/* What a form usually shows: the states of some weight, the likeliest first; other traits whole. */
void rush_words_usual(const rush_key *key, uint32_t form, uint32_t character, uint32_t language,
                      rush_buffer *buffer);
/* A text over lines of at most `width` columns, each begun with `indent` spaces but the first. */
void rush_words_wrap(rush_text text, size_t indent, size_t width, rush_buffer *buffer);
/* The same of a buffer, which is freed; when it failed, `buffer` fails too. */
void rush_words_wrap_part(rush_buffer *part, size_t indent, size_t width, rush_buffer *buffer);
/* Line art, each row behind `indent` spaces; nothing for NULL. */
void rush_words_drawing(const char *drawing, size_t indent, rush_buffer *buffer);
/* Adds a part, made safe, as it is; the rest as above. */
void rush_words_add_part(rush_buffer *part, rush_buffer *buffer);

#endif
