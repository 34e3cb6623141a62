#include "check/check.h"
#include "sighting/answer.h"

/* A word for a number means what the observer's own words would: it must be readable as an answer. */
static void check_words(rush_checker *checker, uint32_t at)
{
    const rush_key *key = checker->key;
    const rush_character *character = &key->characters[at];
    for (uint32_t w = 0; w < character->word_count; w++) {
        rush_answer answer = {.character = at};
        rush_answer_reader quiet = {.key = key};
        if (rush_answer_read(&quiet, rush_text_of(character->words[w].means), &answer, NULL))
            continue;
        rush_diagnostic *made = rush_find(
            checker, RUSH_NOT_A_NUMBER, rush_place_word(key, at, character->words[w].word),
            "the word '%s' of '%s' means '%s', which is not a number", character->words[w].word,
            character->id, character->words[w].means);
        rush_diagnose_help(checker->list, made, "write under 35, 30-36, over 60 or a number");
    }
}

void rush_check_words(rush_checker *checker)
{
    for (uint32_t c = 0; c < checker->key->character_count; c++)
        check_words(checker, c);
}
