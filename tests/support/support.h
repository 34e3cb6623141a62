/* What several tests need: keys from files and from strings, lines of tables. */
#ifndef RUSH_TESTS_SUPPORT_H
#define RUSH_TESTS_SUPPORT_H

#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "base/random.h"
#include "rushlight/rushlight.h"

/* The key at a path, or in a folder's key.yaml; the test fails, and the diagnostics are shown, when there
 * is none. */
rush_key *support_key(const char *path);
/* The key of a text; NULL when it does not load. `list` may be NULL. */
rush_key *support_key_of_text(const char *text, rush_diagnostics *list);
/* Shows a list of diagnostics on standard error. */
void support_show(const rush_diagnostics *list);
/* A whole file; the test fails when it cannot be read. */
void support_read(const char *path, rush_buffer *text);
/* Reads a line into a sighting; the test fails when it cannot be understood. */
void support_sighting(rush_sighting *sighting, const char *line);
/* Splits a text in place at `separator` into at most `most` fields; returns how many. */
size_t support_split(char *text, char separator, char **fields, size_t most);

#endif
