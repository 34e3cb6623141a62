#include "check/check.h"
#include "sighting/answer.h"

/* A word for a number means what the observer's own words would: it must be readable as an answer. */
static void check_words(const rush_key *key, uint32_t at, rush_diagnostics *list)
{
    const rush_character *character = &key->characters[at];
    for (uint32_t w = 0; w < character->word_count; w++) {
        rush_answer answer = {.character = at};
        rush_answer_reader quiet = {.key = key};
        if (rush_answer_read(&quiet, rush_text_of(character->words[w].means), &answer, NULL))
            continue;
        rush_mark mark = key->character_marks[at];
        rush_diagnostic *made =
            rush_diagnose(list, RUSH_NOT_A_NUMBER, mark.source, mark.span,
                          "the word '%s' of '%s' means '%s', which is not a number",
                          character->words[w].word, character->id, character->words[w].means);
        rush_diagnose_help(list, made, "write under 35, 30-36, over 60 or a number");
    }
}

void rush_check_words(const rush_key *key, rush_diagnostics *list)
{
    for (uint32_t c = 0; c < key->character_count; c++)
        check_words(key, c, list);
}
