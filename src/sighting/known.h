/* What entries of earlier lines meant, since most lines of a batch say the same things in the same words.
 *
 * Layer: sighting. Only answers that were understood are known, by all the bytes from their name on; few are, and a
 * newer one takes an older one's place. */
#ifndef RUSH_SIGHTING_KNOWN_H
#define RUSH_SIGHTING_KNOWN_H

#include "rushlight/sighting.h"

typedef struct rush_known rush_known;

/* NULL when there is no memory. */
rush_known *rush_known_new(void);
void rush_known_free(rush_known *known);

/* The answer that was last learned for these bytes, with its states as one word; NULL: none. Its `states`, `given` and
 * `column` say nothing. */
const rush_answer *rush_known_find(const rush_known *known, rush_text said, uint64_t *states);
/* A long text is not learned. */
void rush_known_learn(rush_known *known, rush_text said, const rush_answer *answer,
                      uint64_t states);

#endif
