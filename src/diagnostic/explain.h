/* The texts of `check --explain`, in the order of the table of slugs.
 *
 * Layer: diagnostic. An example holds whole sections of a key; what it leaves out is that of a small key of
 * invented shells, which the test in tests/explain adds. */
#ifndef RUSH_DIAGNOSTIC_EXPLAIN_H
#define RUSH_DIAGNOSTIC_EXPLAIN_H

#include "rushlight/diagnostic.h"

/* A slug of RUSH_SLUG_COUNT ends each. */
extern const rush_explanation rush_explain_file[];   /* the file, its layout, its fields */
extern const rush_explanation rush_explain_values[]; /* names and values */
extern const rush_explanation rush_explain_weak[];   /* a key that loads, and is weak */
extern const rush_explanation rush_explain_line[];   /* observation lines */

#endif
