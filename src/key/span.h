/* The span of a number: from the least to the greatest that any taxon of the key shows.
 *
 * Layer: key. */
#ifndef RUSH_KEY_SPAN_H
#define RUSH_KEY_SPAN_H

#include "rushlight/key.h"

/* Sets `low` and `high` of every character, 0 and 0 where nothing is scored. */
void rush_spans_begin(rush_character *characters, uint32_t count);
void rush_spans_widen(rush_character *characters, const rush_trait *const *traits,
                      uint32_t count);
void rush_spans_end(rush_character *characters, uint32_t count);

#endif
