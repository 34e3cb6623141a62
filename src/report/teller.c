#include "report/teller.h"

static void turn(rush_teller *teller, uint32_t language)
{
    if (teller->turn)
        teller->turn(teller, language);
}

/* What has no label is called by its id, in the key's first language. */
static uint32_t language_of(const rush_teller *teller, rush_words words)
{
    uint32_t language = rush_key_words_language(teller->key, words, teller->language);
    return language == RUSH_NONE ? 0 : language;
}

void rush_tell_character(rush_teller *teller, uint32_t character)
{
    turn(teller, language_of(teller, rush_key_character(teller->key, character)->label));
    rush_character_name(teller->key, character, teller->language, teller->words);
    turn(teller, RUSH_NONE);
}

void rush_tell_state(rush_teller *teller, uint32_t character, uint32_t state)
{
    const rush_character *owner = rush_key_character(teller->key, character);
    turn(teller, language_of(teller, owner->states[state].label));
    rush_state_name(teller->key, character, state, teller->language, teller->words);
    turn(teller, RUSH_NONE);
}

void rush_tell(rush_teller *teller, rush_words words)
{
    turn(teller, language_of(teller, words));
    rush_buffer_string(teller->words, rush_key_words(teller->key, words, teller->language));
    turn(teller, RUSH_NONE);
}
