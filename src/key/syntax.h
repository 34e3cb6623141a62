/* libyaml's complaints in an author's words.
 *
 * Layer: key. */
#ifndef RUSH_KEY_SYNTAX_H
#define RUSH_KEY_SYNTAX_H

#include "diagnostic/diagnostic.h"

/* Adds the diagnostic for what libyaml says: `problem` and `context` are its words (either may be
 * NULL), `at` and `context_at` the byte offsets of their marks. */
void rush_syntax_diagnose(rush_diagnostics *list, const rush_source *source, const char *problem,
                          uint32_t at, const char *context, uint32_t context_at);

#endif
