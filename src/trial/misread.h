/* Which other state is reported when a state is misread.
 *
 * Layer: trial. The model's M(s, r) of the misreads alone (likelihood.h has it with them): four fifths to the
 * states that are confused with it, the rest evenly. */
#ifndef RUSH_TRIAL_MISREAD_H
#define RUSH_TRIAL_MISREAD_H

#include "key/key.h"

/* The part of the misreads of `state` that are reported as `other`; over all other states they sum to 1. */
double rush_misread_part(const rush_key *key, uint32_t character, uint32_t state, uint32_t other);

#endif
