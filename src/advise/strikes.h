/* What strikes the eye first within a reach: size, posture, colour. The format does not tell them from other characters
 * but by their ids; in a key that calls them otherwise none of them strikes more than the others. Common practice, no
 * published source.
 *
 * Layer: advise. */
#ifndef RUSH_ADVISE_STRIKES_H
#define RUSH_ADVISE_STRIKES_H

#include "rushlight/key.h"

typedef enum rush_strike {
    RUSH_STRIKE_SIZE,
    RUSH_STRIKE_POSTURE,
    RUSH_STRIKE_COLOUR,
    RUSH_STRIKE_LATER
} rush_strike;

rush_strike rush_strikes(const rush_character *character);

#endif
