/* Standard output and standard error: the only place that writes to them. */
#ifndef RUSH_CLI_OUTPUT_H
#define RUSH_CLI_OUTPUT_H

#include "rushlight/rushlight.h"

/* Writes the whole buffer at once, past any buffering, and empties it. False when it could not be
 * written or is not whole; that is said on standard error once, but for a reader that has gone. */
bool output_write(rush_buffer *buffer);
void output_error(rush_buffer *buffer);
/* The same for a text; any thread may write, one at a time. */
bool output_text(rush_text text);
void output_error_text(rush_text text);
/* The diagnostics on standard error; the list is emptied. */
void output_diagnostics(rush_diagnostics *list);
/* A fault of our own: no memory. Returns EXIT_FAULT. */
int output_no_memory(void);

#endif
