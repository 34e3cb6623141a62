/* Words in the making, of which some are the key's, in one of its languages, and the others the program's own English.
 *
 * Layer: report. Ownership: the teller borrows all that it points to. */
#ifndef RUSH_REPORT_TELLER_H
#define RUSH_REPORT_TELLER_H

#include "rushlight/sighting.h"

typedef struct rush_teller {
    const rush_key *key;
    uint32_t language; /* that is wanted */
    rush_buffer *words;
    /* Called before a name of the key's, with the language that it is in, and behind it with RUSH_NONE: English. NULL:
     * nobody asks. */
    void (*turn)(struct rush_teller *teller, uint32_t language);
} rush_teller;

/* The names of a character and of a state. */
void rush_tell_character(rush_teller *teller, uint32_t character);
void rush_tell_state(rush_teller *teller, uint32_t character, uint32_t state);
/* Another text of the key's. */
void rush_tell(rush_teller *teller, rush_words words);

#endif
