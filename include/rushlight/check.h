/* What is weak in a key that loads: found by using it.
 *
 * Layer: check (above advise). The faults that stop a key from loading are the loader's. */
#ifndef RUSHLIGHT_CHECK_H
#define RUSHLIGHT_CHECK_H

#include "rushlight/advice.h"

/* Adds findings, each at its place in the key's files: pairs of taxa that no character separates,
 * characters that separate nothing, worked sightings that do not give what they expect. The key is one of
 * rush_key_load_to_check, given the same diagnostics: one that was loaded otherwise has forgotten its places, and
 * what hangs on them is not found. */
RUSH_PUBLIC void rush_check(const rush_key *key, rush_diagnostics *diagnostics);

#endif
