/* libyaml's complaints in an author's words.
 *
 * Layer: key. */
#ifndef RUSH_KEY_SYNTAX_H
#define RUSH_KEY_SYNTAX_H

#include "key/mend.h"

/* What libyaml says of a fault, and where, when nothing better is known of it. */
rush_repair rush_syntax_words(rush_text text, const rush_fault *fault);
/* Whether a tab stands at the place or in the white space before it; `tab` gets where. */
bool rush_syntax_tab(rush_text text, uint32_t at, uint32_t *tab);

#endif
