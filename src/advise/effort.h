/* What a look costs somebody who is taught from paper.
 *
 * Layer: advise. */
#ifndef RUSH_ADVISE_EFFORT_H
#define RUSH_ADVISE_EFFORT_H

#include "rushlight/key.h"

/* The character's effort, and more for what must be seen from close by or in the hand: beginners begin from
 * afar, and a net is the last thing to reach for. rushlight's own figures. */
static inline double rush_beginner_effort(const rush_character *character)
{
    static const double dearer[RUSH_REACH_COUNT] = {1, 1, 1.2, 2};
    return character->effort * dearer[character->reach];
}

#endif
