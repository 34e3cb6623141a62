/* What a line may go on to, for the Tab key. */
#include "dialogue/choices.h"
#include "dialogue/dialogue.h"

/* The text behind the last of some signs. */
static rush_text behind_last(rush_text text, const char *signs)
{
    size_t from = 0;
    for (size_t i = 0; i < text.length; i++)
        for (const char *sign = signs; *sign; sign++)
            if (text.at[i] == *sign)
                from = i + 1;
    while (from < text.length && text.at[from] == ' ')
        from++;
    return (rush_text){text.at + from, text.length - from};
}

/* The text behind the last ` or ` or a `not ` at the start: the alternative being written. */
static rush_text last_alternative(rush_text text)
{
    text = behind_last(text, "|/,");
    for (size_t i = 0; i + 4 <= text.length; i++) {
        bool alternative = text.at[i] == ' ' && text.at[i + 1] == 'o' && text.at[i + 2] == 'r' &&
                           text.at[i + 3] == ' ';
        bool denial = i == 0 && text.at[0] == 'n' && text.at[1] == 'o' && text.at[2] == 't' &&
                      text.at[3] == ' ';
        if (alternative || denial)
            return last_alternative((rush_text){text.at + i + 4, text.length - i - 4});
    }
    return text;
}

static void offer(rush_text name, rush_text stem, const char *end, rush_buffer *names)
{
    if (stem.length && !rush_begins(name, stem))
        return;
    rush_buffer_add(names, name);
    rush_buffer_format(names, "%s\n", end);
}

static void offer_states(const rush_dialogue *dialogue, uint32_t character, rush_text stem,
                         rush_buffer *names)
{
    const rush_key *key = dialogue->key;
    rush_buffer name = {0};
    for (uint32_t s = 0; s < key->characters[character].state_count; s++) {
        rush_buffer_clear(&name);
        rush_state_name(key, character, s, dialogue->options.language, &name);
        offer((rush_text){name.bytes, name.length}, stem, "", names);
        names->failed |= name.failed;
    }
    for (uint32_t w = 0; w < key->characters[character].word_count; w++)
        offer(rush_text_of(key->characters[character].words[w].word), stem, "", names);
    rush_buffer_free(&name);
}

static void offer_characters(const rush_dialogue *dialogue, rush_text stem, rush_buffer *names)
{
    rush_buffer name = {0};
    for (uint32_t c = 0; stem.length && c < dialogue->key->character_count; c++) {
        rush_buffer_clear(&name);
        rush_character_name(dialogue->key, c, dialogue->options.language, &name);
        offer((rush_text){name.bytes, name.length}, stem, ": ", names);
        names->failed |= name.failed;
    }
    for (int f = 0; stem.length && f < RUSH_RECORD_FIELD_COUNT; f++)
        offer(rush_text_of(rush_record_field_name((rush_record_field)f)), stem, ": ", names);
    for (size_t w = 0; stem.length && rush_dialogue_words[w]; w++)
        offer(rush_text_of(rush_dialogue_words[w]), stem, "", names);
    rush_buffer_free(&name);
}

void rush_dialogue_complete(const rush_dialogue *dialogue, rush_text line, size_t *stem,
                            rush_buffer *names)
{
    rush_text part = behind_last(line, ";"), end = last_alternative(part);
    for (size_t i = 0; i < part.length; i++) {
        if (part.at[i] != ':')
            continue;
        uint32_t character =
            rush_key_find_character(dialogue->key, rush_text_trim((rush_text){part.at, i}));
        end = last_alternative(behind_last((rush_text){part.at, part.length}, ":"));
        *stem = end.length;
        if (character != RUSH_NONE)
            offer_states(dialogue, character, end, names);
        return;
    }
    *stem = end.length;
    if (dialogue->asked != RUSH_NONE)
        offer_states(dialogue, dialogue->asked, end, names);
    offer_characters(dialogue, end, names);
}
