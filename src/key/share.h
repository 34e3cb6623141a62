/* Traits that say the same are one: most taxa of a large key show one of a few states.
 *
 * Layer: key. */
#ifndef RUSH_KEY_SHARE_H
#define RUSH_KEY_SHARE_H

#include "base/arena.h"
#include "rushlight/key.h"

typedef struct rush_trait_pool {
    struct {
        const rush_trait *trait; /* NULL: empty */
        uint32_t hash;
    } * places;
    uint32_t held, capacity; /* a power of two, or 0 */
    uint32_t count;          /* of all traits that were made, with those that stand alone */
} rush_trait_pool;

/* A trait of the pool like this one, whose weights are of so many states; it and they are copied when there
 * is none yet. One with a note stands alone. The pool itself lives in `scratch`. */
const rush_trait *rush_share_trait(rush_arena *arena, rush_arena *scratch, rush_trait_pool *pool,
                                   const rush_trait *trait, uint32_t states);

#endif
