/* Texts as YAML scalars.
 *
 * Layer: sow. */
#ifndef RUSH_SOW_YAML_H
#define RUSH_SOW_YAML_H

#include "rushlight/text.h"

/* A text of one line without control characters, in marks where it would be read as something else, by
 * rushlight or by a reader that guesses (`no`, 12, ~). */
void rush_yaml_text(rush_text text, rush_buffer *buffer);

#endif
