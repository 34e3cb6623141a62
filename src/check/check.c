#include "check/check.h"

void rush_check(const rush_key *key, rush_diagnostics *diagnostics)
{
    rush_check_words(key, diagnostics);
    rush_check_separation(key, diagnostics);
    rush_check_sightings(key, diagnostics);
    rush_diagnostics_sort(diagnostics);
}
