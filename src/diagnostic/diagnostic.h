/* Making diagnostics, for the layers above.
 *
 * Layer: diagnostic. Adding never fails for the caller: a list without memory remembers that. */
#ifndef RUSH_DIAGNOSTIC_DIAGNOSTIC_H
#define RUSH_DIAGNOSTIC_DIAGNOSTIC_H

#include "base/nearest.h"
#include "diagnostic/source.h"

/* Whether something of this slug stands at that place already. */
bool rush_diagnosed(const rush_diagnostics *list, rush_slug slug, const rush_source *source,
                    rush_span span);

/* How many errors there are by the table of slugs, whatever severity the reader wishes them to have, and
 * with those that follow from a line that is doubtful as it is: for whoever must know whether all is well. */
size_t rush_diagnostics_faults(const rush_diagnostics *list);

/* Begins a search for the nearest names; in a list that is long already it finds none, since then each
 * search would cost and none would help. */
void rush_suggest_init(const rush_diagnostics *list, rush_nearest *nearest, rush_text wanted);

/* A new diagnostic at a span of a source (NULL: of nothing in particular). It may return NULL, when
 * the list is full, has no memory, or holds the same words at the same span already; the functions
 * below take NULL and do nothing. */
rush_diagnostic *rush_diagnose(rush_diagnostics *list, rush_slug slug, const rush_source *source,
                               rush_span span, const char *format, ...) RUSH_FORMAT(5, 6);
rush_diagnostic *rush_vdiagnose(rush_diagnostics *list, rush_slug slug, const rush_source *source,
                                rush_span span, const char *format, va_list arguments)
    RUSH_FORMAT(5, 0);
void rush_diagnose_help(rush_diagnostics *list, rush_diagnostic *diagnostic, const char *format,
                        ...) RUSH_FORMAT(3, 4);
/* The same from a buffer, which is freed. */
void rush_diagnose_help_from(rush_diagnostics *list, rush_diagnostic *diagnostic,
                             rush_buffer *help);
/* "did you mean ...?" when a name is near, else `otherwise` (or nothing when that is NULL). */
void rush_diagnose_nearest(rush_diagnostics *list, rush_diagnostic *diagnostic,
                           const rush_nearest *nearest, const char *otherwise);
/* The second place: where the cause is, and what stands there. */
void rush_diagnose_other(rush_diagnostics *list, rush_diagnostic *diagnostic,
                         const rush_source *source, rush_span span, const char *message);
/* A fault that follows from another one, which is told already: it counts, and is not said. */
void rush_diagnose_follows(rush_diagnostics *list);
void rush_diagnose_out_of_memory(rush_diagnostics *list);

#endif
