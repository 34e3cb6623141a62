#include "key/span.h"

#include <math.h>

void rush_spans_begin(rush_character *characters, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++) {
        characters[i].low = INFINITY;
        characters[i].high = -INFINITY;
    }
}

void rush_spans_widen(rush_character *characters, const rush_trait *const *traits, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++) {
        rush_character *character = &characters[traits[i]->character];
        if (traits[i]->kind != RUSH_TRAIT_NUMBER)
            continue;
        character->low = fmin(character->low, traits[i]->low);
        character->high = fmax(character->high, traits[i]->high);
    }
}

void rush_spans_end(rush_character *characters, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++)
        if (characters[i].low > characters[i].high)
            characters[i].low = characters[i].high = 0;
}
