/* Short ways to answer a question: the number of a choice, the beginning of a name.
 *
 * Layer: dialogue. */
#ifndef RUSH_DIALOGUE_CHOICES_H
#define RUSH_DIALOGUE_CHOICES_H

#include "key/key.h"
#include "rushlight/dialogue.h"

/* Whether a text begins a name, as names are compared. */
bool rush_begins(rush_text name, rush_text beginning);

/* The state that a text stands for: by name, by its number as a choice (from 1), or, when `loosely`, as the
 * beginning of the names of one state alone. RUSH_NONE: nothing, or several, which `several` then says. */
uint32_t rush_choice(const rush_key *key, uint32_t character, rush_text text, bool loosely,
                     bool *several);

/* An answer to `asked` with its numbers (and, when `loosely`, its beginnings) written out as names:
 * "1 or 3?" as "folded or flat?". False, and nothing written, when it is not such an answer. */
bool rush_choices_write_out(const rush_key *key, uint32_t asked, rush_text answer, bool loosely,
                            rush_buffer *buffer);

#endif
