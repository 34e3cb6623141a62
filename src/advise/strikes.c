#include "advise/strikes.h"

#include <string.h>

static bool has_word(const char *id, const char *word)
{
    size_t length = strlen(word);
    for (const char *at = strstr(id, word); at; at = strstr(at + 1, word))
        if ((at == id || at[-1] == '-') && (!at[length] || at[length] == '-'))
            return true;
    return false;
}

rush_strike rush_strikes(const rush_character *character)
{
    if (character->kind == RUSH_KIND_NUMBER)
        return RUSH_STRIKE_SIZE;
    if (has_word(character->id, "posture"))
        return RUSH_STRIKE_POSTURE;
    if (has_word(character->id, "colour") || has_word(character->id, "color"))
        return RUSH_STRIKE_COLOUR;
    return RUSH_STRIKE_LATER;
}
