/* The families of findings, a file each.
 *
 * Layer: check. */
#ifndef RUSH_CHECK_CHECK_H
#define RUSH_CHECK_CHECK_H

#include "diagnostic/diagnostic.h"
#include "key/key.h"
#include "rushlight/check.h"

void rush_check_separation(const rush_key *key, rush_diagnostics *list);
void rush_check_words(const rush_key *key, rush_diagnostics *list);
void rush_check_sightings(const rush_key *key, rush_diagnostics *list);

#endif
